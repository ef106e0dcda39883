package picture_test

import (
	"encoding/json"
	"strings"
	"testing"

	"golang.org/x/image/font/sfnt"

	"tugback/assets"
	"tugback/internal/anatomy"
	"tugback/internal/picture"
)

// TestFacesHaveEveryGlyph: each sign of the captions is in all four faces, which are small and come with
// their licence.
func TestFacesHaveEveryGlyph(t *testing.T) {
	for _, name := range []string{"EBGaramond12-Regular", "EBGaramond12-Italic", "Inter-Regular", "Inter-SemiBold"} {
		data, err := assets.Fonts.ReadFile("fonts/" + name + ".otf")
		if err != nil {
			t.Fatal(err)
		}
		if len(data) > 500_000 {
			t.Errorf("%s: %d bytes, want at most 500 kB", name, len(data))
		}
		face, err := sfnt.Parse(data)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range string(assets.PlateWords) + "0123456789.,…äöüéßµ" {
			if i, err := face.GlyphIndex(nil, r); r >= ' ' && (err != nil || i == 0) {
				t.Errorf("%s has no %q", name, r)
			}
		}
	}
	for _, name := range []string{"OFL-EBGaramond.txt", "OFL-Inter.txt"} {
		text, err := assets.Fonts.ReadFile("fonts/" + name)
		if err != nil || !strings.Contains(string(text), "SIL OPEN FONT LICENSE Version 1.1") {
			t.Errorf("%s: not the licence (%v)", name, err)
		}
	}
}

// TestPlateWords: the captions are JSON, none is empty, and every tooth of the norms has a name.
func TestPlateWords(t *testing.T) {
	var words map[string]string
	if err := json.Unmarshal(assets.PlateWords, &words); err != nil {
		t.Fatal(err)
	}
	for key, text := range words {
		if strings.TrimSpace(text) == "" {
			t.Errorf("%s has no text", key)
		}
	}
	for _, kind := range anatomy.Kinds() {
		if words["tooth."+string(kind)] == "" {
			t.Errorf("%s has no name", kind)
		}
	}
}

// TestAdvance: the width of a line is proportional to its size, and an anchor moves the box, not its size.
func TestAdvance(t *testing.T) {
	text := picture.Text{String: "Lower first molar", Role: picture.Serif, Size: 4}
	one := text.Advance()
	text.Size = 8
	if two := text.Advance(); two < 1.999*one || two > 2.001*one {
		t.Errorf("twice the size is %.3f mm, half of it %.3f mm", two, one)
	}
	start := text.Box()
	text.Anchor = picture.End
	end := text.Box()
	if got := start.Left - end.Left; got < 0.999*text.Advance() || got > 1.001*text.Advance() {
		t.Errorf("an anchor at the end moves the box by %.3f mm, want its width %.3f mm", got, text.Advance())
	}
}
