package bench

import (
	"slices"
	"strconv"

	"tugback/internal/treatment"
)

// How long the hand works on where it comes no deeper before it says that it goes no further. Common
// practice, no source.
const (
	stillStrokes = 6
	creep        = 0.02 // mm between two looks that count as no deeper
)

// repeat works on without a held key until something changes, and tells what.
func (r *treating) repeat(s *Session) {
	if r.kind != treatment.Work {
		return
	}
	if r.far() != nil { // the tooth is not here: the server works until the file is loose
		a := r.action(treatment.Work)
		a.Strokes, a.Choice = mostStrokes, "loose"
		r.do(s, a)
		return
	}
	a, why := r.untilChange(s)
	if a.Strokes == 0 || !r.do(s, a) {
		return
	}
	r.stopped = why
	s.speak(why)
}

// untilChange tries the work in hand with ever more strokes, as held work is, until the hand would notice a
// change: loose, stuck, another class of resistance, a mishap of a new kind, or mostStrokes. It returns the
// work with so many strokes and what changed; none where it is refused, which is told. Only what may be
// perceived here counts. Checked by TestRepeatStops.
func (r *treating) untilChange(s *Session) (treatment.Action, string) {
	if why := r.objection(r.action(treatment.Work)); why != "" {
		s.refuse(why)
		return treatment.Action{}, ""
	}
	s.notice, r.hint, r.stopped = "", "", ""
	felt, still := r.feel, 0
	a := r.action(treatment.Work)
	if felt.item != a.Item || felt.canal != r.canal || felt.stop != float64(a.Stop)/1000 || felt.push != float64(a.Push)/1000 {
		felt = feeling{}
	}
	known := felt.mishaps
	r.hold = holding{active: true}
	why := ""
	for why == "" && r.hold.strokes < mostStrokes {
		r.strokes(s)
		if !r.hold.active { // it was refused
			return treatment.Action{}, ""
		}
		still += Burst
		if r.feel.depth > felt.depth+creep || !felt.known {
			still = 0
		}
		why = r.noticed(felt, known, still)
		felt = r.feel
	}
	a.Strokes = r.hold.strokes
	r.hold = holding{}
	if why == "" {
		return a, say("repeat.same", "count", strconv.Itoa(a.Strokes), "feel", r.feel.says)
	}
	return a, say("repeat.stopped", "count", strconv.Itoa(a.Strokes), "why", why)
}

// noticed says what the hand would notice now that it did not before, "" nothing: before is what it felt at
// the last look, known the kinds of mishap that it was told of already.
func (r *treating) noticed(before feeling, known []treatment.EventKind, still int) string {
	f := r.feel
	for _, e := range r.hold.events {
		if text := r.told(e); faulty(e.Kind) && text != "" && !slices.Contains(known, e.Kind) {
			return text
		}
	}
	switch {
	case !f.known:
		return ""
	case f.loose || slices.Contains([]string{"step", "buckled", "torque", "broken"}, f.halt):
		return f.says
	case still >= stillStrokes && f.halt != "":
		return f.says + " " + say("repeat.stuck")
	case before.known && (f.halt != before.halt || f.word() != before.word()):
		return f.says
	}
	return ""
}
