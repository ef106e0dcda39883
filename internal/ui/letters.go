package ui

import (
	"bytes"
	"fmt"
	"image/color"
	"sync"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/text/v2"

	"tugback/assets"
	"tugback/internal/picture"
)

// sources reads the four faces once.
var sources = sync.OnceValue(func() [4]*text.GoTextFaceSource {
	var out [4]*text.GoTextFaceSource
	for i, name := range [4]string{"EBGaramond12-Regular", "EBGaramond12-Italic", "Inter-Regular", "Inter-SemiBold"} {
		data, err := assets.Fonts.ReadFile("fonts/" + name + ".otf")
		if err != nil {
			panic(fmt.Sprintf("ui: font %s: %v", name, err))
		}
		source, err := text.NewGoTextFaceSource(bytes.NewReader(data))
		if err != nil {
			panic(fmt.Sprintf("ui: font %s: %v", name, err))
		}
		out[i] = source
	}
	return out
})

// lettering draws text; it keeps one face a role and size.
type lettering struct{ faces map[faceKey]*text.GoTextFace }

type faceKey struct {
	role picture.Role
	size float64
}

func (l *lettering) face(role picture.Role, size float64) *text.GoTextFace {
	if l.faces == nil {
		l.faces = map[faceKey]*text.GoTextFace{}
	}
	key := faceKey{role, size}
	f := l.faces[key]
	if f == nil {
		f = &text.GoTextFace{Source: sources()[role], Size: size}
		if role == picture.Sans || role == picture.SansBold {
			f.SetFeature(text.MustParseTag("tnum"), 1)
		}
		l.faces[key] = f
	}
	return f
}

// write sets a line with its left end at x on a base line at y, device px.
func (l *lettering) write(dst *ebiten.Image, line string, role picture.Role, size, x, y float64, ink color.Color) {
	f := l.face(role, size)
	o := &text.DrawOptions{}
	o.GeoM.Translate(x, y-f.Metrics().HAscent)
	o.ColorScale.ScaleWithColor(ink)
	text.Draw(dst, line, f, o)
}

// writeMiddle sets a line centred at x.
func (l *lettering) writeMiddle(dst *ebiten.Image, line string, role picture.Role, size, x, y float64, ink color.Color) {
	l.write(dst, line, role, size, x-text.Advance(line, l.face(role, size))/2, y, ink)
}

// writeEnd sets a line that ends at x.
func (l *lettering) writeEnd(dst *ebiten.Image, line string, role picture.Role, size, x, y float64, ink color.Color) {
	l.write(dst, line, role, size, x-text.Advance(line, l.face(role, size)), y, ink)
}
