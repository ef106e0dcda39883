package treatment

import (
	"strconv"
	"strings"

	"tugback/internal/detmath"
)

func (t *turn) judge() error {
	if t.Isolated != 0 || t.Access.Opened {
		return refuse("judge-late", "judge: the case is judged before treatment begins")
	}
	t.Judged, t.Rated, t.Referred = t.action.Choice, t.action.Agent, t.action.Choice != "treat"
	t.spend(120_000)
	t.happen(Event{Kind: Judged, Detail: t.action.Choice})
	for _, f := range t.Case.Factors() {
		if f.What == "crack" && !t.crackKnown() {
			continue // nobody looked for it
		}
		degree := 1.0
		if f.High {
			degree = 2
		}
		t.happen(Event{Kind: Harder, Value: degree, Detail: f.What})
	}
	return nil
}

// radiograph takes a film. The image length of each canal asked for (all, when none is named) is the
// projection from its cusp to the apex of its root, with the reading error of a film.
func (t *turn) radiograph() error {
	t.Films++
	t.FirstFilm = t.FirstFilm || !t.Access.Opened
	t.Holes.Imaged = t.Holes.Imaged || t.holes() > 0 && t.Holes.Actions == 0
	t.spend(90_000)
	if h := t.Held; h.Item != "" && strings.HasPrefix(h.Item, "cone-") {
		t.Canals[h.Canal] = t.Canals[h.Canal].clone()
		t.Canals[h.Canal].Care.ConeFilm = true
	}
	for i := range t.Canals {
		c := &t.Canals[i]
		if t.action.Canal != "" && c.Name != t.action.Canal {
			continue
		}
		t.happen(Event{Kind: FilmTaken, Canal: c.Name, Value: t.imageLength(i), Unit: "mm"})
	}
	if t.action.Canal != "" && len(t.events) == 0 {
		return refuse("no-such-canal", "radiograph: this tooth has no canal %q, only %s", t.action.Canal, t.canalNames())
	}
	return nil
}

// imageLength is the cusp-to-apex distance on the film, with the error of reading it.
func (t *turn) imageLength(i int) float64 {
	length := t.ToothImage(i, BeamOf(t.action))
	s := t.draw("image", strconv.Itoa(i))
	return detmath.Quantise(length+s.Normal(0, t.Case.Settings.FilmError), 0.1)
}

func (t *turn) isolate() error {
	t.Isolated, t.LeakTest = t.action.Tooth, t.action.Tested != 0
	t.spend(180_000)
	detail := "untested"
	if t.LeakTest {
		detail = "tested"
	}
	t.happen(Event{Kind: Dammed, Value: float64(t.Isolated), Detail: detail})
	if t.Isolated != t.Case.Number {
		t.happen(Event{Kind: WrongTooth, Value: float64(t.Isolated)})
	}
	return nil
}
