package picture

import (
	"bufio"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"tugback/internal/geom"
)

// SVG writes the drawing as SVG at full detail: text stays text (EB Garamond and Inter are named with
// fallbacks, nothing is embedded), numbers have at most 3 decimals, title and description are there
// for people who cannot see it, and ids are the layers' names. The same drawing gives the same bytes.
// Checked by TestSVGIsWellFormed and TestSameBytes.
func (d Drawing) SVG(w io.Writer) error {
	out := bufio.NewWriter(w)
	fmt.Fprintf(out, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %[1]s %[2]s" role="img" aria-labelledby="title description">`+"\n",
		number(d.Width), number(d.Height))
	fmt.Fprintf(out, "<title id=\"title\">%s</title>\n<desc id=\"description\">%s</desc>\n", escape(d.Title), escape(d.Description))
	fmt.Fprintf(out, "<rect width=\"100%%\" height=\"100%%\" fill=\"%s\"/>\n", d.Palette.Paper)
	device := View{Scale: 1, Y: d.Height, Down: true}
	for _, l := range d.Layers {
		if l.Upto == 0 {
			writeLayer(out, l, l.View.Then(device))
		}
	}
	fmt.Fprint(out, "</svg>\n")
	if err := out.Flush(); err != nil {
		return fmt.Errorf("write the picture: %w", err)
	}
	return nil
}

// writeLayer writes one layer as a group.
func writeLayer(out *bufio.Writer, l Layer, view View) {
	for i, path := range l.Clips { // nested groups: some readers ignore a clip on a clip
		id := fmt.Sprintf("clip-%d-%s", i, l.Name)
		fmt.Fprintf(out, "<clipPath id=\"%s\"><path d=\"%s\"/></clipPath>\n<g clip-path=\"url(#%[1]s)\">\n", id, data(path, view))
	}
	fmt.Fprintf(out, "<g id=\"%s\" stroke-linecap=\"round\" stroke-linejoin=\"round\">\n", l.Name)
	for _, s := range l.Shapes {
		if s.Text != nil {
			writeText(out, *s.Text, view)
			continue
		}
		fmt.Fprintf(out, "<path fill=\"%s\"", s.Fill)
		if s.Stroke.Set {
			fmt.Fprintf(out, " stroke=\"%s\" stroke-width=\"%s\"", s.Stroke, number(s.Weight))
		}
		if len(s.Dash) > 0 {
			parts := make([]string, len(s.Dash))
			for i, v := range s.Dash {
				parts[i] = number(v)
			}
			fmt.Fprintf(out, " stroke-dasharray=\"%s\"", strings.Join(parts, " "))
		}
		fmt.Fprintf(out, " d=\"%s\"/>\n", data(s.Path, view))
	}
	fmt.Fprint(out, strings.Repeat("</g>\n", 1+len(l.Clips)))
}

// writeText writes one line of lettering.
func writeText(out *bufio.Writer, t Text, view View) {
	at := view.Point(t.At)
	family := `font-family="EB Garamond, Garamond, Georgia, serif"`
	switch t.Role {
	case SerifItalic:
		family += ` font-style="italic"`
	case Sans:
		family = `font-family="Inter, Helvetica, Arial, sans-serif"`
	case SansBold:
		family = `font-family="Inter, Helvetica, Arial, sans-serif" font-weight="600"`
	case Serif:
	}
	anchor := [...]string{"", ` text-anchor="middle"`, ` text-anchor="end"`}[t.Anchor]
	fmt.Fprintf(out, "<text x=\"%s\" y=\"%s\" %s font-size=\"%s\"%s fill=\"%s\">%s</text>\n",
		number(at.X), number(at.Y), family, number(t.Size), anchor, t.Colour, escape(t.String))
}

// data returns a path in the words of SVG.
func data(p Path, view View) string {
	var b strings.Builder
	at := 0
	for _, v := range p.Verbs {
		b.WriteByte("MLQCZ"[v])
		for i := range v.points() {
			if i > 0 {
				b.WriteByte(' ')
			}
			writePoint(&b, view.Point(p.Points[at]))
			at++
		}
	}
	return b.String()
}

func writePoint(b *strings.Builder, p geom.Point) {
	b.WriteString(number(p.X))
	b.WriteByte(' ')
	b.WriteString(number(p.Y))
}

// number writes a length with at most 3 decimals and none that are not needed.
func number(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func escape(s string) string {
	var b strings.Builder
	if err := xml.EscapeText(&b, []byte(s)); err != nil {
		panic("picture: escape") // a strings.Builder does not fail
	}
	return b.String()
}
