package cohort

import (
	"fmt"
	"html/template"
	"math"
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
	drawn := 0
	for i, item := range a.Items {
		s := item.Stat
		if math.IsNaN(s.ItemRest) || math.IsNaN(s.Difficulty) {
			continue
		}
		drawn++
		x, y := across(s.Difficulty), up(s.ItemRest)
		fmt.Fprintf(c, `<circle cx="%.2f" cy="%.2f" r="3.5" fill="%s" stroke="%s" stroke-width="1.1"><title>%d: %s</title></circle>`, x, y, c.p.Chosen, c.p.Ink, i+1, template.HTMLEscapeString(clip(item.Title)))
		if s.ItemRest < WeakRest || s.Difficulty < 0.5 { // the others would write over one another
			c.text(x+6, y-4, "start", c.p.Ink, fmt.Sprint(i+1))
		}
	}
	if drawn == 0 {
		return ""
	}
	return c.html()
}
