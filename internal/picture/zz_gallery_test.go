package picture_test

import (
	"bytes"
	"os"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/picture"
)

func TestGallery(t *testing.T) {
	for i, k := range anatomy.Kinds() {
		for _, seed := range []uint64{11, 12} {
			tooth := grown(t, k, seed+uint64(i))
			d, _ := picture.Plate(tooth, picture.Options{})
			var b bytes.Buffer
			d.PNG(&b, 560)
			os.WriteFile("/tmp/gal/"+string(rune('a'+i))+string(rune('0'+seed-10))+".png", b.Bytes(), 0o644)
		}
	}
	for name, seed := range map[string]uint64{"lower-second-molar": 23, "upper-second-molar": 18, "lower-first-molar": 24, "upper-first-premolar": 14} {
		d, _ := picture.Plate(grown(t, anatomy.Kind(name), seed), picture.Options{})
		var b bytes.Buffer
		d.PNG(&b, 1200)
		os.WriteFile("/tmp/gal/x-"+name+".png", b.Bytes(), 0o644)
	}
	tooth := grown(t, "lower-second-molar", 21)
	for i, p := range picture.Palettes() {
		d, _ := picture.TreatmentPlate(filled(worn(tooth)), faults(tooth)[:5], picture.Options{Palette: p})
		var b bytes.Buffer
		d.PNG(&b, 1200)
		os.WriteFile("/tmp/gal/palette"+string(rune('0'+i))+".png", b.Bytes(), 0o644)
	}
}
