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
	out := [1]float64{}
	a.cycles([]float64{strain}, out[:], make([]int, 1))
	return out[0]
}

// cycles fills out with the Cycles of each strain; open is scratch of their length. All lives take one step of
// Newton's in turn, since one would wait for its own logarithm while the next can be worked.
func (a *Alloy) cycles(strain, out []float64, open []int) {
	left := open[:0]
	for i, e := range strain {
		switch {
		case e <= 0:
			out[i] = math.Inf(1)
		case a.ElasticStrain <= 0:
			out[i] = detmath.Pow(e/a.FatigueStrain, 1/a.FatigueExponent)
		default:
			out[i] = math.Max(detmath.Log(e/a.FatigueStrain)/a.FatigueExponent, detmath.Log(e/a.ElasticStrain)/a.ElasticExponent)
			left = append(left, i)
		}
	}
	for step := range lifeSteps {
		kept := left[:0]
		for _, i := range left {
			n := out[i]
			plastic := float64(a.FatigueStrain * detmath.Exp(float64(a.FatigueExponent*n)))
			elastic := float64(a.ElasticStrain * detmath.Exp(float64(a.ElasticExponent*n)))
			sum := plastic + elastic
			slope := (float64(a.FatigueExponent*plastic) + float64(a.ElasticExponent*elastic)) / sum
			by := detmath.Log(sum/strain[i]) / slope
			n -= by
			if math.Abs(by) < 1e-9 || step == lifeSteps-1 {
				out[i] = detmath.Exp(math.Min(n, mostLife))
				continue
			}
			out[i] = n
			kept = append(kept, i)
		}
		left = kept
	}
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
	last := int(math.Floor(depth/h + 1e-9))
	if depth/h-float64(last) >= 0.5 {
		last++
	}
	w.largest(j, depth, out)
	forced := w.imposed(j, depth)
	n = min(n, forced[0].n)
	k0, k1 := forced[0].curvature[:n], forced[1].curvature[:n]
	lift := int(j.hand.Motion.Lift / h)
	strain := w.strain[:n]
	bend := func(k0, k1, share float64, i int) { // below the floor it is not counted
		if strain[i] = share * w.columns.core[i] * math.Sqrt(float64(k0*k0)+float64(k1*k1)); strain[i] < fatigueFloor {
			strain[i] = 0
		}
	}
	if turned > 0 {
		for i := range n {
			bend(k0[i], k1[i], 1, i)
		}
		if turns > 0 {
			w.age(j, last, turned*often*turns, n)
		}
		if swing > 0 {
			for i := range strain {
				strain[i] *= swing
			}
			w.age(j, last, turned*often, n)
		}
	}
	if lift > 0 {
		for i := range n {
			up := max(0, i-lift)
			bend(k0[i]-k0[up], k1[i]-k1[up], 0.5, i)
		}
		w.age(j, last, 1, n)
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

// age adds what so many cycles of the strains in the columns take of the life of the rod's stations, the first of
// which lies at the space's station last.
func (w *Worker) age(j *job, last int, often float64, n int) {
	cycles := w.lives[:n]
	j.rod.Blank.Alloy.cycles(w.strain[:n], cycles, w.open[:n])
	for i, c := range cycles {
		if k := last - i; k < len(j.tool.Life) {
			j.tool.Life[k] += often / c
		}
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
