package geom

import (
	"math"
	"sort"

	"tugback/internal/detmath"
)

// profile is the heading of a path over its arc length, one entry for each segment, with the running
// sums that let a ramp be fitted in constant time.
type profile struct {
	base    Point     // unit vector of the first segment; headings are measured from it
	middle  []float64 // arc length at the middle of the segment, mm
	weight  []float64 // length of the segment, mm
	heading []float64 // rad, counter-clockwise positive, continuous
	sums    []moments // sums[i] covers segments 0..i-1
}

// moments are weighted sums over segments: of 1, s, s², heading ψ and s·ψ, and ψ².
type moments struct{ w, s, ss, h, sh, hh float64 }

func (m moments) minus(o moments) moments {
	return moments{m.w - o.w, m.s - o.s, m.ss - o.ss, m.h - o.h, m.sh - o.sh, m.hh - o.hh}
}

func newProfile(axis []Point) profile {
	var p profile
	begin, previous := 0.0, Point{}
	for i := 1; i < len(axis); i++ {
		segment := axis[i].Sub(axis[i-1])
		length := segment.Norm()
		if length == 0 {
			continue
		}
		heading := 0.0
		if n := len(p.heading); n > 0 {
			heading = p.heading[n-1] + turn(previous, segment)
		} else {
			p.base = segment.Unit()
		}
		p.middle = append(p.middle, begin+float64(0.5*length))
		p.weight = append(p.weight, length)
		p.heading = append(p.heading, heading)
		begin += length
		previous = segment
	}
	p.sum()
	return p
}

func (p *profile) sum() {
	p.sums = make([]moments, len(p.middle)+1)
	for i, s := range p.middle {
		m, w, h := p.sums[i], p.weight[i], p.heading[i]
		ws, wh := float64(w*s), float64(w*h)
		p.sums[i+1] = moments{
			w: m.w + w, s: m.s + ws, ss: m.ss + float64(ws*s),
			h: m.h + wh, sh: m.sh + float64(ws*h), hh: m.hh + float64(wh*h),
		}
	}
}

// before returns how many segments have their middle before arc length s.
func (p *profile) before(s float64) int {
	return sort.SearchFloat64s(p.middle, s)
}

// smooth returns the mean heading within reach mm of the middle of segment i.
func (p *profile) smooth(i int, reach float64) float64 {
	m := p.sums[p.before(p.middle[i]+reach)].minus(p.sums[p.before(p.middle[i]-reach)])
	return m.h / m.w
}

const (
	// secondBend, rad, is how far a path must turn back before it counts as a second bend: 10°, below
	// which the case-difficulty form of 2022 calls a canal straight.
	secondBend = 10 * math.Pi / 180
	// smoothReach, mm, is half the window over which headings are averaged when bends are told apart.
	smoothReach = 0.5
	// shortestBend, mm, is the shortest arc that is looked for.
	shortestBend = 0.5
	// rampGrid is how many places a ramp's ends are tried at before the best is refined.
	rampGrid = 40
	// rampResolution, mm, is where the refinement of a ramp's ends stops.
	rampResolution = 1e-5
)

// spans cuts a profile at the turning points between bends of opposite sense and returns the indices
// of the first segments, followed by the number of segments.
func (p *profile) spans() []int {
	cuts := []int{0}
	low, high := 0, 0 // where the heading was least and greatest since the last cut
	sense := 0        // of the present bend, 0 as long as it is not known
	values := make([]float64, len(p.middle))
	for i := range values {
		values[i] = p.smooth(i, smoothReach)
		if values[i] < values[low] {
			low = i
		}
		if values[i] > values[high] {
			high = i
		}
		switch {
		case sense >= 0 && values[high]-values[i] > secondBend:
			if sense > 0 {
				cuts = append(cuts, high)
			}
			sense, low = -1, i
			high = i
		case sense <= 0 && values[i]-values[low] > secondBend:
			if sense < 0 {
				cuts = append(cuts, low)
			}
			sense, high = 1, i
			low = i
		}
	}
	return append(cuts, len(p.middle))
}

// ramp is a heading profile: level until arc length a, linear to b, then level again.
type ramp struct{ a, b, level, rise float64 }

// readFitted reads a path by least squares, one reading for each bend.
func readFitted(axis []Point) []reading {
	p := newProfile(axis)
	spans := p.spans()
	readings := make([]reading, 0, len(spans)-1)
	for i := 1; i < len(spans); i++ {
		r := p.fit(spans[i-1], spans[i])
		readings = append(readings, reading{
			coronal: headingFrom(p.base, r.level),
			apical:  headingFrom(p.base, r.level+r.rise),
			leave:   pointAt(axis, r.a),
			angle:   r.rise,
			arc:     r.b - r.a,
			begin:   nearestIndex(axis, r.a),
			end:     nearestIndex(axis, r.b),
		})
	}
	return readings
}

// headingFrom returns the unit vector base turned by an angle.
func headingFrom(base Point, angle float64) Point {
	sin, cos := detmath.Sincos(angle)
	return base.Scale(cos).Add(base.Left().Scale(sin))
}

// fit returns the ramp of least squares over segments from..to-1: the best of a grid of end places,
// refined by compass search.
func (p *profile) fit(from, to int) ramp {
	begin := p.middle[from] - float64(0.5*p.weight[from])
	end := p.middle[to-1] + float64(0.5*p.weight[to-1])
	shortest := math.Min(shortestBend, 0.5*(end-begin))
	step := (end - begin) / rampGrid
	best, least := ramp{a: begin, b: end}, math.Inf(1)
	try := func(a, b float64) bool {
		if a < begin || b > end || b-a < shortest {
			return false
		}
		r, e := p.regress(from, to, a, b)
		if e >= least {
			return false
		}
		best, least = r, e
		return true
	}
	for i := 0; i < rampGrid; i++ {
		for j := i + 1; j <= rampGrid; j++ {
			try(begin+float64(float64(i)*step), begin+float64(float64(j)*step))
		}
	}
	const bound = 1000 // moves; the step is halved about 15 times
	for move := 0; move < bound && step > rampResolution; move++ {
		a, b := best.a, best.b
		better := try(a-step, b) || try(a+step, b) || try(a, b-step) || try(a, b+step) ||
			try(a-step, b+step) || try(a+step, b-step) || try(a+step, b+step) || try(a-step, b-step)
		if !better {
			step *= 0.5
		}
	}
	return best
}

// regress returns the ramp between arc lengths a and b that fits segments from..to-1 best, and the
// weighted sum of squares it leaves.
func (p *profile) regress(from, to int, a, b float64) (ramp, float64) {
	i := min(max(p.before(a), from), to)
	j := min(max(p.before(b), i), to)
	all := p.sums[to].minus(p.sums[from])
	mid := p.sums[j].minus(p.sums[i])
	tail := p.sums[to].minus(p.sums[j])
	inverse := 1 / (b - a)
	r := float64((mid.s-float64(a*mid.w))*inverse) + tail.w
	rr := float64((mid.ss-float64(2*a*mid.s)+float64(a*a*mid.w))*inverse*inverse) + tail.w
	rh := float64((mid.sh-float64(a*mid.h))*inverse) + tail.h

	meanR, meanH := r/all.w, all.h/all.w
	spread := rr - float64(r*meanR)
	if spread <= 0 {
		return ramp{}, math.Inf(1)
	}
	common := rh - float64(r*meanH)
	rise := common / spread
	left := all.hh - float64(all.h*meanH) - float64(rise*common)
	return ramp{a, b, meanH - float64(rise*meanR), rise}, left
}

// pointAt returns the point of a path at arc length s, clamped to its ends.
func pointAt(path []Point, s float64) Point {
	for i := 1; i < len(path); i++ {
		length := path[i].Sub(path[i-1]).Norm()
		if s <= length {
			return between(path[i-1], path[i], math.Max(s, 0), length)
		}
		s -= length
	}
	return path[len(path)-1]
}

// nearestIndex returns the point of a path whose arc length is nearest to s.
func nearestIndex(path []Point, s float64) int {
	for i := 1; i < len(path); i++ {
		length := path[i].Sub(path[i-1]).Norm()
		if s < 0.5*length {
			return i - 1
		}
		s -= length
	}
	return len(path) - 1
}
