package picture_test

import (
	"sync"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// grown grows a tooth of the norms.
func grown(t *testing.T, kind anatomy.Kind, seed uint64) *anatomy.Tooth {
	t.Helper()
	tooth, err := anatomy.Grow(anatomy.Spec{Kind: kind}, seed)
	if err != nil {
		t.Fatal(err)
	}
	return tooth
}

// worn returns a treated state made by hand, with known cuts: 0.04 mm at the apex widening by 0.01 mm
// per mm on both walls, a mesial groove of up to 0.16 mm in the apical 3 mm, and no filling.
func worn(tooth *anatomy.Tooth) treatment.State {
	s := treatment.Start(&treatment.Case{Tooth: tooth, Settings: treatment.DefaultSettings()})
	s.Access = treatment.Access{Opened: true, Deroofed: true, Depth: 7, Extent: [4]float64{1.8, 1.6, 2, 2}}
	s.Pulp = 0
	for i := range s.Canals {
		c := &s.Canals[i]
		c.Found, c.Last, c.Length = true, 25, c.Foramen()-0.5
		for j := c.Space.Orifice; j < c.Space.Foramen-5; j++ {
			up := float64(c.Space.Foramen-j) * c.Space.Step
			c.Tissue[j] = 0
			for side := range 2 {
				c.Space.Wall[side][j] += 0.04 + 0.01*up
			}
			if up < 3 {
				c.Space.Wall[0][j] += 0.16 * (up - 0.5) / 2.5
			}
		}
	}
	return s
}

// filled adds a filling with a void to every canal, a fragment to the first and a perforation.
func filled(s treatment.State) treatment.State {
	for i := range s.Canals {
		c := &s.Canals[i]
		n := len(c.Tissue)
		c.Fill = treatment.Filling{Technique: "lateral", Tip: c.Foramen() - 0.5, Beyond: 0.2, Solid: make([]float64, n), Paste: make([]float64, n)}
		for j := c.Space.Orifice; j < c.Space.Foramen-5; j++ {
			c.Fill.Solid[j] = 0.8
			if j%40 > 4 {
				c.Fill.Paste[j] = 0.2
			}
		}
	}
	c := &s.Canals[0]
	c.Fragment = &treatment.Fragment{Item: "hand-steel-25.02", Tip: c.Foramen() - 1, Length: 3}
	c.Perforation = &treatment.Perforation{S: c.Foramen() - 4, Wall: 1, Kind: "strip"}
	return s
}

// faults returns one event of every kind that is a fault, in the first and in the last canal.
func faults(tooth *anatomy.Tooth) []treatment.Event {
	var out []treatment.Event
	walls := []string{"mesial", "distal", "buccal", "lingual", ""}
	for i, kind := range treatment.EventKinds() {
		for k, canal := range []string{tooth.Canals[0].Name, tooth.Canals[len(tooth.Canals)-1].Name} {
			if kind.Fault {
				out = append(out, treatment.Event{Kind: kind.Kind, Canal: canal, Item: "hand-steel-25.02", Unit: kind.Unit,
					Wall: walls[(i+k)%5], Level: float64(i%9) - 0.5, Value: 0.11 * float64(k+1)})
			}
		}
	}
	return out
}

// sheets draws two sheets of every kind of tooth, once.
var sheets = sync.OnceValue(func() map[string]picture.Drawing {
	out := map[string]picture.Drawing{}
	for i, kind := range anatomy.Kinds() {
		for _, name := range [][]string{{"plate", "pair"}, {"file", "pair"}}[i%2] {
			out[string(kind)+" "+name] = drawn(kind, i, name)
		}
	}
	return out
})

// drawn draws a plate, a treated tooth with a file in it, or a pair, of one kind of tooth.
func drawn(kind anatomy.Kind, i int, name string) picture.Drawing {
	tooth, err := anatomy.Grow(anatomy.Spec{Kind: kind}, uint64(3+i))
	if err != nil {
		panic(err)
	}
	var d picture.Drawing
	switch state := worn(tooth); name {
	case "plate":
		d, err = picture.Plate(tooth, picture.Options{Palette: picture.Palettes()[i%3]})
	case "file":
		file := &picture.File{Item: "hand-steel-25.02", Canal: tooth.Canals[0].Name, Depth: state.Canals[0].Foramen() - 0.5}
		d, err = picture.TreatmentPlate(state, faults(tooth), picture.Options{File: file, Title: "A title that is rather long for the room there is beside a tooth"})
	case "pair":
		d, err = picture.TreatmentPlate(filled(state), faults(tooth)[:6], picture.Options{Before: true})
	}
	if err != nil {
		panic(err)
	}
	return d
}
