package treatment

import "math"

// aroundTooth are the tooth's metrics of the procedure around shaping.
func aroundTooth() []Definition {
	done := func(name, what string) Definition { return tooth(name, "", 0, 1, "1 when "+what) }
	return []Definition{
		tooth("diagnosis_share", "", 0, 1, "share of the two diagnostic terms that is right"),
		tooth("tests_compared", "", 0, 3, "pulp tests done on the tooth and on a control tooth"),
		done("choice_right", "the choice (treat, refer, vital therapy, extract, wait) fits the case"),
		done("consent", "consent was asked and recorded"),
		done("eyewear", "eyes were covered"),
		done("syringes_labelled", "syringes were labelled"),
		done("clamp_flossed", "floss was tied to the clamp"),
		done("files_counted", "instruments were counted in and out"),
		done("numb_at_opening", "no pulp was opened while it felt"),
		tooth("wall_left_mm", "mm", 0, 10, "thinnest wall round the access cavity; 10 before it is drilled"),
		done("wall_perforated", "the bur perforated a wall of crown or trunk"),
		tooth("horns_left", "", 0, 8, "pulp horns left beyond the opening's edge"),
		tooth("temporary_mm", "mm", 0, 10, "thickness of the last temporary filling"),
		done("recall_decided_right", "what was decided fits the recall's film"),
		done("chamber_bonded", "the orifice barrier was bonded in a clean, dry chamber"),
		done("perforation_decided", "no perforation is there, or it was told and referred or repaired"),
		tooth("days_between", "d", 0, 10000, "days between the visits"),
		tooth("perforation_actions", "", 0, 10000, "actions in the open tooth between a perforation and its being told; 0 without one"),
		done("perforation_imaged", "there is no perforation, or a film was taken after it before the work went on"),
		tooth("perforation_leak", "", 0, 1, "how open perforations are: 0 none, or closed tightly; 1 open"),
		tooth("bare_actions", "", 0, 10000, "actions in the open tooth without the dam on it, any visit"),
		tooth("crack_share", "", 0, 1, "how far a crack of the crown has gone at the last recall, share of the way to the chamber's floor; 0 none"),
	}
}

// aroundFigures are in the order of aroundTooth.
func (s *State) aroundFigures() []float64 {
	wall := 10.0
	if s.Access.WallLeft > 0 {
		wall = math.Min(10, s.Access.WallLeft)
	}
	return []float64{
		s.diagnosisShare(), float64(s.testsCompared()),
		truth(s.Judged != "" && s.Judged == s.Case.Choice()),
		truth(s.prepared("consent")), truth(s.prepared("eyewear")), truth(s.prepared("labelled-syringes")), truth(s.prepared("floss")),
		truth(s.prepared("files-in") && s.prepared("files-out")), truth(s.Access.Opened && !s.Exam.Felt),
		wall, truth(s.Access.Sideways), float64(s.Access.Horns), s.Covered,
		truth(s.Decided != "" && s.decisionFits()),
		truth(s.Bond == "bonded"), truth(s.holeDecided()), float64(s.Days),
		float64(s.Holes.Actions), truth(s.holes() == 0 || s.Holes.Imaged), s.holeLeak(),
		float64(s.Bare), s.crackAt(float64(s.RecallDays)),
	}
}

// aroundCanal are each canal's metrics of the procedure around shaping.
func aroundCanal() []Definition {
	return []Definition{
		perCanal("access_angle_deg", "deg", 0, 90, "largest angle by which a wall of the cavity bends a file into the canal; 0 straight", "derived from the state"),
		perCanal("deposit_share", "", 0, 1, "share of the wall covered by what two irrigants precipitated, mean over the canal", "derived from the state"),
		perCanal("recess_debris_share", "", 0, 1, "shavings packed into fins and recesses, mean over the canal", "derived from the state"),
		perCanal("apical_pressure_kPa", "kPa", 0, 1000, "largest pressure of a free needle at the foramen; real pressure depends on the tissue", "derived from the state"),
		perCanal("flora_apical_share", "", 0, 1, "bacteria left of those at the start, last 3 mm", "derived from the state"),
		perCanal("fill_core_share", "", 0, 1, "share of the filled volume that is gutta-percha", "published 60–95 %: Ho 2016, Keleş 2014"),
		perCanal("void_apical_share", "", 0, 1, "void in the last 4 mm of the filling; 1 when not filled", "derived from the state"),
		perCanal("spreader_short_mm", "mm", 0, 40, "spreader short of the working length, cold lateral; 0 with other techniques", "Allison 1981: within 0–1 mm leaks less, a leakage convention"),
		perCanal("cone_film", "", 0, 1, "1 when a film was taken with the master cone in place", "derived from the state"),
		perCanal("length_drift_mm", "mm", -1, 5, "path shortened, or cusp cut, since a length was last read", "Schroeder 2002: 0.17 mm by straight access and flare"),
		perCanal("air_lock", "", 0, 1, "1 when air still keeps the irrigant out of the end", "derived from the state"),
	}
}

// aroundCanalFigures are in the order of aroundCanal; shorter is what the canal's way has lost.
func (s *State) aroundCanalFigures(k int, shorter float64) []float64 {
	c := &s.Canals[k]
	return []float64{
		degrees(s.AccessAngle(k)), c.mean(c.Care.Deposit), c.mean(c.Care.Recess), c.Care.Pressure / 1000, c.apical(c.Flora, 3),
		c.coreMean(), c.voidApical(4), c.spreaderShort(), truth(c.Care.ConeFilm), shorter + s.CuspCut - c.Care.ReadAt,
		truth(c.Care.AirLock > 0),
	}
}

// apical returns the mean of a share over the canal's last stretch, mm.
func (c *CanalState) apical(v []float64, stretch float64) float64 {
	sum, n := 0.0, 0.0
	for i := max(c.Space.Orifice, c.station(c.Foramen()-stretch)); i <= c.Space.Foramen; i++ {
		sum += v[i]
		n++
	}
	return sum / n
}

// spreaderShort returns how far short of the working length the spreader stayed, mm.
func (c *CanalState) spreaderShort() float64 {
	if c.Fill.Technique != "cold-lateral" || c.Length == 0 || c.Care.Spreader == 0 {
		return 0
	}
	return max(0, c.Length-c.Care.Spreader)
}
