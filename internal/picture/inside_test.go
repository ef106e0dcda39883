package picture_test

import (
	"math"
	"slices"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
	"tugback/internal/picture"
)

// TestInside: a canal as grown has lost nothing and holds pulp over its whole length, no shavings; one that
// was worn shows what was cut, more shavings show more flecks, and every fleck lies in the canal but for its own
// length (0.09 mm) and half a station (0.05 mm). Reading
// it changes nothing.
func TestInside(t *testing.T) {
	tooth := grown(t, "upper-canine", 9)
	state := worn(tooth)
	c := &state.Canals[0]
	clear(c.Debris)
	before := picture.InsideOf(&state, 0)
	if len(before.Removed) == 0 || before.Walls.Empty() || !before.Chips.Empty() {
		t.Fatalf("worn and clean, it shows %d cuts and %d points of shavings", len(before.Removed), len(before.Chips.Points))
	}
	few := 0
	for k, share := range []float64{0.01, 0.4} {
		for i := range c.Debris {
			c.Debris[i] = share
		}
		in := picture.InsideOf(&state, 0)
		if k == 0 {
			few = len(in.Chips.Points)
		}
		if k == 1 && len(in.Chips.Points) < 4*few { // by the square root: 6.3 times as many
			t.Errorf("40 times the shavings show %d points, few %d", len(in.Chips.Points), few)
		}
		around := append(slices.Clone(in.Space.Points), in.Space.Points[0])
		for _, p := range in.Chips.Points {
			if d, _ := geom.Distance(p, around); d > 0.1 && !geom.Contains(in.Space.Points, p) {
				t.Fatalf("a fleck at %v lies %v mm outside the canal", p, d)
			}
		}
		if c.Debris[len(c.Debris)/2] != share {
			t.Fatal("reading it changed the state")
		}
	}
}

// TestCanalEndsAtItsForamen: however a foramen opens, the drawn canal does not run on in the root: nothing
// of it lies farther beyond the end of its axis than 0.4 mm, where straight ahead is still called near, and
// its own width.
func TestCanalEndsAtItsForamen(t *testing.T) {
	for _, kind := range []anatomy.Kind{"lower-first-molar", "upper-first-molar", "upper-canine", "lower-central-incisor"} {
		for seed := range uint64(6) {
			tooth := grown(t, kind, seed+1)
			state := worn(tooth)
			for k := range tooth.Canals {
				canal := &tooth.Canals[k]
				if canal.Joins >= 0 {
					continue
				}
				n := len(canal.Axis)
				end := canal.Axis[n-1]
				width := canal.Wall[0][n-1] + canal.Wall[1][n-1]
				for _, p := range picture.InsideOf(&state, k).Space.Points {
					on := p.Sub(end.Point).Dot(geom.Direction(end.Heading))
					if on > 0.4+width {
						t.Errorf("%s, seed %d, %s: drawn %.2f mm past its end, %.2f mm wide", kind, seed+1, canal.Name, on, width)
						break
					}
					if math.IsNaN(on) {
						t.Fatal("not a number")
					}
				}
			}
		}
	}
}
