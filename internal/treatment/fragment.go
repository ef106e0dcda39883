package treatment

import (
	"math"

	"tugback/internal/detmath"
)

// fragment deals with a broken piece: try to remove it, to pass it, or leave it.
func (t *turn) fragment() error {
	c := t.canal()
	if c.Fragment == nil {
		return refuse("no-fragment", "fragment: there is no broken piece in %s", c.Name)
	}
	switch t.action.Choice {
	case "remove":
		return t.removeFragment(c)
	case "bypass":
		return t.bypassFragment(c)
	}
	c.Fragment.Left = true
	t.spend(60_000)
	t.happen(Event{Kind: FragmentLeft, Item: c.Fragment.Item, Value: c.Fragment.Length, Unit: "mm", Level: c.Level(c.Fragment.Tip)})
	return nil
}

// removeFragment frees the piece's upper end from straight above, which costs dentine whether it comes or
// not, and draws the outcome.
func (t *turn) removeFragment(c *CanalState) error {
	f := c.Fragment
	chance := t.removalChance(c)
	var before [4][]float64
	for side := range 4 {
		before[side] = append([]float64(nil), c.Space.Wall[side]...)
	}
	cost := t.clearWay(c)
	t.spend(removalMs)
	e := Event{Kind: FragmentStays, Item: f.Item, Value: chance, Level: c.Level(f.Tip - f.Length), Detail: "removal"}
	if s := t.drawIn("removal"); s.Float64() < chance {
		e.Kind, e.Value, e.Unit, e.Detail = FragmentOut, f.Length, "mm", ""
		c.Fragment = nil
	}
	c.repack()
	t.happen(e)
	t.happen(Event{Kind: DentineSpent, Value: cost, Unit: "mm³", Level: e.Level})
	t.tellThin(c, before)
	return nil
}

// Trials take as long as reported averages in specialists' hands, ms (from memory, low certainty).
const (
	removalMs = 25 * 60_000
	bypassMs  = 15 * 60_000
)

// removalChance returns the chance that a specialist removes a fragment: 0.85 when its upper end is in
// straight sight, 0.48 when not (Nevares 2012, n = 112); 0.10 more in the coronal third and 0.08 less in
// the apical (order of Tzanetakis 2008 and Shahabinejad 2013, sizes chosen within ±10 points of the rows),
// 0.05 less in a canal of more than 20° (lowest at 21–50°: Cuje 2010; size chosen). Times the operator's
// skill of the settings. Checked by TestRemovalChance (M9).
func (t *turn) removalChance(c *CanalState) float64 {
	k := t.index(c.Name)
	top := c.Fragment.Tip - c.Fragment.Length
	chance := 0.48
	if t.inSight(k, top) {
		chance = 0.85
	}
	switch third := (top - c.Orifice()) / (c.Foramen() - c.Orifice()); {
	case third < 1.0/3:
		chance += 0.10
	case third > 2.0/3:
		chance -= 0.08
	}
	if math.Abs(t.State.bend(k)) > radians(20) {
		chance -= 0.05
	}
	return float64(math.Max(0.05, math.Min(0.98, chance)) * t.Case.Settings.RemovalSkill)
}

// inSight says whether a place of a canal can be seen from above: the straight line down the orifice's
// direction, tilted as far as the walls at the orifice allow, still meets the canal there in both planes.
func (s *State) inSight(k int, at float64) bool {
	c, grown := &s.Canals[k], &s.Case.Tooth.Canals[k]
	i := min(max(c.station(at)-c.Space.Orifice, 0), len(grown.Axis)-1)
	first, last := c.Space.Orifice, c.Space.Orifice+i
	for p := range 2 {
		axis := grown.Axis
		if p == 1 {
			axis = grown.Proximal
		}
		sin, cos := detmath.Sincos(axis[0].Heading)
		d := axis[i].Point.Sub(axis[0].Point)
		off := math.Abs(float64(d.X*cos) + float64(d.Y*sin))
		if off > float64(0.5*(c.width(p, first)+c.width(p, last))) {
			return false
		}
	}
	return true
}

// Widths that freeing a fragment takes: a way down as wide as the piece and a tip beside it on either
// side, and a trough round its upper millimetre. Sizes of ultrasonic tips from memory, low certainty.
const (
	wayBeside    = 0.20
	troughBeside = 0.10
	troughLength = 1.0
)

// clearWay cuts the way down to a fragment and the trough round its end and returns the volume, mm³.
func (t *turn) clearWay(c *CanalState) float64 {
	f := c.Fragment
	item, err := Lookup(f.Item)
	if err != nil {
		panic("treatment: a fragment of nothing")
	}
	thick := item.Blank().Diameter(f.Length)
	top := f.Tip - f.Length
	volume := 0.0
	for i := c.Space.Orifice; i <= min(c.station(top+troughLength), c.Space.Foramen); i++ {
		want := float64(0.5*thick) + wayBeside
		if at := float64(float64(i) * c.Space.Step); at > top {
			want = float64(0.5*thick) + troughBeside
		}
		volume += t.widen(c, i, want)
	}
	return volume
}

// widen cuts every wall of a station that is nearer than want (mm), and returns the volume.
func (t *turn) widen(c *CanalState, i int, want float64) float64 {
	before := c.area(i)
	for side := range 4 {
		wall := c.Space.Wall[side]
		if wall[i] >= want {
			continue
		}
		wall[i] = want
		t.breach(c, side, i)
	}
	return float64((c.area(i) - before) * c.Space.Step)
}

// breach tells that freeing or passing a fragment has cut a wall through.
func (t *turn) breach(c *CanalState, side, i int) {
	if c.Space.Wall[side][i] <= c.Space.Surface[side][i] || c.Perforation != nil {
		return
	}
	at := float64(float64(i) * c.Space.Step)
	c.Perforation = &Perforation{S: at, Wall: side, Kind: c.holeKind(at)}
	t.pierced()
	t.happen(Event{Kind: Perforated, Item: c.Fragment.Item, Wall: wallName(side), Level: c.Level(at), Value: at, Unit: "mm", Detail: c.Perforation.Kind})
}

// bypassFragment works a fine file past the piece, along the wall that leaves most room. Where there is
// no room for half the file's tip it can't; else the chance is the published one by curvature.
func (t *turn) bypassFragment(c *CanalState) error {
	item, err := t.instrument("hand-steel", "hand-flex", "hand-niti")
	if err != nil {
		return err
	}
	f := c.Fragment
	t.spend(bypassMs)
	room, side := c.roomBeside()
	chance := t.bypassChance(c, item, room)
	e := Event{Kind: FragmentStays, Item: f.Item, Value: chance, Level: c.Level(f.Tip - f.Length), Detail: "bypass"}
	if s := t.drawIn("bypass"); s.Float64() < chance {
		f.Passed = true
		lack := math.Max(0, float64(item.Size)/100-room)
		for i := c.station(f.Tip - f.Length); i <= min(c.station(f.Tip), c.Space.Foramen); i++ {
			c.Space.Wall[side][i] += lack
			t.breach(c, side, i)
		}
		c.repack()
		e.Kind, e.Value, e.Unit, e.Detail = FragmentPassed, lack, "mm", ""
		e.Wall = wallName(side)
	}
	t.happen(e)
	return nil
}

// bypassChance: hand files passed 66.6 % of fragments in curved canals and 80.9 % in straight ones
// (Gencoglu 2009). Nothing passes where less than half the file's tip has room. Checked by TestBypassChance.
func (t *turn) bypassChance(c *CanalState, item Instrument, room float64) float64 {
	if room < float64(0.5*float64(item.Size))/100 {
		return 0
	}
	chance := 0.809
	if math.Abs(t.State.bend(t.index(c.Name))) > radians(10) {
		chance = 0.666
	}
	return float64(chance * t.Case.Settings.RemovalSkill)
}

// roomBeside returns the least room along the fragment beside it, mm, in the wider plane, and the wall
// with the larger distance there.
func (c *CanalState) roomBeside() (room float64, side int) {
	f := c.Fragment
	item, err := Lookup(f.Item)
	if err != nil {
		panic("treatment: a fragment of nothing")
	}
	blank := item.Blank()
	room = math.Inf(1)
	for i := c.station(f.Tip - f.Length); i <= min(c.station(f.Tip), c.Space.Foramen); i++ {
		thick := blank.Diameter(math.Max(0, f.Tip-float64(float64(i)*c.Space.Step)))
		plane := 0
		if c.width(1, i) > c.width(0, i) {
			plane = 1
		}
		if left := c.width(plane, i) - thick; left < room {
			room, side = left, 2*plane
			if c.Space.Wall[side+1][i] > c.Space.Wall[side][i] {
				side++
			}
		}
	}
	return math.Max(0, room), side
}
