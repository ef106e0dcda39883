package picture

import (
	"math"

	"tugback/internal/treatment"
)

// paintCanal paints one canal as it is now with what stands in it.
func (b *bulk) paintCanal(s *treatment.State, k int) {
	c, grown := &s.Canals[k], &b.tooth.Canals[k]
	o := c.Space.Orifice
	for j := range b.n[1] {
		y := b.at(1, j)
		i := stationAt(grown.Length, grown.Step, len(grown.Axis), func(i int) float64 { return grown.Axis[i].Point.Y }, y)
		if i < 0 {
			continue
		}
		section := oval{x: grown.Axis[i].Point.X, z: grown.Proximal[i].Point.X}
		for side := range 4 {
			section.half[side] = c.Space.Wall[side][o+i]
		}
		b.fill(j, section, contents(c, o+i))
	}
	if c.Fragment != nil {
		b.rod(s, k, c.Fragment.Item, c.Fragment.Tip, c.Fragment.Length, steelMatter)
	}
	if f := c.Fill; f.Beyond > 0 && f.Tip > c.Foramen() {
		x, y, z := s.Place(k, 0.5*(f.Tip+c.Foramen()))
		b.ball(x, y, z, math.Max(0.15, (f.Tip-c.Foramen())/2), pointMatter)
	}
}

// contents returns the matter at a station of a canal.
func contents(c *treatment.CanalState, i int) float64 {
	if c.Fill.Technique != "" && i < len(c.Fill.Solid) && c.Fill.Solid[i]+c.Fill.Paste[i] > 0 {
		return c.Fill.Solid[i]*pointMatter + c.Fill.Paste[i]*sealerMatter
	}
	matter := softMatter
	if c.Dressing == "calcium-hydroxide" && c.Wet < 1e-9 {
		matter = dentineMatter
	}
	return matter + c.Debris[i]*(chipMatter-matter)
}

// paintHeld paints the instrument or cone that stands in a canal.
func (b *bulk) paintHeld(s *treatment.State) {
	h := s.Held
	if h.Item == "" || h.Canal < 0 || h.Canal >= len(s.Canals) {
		return
	}
	matter := steelMatter
	if item, err := treatment.Lookup(h.Item); err == nil && item.Family == "cone" {
		matter = pointMatter
	}
	b.rod(s, h.Canal, h.Item, h.Depth, h.Depth+2, matter)
}

// rod paints the apical stretch of an instrument along a canal's axis, round, its tip at a length. The shaft is drawn
// as thick as the flutes end, as on hand files.
func (b *bulk) rod(s *treatment.State, canal int, id string, tip, length, matter float64) {
	item, err := treatment.Lookup(id)
	if err != nil || item.Family == "needle" {
		return
	}
	blank := item.Blank()
	for at := 0.0; at <= length; at += cube / 2 {
		x, y, z := s.Place(canal, tip-at)
		thick := blank.Diameter(math.Min(at, blank.WorkingPart))
		r := math.Max(0.5*cube, thick/2)
		share := math.Min(1, math.Pow(thick/2/r, 2)) // thinner than a cube: less dense instead
		b.fill(b.level(y), oval{x, z, [4]float64{r, r, r, r}}, softMatter+share*(matter-softMatter))
	}
}
