package picture

import (
	"fmt"
	"image/color"
	"math"

	"tugback/internal/detmath"
)

// Colour is an opaque colour or None.
type Colour struct {
	R, G, B uint8
	Set     bool
}

// None is the colour of what is not painted.
var None = Colour{}

// hex returns the colour 0xRRGGBB.
func hex(rgb uint32) Colour { return Colour{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), true} }

// String returns the colour as #rrggbb, "none" for None.
func (c Colour) String() string {
	if !c.Set {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
}

func (c Colour) rgba() color.RGBA { return color.RGBA{c.R, c.G, c.B, 255} }

// over returns the colour laid on another with a share of covering.
func (c Colour) over(ground Colour, share float64) Colour {
	mix := func(a, b uint8) uint8 { return uint8(math.RoundToEven(share*float64(a) + (1-share)*float64(b))) }
	return Colour{mix(c.R, ground.R), mix(c.G, ground.G), mix(c.B, ground.B), true}
}

// Luminance returns the relative luminance of a colour, 0 black … 1 white.
//
//	L = 0.2126 R + 0.7152 G + 0.0722 B, each channel c = s/12.92 up to 0.04045, else ((s+0.055)/1.055)^2.4
//
// Source: W3C, Web Content Accessibility Guidelines 2.2, definition of relative luminance. Checked by
// TestContrast.
func (c Colour) Luminance() float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return detmath.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// Contrast returns the contrast ratio of two colours, 1 … 21: (lighter + 0.05)/(darker + 0.05).
// Source: Web Content Accessibility Guidelines 2.2. Checked by TestContrast.
func Contrast(a, b Colour) float64 {
	la, lb := a.Luminance(), b.Luminance()
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

// Palette holds the colours of a sheet by what they are for.
type Palette struct {
	Name                        string
	Patterned                   bool   // dots and strokes say what colours say elsewhere
	Paper, Tooth, Behind        Colour // sheet; cut tooth; a root that lies behind
	Ink, Quiet, Hairline        Colour
	Pulp, Event, Wash           Colour // Event letters and lines, Wash removed dentine
	Steel, Flute                Colour
	GuttaPercha, Paste, Chosen  Colour
	Enamel, Hatch, Bone, Ground Colour // line colours of enamel, dentine, bone; fill of the opened space
}

// Light returns the palette of warm paper.
func Light() Palette {
	return Palette{
		Name: "light", Paper: hex(0xf4ecda), Tooth: hex(0xfbf6e9), Behind: hex(0xf6eedd),
		Ink: hex(0x2b2320), Quiet: hex(0x5c5345), Hairline: hex(0xb9ab8e),
		Pulp: hex(0xe9c9b4), Event: hex(0x7c2516), Wash: hex(0xb5432e).over(hex(0xfbf6e9), 0.55),
		Steel: hex(0x4a4d52), Flute: hex(0xd9dcdf), GuttaPercha: hex(0xc9a86c), Paste: hex(0xf0e2bd), Chosen: hex(0xe9dcbf),
		Enamel: hex(0x6a5f52), Hatch: hex(0x3d332d), Bone: hex(0x8d7f68), Ground: hex(0xf4ecda),
	}
}

// Night returns the palette of a dark room.
func Night() Palette {
	return Palette{
		Name: "night", Paper: hex(0x1d1a16), Tooth: hex(0x2a2620), Behind: hex(0x24201b),
		Ink: hex(0xefe6d2), Quiet: hex(0xc2b69e), Hairline: hex(0x4d463a),
		Pulp: hex(0x6b4436), Event: hex(0xff9d86), Wash: hex(0xb5432e).over(hex(0x2a2620), 0.55),
		Steel: hex(0xc9ced2), Flute: hex(0x5a6068), GuttaPercha: hex(0x9a7d45), Paste: hex(0x5f5638), Chosen: hex(0x3a3328),
		Enamel: hex(0xb5a88f), Hatch: hex(0xd8ccb4), Bone: hex(0x7a6f5c), Ground: hex(0x1d1a16),
	}
}

// HighContrast returns the palette of black on white.
func HighContrast() Palette {
	return Palette{
		Name: "high-contrast", Patterned: true, Paper: hex(0xffffff), Tooth: hex(0xffffff), Behind: hex(0xffffff),
		Ink: hex(0x000000), Quiet: hex(0x333333), Hairline: hex(0x000000),
		Pulp: hex(0xd9d9d9), Event: hex(0x9c0000), Wash: hex(0xe0b3b3),
		Steel: hex(0x000000), Flute: hex(0xffffff), GuttaPercha: hex(0xb0b0b0), Paste: hex(0xe8e8e8), Chosen: hex(0xffffff),
		Enamel: hex(0x333333), Hatch: hex(0x000000), Bone: hex(0x555555), Ground: hex(0xffffff),
	}
}

// Palettes returns the three palettes.
func Palettes() []Palette { return []Palette{Light(), Night(), HighContrast()} }

// ISOColour returns how an ISO 3630-1 colour word is painted; the size in figures always stands beside
// it. An unknown word gives None.
func ISOColour(word string) Colour {
	switch word {
	case "pink":
		return hex(0xe8a0b4)
	case "grey":
		return hex(0x9a9da0)
	case "purple":
		return hex(0x7a4a9e)
	case "white":
		return hex(0xffffff)
	case "yellow":
		return hex(0xf2cc38)
	case "red":
		return hex(0xc8372c)
	case "blue":
		return hex(0x2c5cb0)
	case "green":
		return hex(0x2a8244)
	case "black":
		return hex(0x1a1a1a)
	}
	return None
}
