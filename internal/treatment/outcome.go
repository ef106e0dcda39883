package treatment

import (
	"math"

	"tugback/internal/mechanics"
)

// MeasureOutcome returns the figures of a state in the order of MetricTable: the tooth's, then each
// canal's. Values are rounded to a millionth, far below what any model here can tell.
func MeasureOutcome(s State) Outcome { return NewScratch().MeasureOutcome(s) }

// MeasureOutcome measures a state as the function MeasureOutcome does.
func (m *Scratch) MeasureOutcome(s State) Outcome {
	out := Outcome{}
	values := append(s.toothFigures(), s.aroundFigures()...)
	for i, d := range toothMetrics() {
		out.Metrics = append(out.Metrics, Metric{Name: d.Name, Value: tidy(values[i]), Unit: d.Unit})
	}
	table := canalMetrics()
	for k := range s.Canals {
		shorter := m.shortening(&s.Canals[k], s.Canals[k].Foramen())
		values := append(append(m.shapeFigures(&s, k, shorter), s.careFigures(k)...), s.aroundCanalFigures(k, shorter)...)
		for i, d := range table {
			out.Metrics = append(out.Metrics, Metric{Name: d.Name, Canal: s.Canals[k].Name, Value: tidy(values[i]), Unit: d.Unit})
		}
	}
	return out
}

// Value returns a metric by name and canal ("" for the tooth's), and whether there is one.
func (o Outcome) Value(name, canal string) (float64, bool) {
	for _, m := range o.Metrics {
		if m.Name == name && m.Canal == canal {
			return m.Value, true
		}
	}
	return 0, false
}

func tidy(v float64) float64 {
	r := math.RoundToEven(float64(v*1e6)) / 1e6
	if r == 0 {
		return 0 // no negative zero
	}
	return r
}

func truth(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// toothFigures are in the order of toothMetrics.
func (s *State) toothFigures() []float64 {
	missed := 0
	for _, c := range s.Canals {
		if !c.Found {
			missed++
		}
	}
	return []float64{
		truth(s.Rated != "" && s.Rated == s.Case.Difficulty),
		truth(s.IsolatedFirst),
		truth(s.LeakTest),
		s.Access.Roof,
		s.Access.FloorCut,
		truth(s.Access.Through),
		s.Access.DentineLost,
		float64(missed),
		float64(s.unreported()),
		s.Barrier,
		truth(s.Sealed && s.covered()),
		float64(s.ReviewDays),
		float64(s.Elapsed) / 60_000,
	}
}

// shapeFigures are in the order of shapeMetrics; shorter is what the canal's way has lost.
func (m *Scratch) shapeFigures(s *State, k int, shorter float64) []float64 {
	c := &s.Canals[k]
	lengthError := 0.0
	if c.Length > 0 {
		lengthError = c.Length - s.Target(k)
	}
	reach := m.probe(s, k)
	fragment := 0.0
	if c.Fragment != nil {
		fragment = c.Fragment.Length
	}
	signed, ratio := s.gambill(k, 1)
	tear, elbow := c.zip()
	return []float64{
		truth(c.Found), lengthError,
		c.transport(c.Space.Wall, 0, 10).size, c.transport(c.Space.Wall, 0, 3).size,
		signed, ratio, c.ledge().size, degrees(m.straightening(s, k)), shorter,
		s.apicalSize(k), s.taperShare(k), c.thinnest(c.Space.Wall).left,
		truth(c.Perforation != nil), s.untouched(k),
		truth(reach >= c.Foramen()-0.1), math.Max(0, s.Target(k)-reach),
		fragment, c.Passed, c.Extruded,
		tear, elbow, c.foramenTear(), c.foramenMoved(),
	}
}

// careFigures are in the order of careMetrics.
func (s *State) careFigures(k int) []float64 {
	c := &s.Canals[k]
	eroded := 0.0
	for _, e := range c.Erosion {
		eroded = math.Max(eroded, e)
	}
	return []float64{
		c.Escaped, c.mean(c.Tissue), c.mean(c.Smear), c.mean(c.Flora), eroded, c.Rinsed,
		s.coneShort(k), c.Cone.Grip, s.fillShort(k), c.voidShare(), c.Fill.Beyond,
	}
}

// mean returns the mean of a share over the canal's stations.
func (c *CanalState) mean(v []float64) float64 {
	sum := 0.0
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		sum += v[i]
	}
	return sum / float64(c.Space.Foramen-c.Space.Orifice+1)
}

// probe slides a size 10 steel file in without force and returns where it stops. An unopened or
// unfound canal gives its orifice.
func (m *Scratch) probe(s *State, k int) float64 {
	c := &s.Canals[k]
	if !c.Found {
		return c.Orifice()
	}
	item, err := Lookup(scoutSize)
	if err != nil {
		panic("treatment: no scout file")
	}
	rod := m.rod(rodKey{item: scoutSize, step: c.Space.Step}, item.Blank)
	tool := mechanics.NewTool(rod)
	hand := mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Sliding}, Push: probePush, Stop: c.Foramen()}
	m.worker.Reset()
	return m.worker.Slide(&c.Space, rod, &tool, hand, c.Orifice()).Depth
}

// gambill returns outer minus inner cut and the centring ratio in the clinical plane at a level. The
// outer wall is the one away from the centre of the main bend.
func (s *State) gambill(k int, level float64) (transport, ratio float64) {
	c := &s.Canals[k]
	i := c.station(c.Foramen() - level)
	minus, plus := c.cut(c.Space.Wall, 0, i), c.cut(c.Space.Wall, 1, i)
	transport = minus - plus // outer is the mesial wall of a canal that bends distally
	if s.bend(k) < 0 {
		transport = -transport
	}
	if large := math.Max(minus, plus); large > 1e-9 {
		return transport, math.Min(minus, plus) / large
	}
	return transport, 1
}

// bend returns the largest turn of a canal from its orifice in the clinical plane, rad, distally positive:
// in a canal that turns back, the turn of its main bend.
func (s *State) bend(k int) float64 {
	axis := s.Case.Tooth.Canals[k].Axis
	most := 0.0
	for _, at := range axis {
		if turn := at.Heading - axis[0].Heading; math.Abs(turn) > math.Abs(most) {
			most = turn
		}
	}
	return most
}

// apicalSize returns the largest ISO size whose tip fits the canal's narrower width at the working
// length, 0 when no length was set.
func (s *State) apicalSize(k int) float64 {
	c := &s.Canals[k]
	if c.Length == 0 {
		return 0
	}
	i := min(c.station(c.Length), c.Space.Foramen)
	width := math.Min(c.width(0, i), c.width(1, i))
	best := 0
	for _, size := range Sizes() {
		if float64(size)/100 <= width+0.005 {
			best = size
		}
	}
	return float64(best)
}

// taperShare returns the share of millimetre steps, from the working length crownwards to the orifice,
// at which the canal does not get narrower in the clinical plane.
func (s *State) taperShare(k int) float64 {
	c := &s.Canals[k]
	end := min(c.station(math.Max(c.Length, c.Orifice()+2)), c.Space.Foramen)
	step := max(1, int(math.RoundToEven(1/c.Space.Step)))
	good, all := 0, 0
	for i := end; i-step >= c.Space.Orifice; i -= step {
		all++
		if c.width(0, i-step) >= c.width(0, i)-0.01 {
			good++
		}
	}
	if all == 0 {
		return 0
	}
	return float64(good) / float64(all)
}

// untouched returns the share of the wall no instrument cut, orifice to working length, counting the
// four walls of every station alike.
func (s *State) untouched(k int) float64 {
	c := &s.Canals[k]
	end := c.Space.Foramen
	if c.Length > 0 {
		end = min(end, c.station(c.Length))
	}
	whole, left := 0, 0
	for i := c.Space.Orifice; i <= end; i++ {
		for side := range 4 {
			whole++
			if c.cut(c.Space.Wall, side, i) < 1e-4 {
				left++
			}
		}
	}
	return float64(left) / float64(max(1, whole))
}
