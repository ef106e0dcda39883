package quiz

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
	"tugback/internal/treatment"
)

// Ground is what items are generated from: a tooth as a scenario and seed have it.
type Ground struct {
	Scenario string // name; it may be empty
	Tooth    *anatomy.Tooth
}

// Generator makes items of one sort, as many as there are seeds.
type Generator struct {
	Name       string
	Step       string
	Level      string
	Difficulty string
	Source     string
	Tags       []string
	fill       func(d *draft)
}

// Generators returns every generator in the order of the procedure. Checked by TestGenerators.
func Generators() []Generator {
	all := beforeGenerators()
	all = append(all, lengthGenerators()...)
	all = append(all, fileGenerators()...)
	all = append(all, curveGenerators()...)
	all = append(all, rinseGenerators()...)
	return append(all, afterGenerators()...)
}

// Make makes an item: what it states is rounded as a person would write it, the answer is computed from
// what is stated, and the wrong options come from the usual mistakes. The same generator, ground and seed
// make the same item. Checked by TestGeneratedItems.
func (g Generator) Make(ground Ground, seed uint64) Item {
	stream := detmath.NewStream(seed, "quiz "+g.Name)
	d := &draft{ground: ground, stream: &stream, item: Item{
		ID: fmt.Sprintf("%s.%d", g.Name, seed), Step: g.Step, Level: g.Level, Difficulty: g.Difficulty,
		Source: g.Source, Tags: slices.Clone(g.Tags),
		Made: &Made{Generator: g.Name, Scenario: ground.Scenario, Seed: seed},
	}}
	g.fill(d)
	return d.item
}

// GeneratorNamed returns a generator by its name.
func GeneratorNamed(name string) (Generator, bool) {
	all := Generators()
	i := slices.IndexFunc(all, func(g Generator) bool { return g.Name == name })
	if i < 0 {
		return Generator{}, false
	}
	return all[i], true
}

// draft is an item in the making.
type draft struct {
	ground Ground
	stream *detmath.Stream
	item   Item
}

// slip is a usual mistake: the value it leads to and what to say to it.
type slip struct {
	value float64
	why   string
}

// figure is a question for a number.
type figure struct {
	value    float64
	unit     string
	decimals int
	why      string // the way to the right answer
	slips    []slip
	most     float64 // greatest value that makes sense, 0: none
}

// pick draws one of some values.
func pick[T any](d *draft, values ...T) T { return values[d.stream.Intn(len(values))] }

// draw draws a stated figure from low to high in steps, notes it under a name and returns it.
func (d *draft) draw(name, unit string, low, high, step float64) float64 {
	n := int(math.Floor((high-low)/step + 1e-9))
	return d.state(name, unit, round(low+float64(d.stream.Intn(n+1))*step, 4))
}

// state notes a figure that the stem states and returns it.
func (d *draft) state(name, unit string, value float64) float64 {
	d.item.Made.Given = append(d.item.Made.Given, Given{name, value, unit})
	return value
}

// call computes a formula of what is stated and notes it as what the key follows from.
func (d *draft) call(name string, args ...float64) float64 {
	d.item.Formula = &Call{name, args}
	value, err := d.item.Formula.Compute()
	if err != nil {
		panic("quiz: a generator asks what no formula answers: " + err.Error())
	}
	return value
}

// stem sets the question.
func (d *draft) stem(format string, args ...any) { d.item.Stem = fmt.Sprintf(format, args...) }

// ask turns a figure into a choice of four or a number to be entered, as the seed has it.
func (d *draft) ask(f figure) {
	d.item.Why = f.why
	d.item.Made.Value, d.item.Made.Unit = f.value, f.unit
	right := round(f.value, f.decimals)
	unit := 1.0
	for range f.decimals {
		unit /= 10
	}
	gap := max(2*unit, math.Abs(right)*0.04)
	slips := f.apart(right, gap)
	if d.stream.Intn(2) == 0 {
		d.item.Kind, d.item.Answer, d.item.Unit, d.item.Tolerance = Numeric, right, f.unit, unit
		d.item.Other = "This is not what the figures give. " + f.why
		for _, s := range slips {
			d.item.Mistakes = append(d.item.Mistakes, Mistake{Value: s.value, Feedback: s.why})
		}
		return
	}
	d.item.Kind, d.item.Keep = Single, true
	chosen := append([]slip{{right, f.why}}, d.filled(f, slips, right, gap)...)
	slices.SortFunc(chosen, func(a, b slip) int {
		if a.value < b.value {
			return -1
		}
		return 1
	})
	for n, s := range chosen {
		d.item.Options = append(d.item.Options, Option{ID: OptionID(n), Text: Show(s.value, f.unit, f.decimals),
			Right: s.value == right, Feedback: s.why})
	}
}

// apart returns the slips that differ enough from the right answer and from each other once rounded, as
// many as come.
func (f figure) apart(right, gap float64) []slip {
	var kept []slip
	for _, s := range f.slips {
		s.value = round(s.value, f.decimals)
		sound := s.value > 0 && !math.IsNaN(s.value) && !math.IsInf(s.value, 0) && (f.most == 0 || s.value <= f.most)
		for _, other := range append([]slip{{right, ""}}, kept...) {
			sound = sound && math.Abs(s.value-other.value) > gap
		}
		if sound {
			kept = append(kept, s)
		}
	}
	return kept
}

// filled returns three wrong options: slips, and where they do not suffice values near by.
func (d *draft) filled(f figure, slips []slip, right, gap float64) []slip {
	if len(slips) >= 3 {
		return slips[:3]
	}
	spread := max(2.5*gap, math.Abs(right)*0.25)
	side := pick(d, 1.0, -1.0)
	for n := 1; len(slips) < 3 && n < 12; n++ {
		value := right + side*float64((n+1)/2)*spread
		side = -side
		f.slips = append(slices.Clone(slips), slip{value, fmt.Sprintf("No step of the calculation gives %s. %s", Show(value, f.unit, f.decimals), f.why)})
		slips = f.apart(right, gap)
	}
	return slips[:min(3, len(slips))]
}

// classes turns texts into options of which one is right, in the order given.
func (d *draft) classes(right string, why string, options ...Option) {
	d.item.Kind, d.item.Why = Single, why
	for n, o := range options {
		o.ID, o.Right = OptionID(n), o.Text == right
		d.item.Options = append(d.item.Options, o)
	}
}

// canal draws one of the tooth's canals and says in words which it is.
func (d *draft) canal() (index int, words string) {
	index = d.stream.Intn(len(d.ground.Tooth.Canals))
	c := d.ground.Tooth.Canals[index]
	if len(d.ground.Tooth.Canals) == 1 || c.Name == "canal" {
		return index, "the canal of this " + d.tooth()
	}
	return index, fmt.Sprintf("the %s canal of this %s", c.Name, d.tooth())
}

// tooth says in words which tooth it is.
func (d *draft) tooth() string { return strings.ReplaceAll(string(d.ground.Tooth.Kind), "-", " ") }

// bend returns radius and angle of the main bend of a canal, rounded as they are read on a film, or, for a
// canal that is straight or bends widely, those of a bend drawn from the published range.
func (d *draft) bend(index int) (radius, angle float64) {
	b := anatomy.Measure(d.ground.Tooth, index).Pruett
	radius, angle = round(b.Radius*2, 0)/2, round(b.Angle/degree, 0)
	if math.IsInf(b.Radius, 0) || radius < 2 || radius > 15 || angle < 15 || angle > 75 {
		radius, angle = 3+0.5*float64(d.stream.Intn(15)), 20+float64(5*d.stream.Intn(9))
	}
	return d.state("radius", "mm", radius), d.state("bend", "deg", angle)
}

// size draws one of the catalogue's sizes within limits and notes it.
func (d *draft) size(low, high int) float64 {
	var sizes []int
	for _, s := range treatment.Sizes() {
		if s >= low && s <= high {
			sizes = append(sizes, s)
		}
	}
	return d.state("size", "", float64(pick(d, sizes...)))
}

// taper draws a taper, mm per mm, and notes it.
func (d *draft) taper(values ...float64) float64 {
	return d.state("taper", "", pick(d, values...))
}

// taperWord writes a taper as the trade does: .04.
func taperWord(taper float64) string { return fmt.Sprintf(".%02.0f", taper*100) }

// sizeWord writes a size with two digits at least.
func sizeWord(size float64) string { return fmt.Sprintf("%02.0f", size) }
