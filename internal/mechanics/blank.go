package mechanics

import (
	"errors"
	"fmt"
	"math"
)

// Span is a stretch of an instrument's working part with one taper (mm/mm, negative: narrowing towards
// the handle), from From mm behind the tip on.
type Span struct{ From, Taper float64 }

// Blank is an instrument's geometry and material.
type Blank struct {
	Tip         float64 // D0, mm
	Spans       []Span  // first From = 0, rising
	WorkingPart float64 // mm, fluted
	Shaft       float64 // mm: largest diameter (caps the taper) and the shaft above the working part
	Neck        float64 // mm: diameter above the working part where it differs from Shaft; 0: Shaft
	Length      float64 // tip to handle, mm
	TipAngle    float64 // half angle of the tip cone, rad
	TipCuts     float64 // 1 cutting pyramid … 0 smooth guiding tip
	Edge        float64 // cutting efficiency of the flutes, 1 = steel K-type
	Helix       float64 // angle of the flutes to the axis, rad
	Section     Section
	Alloy       Alloy
}

// Diameter returns the diameter x mm behind the tip, mm, the tip cone left out: D0 + taper·x over the
// spans, never more than Shaft; above the working part Neck or Shaft.
// Source: ISO 3630-1 size system. Checked by TestDiameter (D2).
func (b Blank) Diameter(x float64) float64 {
	if x > b.WorkingPart {
		if b.Neck > 0 {
			return b.Neck
		}
		return b.Shaft
	}
	d := b.Tip
	for i, span := range b.Spans {
		end := x
		if i+1 < len(b.Spans) && b.Spans[i+1].From < x {
			end = b.Spans[i+1].From
		}
		if end <= span.From {
			break
		}
		d += float64(span.Taper * (end - span.From))
	}
	return math.Min(d, b.Shaft)
}

// Check returns every fault of a blank at once, nil if it can be made: sizes positive and finite, spans
// rising from 0, tip half angle 30°–45° (full angle 75° ± 15°), shares within 0–1, a plausible alloy.
// Checked by TestBlankCheck (D8).
func (b Blank) Check() error {
	var faults []error
	need := func(ok bool, format string, args ...any) {
		if !ok {
			faults = append(faults, fmt.Errorf("mechanics: "+format, args...))
		}
	}
	between := func(name string, v, low, high float64) {
		need(v >= low && v <= high, "%s %g is outside %g to %g", name, v, low, high)
	}
	between("tip diameter (mm)", b.Tip, 0.03, 2)
	between("shaft (mm)", b.Shaft, b.Tip, 3)
	between("neck (mm)", b.Neck, 0, 3)
	between("length (mm)", b.Length, 5, 60)
	between("working part (mm)", b.WorkingPart, 0.5, b.Length)
	between("tip half angle (rad)", b.TipAngle, math.Pi/6-1e-9, math.Pi/4+1e-9)
	between("tip cutting share", b.TipCuts, 0, 1)
	between("edge", b.Edge, 0, 5)
	between("helix (rad)", b.Helix, 0, math.Pi/2)
	need(len(b.Spans) > 0 && b.Spans[0].From == 0, "the first span must begin at the tip")
	for i, span := range b.Spans {
		between("taper", span.Taper, -0.5, 0.6)
		need(i == 0 || span.From > b.Spans[i-1].From, "span %d does not begin behind the one before", i)
	}
	for _, x := range []float64{0, b.WorkingPart / 2, b.WorkingPart} {
		need(b.Diameter(x) > 0.02, "diameter %g mm at %g mm behind the tip", b.Diameter(x), x)
	}
	faults = append(faults, b.Section.check(), b.Alloy.check())
	return errors.Join(faults...)
}

func (s Section) check() error {
	switch s.Shape {
	case Circle, Square, Triangle:
		return nil
	case Rhombus:
		if s.Ratio >= 0.2 && s.Ratio <= 1 {
			return nil
		}
		return fmt.Errorf("mechanics: rhombus ratio %g is outside 0.2 to 1", s.Ratio)
	case Core:
		if s.Ratio >= 0 && s.Ratio <= 0.4 {
			return nil
		}
		return fmt.Errorf("mechanics: flute depth %g is outside 0 to 0.4", s.Ratio)
	default:
		return fmt.Errorf("mechanics: no section shape %d", s.Shape)
	}
}

func (a Alloy) check() error {
	positive := a.Modulus > 0 && a.Shear > 0 && a.Yield > 0 && a.ShearUltimate > 0 && a.FatigueStrain > 0
	slopes := a.PlateauSlope > 0 && a.PlateauSlope <= 1 && a.FullStrain >= 0 && (a.FullStrain == 0 || (a.FinalSlope > 0 && a.FinalSlope <= 1))
	if !positive || !slopes || !(a.SetSlope >= 0 && a.SetSlope <= 1) || !(a.FatigueExponent < 0) ||
		math.IsInf(a.Modulus+a.Shear+a.Yield+a.ShearUltimate+a.FatigueStrain+a.FatigueExponent, 0) {
		return fmt.Errorf("mechanics: alloy %q has a value that no material has", a.Name)
	}
	return nil
}
