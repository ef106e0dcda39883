package mechanics

import (
	"math"

	"tugback/internal/detmath"
)

// Rod is a Blank sampled from the tip at equal steps: what the solver sees. Stiffness, yield and strength
// are those of the diameter without the tip cone, which is too short to bend or twist by itself.
type Rod struct {
	Blank           Blank
	Step            float64   // mm
	Radius          []float64 // of the circumscribed circle, tip cone included, mm
	Stiffness       []float64 // bending stiffness E·I, N·mm²
	YieldCurvature  []float64 // 1/mm: where yield or plateau begins, idealised to one knee at the full plastic moment
	FullCurvature   []float64 // 1/mm: where the plateau ends; very large without one
	TorsionStrength []float64 // N·mm

	core     []float64 // radius without tip cone, mm
	slope    []float64 // taper/2, the side's slope towards the handle
	softness []float64 // ∫ 1/√(E·I) from the tip, for Euler's load
	windup   []float64 // ∫ 1/(G·J) from the tip, rad per N·mm
	tipSlope float64   // tangent of the tip half angle
	coneEnd  float64   // mm behind the point where the cone ends
	pull     float64   // sine of the helix: edges against an axial stroke
	turn     float64   // cosine of the helix: edges against turning
	chips    float64   // share of the section free for shavings
}

// NewRod samples a blank at equal steps (mm) from the tip to the handle. It panics if the blank fails
// Check or the step is not in (0, 1].
func NewRod(b Blank, step float64) *Rod {
	if err := b.Check(); err != nil {
		panic(err.Error())
	}
	if !(step > 0 && step <= 1) {
		panic("mechanics: rod step outside 0 to 1 mm")
	}
	n := int(math.Ceil(b.Length/step)) + 2
	r := &Rod{Blank: b, Step: step, tipSlope: detmath.Tan(b.TipAngle), chips: b.Section.ChipSpace()}
	r.pull, r.turn = detmath.Sincos(b.Helix)
	r.coneEnd = math.Max(0, (float64(b.Tip/2)-pointRadius)/r.tipSlope)
	columns := []*[]float64{&r.Radius, &r.Stiffness, &r.YieldCurvature, &r.FullCurvature, &r.TorsionStrength, &r.core, &r.slope, &r.softness, &r.windup}
	backing := make([]float64, n*len(columns))
	for i, c := range columns {
		*c = backing[i*n : (i+1)*n : (i+1)*n]
	}
	for i := range n {
		r.sample(i)
	}
	return r
}

// sample fills station i.
func (r *Rod) sample(i int) {
	b, x := r.Blank, float64(float64(i)*r.Step)
	d := b.Diameter(x)
	r.core[i] = d / 2
	r.Radius[i] = math.Min(d/2, pointRadius+float64(r.tipSlope*x))
	r.slope[i] = (b.Diameter(x+r.Step) - d) / (2 * r.Step)
	inertia := b.Section.Inertia(d)
	r.Stiffness[i] = b.Alloy.Modulus * inertia
	r.YieldCurvature[i] = b.Alloy.Yield * b.Section.Plastic(d) / (b.Alloy.Modulus * inertia)
	r.FullCurvature[i] = freeGap
	if b.Alloy.FullStrain > 0 {
		r.FullCurvature[i] = math.Max(b.Alloy.FullStrain/(d/2), r.YieldCurvature[i])
	}
	r.TorsionStrength[i] = b.Alloy.ShearUltimate * b.Section.PlasticTorsion(d)
	if i > 0 {
		r.softness[i] = r.softness[i-1] + float64(r.Step/2*(1/math.Sqrt(r.Stiffness[i-1])+1/math.Sqrt(r.Stiffness[i])))
		r.windup[i] = r.windup[i-1] + r.Step/(b.Alloy.Shear*b.Section.Torsion(d))
	}
}

// at returns a sampled property x mm behind the tip, interpolated; the ends hold beyond the rod.
func (r *Rod) at(samples []float64, x float64) float64 {
	u := x / r.Step
	i := int(u)
	if x <= 0 {
		return samples[0]
	}
	if i+1 >= len(samples) {
		return samples[len(samples)-1]
	}
	f := u - float64(i)
	return float64((1-f)*samples[i]) + float64(f*samples[i+1])
}

// euler returns the load (N) that buckles the rod between from and to mm behind the tip, both ends
// pinned:
//
//	F = π²·(1 / ∫ds/√(E·I))²
//
// which is exact for a uniform rod and for one whose diameter tapers evenly (Dinnik 1932, from memory).
// +Inf for no length. Checked by TestEuler.
func (r *Rod) euler(from, to float64) float64 {
	compliance := r.at(r.softness, to) - r.at(r.softness, from)
	if compliance <= 0 {
		return math.Inf(1)
	}
	return math.Pi * math.Pi / (compliance * compliance)
}

// Tool is a rod with its history. It is plain state: copy with Clone.
type Tool struct {
	Set       [2][]float64 // permanent curvature per rod station, planes 0 and 1 (1/mm), in the hand's frame
	Life      []float64    // Miner's sum per rod station
	Unwound   float64      // rad of permanent twist
	Clog      float64      // shavings held in the flutes / flute volume, 0 clean … 1 full
	Dull      float64      // 0 new … 1 no edge left
	Endurance float64      // this piece's fatigue life / median life (drawn by the owner); 1 = median
	Strength  float64      // this piece's torsional strength / nominal; 1 = nominal
}

// NewTool returns a new tool of a rod: no set, no history, median endurance, nominal strength.
func NewTool(rod *Rod) Tool {
	n := len(rod.Radius)
	return Tool{
		Set: [2][]float64{make([]float64, n), make([]float64, n)}, Life: make([]float64, n),
		Endurance: 1, Strength: 1,
	}
}

// Clone returns a copy that shares nothing with t.
func (t Tool) Clone() Tool {
	for p := range t.Set {
		t.Set[p] = append([]float64(nil), t.Set[p]...)
	}
	t.Life = append([]float64(nil), t.Life...)
	return t
}

// Bend pre-curves the apical length (mm) of a file to a radius (mm, sign: direction, positive towards
// distal or lingual) in a plane. What stays is the alloy's share: all in steel, nothing in NiTi, which
// springs back. It panics on a plane other than 0 or 1 or a radius of 0. Checked by TestBend.
func (t *Tool) Bend(rod *Rod, plane int, radius, length float64) {
	if plane != 0 && plane != 1 || radius == 0 || math.IsNaN(radius) {
		panic("mechanics: bend outside its domain")
	}
	for i := range t.Set[plane] {
		if float64(i)*rod.Step <= length {
			t.Set[plane][i] = rod.Blank.Alloy.SetSlope / radius
		}
	}
}
