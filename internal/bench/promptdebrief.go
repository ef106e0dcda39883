package bench

import (
	"strconv"
	"strings"
)

// ownWords are the marks a student may give, lowest first.
func ownWords() string {
	var out []string
	for i := range 5 {
		out = append(out, strconv.Itoa(i)+" "+ownMark(i))
	}
	return strings.Join(out, ", ")
}

// own takes the student's own mark for a step: before the marks are seen.
func (p *Prompt) own(rest []string) []string {
	d := p.s.debrief
	wrong := func() []string {
		return p.refuse(say("face.own", "steps", strings.Join(d.stages, ", "), "words", ownWords()))
	}
	if p.marked {
		return p.refuse(say("face.late"))
	}
	if len(rest) != 2 {
		return wrong()
	}
	mark, err := strconv.Atoi(rest[1])
	if _, known := d.own[rest[0]]; !known || err != nil || mark < 0 || mark > 4 {
		return wrong()
	}
	d.own[rest[0]] = mark
	return []string{stageName(rest[0]) + ": " + ownMark(mark)}
}

// stageName is a stage of the rules as it is shown.
func stageName(st string) string { return sayOr("stage."+st, sayOr("rulestage."+st, capital(st))) }

// marks tells the marks by rule with their evidence, the student's own beside them.
func (p *Prompt) marks([]string) []string {
	d := p.s.debrief
	p.marked, d.shown = true, true
	out := []string{d.total()}
	for _, text := range d.record.Marks.Critical {
		out = append(out, "! "+text)
	}
	for _, st := range d.stages {
		head := stageName(st)
		if own := d.own[st]; own >= 0 {
			head += " (" + say("debrief.yours", "own", ownMark(own)) + ")"
		}
		out = append(out, "", head)
		for _, r := range d.record.Marks.Rules {
			if r.Stage != st {
				continue
			}
			text := "  " + points(r) + "  " + r.Title + ": " + r.Evidence
			if r.Action >= 0 {
				text += " " + say("face.at", "number", strconv.Itoa(r.Action+1))
			}
			out = append(out, text)
		}
	}
	return append(append(out, ""), p.truth(nil)...)
}

// truth sets the student's sheet beside the tooth, and tells strain and life of the files and what was
// noted.
func (p *Prompt) truth([]string) []string {
	d := p.s.debrief
	out := append(lettered([]Block{{Kind: Subhead, Text: say("debrief.truth")}, {Kind: Pairs, Pairs: d.truth()}}),
		lettered([]Block{{Kind: Subhead, Text: say("debrief.files"), Note: say("debrief.filesnote")}, {Kind: Pairs, Pairs: d.files()}})...)
	if len(d.notes) > 0 {
		out = append(out, say("debrief.notes"))
		for _, n := range d.notes {
			out = append(out, "  "+strconv.Itoa(n.After)+": "+noteText(n))
		}
	}
	return out
}

// plan tells the marks of the instructor's plan on the same tooth beside one's own.
func (p *Prompt) plan([]string) []string {
	s, d := p.s, p.s.debrief
	switch {
	case !p.marked:
		return p.refuse(say("face.first"))
	case !s.cases[d.index].planned:
		return p.refuse(say("debrief.noplan"))
	}
	d.turnPlan(s)
	plan := s.debrief
	s.debrief = d
	out := []string{plan.total()}
	for i, r := range plan.record.Marks.Rules {
		out = append(out, "  "+say("face.beside", "title", r.Title, "plan", points(r), "own", points(d.record.Marks.Rules[i])))
	}
	return out
}

// again begins the treatment again from a moment of it.
func (p *Prompt) again(rest []string) []string {
	d := p.s.debrief
	n, err := 0, error(nil)
	if len(rest) == 1 {
		n, err = strconv.Atoi(rest[0])
	}
	if len(rest) != 1 || err != nil || n < 1 || n > len(d.lines) {
		return p.refuse(say("face.again", "count", strconv.Itoa(len(d.lines))))
	}
	d.at = n - 1
	d.press(p.s, "again", "")
	p.s.run.section, p.marked = false, false
	p.s.Said()
	return append([]string{say("face.anew", "number", strconv.Itoa(n))}, p.offers()...)
}
