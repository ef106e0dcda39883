package treatment

import (
	"math"
	"strings"

	"tugback/internal/anatomy"
)

// Factor is one finding that makes a case harder.
type Factor struct {
	What string // a word of the texts
	High bool   // else moderate
}

// DifficultyClass returns the class of a case with moderate and high factors: low without any, moderate
// with one or two moderate ones, high with three moderate or one high one. Exact rule of the case
// difficulty form 2022 (protocol facts 6.1). Checked by TestDifficulty (G14).
func DifficultyClass(moderate, high int) string {
	switch {
	case high >= 1 || moderate >= 3:
		return "high"
	case moderate >= 1:
		return "moderate"
	}
	return "low"
}

// Factors lists what makes a case harder, measured on the grown tooth and taken from the findings. Limits:
// curvature 10–30 deg moderate, above high; apex 1–1.5 mm moderate, above high; length above 25 mm high;
// a calcified canal moderate, one next to invisible high; molars moderate (from memory, medium certainty;
// the low ones were read). Checked by TestFactors.
func (c *Case) Factors() []Factor {
	t := c.Tooth
	var out []Factor
	if strings.HasSuffix(string(t.Kind), "molar") && !strings.Contains(string(t.Kind), "premolar") {
		out = append(out, Factor{"molar", false})
	}
	bend, apex, narrow := 0.0, 0.0, math.Inf(1)
	for k := range t.Canals {
		m := anatomy.Measure(t, k)
		bend = math.Max(bend, degrees(m.Schneider))
		apex = math.Max(apex, t.Canals[k].Foramen.Diameter)
		narrow = math.Min(narrow, narrowest(&t.Canals[k]))
	}
	out = graded(out, "curvature", bend, 10, 30)
	out = graded(out, "open-apex", apex, 1, 1.5)
	if t.Length > 25 {
		out = append(out, Factor{"long", true})
	}
	if narrow < 0.1 {
		out = append(out, Factor{"calcified", narrow < 0.05})
	}
	return append(out, c.Findings.factors()...)
}

// factors are those of the patient.
func (f Findings) factors() []Factor {
	var out []Factor
	if f.ASA >= 3 {
		out = append(out, Factor{"health", f.ASA >= 4})
	}
	for _, one := range []struct {
		has  bool
		what string
	}{{f.Opening, "mouth-opening"}, {f.Gag, "gagging"}, {f.Broken, "isolation"}, {f.Crack, "crack"}} {
		if one.has {
			out = append(out, Factor{one.what, false})
		}
	}
	return out
}

func graded(out []Factor, what string, value, moderate, high float64) []Factor {
	if value < moderate {
		return out
	}
	return append(out, Factor{what, value > high})
}

// narrowest returns the least width of a canal above its last 2 mm, mm.
func narrowest(c *anatomy.Canal) float64 {
	least := math.Inf(1)
	for i := 0; i < len(c.Axis) && c.Length-c.Axis[i].S > 2; i++ {
		least = math.Min(least, math.Min(c.Wall[0][i]+c.Wall[1][i], c.Wall[2][i]+c.Wall[3][i]))
	}
	return least
}

// Class returns the class of difficulty that the case's own factors add up to.
func (c *Case) Class() string {
	moderate, high := 0, 0
	for _, f := range c.Factors() {
		if f.High {
			high++
		} else {
			moderate++
		}
	}
	return DifficultyClass(moderate, high)
}
