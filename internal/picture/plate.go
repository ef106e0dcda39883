package picture

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
)

// errNoTooth is the refusal of a picture of nothing.
var errNoTooth = errors.New("picture: no tooth to draw")

// The sheet, mm, and where things stand on it.
const (
	sheetWide   = 300.0
	sheetHigh   = 225.0
	margin      = 12.0
	toothHigh   = 185.0 // most height of a tooth
	toothWide   = 104.0 // most width of a tooth
	crownRoom   = 11.0  // between the crown and the edge of the sheet
	columnGap   = 5.0   // between bone and captions
	insetHigh   = 64.0
	lensRadius  = 29.0
	boneMargin  = 17.0 // of the bone's reach beside the roots that captions keep clear of
	leastColumn = 60.0
	pairColumn  = 64.0 // of the columns beside two teeth
	pairTooth   = 84.0 // most width of each of them
)

// Plate draws an untreated tooth: its section in the clinical plane, levels in mm, the names of its
// parts, and the Schneider angle and length of each canal. A tooth that is nil or has no canal is
// refused. Checked by TestPlateTexts, TestDrawingIsHarmless and TestRefusals.
func Plate(t *anatomy.Tooth, o Options) (Drawing, error) {
	if t == nil || len(t.Canals) == 0 || len(t.Roots) == 0 {
		return Drawing{}, errNoTooth
	}
	s := newSheet(sheetWide, sheetHigh, o.palette())
	cut := newSection(t, grownWalls(t, 0), -1)
	d := depiction{sheet: s, section: cut, lines: engrave(cut), view: placed(cut, sheetWide/2, toothWide, 0)}
	d.grown()
	measures := make([]string, len(t.Canals))
	captions := append(d.parts(), d.measured(measures)...)
	d.balance(captions)
	left, right := d.columns()
	left.head = s.head(o, t, left.box.Right-margin)
	keys := []string{"legend.pulp"}
	if slices.ContainsFunc(cut.canals, func(l lumen) bool { return l.behind }) {
		keys = append(keys, "legend.behind")
	}
	right.box.Bottom = s.legendTop(keys)
	d.inset(&right, grownWalls(t, 1))
	for _, tr := range s.tiers {
		s.orientation(d, tr)
		s.set("captions", tr, []column{left, right}, captions)
	}
	d.scales()
	s.legend(d, right, keys)
	s.Description = say("plate.description", "title", s.Title, "canals", strings.Join(measures, "; ")+".")
	return s.finished(), nil
}

// grown draws the depiction of an untreated tooth.
func (d depiction) grown() {
	d.ground()
	d.flesh()
	d.outline()
	d.pulp(d.sheet.Palette.Pulp)
	d.hidden()
}

// placed returns the view that fits a tooth into the height of a sheet and a width, centred at x; above its crown
// the sheet keeps a further room, mm, for an instrument's handle.
func placed(cut section, x, wide, handle float64) View {
	box := cut.box()
	scale := math.Min((toothHigh-handle)/(box.Top-box.Bottom), wide/(box.Right-box.Left))
	v := View{Scale: scale, X: x - scale*(box.Left+box.Right)/2, Down: cut.tooth.Upper}
	edge := crownRoom + handle + scale*box.Top
	v.Y = sheetHigh - edge
	if v.Down {
		v.Y = edge
	}
	return v
}

// columns returns the spaces for captions left and right of a depiction.
func (d depiction) columns() (left, right column) {
	box := d.section.box()
	a, b := d.view.Scale*box.Left+d.view.X-boneMargin-columnGap, d.view.Scale*box.Right+d.view.X+boneMargin+columnGap
	a, b = math.Max(a, margin+leastColumn), math.Min(b, d.sheet.Width-margin-leastColumn)
	return d.sheet.sides(a, b)
}

// sides returns the columns that end at a and begin at b.
func (s *sheet) sides(a, b float64) (left, right column) {
	left = column{box: Box{Left: margin, Bottom: margin, Right: a, Top: s.Height - margin}}
	right = column{box: Box{Left: b, Bottom: margin, Right: s.Width - margin, Top: s.Height - margin}, right: true}
	return left, right
}

// head letters title and subtitle at the left above, in a column of a width, and returns the height
// they take at each tier.
func (s *sheet) head(o Options, t *anatomy.Tooth, width float64) (high [3]float64) {
	s.Title = o.Title
	if s.Title == "" {
		s.Title = kindName(t.Kind)
	}
	subtitle := o.Subtitle
	if subtitle == "" {
		subtitle = say("plate.subtitle", "seed", strconv.FormatUint(t.Seed, 10), "age", figure(t.Age, 0))
	}
	for i, tr := range s.tiers {
		size := [...]float64{17, 21, 25}[tr.words]
		y := s.Height - margin + 0.2*size*tr.unit
		var shapes []Shape
		title := s.Title
		if name := kindName(t.Kind); tr.words == 0 && len(name) < len(title) {
			title = name
		}
		for _, text := range wrapped(title, Serif, size*tr.unit, width, mostTitle) {
			y -= 0.98 * size * tr.unit
			shapes = append(shapes, tr.writing(geom.Point{X: margin, Y: y}, Serif, size, Start, s.Palette.Ink, text))
		}
		if tr.words > 0 {
			y -= 0.35 * detailType * tr.unit
			for _, text := range wrapped(subtitle, Sans, detailType*tr.unit, width, mostTitle) {
				y -= 1.45 * detailType * tr.unit
				shapes = append(shapes, tr.writing(geom.Point{X: margin, Y: y}, Sans, detailType, Start, s.Palette.Quiet, text))
			}
		}
		s.letter("title", tr, shapes...)
		high[i] = s.Height - margin - y + 1.6*detailType*tr.unit
	}
	return high
}

// mostTitle is how many lines a title or a subtitle may take.
const mostTitle = 4

// kindName returns a tooth type in words.
func kindName(k anatomy.Kind) string {
	if known("tooth." + string(k)) {
		return say("tooth." + string(k))
	}
	return string(k)
}

// orientation letters mesial and distal beside the crown, where there is room for words.
func (s *sheet) orientation(d depiction, t tier) {
	if t.words < 2 {
		return
	}
	box := d.section.box()
	y := d.view.Point(geom.Point{Y: box.Top}).Y
	if d.view.Down {
		y += 2
	} else {
		y -= 4
	}
	a, b := d.view.Scale*box.Left+d.view.X-3, d.view.Scale*box.Right+d.view.X+3
	s.letter(d.name+"orientation", t,
		t.writing(geom.Point{X: a, Y: y}, SerifItalic, 16, End, s.Palette.Quiet, say("plate.mesial")),
		t.writing(geom.Point{X: b, Y: y}, SerifItalic, 16, Start, s.Palette.Quiet, say("plate.distal")))
}

// beneath letters a word under the tooth, and which side is which.
func (d depiction) beneath(t tier, word string) {
	box := d.section.box()
	x := d.view.X + d.view.Scale*(box.Left+box.Right)/2
	y := 0.6 + 0.26*headType*t.unit
	quiet := d.sheet.Palette.Quiet
	if t.words > 0 {
		d.sheet.letter(d.name+"word", t, t.writing(geom.Point{X: x, Y: y}, SerifItalic, headType, Middle, quiet, word))
	}
	if t.words > 1 {
		half := d.view.Scale*(box.Right-box.Left)/2 + boneMargin
		d.sheet.letter(d.name+"sides", t,
			t.writing(geom.Point{X: x - half, Y: y}, SerifItalic, detailType+1, Start, quiet, say("plate.mesial")),
			t.writing(geom.Point{X: x + half, Y: y}, SerifItalic, detailType+1, End, quiet, say("plate.distal")))
	}
}

// parts returns captions for the tissues.
func (d depiction) parts() []caption {
	t, p := d.section.tooth, d.sheet.Palette
	box := d.section.box()
	crown := t.Crown
	quarter := func(path []geom.Point, share float64) geom.Point {
		return path[min(len(path)-1, int(share*float64(len(path)-1)))]
	}
	enamel := quarter(crown.Outline, 0.30).Add(quarter(crown.Dentine, 0.30)).Scale(0.5)
	dentine := quarter(crown.Dentine, 0.2).Scale(0.72).Add(middle(t.Chamber.Outline).Scale(0.28))
	chamber := geom.Point{X: middle(t.Chamber.Outline).X}
	chamber.Y = (t.Chamber.Floor + highest(t.Chamber.Outline, chamber.X)) / 2
	out := []caption{
		{at: d.view.Point(enamel), head: say("part.enamel"), colour: p.Quiet, weight: 2},
		{at: d.view.Point(dentine), head: say("part.dentine"), colour: p.Quiet, weight: 2},
		{at: d.view.Point(chamber), head: say("part.chamber"), colour: p.Quiet, weight: 3, right: true},
	}
	if t.Furcated {
		out = append(out, caption{at: d.view.Point(t.Furcation), head: say("part.furcation"), colour: p.Quiet, weight: 1, right: true})
	}
	bone := geom.Point{X: box.Right + 0.9, Y: box.Bottom * 0.45}
	return append(out, caption{at: d.view.Point(bone), head: say("part.bone"), colour: p.Quiet, weight: 1, right: true})
}

// middle returns the x of the depiction's middle on the sheet.
func (d depiction) middle() float64 {
	box := d.section.box()
	return d.view.X + d.view.Scale*(box.Left+box.Right)/2
}

// balance moves captions of places near the middle of a single-rooted tooth to the column that has
// less, every second one, so that both sides are used.
func (d depiction) balance(captions []caption) {
	if len(d.section.cut) > 1 {
		return
	}
	box := d.section.box()
	near := 0.35 * d.view.Scale * (box.Right - box.Left)
	var movable []int
	right := 0
	for i, c := range captions {
		if c.right {
			right++
		}
		if math.Abs(c.at.X-d.middle()) < near {
			movable = append(movable, i)
		}
	}
	slices.SortStableFunc(movable, func(a, b int) int { return compare(captions[b].at.Y, captions[a].at.Y) })
	for k, i := range movable {
		over := 2*right - len(captions)
		if k%2 == 0 && over > 1 && captions[i].right {
			captions[i].right = false
			right--
		}
		if k%2 == 0 && over < -1 && !captions[i].right {
			captions[i].right = true
			right++
		}
	}
}

// middle returns the centre of the box of some points.
func middle(points []geom.Point) geom.Point {
	b := line(points...).bounds()
	return geom.Point{X: (b.Left + b.Right) / 2, Y: (b.Bottom + b.Top) / 2}
}

// measured returns a caption per canal with its length and Schneider angle, and the same as plain
// sentences for the description.
func (d depiction) measured(sentences []string) []caption {
	t := d.section.tooth
	var out []caption
	for i, l := range d.section.canals {
		m := anatomy.Measure(t, i)
		detail := say("canal.measures", "length", figure(m.Length, 1), "angle", figure(m.Schneider*180/math.Pi, 0))
		sentences[i] = fmt.Sprintf("%s: %s", l.title(), detail)
		out = append(out, d.canalCaption(l, detail))
	}
	return out
}

// title returns a canal's name in words.
func (l lumen) title() string {
	name := say("canal.name", "name", l.canal.Name)
	if l.canal.Name == "canal" {
		name = say("canal.only")
	}
	if l.behind {
		name = say("canal.behind", "name", name)
	}
	return name
}

// canalCaption letters a canal at a place of its own: canals of one root at different levels.
func (d depiction) canalCaption(l lumen, detail string) caption {
	level := 0.36 + 0.14*float64(l.index%3)
	at := d.view.Point(l.level(level * l.canal.Length).Point)
	mark := l.canal.Name
	if mark == "canal" {
		mark = ""
	}
	return caption{at: at, head: l.title(), detail: detail, mark: mark, colour: d.sheet.Palette.Ink, weight: 9,
		right: at.X > d.middle()}
}
