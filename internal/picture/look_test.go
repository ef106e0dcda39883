package picture_test

import (
	"bytes"
	"fmt"
	"os"
	"testing"
	"time"

	"tugback/internal/anatomy"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// worn fakes a treatment by hand until plans run.
func worn(tooth *anatomy.Tooth) (treatment.State, []treatment.Event) {
	c := &treatment.Case{Tooth: tooth, Settings: treatment.DefaultSettings()}
	s := treatment.Start(c)
	s.Access = treatment.Access{Opened: true, Deroofed: true, Depth: 7, Extent: [4]float64{1.8, 1.6, 2, 2}}
	s.Pulp = 0
	for i := range s.Canals {
		k := &s.Canals[i]
		k.Found, k.Last, k.Length = true, 25, k.Foramen()-0.5
		n := k.Space.Foramen
		for j := k.Space.Orifice; j < n-5; j++ {
			up := float64(n-j) * k.Space.Step
			w := 0.04 + 0.01*up
			k.Tissue[j] = 0
			k.Space.Wall[0][j] += w
			k.Space.Wall[1][j] += w
			if up < 3 && up > 0.8 {
				k.Space.Wall[0][j] += 0.16 * (up - 0.8) / 2.2
			}
			if up > 3 && up < 8 {
				k.Space.Wall[1][j] += 0.12
			}
		}
	}
	first := s.Canals[0].Name
	last := s.Canals[len(s.Canals)-1].Name
	ev := []treatment.Event{
		{Kind: treatment.Ledge, Canal: first, Item: "hand-steel-25.02", Wall: "mesial", Level: 3, Value: 0.16, Unit: "mm"},
		{Kind: treatment.WallWorn, Canal: first, Item: "hand-steel-25.02", Wall: "mesial", Level: 2.4, Value: 0.14, Unit: "mm"},
		{Kind: treatment.StripRisk, Canal: first, Item: "hand-steel-25.02", Wall: "distal", Level: 7, Value: 0.28, Unit: "mm"},
		{Kind: treatment.Packed, Canal: last, Level: 0.8, Value: 0.4},
		{Kind: treatment.DebrisOut, Canal: last, Level: 0, Value: 0.13},
		{Kind: treatment.PastForamen, Canal: last, Item: "hand-steel-20.02", Level: -0.4, Value: 0.4},
		{Kind: treatment.Strained, Canal: first, Item: "hand-steel-25.02", Level: 5, Value: 0.83},
	}
	return s, ev
}


func TestLook(t *testing.T) {
	for _, k := range []anatomy.Kind{"lower-first-molar", "upper-lateral-incisor", "lower-first-premolar", "upper-first-molar"} {
		tooth, err := anatomy.Grow(anatomy.Spec{Kind: k}, 7)
		if err != nil {
			t.Error(err)
			continue
		}
		t0 := time.Now()
		d, err := picture.Plate(tooth, picture.Options{})
		if err != nil {
			t.Error(err)
			continue
		}
		fmt.Println(k, time.Since(t0))
		for _, w := range []int{400, 1200} {
			var b bytes.Buffer
			t0 = time.Now()
			if err := d.PNG(&b, w); err != nil {
				t.Error(err)
			}
			fmt.Println(w, time.Since(t0), b.Len())
			os.WriteFile(fmt.Sprintf("/tmp/pics/%s-%d.png", k, w), b.Bytes(), 0o644)
		}
		st, ev := worn(tooth)
		var file *picture.File
		var before bool
		switch k {
		case "upper-lateral-incisor":
			file = &picture.File{Item: "hand-steel-25.02", Canal: "canal", Depth: st.Canals[0].Foramen() - 0.5}
		case "lower-first-premolar":
			before = true
			for i := range st.Canals {
				c := &st.Canals[i]
				n := len(c.Tissue)
				c.Fill = treatment.Filling{Technique: "lateral", Tip: c.Foramen() - 0.5, Solid: make([]float64, n), Paste: make([]float64, n)}
				for j := c.Space.Orifice; j < c.Space.Foramen-5; j++ {
					c.Fill.Solid[j], c.Fill.Paste[j] = 0.8, 0.16
					if j%40 < 4 {
						c.Fill.Paste[j] = 0
					}
				}
			}
		}
		td, err := picture.TreatmentPlate(st, ev, picture.Options{File: file, Before: before})
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range []int{400, 800, 1200} {
			var b bytes.Buffer
			if err := td.PNG(&b, w); err != nil {
				t.Error(err)
			}
			os.WriteFile(fmt.Sprintf("/tmp/pics/t-%s-%d.png", k, w), b.Bytes(), 0o644)
		}
		var b bytes.Buffer
		d.SVG(&b)
		fmt.Println("svg", b.Len())
		os.WriteFile(fmt.Sprintf("/tmp/pics/%s.svg", k), b.Bytes(), 0o644)
	}
}
