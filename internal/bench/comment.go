package bench

import (
	"bytes"
	"errors"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/comment"
)

// least digits of a record's digest that name it in a comment.
const leastDigest = 8

// takeComments keeps comments for the debriefs of this session.
func (s *Session) takeComments(name string, data []byte) {
	list, err := comment.Parse(name, data)
	if err != nil {
		s.refuse(err.Error())
		return
	}
	s.comments = list
	found := 0
	if s.debrief != nil {
		found = len(s.commentsOn(s.debrief))
	}
	s.refuse(say("comment.taken", "count", strconv.Itoa(len(list)), "here", strconv.Itoa(found)))
}

// TakeComments keeps what the class server sends of comments on the student's own work, and says how many there
// are. A server that sends something else is told of. Checked by TestServerComments.
func (s *Session) TakeComments(data []byte) {
	list, err := comment.Parse(say("comment.server"), data)
	switch {
	case err != nil:
		s.refuse(err.Error())
	case len(list) > 0:
		s.comments = list
		s.refuse(say("comment.came", "count", strconv.Itoa(len(list))))
	}
}

// commentsOn returns the comments on a run, those on the whole first, then by moment. Where the comments on
// a case speak of several candidates, none is shown: whose they are cannot be told.
func (s *Session) commentsOn(d *debriefing) []comment.Comment {
	name := s.cases[d.index].scenario.Name()
	var out []comment.Comment
	for _, c := range s.comments {
		digest := strings.ToLower(c.Case)
		mine := len(digest) >= leastDigest && strings.HasPrefix(d.record.Digest, digest)
		if (mine || c.Case == name) && c.Action < len(d.states) {
			out = append(out, c)
		}
	}
	for _, c := range out {
		if c.Candidate != out[0].Candidate {
			return nil
		}
	}
	slices.SortStableFunc(out, func(a, b comment.Comment) int { return a.Action - b.Action })
	return out
}

// commentBlocks are the instructor's comments, each a way to its moment.
func (s *Session) commentBlocks(d *debriefing) []Block {
	list := s.commentsOn(d)
	if len(list) == 0 || d.plan {
		return nil
	}
	blocks := []Block{{Kind: Subhead, Text: say("comment.title"), Note: strconv.Itoa(len(list))}}
	for i, c := range list {
		where := say("comment.whole")
		if c.Action > 0 {
			where = say("comment.at", "number", strconv.Itoa(c.Action))
		}
		blocks = append(blocks, controls(Control{ID: "comment:" + strconv.Itoa(i), Kind: Pick, Label: c.Text,
			Detail: where, Chosen: c.Action > 0 && c.Action == d.at}))
		if c.By != "" {
			blocks = append(blocks, Block{Kind: Quiet, Text: say("comment.by", "by", c.By)})
		}
	}
	return append(blocks, Block{Kind: Rule})
}

// commentBlocks are the instructor's comments on a sitting that was handed in, each with its moment in words.
func (x *examining) commentBlocks(list []comment.Comment) []Block {
	var blocks []Block
	for i, c := range x.cases {
		actions := x.sitting.done(i)
		for _, one := range list {
			if one.Case != x.packet.Cases[i].Name || one.Candidate != x.packet.Candidate || one.Action > len(actions) {
				continue
			}
			where := c.title + ", " + say("comment.whole")
			if one.Action > 0 {
				where = c.title + ", " + say("comment.at", "number", strconv.Itoa(one.Action)) + ": " + examAction(actions[one.Action-1])
			}
			if one.By != "" {
				where += " (" + say("comment.by", "by", one.By) + ")"
			}
			blocks = append(blocks, Block{Kind: Said, Text: one.Text}, Block{Kind: Quiet, Text: where}, Block{Kind: Gap})
		}
	}
	if len(blocks) > 0 {
		blocks = append([]Block{{Kind: Gap}, {Kind: Subhead, Text: say("comment.title"), Note: strconv.Itoa(len(blocks) / 3)}}, blocks...)
	}
	return blocks
}

// toComment goes to the moment of a comment.
func (d *debriefing) toComment(s *Session, rest string) {
	list := s.commentsOn(d)
	i, err := strconv.Atoi(rest)
	if err != nil || i < 0 || i >= len(list) {
		return
	}
	if list[i].Action > 0 {
		d.at = list[i].Action
	}
	s.speak(list[i].Text)
}

// Take reads a file that was given to the bench, dropped on it or opened: comments of an instructor, or a
// record to look back at. What it is is told from what is in it.
func (s *Session) Take(name string, data []byte) {
	defer s.changed()
	switch {
	case isPacket(data):
		s.takePacket(data)
	case s.exam != nil:
		s.refuse(say("exam.already"))
	case strings.HasSuffix(strings.ToLower(name), ".csv"):
		s.takeComments(name, data)
	case len(bytes.TrimSpace(data)) > 0 && bytes.TrimSpace(data)[0] == '{':
		s.takeRecord(data)
	default:
		s.refuse(say("take.unknown", "name", shortened(name)))
	}
}

// takeRecord opens a record of a case on the shelf.
func (s *Session) takeRecord(data []byte) {
	for i := range s.cases {
		d, err := s.relive(i, data)
		if err != nil {
			if errors.Is(err, errOtherCase) {
				continue
			}
			s.refuse(say("compare.broken", "why", err.Error()))
			return
		}
		if s.run != nil {
			s.save()
		}
		d.given = true
		s.debrief = d
		s.open(DebriefScreen)
		return
	}
	s.refuse(say("take.nocase"))
}
