package bench

import (
	"fmt"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/treatment"
)

// done is one line of what was done.
type done struct {
	action int
	at     int // ms
	text   string
	events []treatment.Event
}

// history returns every action with its sentence and events, in order.
func history(run *attempt.Run, states []treatment.State, says func(treatment.Action) string) []done {
	actions, events := run.Actions(), run.Events()
	out := make([]done, len(actions))
	for i, a := range actions {
		out[i] = done{action: i, at: states[i+1].Elapsed, text: says(a)}
	}
	for _, e := range events {
		out[e.Action].events = append(out[e.Action].events, e)
	}
	return out
}

// sentence says an event with instruments and canals by the names the page uses.
func sentence(e treatment.Event) string {
	e.Canal = canalName(e.Canal)
	return named(e.Item, attempt.Sentence(e))
}

// told says an event as it may be told now: in an examination what is perceived of it, "" when nothing is.
func (r *treating) told(e treatment.Event) string {
	if c := r.far(); c != nil {
		return c.told[e].Text
	}
	if !r.perceived || riskOf(e.Kind) && r.exam != nil && r.sees(exam.SeeRisk) {
		return sentence(e)
	}
	if e.Kind == treatment.FilmTaken && !r.lines {
		return say("film.taken") // what it measures is for the ruler to say
	}
	if text, ok := r.searched(e); ok {
		return text
	}
	if e.Kind == treatment.FilmTaken && !r.filmed(e) {
		return ""
	}
	e.Canal = r.nameOf(e.Canal)
	text, _ := attempt.Perceived(e)
	return named(e.Item, text)
}

// riskOf reports whether an event tells how near an instrument is to breaking.
func riskOf(k treatment.EventKind) bool {
	return k == treatment.Strained || k == treatment.Bound || k == treatment.Unwound
}

// named writes a sentence with the instrument by the name the page uses.
func named(id, text string) string {
	if item, err := lookup(id); err == nil {
		text = strings.ReplaceAll(text, id, shortName(item))
	}
	return capital(text)
}

// actionText says an action shortly: what a line of the record holds.
func actionText(a treatment.Action) string {
	a.Canal = canalName(a.Canal)
	text := attempt.Say(a)
	if a.Item != "" {
		if item, err := lookup(a.Item); err == nil {
			text = strings.ReplaceAll(text, a.Item, shortName(item))
		}
	}
	return text
}

// shortName is an instrument as a line of the record calls it: "size 25 K-file .02".
func shortName(i treatment.Instrument) string {
	if i.Family == "needle" || i.Family == "enlarger" {
		return say("short."+i.Family, "size", sizeText(i))
	}
	return fmt.Sprintf("%s %s/.%02d", sayOr("short."+i.Family, i.Name), sizeText(i), i.Taper)
}

func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// lastLines is how many actions the record on the treatment screen shows.
const lastLines = 5

// recordBlocks show what was done last, the newest first.
func (r *treating) recordBlocks() []Block {
	actions, events := r.actions(), r.events()
	blocks := []Block{{Kind: Subhead, Text: say("record.title"), Note: countActions(len(actions))}}
	if len(actions) == 0 {
		return append(blocks, Block{Kind: Quiet, Text: say("record.none")})
	}
	var pairs [][2]string
	for i := len(actions) - 1; i >= max(0, len(actions)-lastLines); i-- {
		text := ""
		for _, e := range events {
			if e.Action == i && e.Kind != treatment.Waited && (e.Kind != treatment.FilmTaken || r.lines) && text == "" {
				text = r.told(e)
			}
		}
		if text == "" {
			text = r.actionSays(actions[i])
		}
		pairs = append(pairs, [2]string{clock(r.states[i+1].Elapsed), text})
	}
	return append(blocks, Block{Kind: Pairs, Pairs: pairs})
}

// countActions writes how many actions were done.
func countActions(n int) string {
	if n == 1 {
		return say("record.action")
	}
	return say("record.count", "count", strconv.Itoa(n))
}

// chartBlocks are the student's own sheet: what was written down for each canal.
func (r *treating) chartBlocks() []Block {
	s := r.now()
	blocks := []Block{{Kind: Subhead, Text: say("chart.title")}}
	var pairs [][2]string
	for i, c := range s.Canals {
		if !c.Found {
			continue
		}
		cusp := r.cuspOf(i)
		parts := []string{say("chart.reference", "cusp", sayOr("cusp."+cusp, cusp))}
		if s.CuspCut > 0 {
			parts[0] = say("chart.cut", "cusp", sayOr("cusp."+cusp, cusp), "cut", figure(s.CuspCut, 1))
		}
		if c.Reading > 0 {
			parts = append(parts, say("chart.read", "length", figure(c.Reading-s.CuspCut, 1)))
		}
		if mm, ok := r.ruled(c.Name); ok {
			parts = append(parts, say("chart.ruler", "length", figure(mm, 2)))
		}
		if c.Length > 0 {
			parts = append(parts, say("chart.length", "length", figure(c.Length-s.CuspCut, 2)))
		}
		if c.Gauged > 0 {
			parts = append(parts, say("chart.size", "size", strconv.Itoa(c.Gauged)))
		}
		if item, err := lookup(c.Cone.Item); err == nil {
			parts = append(parts, say("chart.cone", "cone", fmt.Sprintf("%s/.%02d", sizeText(item), item.Taper)))
		}
		pairs = append(pairs, [2]string{canalName(c.Name), strings.Join(parts, ", ")})
	}
	if len(pairs) == 0 {
		return append(blocks, Block{Kind: Quiet, Text: say("chart.none")})
	}
	return append(blocks, Block{Kind: Pairs, Pairs: pairs})
}

// cuspOf names the cusp that the lengths of a canal are read from.
func (r *treating) cuspOf(canal int) string {
	if c := r.far(); c != nil {
		return c.chair.Canals[canal].Cusp
	}
	tooth := r.paper.Case.Tooth
	return tooth.Crown.Cusps[tooth.Canals[canal].Cusp].Name
}

// readNow returns the length an event told, as it would be read now: cutting a cusp moves the point that
// lengths are read at.
func (r *treating) readNow(e treatment.Event) float64 {
	return e.Value + r.states[min(e.Action+1, len(r.states)-1)].CuspCut - r.now().CuspCut
}

// canalName is how a canal is called on the page.
func canalName(name string) string {
	if name == "canal" { // the only one has no name of its own
		return say("canal.only")
	}
	return name
}

// noteText says a note of the session.
func noteText(n attempt.Note) string {
	if canal, mm, ok := rulerOf(n); ok {
		return say("note.ruler", "mm", figure(mm, 2), "canal", strings.ToUpper(canal))
	}
	return say("note."+n.Kind, "from", strconv.Itoa(n.From), "to", strconv.Itoa(n.After), "name", n.Detail)
}
