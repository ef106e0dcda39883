package treatment

import (
	"math"
	"slices"
)

// Holes is what is known of the perforations of the tooth, all told: when the last one was made, what was done
// before it was told, and how tight a repair is.
type Holes struct {
	Made    int     // ms, when the last one was made
	Visit   int     // d of the visits before it
	Actions int     // in the open tooth between the hole and its being told
	Imaged  bool    // a film was taken after it and before the work went on
	Quiet   bool    // its bleeding was stopped
	Plug    float64 // 0 open to 1 tight
}

// floorHole is the width of a hole that a bur makes, mm: that of a round bur (common practice, no source).
const floorHole = 1.4

// Limits beyond which a repair holds less: size, mm, and height of the bone's crest, mm below the cemento-enamel
// junction (Fuss & Trope 1996, Endod Dent Traumatol 12:255, from memory: small, fresh, apical or coronal holes do
// well, large, old and crestal ones badly; the limits are assumed). What each fault takes
// of the seal, and blood more, are RepairFault and RepairBlood (order from memory: calcium-silicate cements healed about
// four of five, Siew 2015).
const (
	largeHole    = 1.0
	crestHighest = 0.5
	crestLowest  = 4.0
	plugLeast    = 0.05
)

// holes counts the perforations: canals', one of a common apex once, the floor's, the crown's wall.
func (s *State) holes() int {
	n := 0
	for i := range s.Canals {
		hole := s.Canals[i].Perforation
		if to := s.Case.Tooth.Canals[i].Joins; hole != nil && to >= 0 && s.Canals[to].Perforation != nil &&
			s.Canals[i].Level(hole.S) < s.Case.Tooth.Canals[i].Length-s.Case.Tooth.Canals[i].JoinS {
			hole = nil // counted with the canal it joins
		}
		if hole != nil {
			n++
		}
	}
	if s.Access.Through {
		n++
	}
	if s.Access.Sideways {
		n++
	}
	return n
}

// crownHole says whether a wall of the trunk was perforated where tissue covers it: higher up the hole leads into
// the mouth, neither bleeds nor swallows irrigant, and the restoration closes it.
func (s *State) crownHole() bool { return s.Access.Sideways && s.Access.SideAt < 0 }

// tissueHoles counts the perforations that lead into tissue.
func (s *State) tissueHoles() int {
	n := s.holes()
	if s.Access.Sideways && !s.crownHole() {
		n--
	}
	return n
}

// pierced notes a new hole: repairs made before do not close it.
func (t *turn) pierced() {
	t.mishap("perforation")
	t.HolesClosed, t.HoleChoice = false, ""
	t.Holes, t.holed = Holes{Made: t.Elapsed, Visit: t.Days}, true
}

// holeWidth returns how wide a canal's hole is, mm: the length of the wall that is cut through, at least a fine
// file's tip.
func (c *CanalState) holeWidth() float64 {
	p := c.Perforation
	if p == nil {
		return 0
	}
	n := 0
	for i := c.Space.Orifice; i <= c.Space.Foramen; i++ {
		if c.Space.Wall[p.Wall][i] >= c.Space.Surface[p.Wall][i] && math.Abs(float64(float64(i)*c.Space.Step)-p.S) < 3 {
			n++
		}
	}
	return math.Max(0.2, float64(float64(n)*c.Space.Step))
}

// HoleFaults returns what stands against a repair of the tooth's holes: late (not in the visit in which it was
// made), large, crestal, bleeding. Empty where none is or nothing stands against it. Checked by TestHoleRepair.
func (s *State) HoleFaults() []string {
	var out []string
	if s.tissueHoles() == 0 {
		return nil
	}
	if s.Days > s.Holes.Visit {
		out = append(out, "late")
	}
	wide, crestal := 0.0, s.Access.Through || s.crownHole()
	if crestal {
		wide = floorHole
	}
	for k := range s.Canals {
		c := &s.Canals[k]
		if c.Perforation == nil {
			continue
		}
		wide = math.Max(wide, c.holeWidth())
		_, y, _ := s.Place(k, c.Perforation.S)
		crestal = crestal || y < -crestHighest && y > -crestLowest
	}
	if wide > largeHole {
		out = append(out, "large")
	}
	if crestal {
		out = append(out, "crestal")
	}
	if !s.Holes.Quiet {
		out = append(out, "bleeding")
	}
	return out
}

// holesOpen says whether a hole is there that nobody closed.
func (s *State) holesOpen() bool { return s.tissueHoles() > 0 && !s.HolesClosed }

// holeLeak is how open the holes are to bacteria, 0 to 1.
func (s *State) holeLeak() float64 {
	switch {
	case s.tissueHoles() == 0:
		return 0
	case !s.HolesClosed:
		return 1
	}
	return 1 - s.Holes.Plug
}

// plugRate is the share of an open hole's rate at which bacteria pass a repair that holds nothing (assumed).
const plugRate = 0.1

// holeRate is the rate at which bacteria pass what of the holes is open, a day.
func (s *State) holeRate() float64 {
	if s.HolesClosed {
		return float64(plugRate * s.Case.Settings.Around.Assumed.OpenLeak)
	}
	return s.Case.Settings.Around.Assumed.OpenLeak
}

// Hole is a perforation as it stands in the tooth, for pictures: its middle, mm, its width, mm, and whether it
// was closed.
type Hole struct {
	X, Y, Z, Width float64
	Closed         bool
}

// HolePlaces returns where the tooth's perforations are. Checked by TestHolesOnFilm.
func (s *State) HolePlaces() []Hole {
	var out []Hole
	tooth := s.Case.Tooth
	if s.Access.Through {
		out = append(out, Hole{Y: float64(0.5 * (tooth.Chamber.Floor + tooth.Furcation.Y)), Width: floorHole, Closed: s.HolesClosed})
	}
	if s.Access.Sideways {
		h := Hole{Y: s.Access.SideAt, Width: floorHole, Closed: s.HolesClosed}
		reach := outerReach(tooth, h.Y)[s.Access.SideWall] - float64(0.5*floorHole)
		h.X, h.Z = aside(s.Access.SideWall, reach)
		out = append(out, h)
	}
	for k := range s.Canals {
		c := &s.Canals[k]
		if c.Perforation == nil {
			continue
		}
		i := min(c.station(c.Perforation.S), c.Space.Foramen)
		h := Hole{Width: c.holeWidth(), Closed: s.HolesClosed}
		h.X, h.Y, h.Z = s.Place(k, c.Perforation.S)
		x, z := aside(c.Perforation.Wall, float64(0.5*(c.First[c.Perforation.Wall][i]+c.Space.Surface[c.Perforation.Wall][i])))
		h.X, h.Z = h.X+x, h.Z+z
		out = append(out, h)
	}
	return out
}

// aside returns the offset of a distance towards a wall's side.
func aside(wall int, distance float64) (x, z float64) {
	if wall%2 == 0 {
		distance = -distance
	}
	if wall < 2 {
		return distance, 0
	}
	return 0, distance
}

// holeDecided says whether a perforation, if there is one, was told and not just left: referred, which is
// a student's default and stands when nothing else is said, or repaired.
func (s *State) holeDecided() bool {
	if s.holes() == 0 {
		return true
	}
	return slices.Contains(s.Reports, "perforation") && s.HoleChoice != "leave"
}

// decideHole carries out what follows from a perforation: referral ends the treatment here; repair with a
// calcium-silicate cement closes the holes as tightly as size, time, level and blood let it, so that a locator no
// longer sees them.
func (t *turn) decideHole() error {
	choice := t.action.Agent
	if choice == "" {
		return nil
	}
	if t.action.Choice != "perforation" {
		return refuse("decision", "report: a decision goes with a perforation, not with %s", t.action.Choice)
	}
	if t.holes() == 0 {
		return refuse("no-perforation", "report: no perforation is there to %s", choice)
	}
	t.HoleChoice = choice
	switch choice {
	case "refer":
		t.Referred = true
	case "repair":
		t.repairHole()
	}
	t.happen(Event{Kind: HoleDecided, Value: float64(t.holes()), Detail: choice})
	return nil
}

// repairHole packs the cement and tells what stands against it.
func (t *turn) repairHole() {
	plug, age := 1.0, float64(t.Elapsed-t.Holes.Made)/60_000+float64(1440*(t.Days-t.Holes.Visit)) // min
	for _, fault := range t.HoleFaults() {
		if fault == "bleeding" {
			plug -= t.Case.Settings.Around.Assumed.RepairBlood
		} else {
			plug -= t.Case.Settings.Around.Assumed.RepairFault
		}
		t.happen(Event{Kind: HoleAgainst, Value: age, Unit: "min", Detail: fault})
	}
	t.spend(900_000)
	t.HolesClosed, t.Holes.Plug = true, math.Max(plugLeast, plug)
}

// quiet stops the bleeding of a hole: pressure with saline, minutes of patience (common practice, no source).
func (t *turn) quiet() {
	t.Holes.Quiet = t.holes() > 0
	t.spend(300_000)
}

// afterHole counts what is done in the open tooth between a hole and its being told.
func (t *turn) afterHole() {
	k := t.action.Do
	if t.holes() == 0 || t.holed || slices.Contains(t.Reports, "perforation") {
		return
	}
	if k == Open || needsCanal(k) || k == Seal {
		t.Holes.Actions++
	}
}

// holeBack is what part of the tissue's pressure a fresh wound holds against a jet (assumed).
const holeBack = 0.5

// throughHole lets irrigant out through an open hole of the canal or the floor: what seeps while it stands there, and
// what a needle near it drives out.
func (t *turn) throughHole(c *CanalState, r rinse, j Jet) {
	at, wide := c.Orifice(), 0.0
	if t.Access.Through || t.crownHole() {
		wide = floorHole
	}
	if p := c.Perforation; p != nil && p.S <= r.reach+0.5 {
		at, wide = p.S, math.Max(wide, c.holeWidth())
	}
	if wide == 0 || t.HolesClosed {
		return
	}
	area := float64(float64(math.Pi/4) * float64(wide*wide))
	out := float64(float64(t.Case.Settings.Around.Assumed.HoleSeep*area) * r.time / 60)
	j.Short = math.Abs(at - r.tip)
	back := float64(holeBack * t.Case.Settings.Around.BackPressure)
	out += float64(j.Escape(wide, back, 1) * r.flowing)
	out = math.Min(out, float64(0.5*r.volume))
	if out < seepLeast {
		return
	}
	c.Escaped += out
	t.happen(Event{Kind: ThroughHole, Value: out, Unit: "ml", Level: c.Level(at), Detail: r.agent})
	if out >= t.Case.Settings.Around.Accident && r.agent != "water" && r.agent != "saline" {
		c.Care.Accident = true
		t.mishap("irrigant-accident")
		t.happen(Event{Kind: IrrigantOut, Value: out, Unit: "ml", Level: c.Level(at), Detail: r.agent})
	}
}
