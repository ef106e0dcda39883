package picture

import (
	"math"
	"slices"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
	"tugback/internal/treatment"
)

// grave lists the kinds of event a plate shows, the gravest first. Those that stand at one place of a
// canal and are worth a lens are the first lensKinds.
func grave() []treatment.EventKind {
	return []treatment.EventKind{
		treatment.Perforated, treatment.Broke, treatment.Ledge, treatment.StripRisk, treatment.Transported, treatment.Zipped, treatment.WallWorn,
		treatment.PastForamen, treatment.Overfilled, treatment.Packed,
		treatment.ForamenTorn, treatment.Straightened, treatment.FloorHole, treatment.IrrigantOut, treatment.DebrisOut, treatment.Unwound,
		treatment.Bound, treatment.Strained, treatment.NeedleBound, treatment.RoofLeft, treatment.FloorCut,
	}
}

// lensKinds is how many of the gravest kinds deserve a lens.
const lensKinds = 10

// gravest returns the events to show: of each kind and canal the largest, the gravest kinds first.
func gravest(events []treatment.Event) []treatment.Event {
	var out []treatment.Event
	for _, kind := range grave() {
		first := len(out)
		for _, e := range events {
			if e.Kind != kind {
				continue
			}
			same := slices.IndexFunc(out[first:], func(o treatment.Event) bool {
				return o.Canal == e.Canal || o.Canal == "" || e.Canal == "" // seen outside, it is the same piece
			})
			switch {
			case same < 0:
				out = append(out, e)
			case worse(e, out[first+same]) || out[first+same].Canal == "":
				out[first+same] = e
			}
		}
	}
	return out
}

// worse reports whether an event outdoes another of its kind: less dentine left, more of all else.
func worse(e, than treatment.Event) bool {
	if e.Kind == treatment.StripRisk {
		return e.Value < than.Value
	}
	return math.Abs(e.Value) > math.Abs(than.Value)
}

// preferred returns the canal of the gravest event, −1 without one.
func preferred(t *anatomy.Tooth, events []treatment.Event) int {
	for _, e := range gravest(events) {
		if i := canalIndex(t, e.Canal); i >= 0 {
			return i
		}
	}
	return -1
}

func canalIndex(t *anatomy.Tooth, name string) int {
	return slices.IndexFunc(t.Canals, func(c anatomy.Canal) bool { return c.Name == name })
}

// place returns where an event happened, mm of the tooth.
func (s section) place(e treatment.Event) geom.Point {
	i := canalIndex(s.tooth, e.Canal)
	chamber := s.tooth.Chamber
	switch {
	case e.Kind == treatment.RoofLeft:
		return geom.Point{X: line(chamber.Outline...).bounds().Right - 0.35, Y: chamber.Roof}
	case i < 0 || e.Kind == treatment.FloorCut || e.Kind == treatment.FloorHole:
		return geom.Point{X: middle(chamber.Outline).X, Y: chamber.Floor}
	}
	l := s.canals[i]
	at := l.level(math.Max(0, e.Level))
	if e.Level < 0 {
		return at.Point.Add(geom.Direction(at.Heading).Scale(math.Min(2, -e.Level)))
	}
	station := len(l.canal.Axis) - 1 - int(math.RoundToEven(e.Level/l.canal.Step))
	station = min(max(station, 0), len(l.axis)-1)
	switch e.Wall {
	case "mesial":
		return l.now[0][station]
	case "distal":
		return l.now[1][station]
	}
	return at.Point
}

// event captions: letters A, B, C … in the order of gravity.
func (d depiction) happened(events []treatment.Event) []caption {
	p := d.sheet.Palette
	var out []caption
	for k, e := range gravest(events) {
		at := d.view.Point(d.section.place(e))
		head := say("event." + string(e.Kind))
		if e.Canal != "" && e.Canal != "canal" {
			head += ",\u00a0" + e.Canal
		}
		out = append(out, caption{
			at: at, head: head, detail: valueText(e), colour: p.Event, weight: 100 - k, right: at.X > d.middle(),
			mark: string(rune('A' + min(k, 25))),
		})
	}
	return out
}

// valueText returns an event's figures in words.
func valueText(e treatment.Event) string {
	place := say("place.level", "level", figure(e.Level, 1))
	if e.Level < 0 {
		place = say("place.past", "level", figure(-e.Level, 1))
	}
	if e.Wall != "" {
		place = say("place.wall", "wall", e.Wall) + ", " + place
	}
	text := say("value."+string(e.Kind), "value", amount(e), "percent", figure(100*e.Value, 0),
		"place", place, "size", sizeOf(e.Item))
	return strings.TrimSuffix(text, ", size\u00a0")
}

// amount writes an event's value with the decimals that say something.
func amount(e treatment.Event) string {
	switch v := math.Abs(e.Value); {
	case v >= 10 || e.Kind == treatment.Broke:
		return figure(e.Value, 1)
	case v > 0 && v < 0.01:
		return say("value.least")
	}
	return figure(e.Value, 2)
}

// sizeOf returns the ISO size of a catalogue item in figures, "" for what has none.
func sizeOf(item string) string {
	entry, err := treatment.Lookup(item)
	if err != nil || entry.Size == 0 {
		return ""
	}
	return isoFigures(entry.Size)
}
