package treatment

import (
	"math"

	"tugback/internal/detmath"
)

// ConeTip draws the tip diameter (mm) of a cone of an ISO size: bias and sd are shares of the size, as
// makes of size 30/.04 scatter (−15.4 ± 7.2 % to +7.3 ± 7.8 %: protocol facts 4.1, [32e]); never below a
// twentieth of a millimetre. Checked by TestConeScatter (P23).
func ConeTip(size int, bias, sd float64, s *detmath.Stream) float64 {
	nominal := float64(size) / 100
	return math.Max(0.05, float64(nominal*(1+s.Truncated(bias, sd, bias-float64(3*sd), bias+float64(3*sd)))))
}

// ConeTolerance is the diameter tolerance of a cone of an ISO size, mm: 0.05 up to size 25, 0.07 above
// (ISO 6877, from memory, medium certainty). Checked by TestConeScatter.
func ConeTolerance(size int) float64 {
	if size <= 25 {
		return 0.05
	}
	return 0.07
}

// ConeShare returns the share of a round canal's section that a cone fills, given both diameters, mm:
// (cone/canal)², at most 1. Exact. Checked by TestConeShare (G11).
func ConeShare(cone, canal float64) float64 {
	if cone >= canal {
		return 1
	}
	return float64(cone/canal) * float64(cone/canal)
}

// fill fills the canal from the cone's tip to the orifice: share of core, sealer and void by station.
func (t *turn) fill() error {
	c := t.canal()
	if c.Cone.Item == "" {
		return refuse("no-cone", "fill: no cone was fitted in %s", c.Name)
	}
	if t.action.Motion == "needle" && t.action.Depth == 0 {
		return refuse("no-depth", "fill: the sealer needle's depth is not said")
	}
	t.sealerNeedle(c)
	n := len(c.Space.Packed)
	f := Filling{Technique: t.action.Choice, Sealer: t.action.Agent, Tip: c.Cone.Tip,
		Solid: make([]float64, n), Paste: make([]float64, n)}
	t.spread(c)
	if c.Dressing == "calcium-hydroxide" {
		t.happen(Event{Kind: DressingLeft, Detail: c.Dressing})
	}
	wet := c.liquidFrom()
	for i := c.Space.Orifice; i <= min(c.station(f.Tip), c.Space.Foramen); i++ {
		soaked := i >= wet
		core := t.coreShare(c, i, soaked)
		f.Solid[i] = core
		f.Paste[i] = float64((1 - core) * t.pasteShare(c, i, core, soaked))
	}
	c.Fill = f
	t.heat(c)
	t.sealerOut(c)
	t.spend(240_000)
	t.tellFill(c)
	return nil
}

// sealerGauge is the diameter of a sealer needle, mm: 27 gauge (common practice, no source).
const sealerGauge = 0.41

// sealerNeedle lets the needle go no deeper than where it wedges.
func (t *turn) sealerNeedle(c *CanalState) {
	bind := c.binding(sealerGauge)
	if t.action.Motion != "needle" || float64(t.action.Depth)/1000 <= bind {
		return
	}
	t.action.Depth = int(math.RoundToEven(float64(bind * 1000)))
	t.happen(Event{Kind: NeedleHeld, Value: bind, Unit: "mm", Level: c.Level(bind), Detail: "sealer"})
}

// tellFill says how the filling came out.
func (t *turn) tellFill(c *CanalState) {
	f := &c.Fill
	past := f.Tip - c.Foramen()
	if past > 0 {
		area := float64(float64(math.Pi/4) * float64(c.Cone.Diameter*c.Cone.Diameter))
		f.Beyond += float64(past * area)
		t.mishap("overfill")
	}
	t.happen(Event{Kind: Filled, Value: c.voidShare(), Level: c.Level(f.Tip), Detail: f.Technique})
	if past > 0 {
		t.happen(Event{Kind: Overfilled, Value: past, Unit: "mm", Level: c.Level(f.Tip)})
	}
	if short := t.fillShort(t.index(c.Name)); short > 2 { // 0–2 mm short is satisfactory: Liang 2012
		t.happen(Event{Kind: ShortFill, Value: short, Unit: "mm", Level: -past})
	}
	hours := t.Case.Settings.Around.SealerHours
	t.happen(Event{Kind: SealerSets, Value: hours[sealerIndex(f.Sealer)], Unit: "h"})
}

func sealerIndex(word string) int {
	switch word {
	case "zinc-oxide-eugenol":
		return 1
	case "calcium-silicate":
		return 2
	}
	return 0
}

// The finger spreader: a tip of 0.25 mm that widens by 0.02 (generic; common practice, no source).
const (
	spreaderTip   = 0.25
	spreaderTaper = 0.02
	usualLoad     = 10.0 // N, 1–3 kgf are used (from memory)
)

// spread finds how deep the spreader goes beside the cone: as far as asked, as long as the room beside
// the cone takes its tip. Load presses it into the cone: 10 N by a third of its width (tuned, no source).
func (t *turn) spread(c *CanalState) {
	if t.action.Choice != "cold-lateral" || t.action.Stop == 0 {
		return
	}
	load := float64(t.action.Press) / 1000
	if load == 0 {
		load = usualLoad
	}
	bite := math.Min(0.7, load/30)
	wanted := math.Min(float64(t.action.Stop)/1000, c.Cone.Tip)
	reach := c.Orifice()
	for i := c.Space.Orifice; i <= c.station(wanted) && i <= c.Space.Foramen; i++ {
		s := float64(float64(i) * c.Space.Step)
		room := math.Max(c.width(0, i), c.width(1, i)) - float64(c.coneAt(s)*(1-bite))
		if room < spreaderTip {
			break
		}
		reach = s
	}
	c.Care.Spreader = reach
	t.happen(Event{Kind: SpreaderIn, Value: reach, Unit: "mm", Level: c.Level(reach)})
	if load > t.Case.Settings.Around.RootLoad {
		t.happen(Event{Kind: RootLoaded, Value: load, Unit: "N"})
	}
}

// coneAt returns the fitted cone's diameter at a length, mm.
func (c *CanalState) coneAt(s float64) float64 {
	return c.Cone.Diameter + float64(c.Cone.Taper*math.Max(0, c.Cone.Tip-s))
}

// heatDown is how far below a hot plugger gutta-percha still softens, mm: 4–5 mm (from memory, medium
// certainty).
const heatDown = 4.5

// coreShare is the share of a station's section the core fills: the cone against the canal's section,
// and what accessory cones or warm softening add to it. Lateral compaction fills the gap to about two
// thirds of its area down to where the spreader reached; warm vertical nearly all as far as the heat
// reaches. Liquid left in the gap does not yield to either (WetGap). Order and bands from Ho 2016 and
// Keleş 2014 (core 68–91 %); P25 checks them.
func (t *turn) coreShare(c *CanalState, i int, soaked bool) float64 {
	a := t.action
	s := float64(float64(i) * c.Space.Step)
	canal := math.Sqrt(c.area(i) * 4 / math.Pi)
	cone := ConeShare(c.coneAt(s), canal)
	gap := 1 - cone
	if soaked {
		gap = float64(t.Case.Settings.Around.Assumed.WetGap * gap)
	}
	switch a.Choice {
	case "cold-lateral":
		if s > c.Care.Spreader {
			return cone
		}
		wanted := math.Max(1, (c.Care.Spreader-c.Orifice())/2) // about one accessory cone for 2 mm of spreader reach
		supply := math.Min(1, float64(a.Count)/wanted)
		return cone + float64(float64(gap*0.68)*supply)
	case "warm-vertical":
		hot := float64(a.Length) / 1000
		if hot == 0 {
			hot = c.Cone.Tip - heatDown // as taught: to within 4–5 mm
		}
		if s > hot+heatDown {
			return cone
		}
		return cone + float64(gap*0.9)
	}
	return cone
}

// pasteShare is the share of the space beside the core that sealer fills: less in wide gaps, on smear,
// tissue, a precipitate or shavings in fins, in a wet canal (epoxy and zinc oxide) and in one dried to the
// bone (calcium silicate wants moisture); a needle brings it where a cone only smears it. Bands from
// Keleş 2014 (void 0.6–4.3 %) and Al-Jadaa 2018 (up to 14 %); sizes tuned.
func (t *turn) pasteShare(c *CanalState, i int, core float64, soaked bool) float64 {
	a := t.action
	s := float64(float64(i) * c.Space.Step)
	share := 0.92 - float64(0.1*c.Smear[i]) - float64(0.3*c.Tissue[i])
	share -= float64(0.25*c.Care.Deposit[i]) + float64(0.15*c.Care.Recess[i])
	if a.Agent != "calcium-silicate" && soaked {
		share -= 0.5
	}
	if c.Dressing == "calcium-hydroxide" {
		share -= t.Case.Settings.Around.Assumed.DressingLeft
	}
	if a.Motion == "needle" {
		share += 0.04
		if s > float64(a.Depth)/1000+1.5 { // paste runs little beyond the needle
			share -= 0.3
		}
	}
	gap := 1 - core
	if a.Choice == "single-cone" {
		gap = float64(1.5 * gap)
	}
	share = math.Max(0, share-float64(0.1*gap))
	return math.Min(1, float64(share*t.carried(c, i, core)))
}

// carried returns the share of the gap beside the core that the sealer brought there can fill at most: what a needle
// left behind it fills any gap; a dipped cone and the wall it wipes carry a coat each, and so do accessory cones.
// Checked by TestSealerCoat.
func (t *turn) carried(c *CanalState, i int, core float64) float64 {
	s, a := float64(float64(i)*c.Space.Step), t.action
	room := float64(c.area(i) * (1 - core))
	if room < 1e-9 || a.Motion == "needle" && s <= float64(a.Depth)/1000+1.5 {
		return 1
	}
	cone, canal := c.coneAt(s), math.Sqrt(c.area(i)*4/math.Pi)
	around := float64(math.Pi * (math.Min(cone, canal) + canal))
	if more := core - ConeShare(cone, canal); more > 0 && a.Choice == "cold-lateral" {
		around += float64(4*float64(more*c.area(i))) / accessoryWidth
	}
	return math.Min(1, float64(t.Case.Settings.Around.SealerCoat*around)/room)
}

// accessoryWidth is the mean width of an accessory cone in the canal, mm: sizes 15–25 of taper .02 (common practice).
const accessoryWidth = 0.3

// liquidFrom returns the station from which down to the end liquid stands beside the cone: what was left after
// drying lies at the end, and the cone displaces it upwards into the gap. The last station where nothing is left.
// Checked by TestWetCanalFillsWorse.
func (c *CanalState) liquidFrom() int {
	if c.Wet <= 0.05 {
		return len(c.Space.Packed)
	}
	held := 0.0
	for i := c.Space.Foramen; i > c.Space.Orifice; i-- {
		gap := 1.0
		if s := float64(float64(i) * c.Space.Step); s <= c.Cone.Tip {
			gap = 1 - ConeShare(c.coneAt(s), math.Sqrt(c.area(i)*4/math.Pi))
		}
		if held += float64(float64(c.area(i)*gap) * c.Space.Step); held > c.Wet {
			return i
		}
	}
	return c.Space.Orifice
}

// heat estimates how much a hot plugger warms the root's surface, K: the pulse's heat through the dentine
// left, steady after tens of seconds. Tuned: 200 °C for 3 s through 1.2 mm of dentine warms it by about
// 5 K; 10 K for a minute harms bone (Eriksson & Albrektsson 1983, from memory).
func (t *turn) heat(c *CanalState) {
	if t.action.Choice != "warm-vertical" {
		return
	}
	celsius, time := float64(t.action.Heat)/10, float64(t.action.Time)/1000
	if celsius == 0 {
		celsius = 200
	}
	if time == 0 {
		time = 3
	}
	wall := math.Max(0.2, c.thinnest(c.Space.Wall).left)
	rise := float64(float64((celsius-37)*0.45)*(1-detmath.Exp(-time/20))) / (1 + wall/1.2)
	if rise > 10 {
		t.happen(Event{Kind: RootHeated, Value: rise, Unit: "K"})
	}
}

// sealerOut finds the sealer that goes past the foramen: a needle deeper than a millimetre short of it or
// wedged pushes it out; warm compaction pushes a little through a wide foramen. Sizes assumed.
func (t *turn) sealerOut(c *CanalState) {
	out := 0.0
	foramen := math.Max(c.width(0, c.Space.Foramen), c.width(1, c.Space.Foramen))
	if t.action.Motion == "needle" {
		if short := c.Foramen() - float64(t.action.Depth)/1000; short < 1 {
			out = float64(float64((1-short)*foramen) * 0.5)
		}
	}
	if t.action.Choice == "warm-vertical" && foramen > 0.35 {
		out += float64(0.3 * (foramen - 0.35))
	}
	if out < 0.005 {
		return
	}
	c.Fill.Beyond += out
	t.happen(Event{Kind: SealerOut, Value: out, Unit: "mm³"})
}

// coreMean is the core's share of the volume from the filling's end to the orifice.
func (c *CanalState) coreMean() float64 {
	if c.Fill.Technique == "" {
		return 0
	}
	core, whole := 0.0, 0.0
	for i := c.Space.Orifice; i <= min(c.station(c.Fill.Tip), c.Space.Foramen); i++ {
		area := c.area(i)
		core += float64(area * c.Fill.Solid[i])
		whole += area
	}
	if whole == 0 {
		return 0
	}
	return core / whole
}

// voidApical is the void's share of the filling's last stretch, mm; 1 without a filling.
func (c *CanalState) voidApical(stretch float64) float64 {
	if c.Fill.Technique == "" {
		return 1
	}
	sum, n := 0.0, 0.0
	last := min(c.station(c.Fill.Tip), c.Space.Foramen)
	for i := max(c.Space.Orifice, c.station(c.Fill.Tip-stretch)); i <= last; i++ {
		sum += 1 - c.Fill.Solid[i] - c.Fill.Paste[i]
		n++
	}
	if n == 0 {
		return 1
	}
	return sum / n
}
