package picture_test

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/picture"
)

// TestSVGFor holds that lettering on a small picture is larger on the sheet and that there are fewer words.
func TestSVGFor(t *testing.T) {
	tooth, err := anatomy.Grow(anatomy.Spec{Kind: "upper-first-molar"}, 1)
	if err != nil {
		t.Fatal(err)
	}
	plate, err := picture.Plate(tooth, picture.Options{})
	if err != nil {
		t.Fatal(err)
	}
	letters := func(width float64) (words int, least float64) {
		var out bytes.Buffer
		if err := plate.SVGFor(&out, width); err != nil {
			t.Fatal(err)
		}
		least = 1e9
		for _, m := range regexp.MustCompile(`<text [^>]*font-size="([0-9.]+)"`).FindAllStringSubmatch(out.String(), -1) {
			size, err := strconv.ParseFloat(m[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			least = min(least, size*width/plate.Width)
		}
		return strings.Count(out.String(), "<text"), least
	}
	few, small := letters(450)
	many, large := letters(1400)
	if few == 0 || few >= many {
		t.Errorf("%d words on a small picture, %d on a large one", few, many)
	}
	if small < 9 || large < 9 { // px; nominal sizes are 13 and above, captions of figures less
		t.Errorf("letters of %.1f and %.1f px", small, large)
	}
	var full, none bytes.Buffer
	if plate.SVG(&full) != nil || plate.SVGFor(&none, 10) != nil || strings.Contains(none.String(), "<text") {
		t.Error("a tiny picture has lettering")
	}
}
