package detmath_test

import (
	"crypto/sha256"
	"encoding/hex"
	"math"
	"reflect"
	"strings"
	"testing"

	"tugback/internal/detmath"

	"pgregory.net/rapid"
)

type file struct {
	Name string
	Size uint8
	Wear float64
}

type sample struct {
	Seed    int
	Vital   bool
	Radii   []float64
	Wall    [2]float64
	Files   []file
	Current *file
	Cache   []float64 `digest:"-"`
	hidden  int
}

func newSample() sample {
	return sample{
		Seed: -3, Vital: true, Radii: []float64{0.1, 1e-9}, Wall: [2]float64{1, math.Pi},
		Files: []file{{"first", 15, 0.5}}, Cache: []float64{9}, hidden: 4,
	}
}

func TestWalk(t *testing.T) {
	want := [][2]string{ // derived from the rules in Walk's comment
		{"Seed", "-3"}, {"Vital", "true"}, {"Radii.len", "2"}, {"Radii[0]", "0.1"}, {"Radii[1]", "1e-09"},
		{"Wall[0]", "1"}, {"Wall[1]", "3.141592653589793"}, {"Files.len", "1"},
		{"Files[0].Name", `"first"`}, {"Files[0].Size", "15"}, {"Files[0].Wear", "0.5"},
		{"Current", "nil"}, {"hidden", "4"},
	}
	var got [][2]string
	detmath.Walk(newSample(), func(path string, leaf detmath.Leaf) {
		got = append(got, [2]string{path, leaf.Text})
	})
	if !reflect.DeepEqual(got, want) {
		t.Errorf("Walk visited %v, want %v", got, want)
	}
}

func TestWalkRefusals(t *testing.T) {
	type loop struct{ Next *loop }
	cycle := &loop{}
	cycle.Next = cycle
	refused := map[string]any{
		"map": map[string]int{}, "func": func() {}, "chan": make(chan int),
		"interface": struct{ X any }{1}, "complex": complex(1, 2), "nil": nil, "cycle": cycle,
	}
	for name, value := range refused {
		mustPanic(t, "Walk of "+name, func() { detmath.Walk(value, func(string, detmath.Leaf) {}) })
		mustPanic(t, "Digest of "+name, func() { detmath.Digest(value) })
	}
}

// The hashed bytes are written out here by hand from the description at Digest.
func TestDigest(t *testing.T) {
	value := struct {
		N int
		F []float64
	}{2, []float64{1}}
	bytes := "\x01\x00\x00\x00\x00\x00\x00\x00N" + "i\x02\x00\x00\x00\x00\x00\x00\x00" +
		"\x05\x00\x00\x00\x00\x00\x00\x00F.len" + "l\x01\x00\x00\x00\x00\x00\x00\x00" +
		"\x01\x00\x00\x00\x00\x00\x00\x00F" + "F\x01\x00\x00\x00\x00\x00\x00\x00" +
		"\x00\x00\x00\x00\x00\x00\xf0\x3f"
	sum := sha256.Sum256([]byte(bytes))
	if got, want := detmath.Digest(value), hex.EncodeToString(sum[:]); got != want {
		t.Errorf("Digest = %s, want %s", got, want)
	}
}

// The same for a row of bools, and for a column of more than 16 floats, which enters by its own digest.
func TestDigestOfLongRows(t *testing.T) {
	column := make([]float64, 17)
	column[0] = 1
	inner := sha256.Sum256([]byte("\x00\x00\x00\x00\x00\x00\xf0\x3f" + strings.Repeat("\x00", 8*16)))
	bytes := "\x05\x00\x00\x00\x00\x00\x00\x00B.len" + "l\x02\x00\x00\x00\x00\x00\x00\x00" +
		"\x01\x00\x00\x00\x00\x00\x00\x00B" + "B\x02\x00\x00\x00\x00\x00\x00\x00\x01\x00" +
		"\x05\x00\x00\x00\x00\x00\x00\x00C.len" + "l\x11\x00\x00\x00\x00\x00\x00\x00" +
		"\x01\x00\x00\x00\x00\x00\x00\x00C" + "C\x11\x00\x00\x00\x00\x00\x00\x00" + string(inner[:])
	value := struct {
		B []bool
		C []float64
	}{[]bool{true, false}, column}
	sum := sha256.Sum256([]byte(bytes))
	if got, want := detmath.Digest(value), hex.EncodeToString(sum[:]); got != want {
		t.Errorf("Digest = %s, want %s", got, want)
	}
}

// Whatever a Digester was given before, it returns what Digest does: columns changed in place, in the sign
// of a zero only, made shorter, put before others, swapped, and taken away.
func TestDigester(t *testing.T) {
	var d detmath.Digester
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.SampledFrom([]float64{0, math.Copysign(0, -1), 1, math.NaN()})
		columns := rapid.SliceOfN(rapid.SliceOfN(number, 15, 19), 0, 4).Draw(t, "columns")
		if got, want := d.Digest(columns), detmath.Digest(columns); got != want {
			t.Fatalf("Digester gives %s, Digest %s", got, want)
		}
		for _, c := range columns {
			c[0]++
		}
		if got, want := d.Digest(columns), detmath.Digest(columns); got != want {
			t.Fatalf("changed in place: Digester gives %s, Digest %s", got, want)
		}
	})
}

// Every change that Diff reports changes the digest, and no other change does.
func TestDiff(t *testing.T) {
	cases := []struct {
		name   string
		change func(s *sample)
		want   []detmath.Difference
	}{
		{"nothing", func(s *sample) {}, nil},
		{"cache", func(s *sample) { s.Cache = nil }, nil},
		{"int", func(s *sample) { s.Seed = 4 }, []detmath.Difference{{"Seed", "4", "-3"}}},
		{"unexported", func(s *sample) { s.hidden = 5 }, []detmath.Difference{{"hidden", "5", "4"}}},
		{"last bit", func(s *sample) { s.Radii = []float64{math.Nextafter(0.1, 1), 1e-9} },
			[]detmath.Difference{{"Radii[0]", "0.10000000000000002", "0.1"}}},
		{"sign of zero", func(s *sample) { s.Files = []file{{"first", 15, math.Copysign(0.5, -1)}} },
			[]detmath.Difference{{"Files[0].Wear", "-0.5", "0.5"}}},
		{"shorter", func(s *sample) { s.Radii = s.Radii[:1] },
			[]detmath.Difference{{"Radii.len", "1", "2"}, {"Radii[1]", "absent", "1e-09"}}},
		{"longer", func(s *sample) { s.Radii = append([]float64{0.1, 1e-9}, 7) },
			[]detmath.Difference{{"Radii.len", "3", "2"}, {"Radii[2]", "7", "absent"}}},
		{"pointer set", func(s *sample) { s.Current = &file{Name: "x"} },
			[]detmath.Difference{{"Current.Name", `"x"`, "absent"}, {"Current.Size", "0", "absent"},
				{"Current.Wear", "0", "absent"}, {"Current", "absent", "nil"}}},
	}
	base := newSample()
	for _, c := range cases {
		changed := newSample()
		c.change(&changed)
		if got := detmath.Diff(changed, base, 10); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: Diff = %v, want %v", c.name, got, c.want)
		}
		if same := detmath.Digest(changed) == detmath.Digest(base); same != (c.want == nil) {
			t.Errorf("%s: digests equal is %v, want %v", c.name, same, c.want == nil)
		}
	}
	other := sample{}
	if got := detmath.Diff(other, base, 2); len(got) != 2 || got[0].Path != "Seed" {
		t.Errorf("Diff limited to 2 = %v, want the first two", got)
	}
}

func TestNilAndEmptySliceAreAlike(t *testing.T) {
	a, b := newSample(), newSample()
	a.Files, b.Files = nil, []file{}
	if detmath.Digest(a) != detmath.Digest(b) {
		t.Error("digests of nil and empty slice differ, want the same")
	}
}

func TestNaNIsOneValue(t *testing.T) {
	odd := math.Float64frombits(0xFFF8000000000123)
	a, b := []float64{odd}, []float64{math.NaN()}
	if detmath.Digest(a) != detmath.Digest(b) || detmath.Diff(a, b, 1) != nil {
		t.Error("two kinds of NaN differ, want them alike")
	}
}

func TestPointerIsFollowed(t *testing.T) {
	s := newSample()
	if detmath.Digest(&s) != detmath.Digest(s) {
		t.Error("digest of a pointer differs from that of its value")
	}
}

// tooth has the size of a treated tooth: 20 000 floats, half in plain slices, half in structs.
type tooth struct {
	Plain  [10][]float64
	Places []place
}

type place struct {
	S, X, Y float64
	Wall    [4]float64
	Debris  float64
}

func newTooth() tooth {
	var value tooth
	for i := range value.Plain {
		value.Plain[i] = make([]float64, 1000)
	}
	value.Places = make([]place, 1250)
	return value
}

// A checkpoint digests the whole state, so it must be quick: aimed at below 10 ms.
func BenchmarkDigest(b *testing.B) {
	value := newTooth()
	for b.Loop() {
		detmath.Digest(value)
	}
}

// The same of a state of which one column has changed.
func BenchmarkDigester(b *testing.B) {
	value := newTooth()
	var d detmath.Digester
	for b.Loop() {
		value.Plain[3][500]++
		d.Digest(value)
	}
}

func BenchmarkSincos(b *testing.B) {
	for b.Loop() {
		detmath.Sincos(1.2)
	}
}
