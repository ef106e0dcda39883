package mechanics

import (
	"math"

	"tugback/internal/detmath"
)

// FibreStrain returns the strain of the outermost fibre of a file bent to a radius of its axis:
//
//	ε = d / (2R)
//
// d and R in mm, > 0. Small-strain beam theory; with R of the outer edge instead, d/(2R − d).
// Source: the project's table of published numbers, instruments 3.1 (in common use). Checked by TestStrainTable (F3).
func FibreStrain(diameter, radius float64) float64 { return diameter / (2 * radius) }

// Cycles returns the number N of full cycles of a strain amplitude ε that the median piece survives:
//
//	ε = FatigueStrain·N^FatigueExponent + ElasticStrain·N^ElasticExponent
//
// +Inf for ε = 0. In logarithms the right side is convex and falls, so Newton's steps from a life that either
// term alone gives climb to the root; below 1e-9 of a logarithm they end. Published lives of one file differ a
// hundredfold. Checked by TestStrainLife, TestUniversalSlopes.
func (a Alloy) Cycles(strain float64) float64 {
	if strain <= 0 {
		return math.Inf(1)
	}
	if a.ElasticStrain <= 0 {
		return detmath.Pow(strain/a.FatigueStrain, 1/a.FatigueExponent)
	}
	n := math.Max(detmath.Log(strain/a.FatigueStrain)/a.FatigueExponent, detmath.Log(strain/a.ElasticStrain)/a.ElasticExponent)
	for range lifeSteps {
		plastic := float64(a.FatigueStrain * detmath.Exp(float64(a.FatigueExponent*n)))
		elastic := float64(a.ElasticStrain * detmath.Exp(float64(a.ElasticExponent*n)))
		sum := plastic + elastic
		slope := (float64(a.FatigueExponent*plastic) + float64(a.ElasticExponent*elastic)) / sum
		step := detmath.Log(sum/strain) / slope
		n -= step
		if math.Abs(step) < 1e-9 {
			break
		}
	}
	return detmath.Exp(math.Min(n, mostLife))
}

// lifeSteps bounds Newton's steps of Cycles, mostLife the logarithm of the life it gives.
const (
	lifeSteps = 20
	mostLife  = 100
)

// halfSine returns sin(angle/2) up to half a turn, 1 beyond.
func halfSine(angle float64) float64 {
	if angle >= math.Pi {
		return 1
	}
	return detmath.Sin(angle / 2)
}

// tire adds a stroke's bending to the tool's life and notes the largest strain: Miner's sum per rod
// station of whole turns at the fibre strain r·√(κ₁²+κ₂²) and of the swing to and fro (Motion.flexing),
// of which the share turned was done; and, once a stroke, of half the change of bending that a place sees
// when it is lifted and put back (taken from the seated shape at the two places). A piece breaks where its sum passes its own endurance.
func (w *Worker) tire(j *job, depth, turned float64, out *Stroke) {
	n, h := w.now[0].n, j.space.Step
	turns, swing := j.hand.Motion.flexing()
	often := j.hand.Motion.swings()
	alloy := &j.rod.Blank.Alloy
	last := int(math.Floor(depth/h + 1e-9))
	if depth/h-float64(last) >= 0.5 {
		last++
	}
	w.largest(j, depth, out)
	forced := w.imposed(j, depth)
	n = min(n, forced[0].n)
	k0, k1 := forced[0].curvature[:n], forced[1].curvature[:n]
	lift := int(j.hand.Motion.Lift / h)
	for i := range n {
		strain := w.columns.core[i] * math.Sqrt(float64(k0[i]*k0[i])+float64(k1[i]*k1[i]))
		if k := last - i; strain >= fatigueFloor && turned > 0 && k < len(j.tool.Life) {
			if turns > 0 {
				j.tool.Life[k] += turned * often * turns / alloy.Cycles(strain)
			}
			if swing > 0 {
				j.tool.Life[k] += turned * often / alloy.Cycles(swing*strain)
			}
		}
		if k := last - i; lift > 0 && k < len(j.tool.Life) {
			up := max(0, i-lift)
			a, b := k0[i]-k0[up], k1[i]-k1[up]
			if half := 0.5 * w.columns.core[i] * math.Sqrt(float64(a*a)+float64(b*b)); half >= fatigueFloor {
				j.tool.Life[k] += 1 / alloy.Cycles(half)
			}
		}
	}
	worst := 0
	for k, life := range j.tool.Life {
		if life > j.tool.Life[worst] {
			worst = k
		}
	}
	out.Life = j.tool.Life[worst] / math.Max(j.tool.Endurance, 1e-9)
	if out.Life >= 1 {
		out.Broke, out.BrokeAt = "fatigue", float64(worst)*j.rod.Step
	}
}

// largest notes the largest fibre strain along the file and where it is.
func (w *Worker) largest(j *job, depth float64, out *Stroke) {
	n := w.now[0].n
	k0, k1 := w.now[0].curvature[:n], w.now[1].curvature[:n]
	for i := range n {
		strain := w.columns.core[i] * math.Sqrt(float64(k0[i]*k0[i])+float64(k1[i]*k1[i]))
		if strain > out.Strain {
			out.Strain, out.StrainAt = strain, math.Max(0, depth-float64(float64(i)*j.space.Step))
		}
	}
}

// imposed returns the contact that bends a file to and fro: that of the same file without its permanent set.
// A bent file that turns in a wide canal only carries its bend round, which costs it nothing; in a tight one
// the canal's curve runs round in it, whatever its set. The walls change little from stroke to stroke, so it
// is solved anew when the file has gone on by some stations or after imposedStrokes. Checked by TestSetTiresNothing.
func (w *Worker) imposed(j *job, depth float64) *[2]contact {
	if j.setShare == 0 || !j.tool.bent(j.rod) {
		return &w.now
	}
	if t := &w.trail; !t.warm || t.imposed >= imposedStrokes || w.straight[0].n < w.now[0].n-imposedStations {
		bare := *j
		bare.setShare = 0
		w.solveAt(&bare, depth)
		w.resample(j, depth)
		w.straight, w.trial = w.trial, w.straight
		t.imposed = 0
	}
	w.trail.imposed++
	return &w.straight
}

// bent says whether a tool has a permanent set that would count.
func (t *Tool) bent(r *Rod) bool {
	for p := range t.Set {
		for i, k := range t.Set[p] {
			if math.Abs(k)*r.core[i] > fatigueFloor {
				return true
			}
		}
	}
	return false
}
