package treatment

import "math"

// apicalShare is the share of the shavings of a motion that go ahead of the tip; the rest leaves in the
// flutes or lies as slurry. Order from published direction (filing packs, rotation carries crownwards:
// Roane 1985; reviews of debris extrusion), sizes tuned, no source.
func apicalShare(motion string) float64 {
	switch motion {
	case "push-pull", "circumferential", "anticurvature":
		return 0.2
	case "watch-winding", "quarter-turn-pull", "reaming":
		return 0.1
	case "reciprocation":
		return 0.06
	}
	return 0.03
}

// packLength is how far ahead of the tip shavings come to lie, mm.
const packLength = 1.0

// moveDebris lays the stroke's shavings ahead of the tip, or past the foramen when the tip is there,
// and stirs up what the instrument passes through.
func (j *job) moveDebris(motion string) {
	c, s := j.canal, j.last
	share := apicalShare(motion)
	if j.tool.Tool.Clog >= 1 {
		share = float64(2 * share) // full flutes push shavings ahead
	}
	volume := float64(share * s.Removed)
	tip := c.station(s.Depth)
	first, last := min(tip+1, c.Space.Foramen), min(c.station(s.Depth+packLength), c.Space.Foramen)
	if s.Depth > c.Foramen()-0.3 {
		j.out += volume
	} else {
		each := volume / float64(last-first+1)
		for i := first; i <= last; i++ {
			c.Debris[i] = math.Min(1, c.Debris[i]+each/float64(c.area(i)*c.Space.Step))
		}
	}
	c.stir(tip)
	for i := max(0, tip-3); i <= last; i++ {
		j.packed = math.Max(j.packed, c.Debris[i])
	}
	c.repack()
}

// stir loosens debris around the instrument's tip: a small file worked in a wet canal breaks a plug up.
func (c *CanalState) stir(tip int) {
	keep := 0.98
	if c.Wet > 0 {
		keep = 0.9
	}
	for i := max(c.Space.Orifice, tip-5); i <= min(tip+1, c.Space.Foramen); i++ {
		c.Debris[i] = float64(c.Debris[i] * keep)
	}
}

// repack sets the pressure that debris or a fragment sets against a tip.
func (c *CanalState) repack() {
	for i := range c.Space.Packed {
		c.Space.Packed[i] = float64(packPressure * math.Max(0, (c.Debris[i]-packShare)/(1-packShare)))
	}
	if c.Fragment == nil || c.Fragment.Passed {
		return
	}
	top := c.station(c.Fragment.Tip - c.Fragment.Length)
	for i := top; i <= c.station(c.Fragment.Tip); i++ {
		c.Space.Packed[i] = fragmentPressure
	}
}

// area returns the canal's section at a station as an ellipse, mm².
func (c *CanalState) area(i int) float64 {
	return float64(float64(math.Pi/4) * float64(c.width(0, i)*c.width(1, i)))
}

// width returns the canal's width in a plane at a station, mm.
func (c *CanalState) width(plane, i int) float64 {
	return c.Space.Wall[2*plane][i] + c.Space.Wall[2*plane+1][i]
}
