package quiz

import (
	"fmt"
	"math"
	"strings"

	"tugback/internal/detmath"
	"tugback/internal/geom"
	"tugback/internal/mechanics"
	"tugback/internal/treatment"
)

// Formula is a computation that the key of an item can follow from.
type Formula struct {
	Name    string
	Args    []string // each argument with its unit
	Unit    string   // of the result
	Text    string
	Source  string
	compute func(a []float64) float64
}

// Call is a formula with its arguments.
type Call struct {
	Name string    `json:"name"`
	Args []float64 `json:"args"`
}

// Compute returns the value of a call, or an error when there is no such formula, the number of arguments
// differs or the result is not finite.
func (c Call) Compute() (float64, error) {
	for _, f := range Formulas() {
		if f.Name != c.Name {
			continue
		}
		if len(c.Args) != len(f.Args) {
			return 0, fmt.Errorf("%s takes %s, not %d numbers", f.Name, strings.Join(f.Args, ", "), len(c.Args))
		}
		value := f.compute(c.Args)
		if math.IsNaN(value) || math.IsInf(value, 0) {
			return 0, fmt.Errorf("%s has no value for %v", f.Name, c.Args)
		}
		return value, nil
	}
	return 0, fmt.Errorf("there is no formula %q", c.Name)
}

// Formulas returns every formula: the geometry of films, instruments, canals, cones and needles, and the
// arithmetic of rinsing and testing. Checked by TestFormulas.
func Formulas() []Formula {
	all := filmFormulas()
	all = append(all, fileFormulas()...)
	all = append(all, bendFormulas()...)
	all = append(all, rinseFormulas()...)
	return append(all, fillFormulas()...)
}

func filmFormulas() []Formula {
	return []Formula{
		{"magnification", []string{"source-detector mm", "object-detector mm"}, "", "enlargement of a film", "geometry",
			func(a []float64) float64 { return a[0] / (a[0] - a[1]) }},
		{"true-length", []string{"image mm", "magnification"}, "mm", "length behind an enlarged image", "geometry",
			func(a []float64) float64 { return a[0] / a[1] }},
		{"file-ratio", []string{"file mm", "tooth on film mm", "file on film mm"}, "mm", "length corrected with a file of known length", "geometry",
			func(a []float64) float64 { return a[0] * a[1] / a[2] }},
		{"projection", []string{"tooth-detector deg", "beam deg"}, "", "image over length, parallel beam", "geometry",
			func(a []float64) float64 { return detmath.Cos((a[0]-a[1])*degree) / detmath.Cos(a[1]*degree) }},
		{"parallax", []string{"buccolingual gap mm", "horizontal shift deg"}, "mm", "shift of two objects against each other", "geometry",
			func(a []float64) float64 { return a[0] * detmath.Tan(a[1]*degree) }},
		{"predictive-positive", []string{"sensitivity", "specificity", "prevalence"}, "%", "share of positive tests that are right", "Bayes",
			func(a []float64) float64 { return 100 * a[0] * a[2] / (a[0]*a[2] + (1-a[1])*(1-a[2])) }},
		{"predictive-negative", []string{"sensitivity", "specificity", "prevalence"}, "%", "share of negative tests that are right", "Bayes",
			func(a []float64) float64 { return 100 * a[1] * (1 - a[2]) / (a[1]*(1-a[2]) + (1-a[0])*a[2]) }},
		{"difference", []string{"from mm", "take away mm"}, "mm", "a difference", "arithmetic",
			func(a []float64) float64 { return a[0] - a[1] }},
		{"sum", []string{"mm", "mm"}, "mm", "a sum", "arithmetic", func(a []float64) float64 { return a[0] + a[1] }},
	}
}

func fileFormulas() []Formula {
	return []Formula{
		{"diameter", []string{"size", "taper mm/mm", "behind the tip mm"}, "mm", "diameter of a file", "ISO 3630-1",
			func(a []float64) float64 {
				blank := mechanics.Blank{Tip: a[0] / 100, Spans: []mechanics.Span{{Taper: a[1]}}, WorkingPart: 16, Shaft: 3, Length: 25}
				return blank.Diameter(a[2])
			}},
		{"trimmed", []string{"size", "taper mm/mm", "cut off mm"}, "mm", "tip after cutting", "geometry",
			func(a []float64) float64 { return treatment.Trimmed(a[0]/100, a[1], a[2]) }},
		{"acts-as", []string{"size", "taper mm/mm", "cut off mm"}, "", "ISO size as which a cut instrument acts", "geometry",
			func(a []float64) float64 { return 100 * treatment.Trimmed(a[0]/100, a[1], a[2]) }},
		{"trim", []string{"size", "wanted size", "taper mm/mm"}, "mm", "length to cut off for a wanted tip", "geometry",
			func(a []float64) float64 { return (a[1] - a[0]) / 100 / a[2] }},
		{"step-back-taper", []string{"step mm", "growth mm"}, "mm/mm", "taper made by stepping back", "geometry",
			func(a []float64) float64 { return a[1] / a[0] }},
		{"net-turn", []string{"cutting deg", "releasing deg"}, "deg", "net turn of a cycle of reciprocation", "arithmetic",
			func(a []float64) float64 { return math.Abs(a[0] - a[1]) }},
		{"cycles-per-turn", []string{"cutting deg", "releasing deg"}, "", "cycles for a full turn", "arithmetic",
			func(a []float64) float64 { return 360 / math.Abs(a[0]-a[1]) }},
		{"stiffness-ratio", []string{"size", "other size", "behind the tip mm"}, "", "bending stiffness of two steel K-files of taper .02", "beam theory", stiffnessRatio},
		{"relative-step", []string{"size", "next size"}, "%", "growth of the tip from size to size", "ISO 3630-1",
			func(a []float64) float64 { return 100 * (a[1] - a[0]) / a[0] }},
	}
}

// stiffnessRatio compares two steel K-files of the catalogue at a place behind the tip.
func stiffnessRatio(a []float64) float64 {
	at := func(size float64) float64 {
		file, err := treatment.Lookup(fmt.Sprintf("hand-steel-%02d.02", int(size)))
		if err != nil {
			return math.NaN()
		}
		rod := mechanics.NewRod(file.Blank(), 0.1)
		return rod.Stiffness[int(math.RoundToEven(a[2]/rod.Step))]
	}
	return at(a[0]) / at(a[1])
}

func bendFormulas() []Formula {
	return []Formula{
		{"arc-length", []string{"radius mm", "angle deg"}, "mm", "length of an arc", "geometry",
			func(a []float64) float64 { return a[0] * a[1] * degree }},
		{"schneider", []string{"radius mm", "bend deg", "straight end mm"}, "deg", "Schneider's angle of a straight, an arc and a straight", "Schneider 1971",
			func(a []float64) float64 { return schneiderOf(a[0], a[1], a[2]) }},
		{"straightening", []string{"radius mm", "bend deg", "straight end mm"}, "mm", "most that straightening can take from the length", "geometry",
			func(a []float64) float64 { return geom.StraighteningLoss(a[0], a[1]*degree, a[2]) }},
		{"strain", []string{"diameter mm", "radius mm"}, "%", "strain of the outermost fibre", "beam theory",
			func(a []float64) float64 { return 100 * mechanics.FibreStrain(a[0], a[1]) }},
		{"transportation", []string{"inner before mm", "inner after mm", "outer before mm", "outer after mm"}, "mm", "difference of what was cut on two sides", "Gambill 1996",
			func(a []float64) float64 { return math.Abs((a[0] - a[1]) - (a[2] - a[3])) }},
		{"centring", []string{"inner before mm", "inner after mm", "outer before mm", "outer after mm"}, "", "smaller over larger cut", "Gambill 1996",
			func(a []float64) float64 {
				inner, outer := a[0]-a[1], a[2]-a[3]
				return min(inner, outer) / max(inner, outer)
			}},
		{"tube-loss", []string{"outer mm", "canal before mm", "canal after mm"}, "%", "bending stiffness a round root loses when its canal is widened", "beam theory",
			func(a []float64) float64 {
				tube := func(bore float64) float64 { return fourth(a[0]) - fourth(bore) }
				return 100 * (1 - tube(a[2])/tube(a[1]))
			}},
	}
}

// fourth returns x⁴.
func fourth(x float64) float64 { return x * x * x * x }

// schneiderOf measures a drawn canal: 8 mm straight, an arc, a straight end.
func schneiderOf(radius, bend, end float64) float64 {
	curve := geom.Curve{Pieces: []geom.Piece{geom.Straight(8), geom.Arc(radius, bend*degree), geom.Straight(end)}}
	if end == 0 {
		curve.Pieces = curve.Pieces[:2]
	}
	stations := curve.Sample(0.05)
	path := make([]geom.Point, len(stations))
	for i, s := range stations {
		path[i] = s.Point
	}
	return geom.Schneider(path) / degree
}

func rinseFormulas() []Formula {
	return []Formula{
		{"needle-reach", []string{"needle mm", "size", "taper mm/mm"}, "mm", "closest a needle comes to the end without binding", "geometry",
			func(a []float64) float64 { return max(0, (a[0]-a[1]/100)/a[2]) }},
		{"pressure", []string{"flow ml/s", "length mm", "bore mm"}, "kPa", "pressure that drives NaOCl (0.99 mPa·s) through a needle", "Hagen–Poiseuille",
			func(a []float64) float64 { return 1000 * mechanics.PressureDrop(a[0]*1000, 0.99e-9, a[1], a[2]) }},
		{"bore-ratio", []string{"wider bore mm", "finer bore mm"}, "", "pressure of two needles at one flow", "Hagen–Poiseuille",
			func(a []float64) float64 { return fourth(a[0] / a[1]) }},
		{"rinse-time", []string{"volume ml", "flow ml/min"}, "min", "time a rinse takes", "arithmetic",
			func(a []float64) float64 { return a[0] / a[1] }},
		{"dilute", []string{"stock %", "wanted %", "wanted ml"}, "ml", "stock needed for a dilution", "arithmetic",
			func(a []float64) float64 { return a[1] * a[2] / a[0] }},
		{"flow-per-minute", []string{"flow ml/s"}, "ml/min", "flow by the minute", "arithmetic", func(a []float64) float64 { return a[0] * 60 }},
		{"canal-volume", []string{"size", "taper mm/mm", "length mm"}, "µl", "volume of a conical canal", "geometry",
			func(a []float64) float64 {
				d, e := a[0]/100, a[0]/100+a[1]*a[2]
				return math.Pi / 12 * a[2] * (d*d + d*e + e*e)
			}},
	}
}

func fillFormulas() []Formula {
	return []Formula{
		{"cone-short", []string{"too thick mm", "canal taper mm/mm"}, "mm", "how far a thick cone stands back", "geometry",
			func(a []float64) float64 { return a[0] / a[1] }},
		{"area-share", []string{"size", "cone taper mm/mm", "canal taper mm/mm", "from the tip mm"}, "%", "share of the section that a cone fills", "geometry",
			func(a []float64) float64 {
				share := (a[0]/100 + a[1]*a[3]) / (a[0]/100 + a[2]*a[3])
				return 100 * share * share
			}},
	}
}
