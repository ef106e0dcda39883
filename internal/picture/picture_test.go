package picture_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// names returns the keys of a map in order.
func names(m map[string]picture.Drawing) []string {
	var out []string
	for name := range m {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// TestDrawingIsHarmless compares digests of everything a plate reads before and after it is drawn
// (style rule 14).
func TestDrawingIsHarmless(t *testing.T) {
	for _, kind := range []anatomy.Kind{"lower-first-molar", "upper-first-molar", "upper-canine"} {
		tooth := grown(t, kind, 5)
		state, events := filled(worn(tooth)), faults(tooth)
		digest := func() [3]string {
			return [3]string{detmath.Digest(tooth), detmath.Digest(state), detmath.Digest(events)}
		}
		before := digest()
		if _, err := picture.Plate(tooth, picture.Options{}); err != nil {
			t.Fatal(err)
		}
		d, err := picture.TreatmentPlate(state, events, picture.Options{Before: true})
		if err != nil {
			t.Fatal(err)
		}
		if err := d.PNG(io.Discard, 300); err != nil {
			t.Fatal(err)
		}
		if after := digest(); after != before {
			t.Errorf("%s: drawing changed what it drew: %v, was %v", kind, after, before)
		}
	}
}

// TestSVGIsWellFormed reads SVGs with an XML decoder: one root, ids once, no NaN, numbers with at
// most three decimals, a title, a description, and less than 1.5 MB.
func TestSVGIsWellFormed(t *testing.T) {
	long := regexp.MustCompile(`[0-9]\.[0-9]{4}`)
	for _, name := range []string{"plate", "file", "pair"} {
		var b bytes.Buffer
		if err := drawn("lower-first-molar", 2, name).SVG(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		if len(text) > 1_500_000 {
			t.Errorf("%s: %d bytes, want at most 1.5 MB", name, len(text))
		}
		if strings.Contains(text, "NaN") || strings.Contains(text, "Inf ") || long.MatchString(text) {
			t.Errorf("%s: a number that is none, or one with more than 3 decimals", name)
		}
		ids, titles := map[string]bool{}, 0
		for decoder := xml.NewDecoder(&b); ; {
			token, err := decoder.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			element, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			if element.Name.Local == "title" || element.Name.Local == "desc" {
				titles++
			}
			for _, a := range element.Attr {
				if a.Name.Local == "id" && ids[a.Value] {
					t.Errorf("%s: id %q twice", name, a.Value)
				}
				ids[a.Value] = ids[a.Value] || a.Name.Local == "id"
			}
		}
		if titles != 2 {
			t.Errorf("%s: %d of title and description, want 2", name, titles)
		}
	}
}

// TestPlateTexts checks at every width that lettering is never under 13 px, lies on the sheet and that
// no two lines overlap, by the metrics of the faces they are set in.
func TestPlateTexts(t *testing.T) {
	all := sheets()
	for _, name := range names(all) {
		d := all[name]
		page := picture.Box{Right: d.Width, Top: d.Height}
		for _, width := range []float64{200, 380, 400, 640, 900, 1099, 1100, 1600, 4000} {
			scale := width / d.Width
			var boxes []picture.Box
			var words []string
			for _, l := range d.Layers {
				for _, s := range l.Shapes {
					if s.Text == nil || !l.Shown(scale) {
						continue
					}
					if l.View != (picture.View{Scale: 1}) {
						t.Errorf("%s: %q is lettered outside the sheet's own mm", name, s.Text.String)
					}
					if px := s.Text.Size * scale; px < 13-1e-9 {
						t.Errorf("%s at %g px: %q is %.1f px high, want at least 13", name, width, s.Text.String, px)
					}
					box := s.Text.Box()
					if !box.Inside(page) {
						t.Errorf("%s at %g px: %q at %+v leaves the sheet", name, width, s.Text.String, box)
					}
					for i, other := range boxes {
						if box.Overlaps(other) {
							t.Errorf("%s at %g px: %q overlaps %q", name, width, s.Text.String, words[i])
						}
					}
					boxes, words = append(boxes, box), append(words, s.Text.String)
					if strings.ContainsAny(s.Text.String, "{}") {
						t.Errorf("%s: %q has a place that was not filled", name, s.Text.String)
					}
				}
			}
		}
	}
}

// TestRemovedArea compares the area of the red shapes with what the walls moved, integrated here over
// the canal's length: per wall ∫ (now − first)(1 ∓ κ·mean distance) ds, trapezia on the stations.
// Tolerance 1 %: a piece begins and ends at the neighbour of the first and last station that was cut.
func TestRemovedArea(t *testing.T) {
	for _, kind := range []anatomy.Kind{"upper-lateral-incisor", "upper-canine"} {
		tooth := grown(t, kind, 9)
		if len(tooth.Canals) != 1 {
			continue
		}
		state := worn(tooth)
		d, err := picture.TreatmentPlate(state, nil, picture.Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := 0.0
		for _, l := range d.Layers {
			if l.Name == "removed" {
				for _, s := range l.Shapes {
					got += math.Abs(geom.Area(s.Path.Points))
				}
			}
		}
		want, c := 0.0, &state.Canals[0]
		for side := range 2 {
			sign := 1 - 2*float64(side)
			slice := func(i int) float64 {
				first, now := c.First[side][c.Space.Orifice+i], c.Space.Wall[side][c.Space.Orifice+i]
				return (now - first) * (1 + sign*c.Space.Curvature[0][c.Space.Orifice+i]*(first+now)/2)
			}
			for i := 1; i < len(tooth.Canals[0].Axis); i++ {
				want += (slice(i-1) + slice(i)) / 2 * c.Space.Step
			}
		}
		if math.Abs(got-want) > 0.01*want {
			t.Errorf("%s: red area %.4f mm², walls moved %.4f mm²", kind, got, want)
		}
	}
}

// TestHatchSpacing measures the distance of neighbouring hatch lines at the lit surface of a straight
// part of a root, where each line begins: 0.14 to 0.18 mm (the look's engraving rules).
func TestHatchSpacing(t *testing.T) {
	d, err := picture.Plate(grown(t, "lower-canine", 4), picture.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var starts []geom.Point
	for _, l := range d.Layers {
		if l.Name != "hatch" {
			continue
		}
		at := 0
		for _, v := range l.Shapes[0].Path.Verbs {
			p := l.Shapes[0].Path
			if v == picture.MoveTo && p.Points[at].Y < -4 && p.Points[at].Y > -8 && p.Points[at].X < -1 {
				starts = append(starts, p.Points[at])
			}
			if v != picture.Close {
				at++
			}
		}
	}
	slices.SortFunc(starts, func(a, b geom.Point) int { return int(math.Copysign(1, a.Y-b.Y)) })
	if len(starts) < 20 {
		t.Fatalf("%d hatch lines on 4 mm of root, want about 25", len(starts))
	}
	good := 0
	for i := 1; i < len(starts); i++ {
		if gap := starts[i].Sub(starts[i-1]).Norm(); gap >= 0.14 && gap <= 0.18 {
			good++
		}
	}
	if share := float64(good) / float64(len(starts)-1); share < 0.9 {
		t.Errorf("%.0f %% of the gaps are 0.14 to 0.18 mm wide, want at least 90 %%", 100*share)
	}
}

// TestSameBytes draws a molar a second time.
func TestSameBytes(t *testing.T) {
	for _, name := range []string{"plate", "file", "pair"} {
		var a, b bytes.Buffer
		if err := errors.Join(drawn("lower-first-molar", 5, name).SVG(&a), drawn("lower-first-molar", 5, name).SVG(&b)); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s: two drawings differ", name)
		}
	}
	var a, b bytes.Buffer
	d := drawn("lower-first-molar", 5, "pair")
	if err := errors.Join(d.PNG(&a, 500), d.PNG(&b, 500)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two PNGs of one drawing differ")
	}
}

// TestPNGSize checks width and height of the raster, and that it holds more than paper.
func TestPNGSize(t *testing.T) {
	d, err := picture.Plate(grown(t, "upper-first-premolar", 2), picture.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, width := range []int{64, 400, 1200} {
		var b bytes.Buffer
		if err := d.PNG(&b, width); err != nil {
			t.Fatal(err)
		}
		m, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		if m.Bounds().Dx() != width || m.Bounds().Dy() != int(math.RoundToEven(float64(width)*d.Height/d.Width)) {
			t.Errorf("picture is %v, want %d px wide", m.Bounds(), width)
		}
		if m.At(width/2, m.Bounds().Dy()/2) == m.At(0, 0) {
			t.Errorf("%d px: the middle of the sheet is blank", width)
		}
	}
}

// TestRefusals gives what cannot be drawn.
func TestRefusals(t *testing.T) {
	tooth := grown(t, "lower-first-molar", 1)
	good, err := picture.Plate(tooth, picture.Options{})
	if err != nil {
		t.Fatal(err)
	}
	state := worn(tooth)
	refused := func(name string, err error) {
		if err == nil || !strings.HasPrefix(err.Error(), "picture: ") {
			t.Errorf("%s: %v, want a refusal", name, err)
		}
	}
	_, err = picture.Plate(nil, picture.Options{})
	refused("no tooth", err)
	_, err = picture.Plate(&anatomy.Tooth{}, picture.Options{})
	refused("a tooth without canals", err)
	_, err = picture.TreatmentPlate(treatment.State{}, nil, picture.Options{})
	refused("a state without a case", err)
	_, err = picture.TreatmentPlate(treatment.State{Case: state.Case}, nil, picture.Options{})
	refused("a state without canals", err)
	for _, f := range []picture.File{{Item: "hand-steel-26.02", Canal: "MB", Depth: 20}, {Item: "hand-steel-25.02", Canal: "X", Depth: 20}, {Item: "hand-steel-25.02", Canal: tooth.Canals[0].Name, Depth: math.NaN()}} {
		_, err = picture.TreatmentPlate(state, nil, picture.Options{File: &f})
		refused("file "+f.Item, err)
	}
	for _, width := range []int{-1, 0, 63, 8193, 1 << 30} {
		refused("width", good.PNG(io.Discard, width))
	}
	if err := good.SVG(failing{}); err == nil {
		t.Error("a writer that fails: no error")
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }

// TestUpperTeethAreTurnedOver: on the sheet an upper tooth's crown is below its apex, a lower one's above.
func TestUpperTeethAreTurnedOver(t *testing.T) {
	for kind, upper := range map[anatomy.Kind]bool{"upper-canine": true, "lower-canine": false} {
		tooth := grown(t, kind, 3)
		d, err := picture.Plate(tooth, picture.Options{})
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(d.Layers, func(l picture.Layer) bool { return l.Name == "outline" })
		cusp, apex := d.Layers[i].View.Point(tooth.Crown.Cusps[0].Point), d.Layers[i].View.Point(tooth.Roots[0].Apex)
		if (cusp.Y < apex.Y) != upper {
			t.Errorf("%s: cusp at %.1f, apex at %.1f mm of the sheet", kind, cusp.Y, apex.Y)
		}
	}
}

// TestViewComposes: applying two views one after the other is applying their composition; Back undoes Point.
func TestViewComposes(t *testing.T) {
	a, b := picture.View{Scale: 8, X: 150, Y: 200, Down: true}, picture.View{Scale: 4, X: 3, Y: 900, Down: true}
	for _, p := range []geom.Point{{}, {X: 1, Y: 2}, {X: -3.5, Y: 0.25}} {
		if got, want := a.Then(b).Point(p), b.Point(a.Point(p)); got.Sub(want).Norm() > 1e-9 {
			t.Errorf("composed %v, one after the other %v", got, want)
		}
		if got := a.Back(a.Point(p)); got.Sub(p).Norm() > 1e-9 {
			t.Errorf("there and back %v, want %v", got, p)
		}
	}
}

// TestContrast: the formula against its known ends (WCAG 2.2: black on white 21, equal colours 1; #777777 on
// white 4.48, a value widely published), and at least 4.5 for all lettering, on paper and on the tooth.
func TestContrast(t *testing.T) {
	white, black, grey := colour(255), colour(0), colour(0x77)
	for _, c := range []struct {
		a, b picture.Colour
		want float64
	}{{white, black, 21}, {grey, grey, 1}, {grey, white, 4.48}} {
		if got := picture.Contrast(c.a, c.b); math.Abs(got-c.want) > 0.005 {
			t.Errorf("contrast of %v and %v is %.3f, want %.2f", c.a, c.b, got, c.want)
		}
	}
	for _, p := range picture.Palettes() {
		for name, ink := range map[string]picture.Colour{"ink": p.Ink, "quiet": p.Quiet, "event": p.Event} {
			if got := picture.Contrast(ink, p.Paper); got < 4.5 {
				t.Errorf("%s: %s on paper has contrast %.2f, want at least 4.5", p.Name, name, got)
			}
		}
	}
	for _, word := range []string{"pink", "grey", "purple", "white", "yellow", "red", "blue", "green", "black"} {
		c := picture.ISOColour(word)
		if best := math.Max(picture.Contrast(c, white), picture.Contrast(c, colour(0x1a))); !c.Set || best < 4.5 {
			t.Errorf("figures on ISO %s have contrast %.2f, want at least 4.5", word, best)
		}
	}
}

func colour(v uint8) picture.Colour { return picture.Colour{R: v, G: v, B: v, Set: true} }

// TestLabelsOfEveryEvent draws each kind of fault by itself, which leaves its words on the sheet unless it
// has no place in the tooth, and all kinds that are no fault at once, which leave none.
func TestLabelsOfEveryEvent(t *testing.T) {
	tooth := grown(t, "upper-lateral-incisor", 8)
	state := worn(tooth)
	words := func(events ...treatment.Event) string {
		d, err := picture.TreatmentPlate(state, events, picture.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return d.Description
	}
	plain := words()
	noPlace := []treatment.EventKind{treatment.WrongTooth, treatment.Precipitated, treatment.ChlorineLost, treatment.Eroded,
		treatment.PressureHigh, treatment.Coloured, treatment.RootLoaded, treatment.RootHeated, treatment.SealerOut, treatment.ShortFill,
		treatment.Painful, treatment.Splashed, treatment.DamLeaks, treatment.SyringeSwapped, treatment.Swallowed, treatment.Leaked, treatment.ThinCover,
		treatment.HornsLeft, treatment.OverOpened, treatment.WallGouged, treatment.CrownHole, treatment.BondSpoiled, treatment.CrownLeaked,
		treatment.NoDam, treatment.DressingLeft, treatment.ThroughHole, treatment.RestorationLost, treatment.CrackDeep}
	var harmless []treatment.Event
	for _, kind := range treatment.EventKinds() {
		event := treatment.Event{Kind: kind.Kind, Canal: "canal", Level: 2, Value: 0.2, Wall: "mesial"}
		if !kind.Fault {
			harmless = append(harmless, event)
			continue
		}
		if shown := words(event) != plain; shown == slices.Contains(noPlace, kind.Kind) {
			t.Errorf("%s: has a caption: %v", kind.Kind, shown)
		}
	}
	if words(harmless...) != plain {
		t.Error("an event that is no fault has a caption")
	}
}
