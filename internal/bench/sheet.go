package bench

import (
	"strings"
	"sync"

	"tugback/internal/geom"
	"tugback/internal/picture"
)

// Box is an upright rectangle on the sheet, px, y downwards.
type Box struct{ X, Y, W, H float64 }

// Right returns the x of the right edge.
func (b Box) Right() float64 { return b.X + b.W }

// Bottom returns the y of the lower edge.
func (b Box) Bottom() float64 { return b.Y + b.H }

// Contains reports whether a point lies in the box.
func (b Box) Contains(x, y float64) bool {
	return x >= b.X && x < b.Right() && y >= b.Y && y < b.Bottom()
}

// Overlaps reports whether two boxes share more than half a pixel.
func (b Box) Overlaps(c Box) bool {
	const hair = 0.5
	return b.X < c.Right()-hair && c.X < b.Right()-hair && b.Y < c.Bottom()-hair && c.Y < b.Bottom()-hair
}

// Shrunk returns the box with less on every side.
func (b Box) Shrunk(by float64) Box { return Box{b.X + by, b.Y + by, b.W - 2*by, b.H - 2*by} }

// ItemKind says what an item of a sheet is.
type ItemKind int

// The kinds of item.
const (
	Letter       ItemKind = iota // a line of text
	Hairline                     // a line from corner to corner of its box
	Leader                       // a thin line to a place on the plate, in the colour of events
	Frame                        // the ground of a control, with its states
	Notice                       // the frame of a warning
	Mark                         // a stage's dot
	Swatch                       // an instrument's handle and blade
	Track                        // a slider
	TimeTrack                    // a time line
	GraphPanel                   // a graph
	ScalePanel                   // the locator's scale
	PlanPanel                    // the floor plan
	PicturePanel                 // a small plate
	Underline                    // under a chosen word
	Blank                        // paper under lettering that stands on a plate
	Cross                        // a place marked on a plate
	FilmPanel                    // a film, small
	StripPanel                   // the bars of the feel strip
	Ruler                        // a ruler from corner to corner of its box, Size px a millimetre
)

// Ink says in which of the palette's colours an item is set.
type Ink int

// The inks.
const (
	InkPlain Ink = iota
	InkQuiet
	InkEvent
)

// Item is one thing drawn on the sheet.
type Item struct {
	Kind    ItemKind
	Box     Box
	Column  int // the column it is clipped by, −1 none
	Text    string
	Role    picture.Role
	Size    float64 // px
	Ink     Ink
	Control *Control
	Graph   *Graph
	Scale   *Locator
	Plan    *Plan
	Film    *FilmScene
	Strip   *Strip
	Card    *Card
}

// Hit is a place that can be pointed at. Part −1 and 1 are the arrows of a choice, 2 the track of a
// slider, 3 the plate, 0 the whole control.
type Hit struct {
	ID     string
	Box    Box
	Part   int
	Column int
}

// Column is a part of the sheet that scrolls by itself.
type Column struct {
	Box     Box
	Content float64 // height of what is in it
	Scroll  float64
}

// Sheet is a page laid out at a size.
type Sheet struct {
	W, H    float64
	Text    float64 // scale of the text
	Items   []Item
	Hits    []Hit
	Columns []Column
	Plate   *Plate
	Beside  *Plate     // a second one
	Film    *FilmPlate // instead of a plate
}

// Plate is where a scene stands on the sheet.
type Plate struct {
	Scene *Scene
	Box   Box          // what is clipped to
	View  picture.View // mm of the tooth to px
	Lens  *Lens
	Upper bool
	Foot  float64 // px at its lower end that lettering takes
}

// FilmPlate is where a film hangs on the sheet.
type FilmPlate struct {
	Scene *FilmScene
	Box   Box          // what is clipped to
	View  picture.View // mm of the receptor to px
}

// Lens is the glass that shows a place three times as large.
type Lens struct {
	X, Y, Radius float64
	At           geom.Point // mm of the tooth
}

// At returns the uppermost hit at a point, whole controls last.
func (s *Sheet) At(x, y float64) (Hit, bool) {
	var found Hit
	ok := false
	for _, h := range s.Hits {
		if !h.Box.Contains(x, y) || h.Column >= 0 && !s.Columns[h.Column].Box.Contains(x, y) {
			continue
		}
		if !ok || h.Part != 0 {
			found, ok = h, true
		}
	}
	return found, ok
}

// widths caches the advance of texts in ems.
type widths struct {
	sync.Mutex
	ems map[widthKey]float64
}

type widthKey struct {
	role picture.Role
	text string
}

// most texts that are kept; a session shows some hundreds.
const mostWidths = 20000

// measured is the one cache of text widths; it holds what fonts say and nothing else.
var measured = sync.OnceValue(func() *widths { return &widths{ems: map[widthKey]float64{}} })

// Advance returns the width of a line of text, px.
func Advance(text string, role picture.Role, size float64) float64 {
	w := measured()
	w.Lock()
	defer w.Unlock()
	key := widthKey{role, text}
	ems, ok := w.ems[key]
	if !ok {
		plain, figures := tabular(text, role)
		ems = picture.Text{String: plain, Role: role, Size: 1}.Advance() + float64(figures)*widerFigure(role)
		if len(w.ems) > mostWidths {
			w.ems = map[widthKey]float64{}
		}
		w.ems[key] = ems
	}
	return ems * size
}

// widerFigure is how much wider, em, a figure of equal width is than the zero of the same face, by role:
// read from the fonts' own tables.
func widerFigure(role picture.Role) float64 {
	switch role {
	case picture.Sans:
		return 0.6477 - 0.6250
	case picture.SansBold:
		return 0.6705 - 0.6669
	default:
		return 0
	}
}

// tabular writes every figure of a sans text as a zero, since figures are set equally wide, and counts
// them.
func tabular(text string, role picture.Role) (string, int) {
	if role != picture.Sans && role != picture.SansBold {
		return text, 0
	}
	n := 0
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			n++
			return '0'
		}
		return r
	}, text), n
}

// wrap breaks a text into lines no wider than width; a longer word is broken where it must.
func wrap(text string, role picture.Role, size, width float64) []string {
	var lines []string
	now := ""
	for _, word := range strings.Fields(text) {
		next := word
		if now != "" {
			next = now + " " + word
		}
		if Advance(next, role, size) <= width {
			now = next
			continue
		}
		if now != "" {
			lines = append(lines, now)
		}
		for Advance(word, role, size) > width {
			head := fitting(word, role, size, width)
			lines = append(lines, head)
			word = word[len(head):]
		}
		now = word
	}
	if now != "" || len(lines) == 0 {
		lines = append(lines, now)
	}
	return lines
}

// fitting returns the longest beginning of a word that fits, up to a hyphen where there is one, at least one
// letter.
func fitting(word string, role picture.Role, size, width float64) string {
	end := 0
	for i, r := range word {
		next := i + len(string(r))
		if end > 0 && Advance(word[:next], role, size) > width {
			break
		}
		end = next
	}
	if hyphen := strings.LastIndexByte(word[:end], '-'); hyphen > 0 && end < len(word) {
		end = hyphen + 1
	}
	return word[:end]
}

// cut shortens a line to a width with an ellipsis.
func cut(text string, role picture.Role, size, width float64) string {
	if Advance(text, role, size) <= width {
		return text
	}
	runes := []rune(text)
	for len(runes) > 1 && Advance(string(runes)+"…", role, size) > width {
		runes = runes[:len(runes)-1]
	}
	return strings.TrimRight(string(runes), " ,") + "…"
}
