package picture

import (
	"strings"

	"tugback/internal/treatment"
)

// handleRoom, mm of the sheet, is what an instrument's shaft and handle take above the crown.
const handleRoom = 34.0

// TreatmentPlate draws a treated tooth: walls now against walls as grown, what was removed, the access
// cavity, filling, fragments and perforations, and the gravest events with their figures; with
// Options.Before the untouched tooth stands beside it. A state without a case or a tooth, and a file
// that is not in the catalogue or a canal that is not in the tooth, are refused. Neither state nor
// events are changed. Checked by TestDrawingIsHarmless, TestRemovedArea and TestRefusals.
func TreatmentPlate(s treatment.State, events []treatment.Event, o Options) (Drawing, error) {
	if s.Case == nil || s.Case.Tooth == nil || len(s.Canals) == 0 || len(s.Canals) != len(s.Case.Tooth.Canals) {
		return Drawing{}, errNoTooth
	}
	if err := o.File.check(s.Case.Tooth); err != nil {
		return Drawing{}, err
	}
	if o.Before {
		return pair(s, events, o), nil
	}
	sheet := newSheet(sheetWide, sheetHigh, o.palette())
	d := newTreated(sheet, "", s, events, o, sheetWide/2, toothWide)
	left, right := d.columns()
	keys := d.legendKeys(s)
	left.head = sheet.head(o, s.Case.Tooth, left.box.Right-margin)
	right.box.Bottom = sheet.legendTop(keys)
	place, found := d.lensPlace(events)
	if found && place.at.X > d.middle() {
		d.inset(&left, treatedWalls(s, 1))
		d.lens(place, &right, true)
	} else {
		d.inset(&right, treatedWalls(s, 1))
		if found {
			d.lens(place, &left, true)
		}
	}
	captions := append(d.happened(events), d.results(s)...)
	d.balance(captions)
	for _, t := range sheet.tiers {
		sheet.orientation(d, t)
		sheet.set("captions", t, []column{left, right}, captions)
	}
	d.scales()
	sheet.legend(d, right, keys)
	sheet.Description = describe(sheet.Title, captions)
	return sheet.finished(), nil
}

// pair draws the tooth untouched on the left and treated on the right of a sheet as wide as both and
// three columns need.
func pair(s treatment.State, events []treatment.Event, o Options) Drawing {
	t := s.Case.Tooth
	grown := newSection(t, grownWalls(t, 0), preferred(t, events))
	box := grown.box()
	wide := placed(grown, 0, pairTooth, 0).Scale*(box.Right-box.Left) + 2*(boneMargin+columnGap)
	sheet := newSheet(2*margin+3*pairColumn+2*wide, sheetHigh, o.palette())
	first := margin + pairColumn + wide/2
	second := first + wide + pairColumn
	after := newTreated(sheet, "after-", s, events, o, second, pairTooth)
	before := depiction{sheet: sheet, name: "before-", section: grown, lines: after.lines, view: after.view}
	before.view.X += first - second
	before.grown()
	left, right := sheet.sides(margin+pairColumn, sheet.Width-margin-pairColumn)
	between := left
	between.box.Left, between.box.Right = first+wide/2, second-wide/2
	keys := after.legendKeys(s)
	left.head = sheet.head(o, t, pairColumn)
	right.box.Bottom = sheet.legendTop(keys)
	if place, found := after.lensPlace(events); found {
		after.lens(place, &left, false)
	}
	measures := before.measured(make([]string, len(t.Canals)))
	for i := range measures {
		measures[i].right, measures[i].mark = false, ""
	}
	captions := append(after.happened(events), after.results(s)...)
	after.balance(captions)
	for _, tr := range sheet.tiers {
		before.beneath(tr, say("plate.before"))
		after.beneath(tr, say("plate.after"))
		sheet.set("measures", tr, []column{left}, measures)
		sheet.set("captions", tr, []column{between, right}, captions)
	}
	before.scales()
	after.scales()
	sheet.legend(after, right, keys)
	sheet.Description = describe(sheet.Title, captions)
	return sheet.finished()
}

// newTreated draws the treated tooth with its centre at x and at most so wide.
func newTreated(sheet *sheet, name string, s treatment.State, events []treatment.Event, o Options, x, wide float64) depiction {
	t := s.Case.Tooth
	cut := newSection(t, treatedWalls(s, 0), preferred(t, events))
	handle := 0.0
	if o.File != nil {
		handle = handleRoom
	}
	d := depiction{sheet: sheet, name: name, section: cut, lines: engrave(cut), view: placed(cut, x, wide, handle)}
	d.ground()
	d.flesh()
	d.outline()
	d.lumens(s)
	d.hidden()
	d.cavity(s)
	for i, l := range cut.canals {
		d.filling(l, &s.Canals[i])
		d.fragment(l, &s.Canals[i])
	}
	d.holes(s)
	if o.File != nil {
		d.instrument(*o.File)
	}
	return d
}

// treatedWalls are the walls of a state in a plane: as grown, and as they are now.
func treatedWalls(s treatment.State, plane int) walls {
	return func(canal int) (first, now [2][]float64) {
		c, n := &s.Canals[canal], len(s.Case.Tooth.Canals[canal].Axis)
		for side := range 2 {
			o := c.Space.Orifice
			first[side] = c.First[2*plane+side][o : o+n]
			now[side] = c.Space.Wall[2*plane+side][o : o+n]
		}
		return first, now
	}
}

// describe puts the captions into one sentence for people who cannot see the drawing.
func describe(title string, captions []caption) string {
	parts := make([]string, len(captions))
	for i, c := range captions {
		parts[i] = strings.TrimSuffix(c.head+": "+c.detail, ": ")
	}
	return say("plate.description", "title", title, "canals", strings.Join(parts, "; ")+".")
}

// results returns a caption per canal: what size reached which length, or how far it is filled.
func (d depiction) results(s treatment.State) []caption {
	out := make([]caption, len(s.Canals))
	for i := range s.Canals {
		out[i] = d.canalCaption(d.section.canals[i], resultText(&s.Canals[i]))
		out[i].mark = ""
	}
	return out
}

func resultText(c *treatment.CanalState) string {
	var parts []string
	switch {
	case !c.Found:
		parts = append(parts, say("canal.missed"))
	case c.Last > 0:
		parts = append(parts, say("canal.shaped", "size", isoFigures(c.Last), "length", figure(c.Length, 1)))
	case c.Length > 0:
		parts = append(parts, say("canal.length", "length", figure(c.Length, 1)))
	default:
		parts = append(parts, say("canal.untouched"))
	}
	if c.Fill.Technique != "" {
		if level := c.Level(c.Fill.Tip); level >= 0 {
			parts = append(parts, say("canal.filled", "level", figure(level, 1)))
		} else {
			parts = append(parts, say("canal.beyond", "level", figure(-level, 1)))
		}
	}
	return strings.Join(parts, ", ")
}

// legendKeys returns the signs that occur.
func (d depiction) legendKeys(s treatment.State) []string {
	var cut, behind, filled, pulp bool
	for i, l := range d.section.canals {
		cut = cut || len(l.removed(0))+len(l.removed(1)) > 0
		behind = behind || l.behind
		pulp = pulp || !l.behind && !l.tissue(&s.Canals[i]).Empty()
		filled = filled || s.Canals[i].Fill.Technique != ""
	}
	var keys []string
	if cut {
		keys = append(keys, "legend.removed", "legend.first")
	}
	if behind {
		keys = append(keys, "legend.behind")
	}
	if pulp || s.Pulp >= half {
		keys = append(keys, "legend.pulp")
	}
	if filled {
		keys = append(keys, "legend.filled", "legend.paste")
	}
	return keys
}
