package treatment_test

import (
	"math"
	"slices"
	"testing"

	"tugback/internal/treatment"
)

// D1: nominal sizes and colours. Source: ISO 3630-1 (from memory, high certainty); steps 10–60 of 0.05
// and the colour sequence were read in a supplier's size page.
func TestSizes(t *testing.T) {
	want := []int{6, 8, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 70, 80, 90, 100, 110, 120, 130, 140}
	if got := treatment.Sizes(); !slices.Equal(got, want) {
		t.Fatalf("sizes %v, want %v", got, want)
	}
	colours := map[int]string{6: "pink", 8: "grey", 10: "purple", 15: "white", 20: "yellow", 25: "red", 30: "blue",
		35: "green", 40: "black", 45: "white", 50: "yellow", 55: "red", 60: "blue", 70: "green", 80: "black",
		90: "white", 100: "yellow", 110: "red", 120: "blue", 130: "green", 140: "black", 7: ""}
	for size, colour := range colours {
		if got := treatment.Colour(size); got != colour {
			t.Errorf("colour of size %d: %q, want %q", size, got, colour)
		}
	}
}

// D3: D16 − D0 = 0.32 mm at a taper of .02 for every steel hand file. Source: ADA 28 / ISO 3630-1, read.
func TestStandardTaper(t *testing.T) {
	for _, size := range treatment.Sizes() {
		blank := instrument(t, "hand-steel", size, 2).Blank()
		if got := blank.Diameter(16) - blank.Diameter(0); math.Abs(got-0.32) > 1e-12 {
			t.Errorf("size %d: D16 − D0 = %.4f mm, want 0.32", size, got)
		}
	}
}

// D4: cutting k mm off a .02 tip makes a size s act as s + 2k: 10 cut 1 mm → 12, 2 mm → 14; 15 cut
// 1 mm → 17. Source: a standards digest, read.
func TestTrimmed(t *testing.T) {
	for _, c := range []struct{ size, cut, want float64 }{{0.10, 1, 0.12}, {0.10, 2, 0.14}, {0.15, 1, 0.17}} {
		if got := treatment.Trimmed(c.size, 0.02, c.cut); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("tip %.2f mm cut %.0f mm: %.4f mm, want %.2f", c.size, c.cut, got, c.want)
		}
	}
}

// D5: relative steps between neighbours 10→15 0.50, 30→35 0.1667, 55→60 0.0909. Source: the same digest.
func TestRelativeStep(t *testing.T) {
	for _, c := range []struct {
		from, to int
		want     float64
	}{{10, 15, 0.5}, {30, 35, 0.1667}, {55, 60, 0.0909}} {
		i := slices.Index(treatment.Sizes(), c.from)
		next := treatment.Sizes()[i+1]
		if got := float64(next-c.from) / float64(c.from); next != c.to || math.Abs(got-c.want) > 1e-4 {
			t.Errorf("%d→%d: %.4f, want %d and %.4f", c.from, next, got, c.to, c.want)
		}
	}
}

// D7: heads of orifice enlargers 0.50, 0.70 … 1.50 mm. Source: ISO 3630-2 (from memory, high certainty);
// Luebke & Brantley 1990 found measured heads close to it.
func TestEnlargerHead(t *testing.T) {
	for i, want := range []float64{0.5, 0.7, 0.9, 1.1, 1.3, 1.5} {
		if got := treatment.EnlargerHead(i + 1); math.Abs(got-want) > 1e-12 {
			t.Errorf("number %d: %.3f mm, want %.1f", i+1, got, want)
		}
		blank := instrument(t, "enlarger", i+1, 0).Blank()
		if got := blank.Diameter(2); math.Abs(got-want) > 1e-9 {
			t.Errorf("number %d: head of the blank %.3f mm, want %.1f", i+1, got, want)
		}
	}
}

// D8: tip angle 75° ± 15° in all. Source: a standards digest, read.
func TestTipAngle(t *testing.T) {
	for _, i := range treatment.Catalogue() {
		if !i.Shapes() {
			continue
		}
		blank := i.Blank()
		if err := blank.Check(); err != nil {
			t.Errorf("%s: %v", i.ID, err)
		}
		if whole := 2 * blank.TipAngle * 180 / math.Pi; whole < 60 || whole > 90 {
			t.Errorf("%s: tip angle %.1f°, want 60–90", i.ID, whole)
		}
	}
}

func TestLookup(t *testing.T) {
	seen := map[string]bool{}
	for _, i := range treatment.Catalogue() {
		if seen[i.ID] {
			t.Errorf("%s is listed twice", i.ID)
		}
		seen[i.ID] = true
		if got, err := treatment.Lookup(i.ID); err != nil || got != i {
			t.Errorf("lookup %s: %v, %v", i.ID, got, err)
		}
	}
	for _, id := range []string{"", "hand-steel-26.02", "hand-steel", "file"} {
		if _, err := treatment.Lookup(id); err == nil {
			t.Errorf("lookup %q was not refused", id)
		}
	}
}

func instrument(t *testing.T, family string, size, taper int) treatment.Instrument {
	t.Helper()
	for _, i := range treatment.Catalogue() {
		if i.Family == family && i.Size == size && i.Taper == taper {
			return i
		}
	}
	t.Fatalf("no %s %d.%02d", family, size, taper)
	return treatment.Instrument{}
}

// TestLengths holds the lengths in which files are sold: 21, 25 and 31 mm (instruments 1), and that one of another
// length is the same file but for its length.
func TestLengths(t *testing.T) {
	for _, c := range []struct {
		id     string
		length float64
	}{{"hand-steel-10.02", 25}, {"hand-steel-10.02-21mm", 21}, {"hand-steel-10.02-31mm", 31}, {"rotary-heat-25.04-31mm", 31}, {"hand-flex-25.02-31mm", 31}} {
		i, err := treatment.Lookup(c.id)
		if err != nil {
			t.Fatal(err)
		}
		usual, err := treatment.Lookup(c.id[:len(c.id)-len("-31mm")])
		if c.length == 25 {
			usual, err = i, nil
		}
		if err != nil {
			t.Fatal(err)
		}
		b, u := i.Blank(), usual.Blank()
		if b.Length != c.length || b.Tip != u.Tip || b.WorkingPart != u.WorkingPart || i.Size != usual.Size || i.Steel() != usual.Steel() {
			t.Errorf("%s: %+v, want a file of %g mm", c.id, b, c.length)
		}
	}
	if _, err := treatment.Lookup("cone-25.04-31mm"); err == nil {
		t.Error("cones come in one length")
	}
}
