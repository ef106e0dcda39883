package picture

import (
	"fmt"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"tugback/assets"
	"tugback/internal/geom"
)

// Role says which face a text is set in.
type Role int

// The roles of the lettering.
const (
	Serif       Role = iota // titles
	SerifItalic             // captions
	Sans                    // what is read as a number
	SansBold                // a number that counts
)

// Anchor says which part of a text stands at its point.
type Anchor int

// The anchors; the point is always on the base line.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of lettering.
type Text struct {
	At     geom.Point // on the base line
	String string
	Role   Role
	Size   float64 // mm of the sheet, em
	Anchor Anchor
	Colour Colour
}

// face is one font with what is needed of it, in units of the em.
type face struct {
	font            *sfnt.Font
	ascent, descent float64 // of lower-case letters with ascenders and descenders
}

// faces reads the embedded fonts once; the result is a table that nothing changes.
var faces = sync.OnceValue(func() [4]face {
	var out [4]face
	for i, name := range [4]string{"EBGaramond12-Regular", "EBGaramond12-Italic", "Inter-Regular", "Inter-SemiBold"} {
		data, err := assets.Fonts.ReadFile("fonts/" + name + ".otf")
		if err != nil {
			panic(fmt.Sprintf("picture: font %s: %v", name, err))
		}
		f, err := sfnt.Parse(data)
		if err != nil {
			panic(fmt.Sprintf("picture: font %s: %v", name, err))
		}
		out[i] = face{font: f, ascent: 0.72, descent: 0.24}
	}
	return out
})

// perEm is the grid glyphs are read at: 2^12 units of 1/64.
const perEm = fixed.Int26_6(4096 << 6)

// ems turns a length read at perEm into shares of the em.
func ems(v fixed.Int26_6) float64 { return float64(v) / float64(perEm) }

// Advance returns the width of a line in mm of the sheet, kerning included.
func (t Text) Advance() float64 {
	width := 0.0
	t.glyphs(func(_ *sfnt.Font, _ *sfnt.Buffer, _ sfnt.GlyphIndex, _, advance float64) { width += advance })
	return width * t.Size
}

// glyphs visits the glyphs of a text with their place and advance in ems; the advance holds the kerning
// to the next one. A sign the face does not have is shown as the face's empty box.
func (t Text) glyphs(visit func(f *sfnt.Font, b *sfnt.Buffer, g sfnt.GlyphIndex, at, advance float64)) {
	f := faces()[t.Role].font
	var buffer sfnt.Buffer
	runes := []rune(t.String)
	index := make([]sfnt.GlyphIndex, len(runes))
	for i, r := range runes {
		index[i], _ = f.GlyphIndex(&buffer, r)
	}
	at := 0.0
	for i, g := range index {
		advance, err := f.GlyphAdvance(&buffer, g, perEm, font.HintingNone)
		if err != nil {
			continue
		}
		wide := ems(advance)
		if i+1 < len(index) {
			if kern, err := f.Kern(&buffer, g, index[i+1], perEm, font.HintingNone); err == nil {
				wide += ems(kern)
			}
		}
		visit(f, &buffer, g, at, wide)
		at += wide
	}
}

// start returns the x where the first glyph stands.
func (t Text) start() float64 {
	switch t.Anchor {
	case Middle:
		return t.At.X - t.Advance()/2
	case End:
		return t.At.X - t.Advance()
	case Start:
	}
	return t.At.X
}

// Box returns the space a line takes, from descender to ascender.
func (t Text) Box() Box {
	f := faces()[t.Role]
	x := t.start()
	return Box{x, t.At.Y - f.descent*t.Size, x + t.Advance(), t.At.Y + f.ascent*t.Size}
}

// outline returns the letters as a path in mm of the sheet.
func (t Text) outline() Path {
	var p Path
	x0 := t.start()
	t.glyphs(func(f *sfnt.Font, b *sfnt.Buffer, g sfnt.GlyphIndex, at, _ float64) {
		segments, err := f.LoadGlyph(b, g, perEm, nil)
		if err != nil {
			return
		}
		place := func(q fixed.Point26_6) geom.Point { // glyph y grows downwards
			return geom.Point{X: x0 + (at+ems(q.X))*t.Size, Y: t.At.Y - ems(q.Y)*t.Size}
		}
		for i, s := range segments {
			switch s.Op {
			case sfnt.SegmentOpMoveTo:
				if i > 0 {
					p.Add(Close)
				}
				p.Add(MoveTo, place(s.Args[0]))
			case sfnt.SegmentOpLineTo:
				p.Add(LineTo, place(s.Args[0]))
			case sfnt.SegmentOpQuadTo:
				p.Add(QuadTo, place(s.Args[0]), place(s.Args[1]))
			case sfnt.SegmentOpCubeTo:
				p.Add(CubeTo, place(s.Args[0]), place(s.Args[1]), place(s.Args[2]))
			}
		}
		if len(segments) > 0 {
			p.Add(Close)
		}
	})
	return p
}

// wrap breaks a text into lines no wider than width mm; a single longer word stays whole.
func wrap(text string, role Role, size, width float64) []string {
	var lines []string
	now := ""
	for _, word := range strings.Split(text, " ") { // a no-break space is not split
		next := word
		if now != "" {
			next = now + " " + word
		}
		if now != "" && (Text{String: next, Role: role, Size: size}).Advance() > width {
			lines = append(lines, now)
			next = word
		}
		now = next
	}
	if now != "" {
		lines = append(lines, now)
	}
	return lines
}

// wrapped breaks a text into at most so many lines; what does not fit is left out with an ellipsis.
func wrapped(text string, role Role, size, width float64, most int) []string {
	lines := wrap(text, role, size, width)
	cut := len(lines) > most
	if cut {
		lines = lines[:most]
	}
	for i, l := range lines {
		for len(l) > 1 && (cut && i == most-1 || (Text{String: l, Role: role, Size: size}).Advance() > width) {
			shorter := []rune(strings.TrimSuffix(l, "…"))
			l = string(shorter[:len(shorter)-1]) + "…"
			if (Text{String: l, Role: role, Size: size}).Advance() <= width {
				break
			}
		}
		lines[i] = l
	}
	return lines
}
