package bench

import (
	"slices"

	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// Exam is a case of an examination, treated by lines of text.
type Exam struct {
	Scenario scenario.Scenario  // without rules
	Case     *treatment.Case    // grown from it
	Done     []treatment.Action // what was done before
	// Do keeps an action for good before it is done here. On an error nothing is done, and the error is told.
	Do func(treatment.Action) error
	// Look asks leave to look at what practice shows: "section", "hints" or "guidance". On an error nothing is
	// shown, and the error is told.
	Look func(what string) error
}

// SitExam begins a case of an examination, or takes it up after what was done, and returns what is said
// first. The words are those of practice; there is no way back, no checkpoint and no mark, and of what
// happens only what a person at the chair perceives is told. Checked by TestExamPrompt.
func SitExam(o Exam) (*Prompt, []string) {
	s := &Session{screen: BriefingScreen, back: ShelfScreen, settings: defaultSettings(), revision: 1, rows: 6, lines: true}
	s.cases = []shelved{{scenario: o.Scenario, preview: o.Case, best: -1}}
	p := &Prompt{s: s, told: map[string]bool{}, exam: &o}
	said := p.briefing()
	s.start(0, o.Done, nil)
	s.run.section, s.run.perceived, s.run.words = false, true, true
	s.open(TreatmentScreen)
	s.Said()
	said = slices.DeleteFunc(said, func(line string) bool { return line == "  "+say("briefing.practice") })
	return p, append(append(said, ""), p.offers()...)
}

// examLooks are the words by which practice shows more, with what an examination must allow for them.
func examLooks() map[string]string {
	return map[string]string{"section": "section", "hint": "hints", "guide": "guidance"}
}

// inExam reports whether a word of practice is known in an examination.
func inExam(word string) bool {
	return !slices.Contains([]string{"checkpoint", "rewind", "finish", "quit"}, word)
}

// keepFirst keeps an action of an examination before it is done.
func (p *Prompt) keepFirst(a treatment.Action) error {
	if p.exam == nil {
		return nil
	}
	return p.exam.Do(a)
}

// Do does a whole action, as a script gives it, and tells what came of it. Checked by TestExamPrompt.
func (p *Prompt) Do(a treatment.Action) []string {
	p.wrong = false
	r := p.s.run
	if i := r.canalNamed(a.Canal); i >= 0 {
		r.canal = i
	}
	if i := stageOf(a.Do); i >= 0 {
		r.stage, r.kind = i, a.Do
	}
	return p.do(a)
}

// Actions returns how many actions were done.
func (p *Prompt) Actions() int { return len(p.s.run.states) - 1 }
