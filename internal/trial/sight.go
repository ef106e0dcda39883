package trial

import (
	"fmt"
	"math"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// sight is what an operator can see before and while the tooth is open: the film and the outside of the
// crown, with the error of the eye. It holds nothing that a person could not know, and nothing that
// depends on the name of the tooth.
type sight struct {
	roof, floor float64    // depth from the highest cusp, by film
	chamber     [4]float64 // how far the chamber reaches from the tooth's axis
	canals      []canalSight
}

// canalSight is one canal as a film shows it.
type canalSight struct {
	angle   float64 // Schneider's angle, rad
	towards string  // side the apical part turns to
	side    string  // side of the tooth on which the orifice lies, "" in the middle
	orifice float64 // mm from the reference cusp
	length  float64 // mm, cusp to apex on the film, magnification taken off; 0 before a film
}

// look takes in what can be seen of a case, with the scatter of the hand and the eye.
func look(c *treatment.Case, h *hand) sight {
	tooth := c.Tooth
	top := tooth.Crown.Cusps[0].Point.Y
	for _, cusp := range tooth.Crown.Cusps {
		top = math.Max(top, cusp.Point.Y)
	}
	s := sight{
		roof:  top - tooth.Chamber.Roof + h.stream.Normal(0, h.AccessScatter),
		floor: top - tooth.Chamber.Floor + h.stream.Normal(0, h.AccessScatter),
	}
	for side := range 4 {
		s.chamber[side] = tooth.Chamber.Wall[side] + h.stream.Normal(0, h.AccessScatter)
	}
	for i := range tooth.Canals {
		s.canals = append(s.canals, h.lookAtCanal(tooth, i))
	}
	return s
}

// aside is how far from the tooth's axis an orifice lies at least to be called mesial or distal, mm.
const aside = 1.0

func (h *hand) lookAtCanal(tooth *anatomy.Tooth, i int) canalSight {
	canal := &tooth.Canals[i]
	m := anatomy.Measure(tooth, i)
	first, last := canal.Axis[0], canal.Axis[len(canal.Axis)-1]
	s := canalSight{angle: math.Abs(m.Schneider + h.stream.Normal(0, h.FilmScatter)), towards: "distal"}
	if last.Heading < first.Heading {
		s.towards = "mesial"
	}
	switch {
	case first.Point.X < -aside:
		s.side = "mesial"
	case first.Point.X > aside:
		s.side = "distal"
	}
	s.orifice = tooth.Crown.Cusps[canal.Cusp].Point.Y - first.Point.Y
	return s
}

// magnification of a paralleling film, which every operator takes off: source 400 mm and tooth 20 mm
// from the receptor.
const magnification = 400.0 / 380

// note takes the lengths of a film in.
func (h *hand) note(events []treatment.Event) {
	for _, e := range events {
		for i := range h.state.Canals {
			if e.Kind == treatment.FilmTaken && h.state.Canals[i].Name == e.Canal {
				h.seen.canals[i].length = e.Value / magnification
			}
		}
	}
}

// bentFrom is the angle on the film from which a canal is treated as bent.
const bentFrom = 20 * math.Pi / 180

// difficulty is the class that the largest bend seen puts the case in: the case difficulty form 2022,
// 10 and 30 deg from memory.
func (s sight) difficulty() string {
	largest := 0.0
	for _, c := range s.canals {
		largest = math.Max(largest, c.angle)
	}
	switch {
	case largest < 10*math.Pi/180:
		return "low"
	case largest <= 30*math.Pi/180:
		return "moderate"
	}
	return "high"
}

// pick returns the first item on offer, or "".
func (h *hand) pick(items ...string) string {
	for _, item := range items {
		if _, offered := h.catalogue[item]; offered {
			return item
		}
	}
	return ""
}

// file returns the hand file of a size.
func (h *hand) file(size int) string {
	return h.pick(fmt.Sprintf("hand-steel-%02d.02", size), fmt.Sprintf("hand-flex-%02d.02", size), fmt.Sprintf("hand-niti-%02d.02", size))
}

// shaper returns the instrument of a size that shapes: of the operator's family, or what the tray has
// instead.
func (h *hand) shaper(size int) string {
	var wanted []string
	for _, family := range []string{h.With, "rotary-heat", "rotary", "hand-niti", "hand-flex", "hand-steel"} {
		for _, taper := range []int{h.Taper, 4, 6, 2} {
			wanted = append(wanted, fmt.Sprintf("%s-%02d.%02d", family, size, taper))
		}
	}
	return h.pick(wanted...)
}

// needle returns the irrigation needle the operator takes.
func (h *hand) needle() string {
	return h.pick("needle-30-side", "needle-30-open", "needle-29-side", "needle-28-side", "needle-27-side", "needle-27-open")
}

// step returns the size some places up (or down) the ISO sizes, kept inside them.
func step(size, places int) int {
	sizes := treatment.Sizes()
	i := slices.Index(sizes, size)
	return sizes[min(max(i+places, 0), len(sizes)-1)]
}
