package picture_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/picture"
)

// TestGallery holds that a sheet of teeth is well-formed, names every seed, and is the same twice.
func TestGallery(t *testing.T) {
	var teeth []*anatomy.Tooth
	for seed := range uint64(5) {
		tooth, err := anatomy.Grow(anatomy.Spec{Kind: "upper-first-molar"}, seed+10)
		if err != nil {
			t.Fatal(err)
		}
		teeth = append(teeth, tooth)
	}
	draw := func() string {
		d, err := picture.Gallery(teeth, picture.Options{Title: "Five"})
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := d.SVG(&out); err != nil {
			t.Fatal(err)
		}
		return out.String()
	}
	text := draw()
	if text != draw() {
		t.Error("the same teeth gave another picture")
	}
	for _, seed := range []string{"seed 10 ", "seed 14 "} {
		if !strings.Contains(text, seed) {
			t.Errorf("%q is not on the sheet", seed)
		}
	}
	decoder := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := decoder.Token(); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if _, err := picture.Gallery(nil, picture.Options{}); err == nil {
		t.Error("a gallery of nothing is drawn")
	}
	if _, err := picture.Gallery([]*anatomy.Tooth{nil}, picture.Options{}); err == nil {
		t.Error("a gallery of a missing tooth is drawn")
	}
}
