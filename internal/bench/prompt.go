package bench

import (
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// Sitting is what a treatment by lines of text begins with.
type Sitting struct {
	Scenario scenario.Scenario
	Case     *treatment.Case    // grown from the scenario
	Plan     []treatment.Action // the instructor's own, to compare with; none where there is none
	Keeper   Keeper             // nil: nothing is kept
	Current  []byte             // a run under way of this case, taken up where there is one
	Guided   bool               // the guided first case, on its own tooth
}

// Prompt is a session driven by lines of text: the same run, forms and words as on the screens, told in
// sentences. It is for screen readers, slow machines, scripts and the curious. A line asks for one thing
// and the answer is a list of lines.
type Prompt struct {
	s      *Session
	told   map[string]bool // cautions
	marked bool            // the marks were shown
	quit   bool
	wrong  bool // the last line was not understood, or refused
	exam   *Exam
}

// Sit begins a treatment by lines of text, or takes it up where it stood, and returns what is said first.
func Sit(o Sitting) (*Prompt, []string) {
	s := &Session{screen: BriefingScreen, back: ShelfScreen, keeper: o.Keeper, settings: defaultSettings(), revision: 1, rows: 6, lines: true}
	s.cases = []shelved{{scenario: o.Scenario, preview: o.Case, best: -1, planned: len(o.Plan) > 0, plan: func() []treatment.Action { return o.Plan }}}
	p := &Prompt{s: s, told: map[string]bool{}}
	said := p.briefing()
	taken := s.TakeUp(o.Current)
	switch {
	case taken:
	case o.Guided && s.lessonCase() >= 0:
		s.beginLesson()
	default:
		s.beginAs(0, nil)
	}
	s.run.section = false // nothing is seen of it here unless it is asked for
	s.open(TreatmentScreen)
	s.save()
	s.Said()
	if taken {
		said = append(said, "", say("treat.resumed", "count", strconv.Itoa(len(s.run.run.Actions()))))
	}
	said = append(said, "", say("face.begin"), "")
	return p, append(said, p.offers()...)
}

// Done reports whether the person left.
func (p *Prompt) Done() bool { return p.quit }

// Wrong reports whether the last line was not understood or what it asked for was refused.
func (p *Prompt) Wrong() bool { return p.wrong }

// Finished returns the run and its record once it was finished, nil before.
func (p *Prompt) Finished() (*attempt.Run, *attempt.Record) {
	d := p.s.debrief
	switch {
	case d == nil:
		return nil, nil
	case d.plan:
		d = d.other
	}
	return d.run, &d.record
}

// Ask is what stands before the next line: the step and the canal in hand.
func (p *Prompt) Ask() string {
	if p.s.screen == DebriefScreen {
		return say("debrief.title") + "> "
	}
	r := p.s.run
	text := strconv.Itoa(r.stage+1) + " " + say("stage."+stages()[r.stage].name)
	if len(r.nameable()) > 1 {
		text += ", " + r.inHandName()
	}
	return text + "> "
}

// order is a word that can be asked for, besides the actions themselves.
type order struct {
	word    string
	debrief bool // in the debrief, else in the treatment
	do      func(p *Prompt, rest []string) []string
}

// orders are the words of the treatment and of the debrief, in the order in which help lists them.
func orders() []order {
	return []order{
		{"offers", false, func(p *Prompt, _ []string) []string { return p.offers() }},
		{"look", false, func(p *Prompt, _ []string) []string { return p.look() }},
		{"steps", false, func(p *Prompt, _ []string) []string { return p.steps() }},
		{"go", false, (*Prompt).goTo},
		{"next", false, func(p *Prompt, _ []string) []string {
			return p.goTo([]string{strconv.Itoa(min(p.s.run.stage+2, len(stages())))})
		}},
		{"back", false, func(p *Prompt, _ []string) []string { return p.goTo([]string{strconv.Itoa(max(p.s.run.stage, 1))}) }},
		{"canal", false, (*Prompt).turnTo},
		{"tray", false, (*Prompt).tray},
		{"repeat", false, (*Prompt).repeat},
		{"section", false, (*Prompt).section},
		{"hint", false, func(p *Prompt, _ []string) []string { return p.press("hint") }},
		{"guide", false, func(p *Prompt, _ []string) []string { return p.press("guide") }},
		{"record", false, func(p *Prompt, _ []string) []string { return p.record() }},
		{"sheet", false, func(p *Prompt, _ []string) []string { return lettered(p.s.run.chartBlocks()) }},
		{"checkpoint", false, func(p *Prompt, _ []string) []string { return p.press("checkpoint") }},
		{"rewind", false, func(p *Prompt, _ []string) []string { return p.press("rewind") }},
		{"finish", false, (*Prompt).finish},
		{"own", true, (*Prompt).own},
		{"marks", true, (*Prompt).marks},
		{"truth", true, (*Prompt).truth},
		{"plan", true, (*Prompt).plan},
		{"record", true, func(p *Prompt, _ []string) []string { return p.record() }},
		{"again", true, (*Prompt).again},
		{"help", false, (*Prompt).help},
		{"help", true, (*Prompt).help},
		{"quit", false, (*Prompt).leave},
		{"quit", true, (*Prompt).leave},
	}
}

// allowed returns the orders that the present moment knows.
func (p *Prompt) allowed() []order {
	in := p.s.screen == DebriefScreen
	return slices.DeleteFunc(orders(), func(o order) bool { return o.debrief != in || p.exam != nil && !inExam(o.word) })
}

// words returns what a line may begin with now.
func (p *Prompt) words() []string {
	var out []string
	if p.s.screen != DebriefScreen {
		for _, k := range treatment.Kinds() {
			out = append(out, string(k))
		}
	}
	for _, o := range p.allowed() {
		out = append(out, o.word)
	}
	return out
}

// lineLimit is the longest line that is read, in bytes.
const lineLimit = 1000

// Line does what a line asks for and returns the answer. An empty line and one that begins with # ask
// for nothing. A line that is not understood changes nothing and is answered with what is allowed.
// Checked by TestPromptRefusals and FuzzPrompt.
func (p *Prompt) Line(line string) []string {
	p.wrong = false
	line, _, _ = strings.Cut(line, "#")
	tokens := strings.Fields(line)
	if len(tokens) == 0 || p.quit {
		return nil
	}
	if len(line) > lineLimit {
		return p.refuse(say("face.long"))
	}
	head, rest := strings.ToLower(tokens[0]), tokens[1:]
	p.s.notice = ""
	for _, o := range p.allowed() {
		if o.word != head {
			continue
		}
		if what := examLooks()[o.word]; what != "" && p.exam != nil {
			if err := p.exam.Look(what); err != nil {
				return p.refuse(capital(err.Error()) + ".")
			}
		}
		return o.do(p, rest)
	}
	if p.s.screen != DebriefScreen && slices.Contains(treatment.Kinds(), treatment.Kind(head)) {
		return p.act(treatment.Kind(head), rest)
	}
	if word := marking.Likely(head, p.words()); word != "" {
		return p.refuse(say("face.likely", "word", head, "likely", word))
	}
	return p.refuse(say("face.unknown", "word", shortened(head), "words", strings.Join(p.words(), ", ")))
}

// shortened keeps a stray word from filling the screen.
func shortened(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

func (p *Prompt) refuse(text string) []string {
	p.wrong = true
	return []string{text}
}

// press does what a control of the treatment screen does, and returns what was said.
func (p *Prompt) press(head string) []string {
	p.s.Said()
	p.s.direct(head, "")
	return p.s.Said()
}

func (p *Prompt) goTo(rest []string) []string {
	var names []string
	for i, st := range stages() {
		names = append(names, st.name)
		if len(rest) == 1 && (rest[0] == st.name || rest[0] == strconv.Itoa(i+1)) {
			p.s.direct("stage", strconv.Itoa(i))
			p.s.Said()
			return p.offers()
		}
	}
	return p.refuse(say("face.step", "steps", strings.Join(names, ", ")))
}

func (p *Prompt) turnTo(rest []string) []string {
	r := p.s.run
	if len(rest) == 1 {
		if i := r.canalNamed(canalIn(r, rest[0])); i >= 0 {
			r.canal, r.feel = i, feeling{}
			return p.look()
		}
	}
	return p.refuse(p.whichCanal())
}

// whichCanal says which canals can be named.
func (p *Prompt) whichCanal() string {
	names := canalNames(p.s.run)
	if len(names) == 0 {
		return say("exam.notfound")
	}
	if p.exam != nil {
		return say("exam.whichcanal", "canals", strings.Join(names, ", "))
	}
	return say("face.canal", "canals", strings.Join(names, ", "))
}

func canalNames(r *treating) []string {
	var out []string
	for _, i := range r.nameable() {
		out = append(out, r.states[0].Canals[i].Name)
	}
	return out
}

// canalIn returns the canal a word names, whatever its letters' case, else the word.
func canalIn(r *treating, word string) string {
	for _, name := range canalNames(r) {
		if strings.EqualFold(name, word) {
			return name
		}
	}
	return word
}

func (p *Prompt) repeat([]string) []string {
	r := p.s.run
	if r.kind != treatment.Work {
		return p.refuse(say("face.repeat"))
	}
	a, why := r.untilChange(p.s)
	if a.Strokes == 0 {
		return p.refuse(p.s.notice)
	}
	out := p.do(a)
	if !p.wrong {
		out = append(out, why)
	}
	return out
}

func (p *Prompt) finish([]string) []string {
	s := p.s
	if len(s.run.states) < 2 {
		return p.refuse(say("treat.nothing"))
	}
	s.finish()
	s.Said()
	if s.debrief == nil {
		return p.refuse(s.notice)
	}
	return []string{say("face.finished"), say("face.own", "steps", strings.Join(s.debrief.stages, ", "), "words", ownWords())}
}

func (p *Prompt) leave([]string) []string {
	p.quit = true
	switch {
	case p.s.screen == DebriefScreen && !p.marked:
		return p.marks(nil)
	case p.s.screen == DebriefScreen:
		return nil
	case p.s.keeper == nil:
		return []string{say("face.left")}
	}
	return []string{say("face.kept")}
}
