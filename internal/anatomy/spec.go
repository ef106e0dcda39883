package anatomy

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/detmath"
)

// SpecError says which field of a Spec cannot be had, what it is and what is allowed. Its text gives
// angles in degrees, since people read it.
type SpecError struct {
	Field   string // as in Spec: "Length", "Canals[MB].Radius"
	Value   string // what was found
	Allowed string // what is allowed, and why where that is not plain
}

// Error returns field, value and what is allowed in one line.
func (e *SpecError) Error() string {
	return fmt.Sprintf("%s is %s, allowed: %s", e.Field, e.Value, e.Allowed)
}

// bound is what a Range may hold.
type bound struct {
	low, high float64
	unit      string // "rad" is shown in degrees
}

func (b bound) show(v float64) string {
	if b.unit == "rad" {
		return trim(v/degree) + " deg"
	}
	return strings.TrimSpace(trim(v) + " " + b.unit)
}

func trim(v float64) string { return strconv.FormatFloat(math.RoundToEven(v*1000)/1000, 'f', -1, 64) }

func (b bound) refuse(field string, value float64, why string) error {
	allowed := b.show(b.low) + " to " + b.show(b.high)
	if why != "" {
		allowed += " (" + why + ")"
	}
	return &SpecError{field, b.show(value), allowed}
}

// check refuses a range that is turned round or leaves the bound.
func (b bound) check(field string, r Range) error {
	if !r.Set {
		return nil
	}
	for _, v := range [2]float64{r.Low, r.High} {
		if !(v >= b.low && v <= b.high) {
			return b.refuse(field, v, "")
		}
	}
	if r.Low > r.High {
		return &SpecError{field, b.show(r.Low) + " to " + b.show(r.High), "the lower value first"}
	}
	return nil
}

// fieldRange is one Range of a spec with what it may hold.
type fieldRange struct {
	name  string
	value Range
	bound bound
}

// checkSpec returns the first fault of a spec that can be seen without growing.
func checkSpec(spec Spec) (layout, error) {
	l, ok := layoutOf(spec.Kind)
	if !ok {
		return l, &SpecError{"Kind", strconv.Quote(string(spec.Kind)), kindWords()}
	}
	for _, f := range []fieldRange{
		{"Age", spec.Age, bound{12, 90, "years"}},
		{"Length", spec.Length, bound{12, 36, "mm"}},
		{"Noise", spec.Noise, bound{0, 2, ""}},
		{"Crown", spec.Crown, bound{4, 14, "mm"}},
		{"ChamberHeight", spec.ChamberHeight, bound{0.3, 6, "mm"}},
		{"RoofDepth", spec.RoofDepth, bound{2.5, 10, "mm"}},
	} {
		if err := f.bound.check(f.name, f.value); err != nil {
			return l, err
		}
	}
	return l, checkCanals(l, spec.Canals)
}

func kindWords() string {
	words := make([]string, 0, 14)
	for _, k := range Kinds() {
		words = append(words, string(k))
	}
	return strings.Join(words, ", ")
}

func checkCanals(l layout, canals []CanalSpec) error {
	names := CanalNames(l.kind)
	for i, c := range canals {
		field := "Canals[" + c.Name + "]"
		if !slices.Contains(names, c.Name) {
			return &SpecError{"Canals[" + strconv.Itoa(i) + "].Name", strconv.Quote(c.Name), strings.Join(names, ", ")}
		}
		for _, earlier := range canals[:i] {
			if earlier.Name == c.Name {
				return &SpecError{field, "given twice", "each canal once"}
			}
		}
		if err := checkCanal(field, c); err != nil {
			return err
		}
	}
	return nil
}

// leastRadius, mm, keeps the inner surface of a root from folding: the dentine there is thinner.
const leastRadius = 2

func checkCanal(field string, c CanalSpec) error {
	angle, radius := bound{0, 75 * degree, "rad"}, bound{leastRadius, 100, "mm"}
	for _, f := range []fieldRange{
		{"Length", c.Length, bound{4, 28, "mm"}},
		{"Angle", c.Angle, angle}, {"Radius", c.Radius, radius},
		{"ApicalStraight", c.ApicalStraight, bound{0, 15, "mm"}},
		{"SecondAngle", c.SecondAngle, angle}, {"SecondRadius", c.SecondRadius, radius},
		{"ProximalAngle", c.ProximalAngle, angle}, {"ProximalRadius", c.ProximalRadius, radius},
		{"OrificeTilt", c.OrificeTilt, bound{-45 * degree, 45 * degree, "rad"}},
		{"Narrow", c.Narrow, bound{0.06, 1.5, "mm"}}, {"Wide", c.Wide, bound{0.06, 1.8, "mm"}},
		{"ConstrictionLevel", c.ConstrictionLevel, bound{0, 2, "mm"}},
		{"ForamenOffset", c.ForamenOffset, bound{0, 3, "mm"}},
		{"Taper", c.Taper, bound{0, 0.2, "mm/mm"}},
		{"JoinLevel", c.JoinLevel, bound{0.5, 12, "mm"}},
	} {
		if err := f.bound.check(field+"."+f.name, f.value); err != nil {
			return err
		}
	}
	if err := checkWords(field, c); err != nil {
		return err
	}
	return checkNarrowings(field, c.Calcified)
}

func checkWords(field string, c CanalSpec) error {
	for _, w := range []struct {
		name, value string
		words       []string
	}{
		{"Towards", c.Towards, []string{"mesial", "distal"}},
		{"ProximalTowards", c.ProximalTowards, []string{"buccal", "lingual"}},
		{"Constriction", c.Constriction, constrictionTypes()},
	} {
		if w.value != "" && !slices.Contains(w.words, w.value) {
			return &SpecError{field + "." + w.name, strconv.Quote(w.value), strings.Join(w.words, ", ")}
		}
	}
	return nil
}

func checkNarrowings(field string, narrowings []Narrowing) error {
	for i, n := range narrowings {
		place := field + ".Calcified[" + strconv.Itoa(i) + "]"
		for _, f := range []struct {
			name  string
			value float64
			bound bound
		}{
			{"Level", n.Level, bound{0, 25, "mm"}},
			{"Length", n.Length, bound{0.2, 15, "mm"}},
			{"Share", n.Share, bound{0.1, 1, ""}},
		} {
			if !(f.value >= f.bound.low && f.value <= f.bound.high) {
				return f.bound.refuse(place+"."+f.name, f.value, "")
			}
		}
	}
	return nil
}

// take returns the fixed value of a range or one drawn in it, or the norm's draw if it is unset.
func take(r Range, s detmath.Stream, drawn func(*detmath.Stream) float64) float64 {
	switch {
	case !r.Set:
		return drawn(&s)
	case r.Low == r.High:
		return r.Low
	}
	return s.Range(r.Low, r.High)
}
