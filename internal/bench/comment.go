package bench

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// Comment is what an instructor says about a moment of a treatment.
type Comment struct {
	Candidate string
	Case      string // name of the case, or the first 8 digits or more of the record's digest
	Action    int    // from 1; 0: the treatment as a whole
	By, Text  string
}

// Limits of a file of comments.
const (
	commentBytes = 1 << 20
	mostComments = 2000
)

// ParseComments reads comments from CSV with the head candidate,case,action,by,comment, the one that the
// gradebook takes. All faults are told at once with file and line. Checked by TestComments and
// FuzzComments.
func ParseComments(name string, data []byte) ([]Comment, error) {
	if len(data) > commentBytes {
		return nil, fmt.Errorf("%s: %d bytes, allowed %d", name, len(data), commentBytes)
	}
	rows := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	head, err := rows.Read()
	if err != nil || !slices.Equal(head, []string{"candidate", "case", "action", "by", "comment"}) {
		return nil, fmt.Errorf("%s:1: the head is not candidate,case,action,by,comment", name)
	}
	var out []Comment
	var faults []error
	for {
		cells, err := rows.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := rows.FieldPos(0)
		action := 0
		if cells[2] != "" {
			action, err = strconv.Atoi(cells[2])
		}
		switch {
		case len(out) == mostComments:
			return nil, fmt.Errorf("%s:%d: more than %d comments", name, line, mostComments)
		case err != nil || action < 0:
			faults = append(faults, fmt.Errorf("%s:%d: action is %q; a number from 1, or nothing for the whole treatment, is allowed", name, line, cells[2]))
		case strings.TrimSpace(cells[4]) == "":
			faults = append(faults, fmt.Errorf("%s:%d: the comment is empty", name, line))
		default:
			out = append(out, Comment{cells[0], cells[1], action, cells[3], cells[4]})
		}
	}
	return out, errors.Join(faults...)
}

// least digits of a record's digest that name it in a comment.
const leastDigest = 8

// takeComments keeps comments for the debriefs of this session.
func (s *Session) takeComments(name string, data []byte) {
	list, err := ParseComments(name, data)
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

// commentsOn returns the comments on a run, those on the whole first, then by moment. Where the comments on
// a case speak of several candidates, none is shown: whose they are cannot be told.
func (s *Session) commentsOn(d *debriefing) []Comment {
	name := s.cases[d.index].scenario.Name()
	var out []Comment
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
	slices.SortStableFunc(out, func(a, b Comment) int { return a.Action - b.Action })
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
