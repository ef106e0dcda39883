package quiz_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/geom"
	"tugback/internal/quiz"
)

// options makes options of which those named are right.
func options(right string, texts ...string) []quiz.Option {
	var list []quiz.Option
	for n, text := range texts {
		id := quiz.OptionID(n)
		list = append(list, quiz.Option{ID: id, Text: text, Right: strings.Contains(right, id), Feedback: "about " + text})
	}
	return list
}

func several() quiz.Item {
	return quiz.Item{ID: "several", Kind: quiz.Several, Stem: "Choose.", Options: options("abc", "one", "two", "three", "four", "five"), Why: "so", Source: quiz.CommonPractice}
}

func ordering() quiz.Item {
	return quiz.Item{ID: "ordering", Kind: quiz.Ordering, Stem: "Order.", Options: options("", "one", "two", "three", "four"), Why: "so", Source: quiz.CommonPractice}
}

func matching() quiz.Item {
	return quiz.Item{ID: "matching", Kind: quiz.Matching, Stem: "Join.", Why: "so", Source: quiz.CommonPractice,
		Pairs: []quiz.Pair{{ID: "a", Left: "A", Right: "1", Feedback: "f"}, {ID: "b", Left: "B", Right: "2", Feedback: "f"}, {ID: "c", Left: "C", Right: "1", Feedback: "f"}},
		Spare: []quiz.Option{{ID: "a", Text: "3", Feedback: "f"}}}
}

func numeric() quiz.Item {
	return quiz.Item{ID: "numeric", Kind: quiz.Numeric, Stem: "How long?", Answer: 22, Unit: "mm", Tolerance: 0.1, Why: "so", Other: "no", Source: quiz.CommonPractice,
		Mistakes: []quiz.Mistake{{Value: 23.1, Feedback: "not corrected"}}}
}

// place asks for the foramen of the distal canal of a grown molar.
func place() quiz.Item {
	return quiz.Item{ID: "place", Kind: quiz.Place, Stem: "Mark.", Target: "foramen", Tolerance: 0.5, Why: "so", Other: "no", Source: quiz.CommonPractice,
		Subject:  &quiz.Subject{Kind: "lower-first-molar", Seed: 4, Canal: "D"},
		Mistakes: []quiz.Mistake{{Target: "orifice", Feedback: "the other end"}}}
}

// TestMark holds the credit of each kind against the rules written at Mark, worked by hand.
func TestMark(t *testing.T) {
	foramen := landmark(t, place(), "foramen")
	joined := func(words string) (list []quiz.Joined) {
		for _, w := range strings.Fields(words) {
			list = append(list, quiz.Joined{Pair: w[:1], Right: w[1:]})
		}
		return list
	}
	for _, c := range []struct {
		name string
		item quiz.Item
		r    quiz.Response
		want float64
	}{
		{"all right", several(), quiz.Response{Chosen: []string{"a", "b", "c"}}, 1},
		{"two of three", several(), quiz.Response{Chosen: []string{"a", "c"}}, 2.0 / 3},
		{"two right, one wrong: the share of right ones", several(), quiz.Response{Chosen: []string{"a", "c", "d"}}, 2.0 / 3},
		{"more chosen than are right (Ripkey)", several(), quiz.Response{Chosen: []string{"a", "b", "c", "d"}}, 0},
		{"nothing chosen", several(), quiz.Response{}, 0},
		{"right order", ordering(), quiz.Response{Chosen: []string{"a", "b", "c", "d"}}, 1},
		{"one swap of neighbours: 5 of 6 pairs", ordering(), quiz.Response{Chosen: []string{"b", "a", "c", "d"}}, 4.0 / 6},
		{"reversed", ordering(), quiz.Response{Chosen: []string{"d", "c", "b", "a"}}, 0},
		{"all joined", matching(), quiz.Response{Joined: joined("a1 b2 c1")}, 1},
		{"one wrong", matching(), quiz.Response{Joined: joined("a1 b3 c1")}, 2.0 / 3},
		{"one left out", matching(), quiz.Response{Joined: joined("a1 b2")}, 2.0 / 3},
		{"number at the edge", numeric(), quiz.Response{Value: 22.1}, 1},
		{"number beyond", numeric(), quiz.Response{Value: 22.11}, 0},
		{"place", place(), quiz.Response{Point: foramen}, 1},
		{"place within twice the tolerance", place(), quiz.Response{Point: foramen.Add(geom.Point{X: 0.9})}, 0.5},
		{"place far away", place(), quiz.Response{Point: foramen.Add(geom.Point{X: 1.2})}, 0},
	} {
		result, err := quiz.Mark(c.item, c.r)
		if err != nil || math.Abs(result.Credit-c.want) > 1e-12 || result.Right != (c.want == 1) {
			t.Errorf("%s: credit %.4f, right %v, %v; want %.4f", c.name, result.Credit, result.Right, err, c.want)
		}
		if result.Why == "" || result.Source == "" || len(result.Lines) == 0 {
			t.Errorf("%s: the result lacks reason, source or feedback", c.name)
		}
	}
}

// TestMistakesAreTold holds that a known wrong answer gets its own feedback and another one the general.
func TestMistakesAreTold(t *testing.T) {
	for _, c := range []struct {
		item quiz.Item
		r    quiz.Response
		want string
	}{
		{numeric(), quiz.Response{Value: 23.05}, "not corrected"},
		{numeric(), quiz.Response{Value: 5}, "no"},
		{numeric(), quiz.Response{Value: 22}, "so"},
		{place(), quiz.Response{Point: landmark(t, place(), "orifice")}, "the other end"},
		{place(), quiz.Response{Point: geom.Point{X: 30}}, "no"},
	} {
		result, err := quiz.Mark(c.item, c.r)
		if err != nil || result.Lines[0].Why != c.want {
			t.Errorf("%s %+v: %q (%v), want %q", c.item.ID, c.r, result.Lines[0].Why, err, c.want)
		}
	}
}

// TestMarkRefuses holds that what is no response to the item is an error, not a wrong answer.
func TestMarkRefuses(t *testing.T) {
	single := several()
	single.Kind, single.Options = quiz.Single, options("a", "one", "two", "three")
	lost := place()
	lost.Target = "no-such-place"
	for _, c := range []struct {
		item quiz.Item
		r    quiz.Response
	}{
		{several(), quiz.Response{Chosen: []string{"z"}}},
		{several(), quiz.Response{Chosen: []string{"a", "a"}}},
		{single, quiz.Response{Chosen: []string{"a", "b"}}},
		{single, quiz.Response{}},
		{ordering(), quiz.Response{Chosen: []string{"a", "b"}}},
		{matching(), quiz.Response{Joined: []quiz.Joined{{Pair: "z", Right: "1"}}}},
		{matching(), quiz.Response{Joined: []quiz.Joined{{Pair: "a", Right: "9"}}}},
		{matching(), quiz.Response{Joined: []quiz.Joined{{Pair: "a", Right: "1"}, {Pair: "a", Right: "2"}}}},
		{numeric(), quiz.Response{Value: math.NaN()}},
		{place(), quiz.Response{Point: geom.Point{X: math.Inf(1)}}},
		{lost, quiz.Response{}},
		{quiz.Item{ID: "x", Kind: "riddle"}, quiz.Response{}},
	} {
		if _, err := quiz.Mark(c.item, c.r); err == nil {
			t.Errorf("%s (%s) accepted %+v", c.item.ID, c.item.Kind, c.r)
		}
	}
}

// TestMarkProperties holds for any order and any choice: credit lies in 0 … 1, is full for the key only,
// and a random order earns next to nothing on average.
func TestMarkProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		item := ordering()
		order := rapid.Permutation([]string{"a", "b", "c", "d"}).Draw(t, "order")
		result, err := quiz.Mark(item, quiz.Response{Chosen: order})
		if err != nil || result.Credit < 0 || result.Credit > 1 || result.Right != slices.Equal(order, []string{"a", "b", "c", "d"}) {
			t.Fatalf("order %v: %+v, %v", order, result, err)
		}
		chosen := rapid.SliceOfDistinct(rapid.SampledFrom([]string{"a", "b", "c", "d", "e"}), rapid.ID[string]).Draw(t, "chosen")
		result, err = quiz.Mark(several(), quiz.Response{Chosen: chosen})
		slices.Sort(chosen)
		if err != nil || result.Credit < 0 || result.Credit > 1 || result.Right != slices.Equal(chosen, []string{"a", "b", "c"}) {
			t.Fatalf("choice %v: %+v, %v", chosen, result, err)
		}
	})
}

// TestPresent holds that parts are shuffled, that the same stream gives the same order, that kept options
// stay, and that an ordering never begins in its right order.
func TestPresent(t *testing.T) {
	places := map[int]int{}
	for seed := range uint64(400) {
		stream := detmath.NewStream(seed, "test")
		again := stream
		shown := quiz.Present(several(), &stream)
		if other := quiz.Present(several(), &again); !slices.Equal(shown.Order, other.Order) {
			t.Fatal("the same stream gave two orders")
		}
		sorted := slices.Clone(shown.Order)
		slices.Sort(sorted)
		if !slices.Equal(sorted, []int{0, 1, 2, 3, 4}) {
			t.Fatalf("order %v is no permutation", shown.Order)
		}
		places[slices.Index(shown.Order, 0)]++
		kept := several()
		kept.Keep = true
		if order := quiz.Present(kept, &stream).Order; !slices.Equal(order, []int{0, 1, 2, 3, 4}) {
			t.Errorf("kept options came as %v", order)
		}
		if order := quiz.Present(ordering(), &stream).Order; slices.Equal(order, []int{0, 1, 2, 3}) {
			t.Error("an ordering is shown in its right order")
		}
		if sides := quiz.Present(matching(), &stream).Sides; len(sides) != 3 {
			t.Errorf("right sides %v, want 3 different ones", sides)
		}
	}
	for n := range 5 { // 400 draws over 5 places: 80 each, standard deviation 8
		if places[n] < 48 || places[n] > 112 {
			t.Errorf("the first option stood in place %d %d times of 400", n+1, places[n])
		}
	}
}

// landmark returns a place on the tooth of an item.
func landmark(t *testing.T, item quiz.Item, name string) geom.Point {
	t.Helper()
	tooth, canal, err := item.Subject.Grow()
	if err != nil {
		t.Fatal(err)
	}
	p, found := quiz.Landmark(tooth, canal, name)
	if !found {
		t.Fatalf("no %s", name)
	}
	return p
}

// TestLandmarks holds places against each other: constriction before foramen, roof above floor, the danger
// zone in dentine towards the furcation, the ledge on the outer wall beyond the beginning of the bend.
func TestLandmarks(t *testing.T) {
	ledges := 0
	for seed := range uint64(12) {
		tooth, err := anatomy.Grow(anatomy.Spec{Kind: "lower-first-molar"}, seed)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range tooth.Canals {
			at := func(name string) geom.Point { p, _ := quiz.Landmark(tooth, i, name); return p }
			if gap := at("foramen").Sub(at("constriction")).Norm(); gap <= 0 || gap > c.Constriction.Level+0.2 {
				t.Errorf("seed %d %s: foramen and constriction are %.2f mm apart, the level is %.2f", seed, c.Name, gap, c.Constriction.Level)
			}
			if !(at("roof").Y > at("floor").Y && at("floor").Y > at("furcation").Y && at("furcation").Y > at("apex").Y) {
				t.Errorf("seed %d: roof, floor, furcation and apex are not in order", seed)
			}
			zone, found := quiz.Landmark(tooth, i, "danger-zone")
			if !found || zone.Y >= tooth.Furcation.Y {
				t.Errorf("seed %d %s: danger zone %v, %v is not below the furcation %v", seed, c.Name, zone, found, tooth.Furcation)
			}
			axis := c.Axis[0].Point
			for _, s := range c.Axis {
				if s.Point.Y >= zone.Y {
					axis = s.Point
				}
			}
			if (zone.X > axis.X) != (c.Name[0] == 'M') { // mesial canals have the furcation on their distal side
				t.Errorf("seed %d %s: the danger zone lies away from the furcation", seed, c.Name)
			}
			if ledge, found := quiz.Landmark(tooth, i, "ledge"); found {
				ledges++
				if ledge.Y > at("orifice").Y || ledge.Y < at("foramen").Y {
					t.Errorf("seed %d %s: the ledge %v lies outside the canal", seed, c.Name, ledge)
				}
			}
			if _, found := quiz.Landmark(tooth, i, "no-such-place"); found {
				t.Error("a place that does not exist was found")
			}
		}
	}
	if ledges == 0 {
		t.Error("no canal of twelve teeth has a ledge")
	}
}

// TestReadings holds readings against plain measurement of the grown tooth.
func TestReadings(t *testing.T) {
	tooth, err := anatomy.Grow(anatomy.Spec{Kind: "lower-first-molar"}, 5)
	if err != nil {
		t.Fatal(err)
	}
	c := tooth.Canals[0]
	path := 0.0
	for i := 1; i < len(c.Axis); i++ {
		path += math.Hypot(c.Axis[i].Point.X-c.Axis[i-1].Point.X, c.Axis[i].Point.Y-c.Axis[i-1].Point.Y)
	}
	for name, want := range map[string]float64{
		"canal-length": path,
		"roof-depth":   tooth.Crown.Cusps[0].Point.Y - tooth.Chamber.Roof,
		"floor-depth":  tooth.Crown.Cusps[0].Point.Y - tooth.Chamber.Floor,
	} {
		if got, found := quiz.Read(tooth, 0, name, 0); !found || math.Abs(got-want) > 0.05 {
			t.Errorf("%s: %.3f mm (%v), want %.3f", name, got, found, want)
		}
	}
	if _, found := quiz.Read(tooth, 0, "width", c.Length+1); found {
		t.Error("a width above the orifice was read")
	}
	if _, found := quiz.Read(tooth, 0, "no-such-reading", 0); found {
		t.Error("a reading that does not exist was read")
	}
	for _, r := range quiz.Readings() {
		if _, found := quiz.Read(tooth, 0, r.Name, 3); !found && r.Name != "pruett-radius" {
			t.Errorf("%s cannot be read", r.Name)
		}
	}
	if _, _, err := (&quiz.Subject{Kind: "lower-first-molar", Seed: 1, Canal: "X"}).Grow(); err == nil {
		t.Error("a canal that the tooth does not have was found")
	}
}
