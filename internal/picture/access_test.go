package picture_test

import (
	"bytes"
	"strings"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// The access is drawn for every kind of tooth, opened or not; opening adds the cavity to both plates, and
// nothing is written to the state.
func TestAccessPlate(t *testing.T) {
	for i, kind := range anatomy.Kinds() {
		tooth := grown(t, kind, uint64(i+1))
		shut := treatment.Start(&treatment.Case{Tooth: tooth, Settings: treatment.DefaultSettings()})
		open := worn(tooth)
		open.Access.Bottom = open.Access.Extent
		before := detmath.Digest(open)
		var a, b bytes.Buffer
		if err := picture.AccessPlate(shut, picture.Options{}).SVG(&a); err != nil {
			t.Fatal(err)
		}
		if err := picture.AccessPlate(open, picture.Options{}).SVG(&b); err != nil {
			t.Fatal(err)
		}
		if strings.Contains(a.String(), "access-cavity") || !strings.Contains(b.String(), "access-cavity") || !strings.Contains(b.String(), "access-outline") {
			t.Errorf("%s: the cavity is drawn when it is not there, or not when it is", kind)
		}
		if detmath.Digest(open) != before {
			t.Errorf("%s: drawing changed the state", kind)
		}
	}
}
