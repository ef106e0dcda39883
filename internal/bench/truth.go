package bench

import (
	"fmt"
	"math"
	"strconv"

	"tugback/internal/treatment"
)

// truth sets the student's own sheet beside what the tooth is at the moment looked at: for each canal
// the working length, the final size and the cone.
func (d *debriefing) truth() [][2]string {
	s := d.states[d.at]
	sizes := map[string]float64{}
	for _, m := range treatment.MeasureOutcome(s).Metrics {
		if m.Name == "apical_size_iso" {
			sizes[m.Canal] = m.Value
		}
	}
	var out [][2]string
	for i := range s.Canals {
		c := &s.Canals[i]
		out = append(out,
			[2]string{canalName(c.Name), lengthTruth(c, s.Target(i), s.CuspCut)},
			[2]string{"", sizeTruth(c, int(sizes[c.Name]))},
			[2]string{"", coneTruth(c)})
	}
	return out
}

// sameLength, mm, is how near lengths are called the same: half a mark of a ruler.
const sameLength = 0.25

// off says how far a length lies short of another, mm.
func off(short float64) string {
	switch {
	case math.Abs(short) < sameLength:
		return say("truth.exact")
	case short > 0:
		return say("truth.short", "by", figure(short, 1))
	}
	return say("truth.long", "by", figure(-short, 1))
}

// lengthTruth sets a written length beside the true one, both read at what is left of the cusp.
func lengthTruth(c *treatment.CanalState, target, cut float64) string {
	if c.Length == 0 {
		return say("truth.nolength", "truth", figure(target-cut, 2))
	}
	return say("truth.length", "yours", figure(c.Length-cut, 2), "truth", figure(target-cut, 2), "off", off(target-c.Length))
}

func sizeTruth(c *treatment.CanalState, truth int) string {
	if c.Gauged == 0 {
		return say("truth.nosize")
	}
	verdict := say("truth.exact")
	if c.Gauged < truth {
		verdict = say("truth.smaller")
	}
	if c.Gauged > truth {
		verdict = say("truth.larger")
	}
	return say("truth.size", "yours", strconv.Itoa(c.Gauged), "truth", strconv.Itoa(truth), "off", verdict)
}

func coneTruth(c *treatment.CanalState) string {
	item, err := lookup(c.Cone.Item)
	if err != nil {
		return say("truth.nocone")
	}
	fits := say("truth.slack")
	if c.Cone.Grip >= treatment.LeastGrip {
		fits = say("truth.grips")
	}
	key := "truth.cone"
	if math.Abs(c.Length-c.Cone.Tip) < sameLength {
		key = "truth.coneat"
	}
	return say(key, "cone", fmt.Sprintf("%s/.%02d", sizeText(item), item.Taper), "off", off(c.Length-c.Cone.Tip), "grip", figure(c.Cone.Grip, 2), "fits", fits)
}
