package bench

import (
	"math"
	"slices"
	"strings"

	"tugback/internal/treatment"
)

// Strip is the feel strip: how hard an instrument goes now against the stroke before, or how hard a cone is
// held when it is pulled back, and the word for it. Lengths of bars and the weight of a word say it; no
// colour does.
type Strip struct {
	Rows     []StripRow // uppermost first
	Full     float64    // N, at the right end
	Mark     float64    // N, a place on the scale, 0 none
	MarkName string     // what stands there
	Figures  bool       // newtons beside the bars; a hand has none
	Words    []string   // what it can feel like
	Word     int        // the one it feels like now, −1 none
}

// StripRow is one bar of a strip.
type StripRow struct {
	Name  string
	Force float64 // N
	Open  bool    // drawn as an outline: what is over
}

// stripRoom is the part of a strip that stays free at its right, so that a bar is seen to end.
const stripRoom = 1.06

// workWords are the words for a file that works, from the freest to the hardest.
func workWords() []string {
	return []string{say("word.loose"), say("word.snug"), say("word.tight"), say("word.springy"), say("word.soft-stop"), say("word.hard-stop")}
}

// workStrip is the strip of a file that was worked: this stroke against the one before, as the engine has
// them. Checked by TestFeelStrip.
func (r *treating) workStrip() *Strip {
	f := r.feel
	s := &Strip{Words: workWords(), Word: -1, Figures: r.exam == nil}
	if !f.known || f.canal != r.canal {
		return s
	}
	felt := r.now().Canals[r.canal].Feel
	s.Word = slices.Index(s.Words, f.word())
	s.Rows = []StripRow{{Name: say("strip.now"), Force: felt.Now}, {Name: say("strip.before"), Force: felt.Before, Open: true}}
	s.Mark, s.MarkName = felt.Push, say("strip.push")
	s.Full = stripRoom * max(felt.Now, felt.Before, felt.Push)
	return s
}

// gaugeStrip is what a file tells that was slid in to gauge the apex, and the sentence for it.
func (r *treating) gaugeStrip() (*Strip, []Block) {
	s := &Strip{Words: []string{say("word.slips-past"), say("word.snug"), say("word.stops-short")}, Word: -1}
	e, ok := r.lastIn(treatment.GaugedSize)
	if !ok || e.Item != r.forms[treatment.Gauge].Item {
		return s, []Block{{Kind: Said, Text: say("gauge.none")}}
	}
	said := e.Detail
	if said == "stiff" && !r.section {
		said = "short" // what holds it, only the section shows
	}
	s.Word = map[string]int{"passes": 0, "snug": 1, "short": 2, "stiff": 2}[said]
	tip := [2]string{say("feel.tip"), figure(r.readNow(e), 1) + " mm"}
	return s, []Block{{Kind: Said, Text: say("gauge." + said)}, {Kind: Figures, Pairs: [][2]string{tip}}}
}

// coneStrip is how a cone is held when it is pulled back, and the sentence for it.
func (r *treating) coneStrip() (*Strip, []Block) {
	s := &Strip{Words: []string{say("word.slack"), say("word.tugback")}, Word: -1, Figures: r.exam == nil}
	cone := r.now().Canals[r.canal].Cone
	if cone.Item == "" || cone.Item != r.forms[treatment.Fit].Item {
		return s, []Block{{Kind: Said, Text: say("cone.none")}}
	}
	said := "slack"
	if s.Word = 0; cone.Grip >= treatment.LeastGrip {
		said, s.Word = "grips", 1
	}
	s.Rows = []StripRow{{Name: say("strip.pull"), Force: cone.Grip}}
	s.Mark, s.MarkName = treatment.LeastGrip, say("strip.least")
	s.Full = stripRoom * max(cone.Grip, 4*treatment.LeastGrip)
	tip := [2]string{say("feel.tip"), figure(cone.Tip-r.now().CuspCut, 1) + " mm"}
	return s, []Block{{Kind: Said, Text: say("cone." + said)}, {Kind: Figures, Pairs: [][2]string{tip}}}
}

// lastIn returns the last event of a kind in the canal in hand.
func (r *treating) lastIn(kind treatment.EventKind) (treatment.Event, bool) {
	name := r.states[0].Canals[r.canal].Name
	for _, e := range slices.Backward(r.events()) {
		if e.Kind == kind && e.Canal == name {
			return e, true
		}
	}
	return treatment.Event{}, false
}

// Spoken says a strip as a person would hear it.
func (s *Strip) Spoken() string {
	var parts []string
	for _, row := range s.Rows {
		if s.Figures {
			parts = append(parts, row.Name+": "+newtons(row.Force))
		}
	}
	if s.Word >= 0 {
		parts = append(parts, s.Words[s.Word])
	}
	return strings.Join(parts, ", ")
}

// newtons writes a force with as many places as say something.
func newtons(force float64) string {
	if math.Abs(force) >= 9.95 {
		return figure(force, 0) + " N"
	}
	return figure(force, 2) + " N"
}
