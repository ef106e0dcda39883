package cohort

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"tugback/internal/picture"
)

// The sheet of a chart, px at 100 %.
const (
	chartWidth  = 920.0
	chartHeight = 260.0
	chartLeft   = 52.0
	chartRight  = 884.0
	chartTop    = 26.0
	chartBase   = 206.0
	binShare    = 0.05
)

// chart writes SVG in the look of the plates.
type chart struct {
	strings.Builder
	p picture.Palette
}

func newChart(title string) *chart {
	c := &chart{p: picture.Light()}
	fmt.Fprintf(c, `<svg viewBox="0 0 %g %g" role="img" aria-label="%s" font-family="Inter, Helvetica, Arial, sans-serif" font-size="14" fill="%s">`,
		chartWidth, chartHeight, template.HTMLEscapeString(title), c.p.Ink)
	return c
}

func (c *chart) line(x1, y1, x2, y2 float64, colour picture.Colour, width float64, dash string) {
	fmt.Fprintf(c, `<path d="M%.2f %.2fL%.2f %.2f" stroke="%s" stroke-width="%g" stroke-dasharray="%s" fill="none"/>`, x1, y1, x2, y2, colour, width, dash)
}

func (c *chart) text(x, y float64, anchor string, colour picture.Colour, text string) {
	fmt.Fprintf(c, `<text x="%.2f" y="%.2f" text-anchor="%s" fill="%s">%s</text>`, x, y, anchor, colour, template.HTMLEscapeString(text))
}

func (c *chart) html() template.HTML {
	c.WriteString("</svg>")
	return template.HTML(c.String()) //nolint:gosec // written above, texts escaped
}

// across turns a share into a place on the lower axis.
func across(share float64) float64 {
	return chartLeft + max(0, min(1, share))*(chartRight-chartLeft)
}

// axis draws the lower axis in tenths.
func (c *chart) axis(name string) {
	c.line(chartLeft, chartBase, chartRight, chartBase, c.p.Ink, 1.2, "")
	for k := 0; k <= 10; k++ {
		c.text(across(float64(k)/10), chartBase+20, "middle", c.p.Quiet, fmt.Sprintf("%d %%", 10*k))
	}
	c.text((chartLeft+chartRight)/2, chartBase+44, "middle", c.p.Quiet, name)
}

// histogram draws the spread of the shares with the pass mark.
func histogram(a Analysis) template.HTML {
	counts := make([]int, int(math.Round(1/binShare)))
	most := 1
	for _, x := range a.Shares {
		k := max(0, min(len(counts)-1, int(math.Floor(x/binShare+1e-9))))
		counts[k]++
		most = max(most, counts[k])
	}
	c := newChart("Spread of the marks")
	step := 1
	for most/step > 5 {
		step++
	}
	for n := step; n <= most; n += step {
		y := chartBase - (chartBase-chartTop)*float64(n)/float64(most)
		c.line(chartLeft, y, chartRight, y, c.p.Hairline, 0.7, "")
		c.text(chartLeft-8, y+5, "end", c.p.Quiet, fmt.Sprint(n))
	}
	for k, n := range counts {
		left, right := across(float64(k)*binShare), across(float64(k+1)*binShare)
		height := (chartBase - chartTop) * float64(n) / float64(most)
		if n > 0 {
			fmt.Fprintf(c, `<rect x="%.2f" y="%.2f" width="%.2f" height="%.2f" fill="%s" stroke="%s" stroke-width="1.1"><title>%d to %d %%: %d candidates</title></rect>`,
				left+1.5, chartBase-height, right-left-3, height, c.p.Chosen, c.p.Ink, int(math.Round(100*float64(k)*binShare)), int(math.Round(100*float64(k+1)*binShare)), n)
		}
	}
	c.axis("share of the points")
	x := across(a.Class.Pass)
	c.line(x, chartTop-8, x, chartBase, c.p.Event, 1.4, "5 3")
	c.text(x+6, chartTop-10, "start", c.p.Event, "pass mark "+percent(a.Class.Pass))
	return c.html()
}

// scatter draws each item by difficulty and discrimination.
func scatter(a Analysis) template.HTML {
	c := newChart("Difficulty and discrimination of each item")
	up := func(r float64) float64 { return chartBase - (max(-0.5, min(1, r))+0.5)/1.5*(chartBase-chartTop) }
	for _, r := range []float64{-0.5, 0, 0.5, 1} {
		c.line(chartLeft, up(r), chartRight, up(r), c.p.Hairline, 0.7, "")
		c.text(chartLeft-8, up(r)+5, "end", c.p.Quiet, fmt.Sprint(r))
	}
	c.line(chartLeft, up(WeakRest), chartRight, up(WeakRest), c.p.Event, 0.9, "5 3")
	c.axis("share of the item's points the class earned; upright: rest r, weak below the dashed line")
	var marks []mark
	for i, item := range a.Items {
		s := item.Stat
		if math.IsNaN(s.ItemRest) || math.IsNaN(s.Difficulty) {
			continue
		}
		m := mark{x: across(s.Difficulty), y: up(s.ItemRest), number: fmt.Sprint(i + 1), urgent: s.ItemRest < WeakRest || s.Difficulty < 0.5}
		m.title = m.number + ": " + clip(item.Title)
		marks = append(marks, m)
	}
	if len(marks) == 0 {
		return ""
	}
	marks = joined(marks)
	for _, m := range marks {
		fmt.Fprintf(c, `<circle cx="%.2f" cy="%.2f" r="%g" fill="%s" stroke="%s" stroke-width="1.1"><title>%s</title></circle>`,
			m.x, m.y, markRadius, c.p.Chosen, c.p.Ink, template.HTMLEscapeString(m.title))
	}
	for _, l := range numbered(marks) {
		c.text(l.x, l.y, "middle", c.p.Ink, l.number)
	}
	return c.html()
}

// The room that marks and their numbers take in a scatter, px at 100 %.
const (
	markRadius  = 3.5
	digitWidth  = 8.6
	commaWidth  = 8.0 // with its blank
	digitHeight = 11.0
)

// mark is an item in a scatter, or the place of its number.
type mark struct {
	x, y   float64
	number string
	title  string
	urgent bool // hard or weak: its number is placed before others
}

// joined draws marks that lie on one another as one that bears all their numbers. Checked by TestMarksJoined.
func joined(marks []mark) []mark {
	var out []mark
	for _, m := range marks {
		at := slices.IndexFunc(out, func(o mark) bool { return math.Hypot(o.x-m.x, o.y-m.y) < markRadius })
		if at < 0 {
			out = append(out, m)
			continue
		}
		o := &out[at]
		o.number, o.title, o.urgent = o.number+", "+m.number, o.title+"\n"+m.title, o.urgent || m.urgent
	}
	return out
}

// box is the room something takes.
type box struct{ left, top, right, bottom float64 }

func (b box) meets(o box) bool {
	return b.left < o.right && o.left < b.right && b.top < o.bottom && o.top < b.bottom
}

// half returns half of the width of a mark's number, or numbers.
func (m mark) half() float64 {
	between := strings.Count(m.number, ", ")
	return (digitWidth*float64(len(m.number)-2*between) + commaWidth*float64(between)) / 2
}

// room returns the box of a number whose base line is centred at a place.
func (m mark) room() box {
	half := m.half()
	return box{m.x - half, m.y - digitHeight, m.x + half, m.y}
}

// numbered returns where the numbers of the marks stand, so that none lies on another or on a mark: of
// eight places round a mark the first that is free. The urgent come first; a number without a free place is
// left out. Checked by TestNumbersApart.
func numbered(marks []mark) []mark {
	var taken []box
	for _, m := range marks {
		taken = append(taken, box{m.x - markRadius, m.y - markRadius, m.x + markRadius, m.y + markRadius})
	}
	var placed []mark
	for _, urgent := range []bool{true, false} {
		for _, m := range marks {
			if m.urgent != urgent {
				continue
			}
			if at, free := m.beside(taken); free {
				placed = append(placed, at)
				taken = append(taken, at.room())
			}
		}
	}
	return placed
}

// beside returns the first free place for a mark's number.
func (m mark) beside(taken []box) (mark, bool) {
	half := m.half()
	out, low := half+markRadius+1, digitHeight+markRadius+1
	for _, by := range [][2]float64{{out, -2}, {-out, -2}, {0, -markRadius - 2}, {0, low}, {out, low - 4}, {-out, low - 4}, {out, digitHeight / 2}, {-out, digitHeight / 2}} {
		at := m
		at.x, at.y = m.x+by[0], m.y+by[1]
		room := at.room()
		free := room.left >= chartLeft && room.right <= chartWidth && room.top >= 0 && room.bottom <= chartBase-1
		for _, other := range taken {
			free = free && !room.meets(other)
		}
		if free {
			return at, true
		}
	}
	return m, false
}
