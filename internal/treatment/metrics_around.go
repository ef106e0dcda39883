package treatment

// aroundTooth are the tooth's metrics of the procedure around shaping.
func aroundTooth() []Definition {
	return []Definition{}
}

// aroundFigures are in the order of aroundTooth.
func (s *State) aroundFigures() []float64 {
	return []float64{}
}

// aroundCanal are each canal's metrics of the procedure around shaping.
func aroundCanal() []Definition {
	return []Definition{
		perCanal("deposit_share", "", 0, 1, "share of the wall covered by what two irrigants precipitated, mean over the canal", "derived from the state"),
		perCanal("recess_debris_share", "", 0, 1, "shavings packed into fins and recesses, mean over the canal", "derived from the state"),
		perCanal("apical_pressure_kPa", "kPa", 0, 1000, "largest pressure of a free needle at the foramen; real pressure depends on the tissue", "derived from the state"),
		perCanal("flora_apical_share", "", 0, 1, "bacteria left of those at the start, last 3 mm", "derived from the state"),
		perCanal("fill_core_share", "", 0, 1, "share of the filled volume that is gutta-percha", "published 60–95 %: Ho 2016, Keleş 2014"),
		perCanal("void_apical_share", "", 0, 1, "void in the last 4 mm of the filling; 1 when not filled", "derived from the state"),
		perCanal("spreader_short_mm", "mm", 0, 40, "spreader short of the working length, cold lateral; 0 with other techniques", "Allison 1981: within 0–1 mm leaks less, a leakage convention"),
		perCanal("cone_film", "", 0, 1, "1 when a film was taken with the master cone in place", "derived from the state"),
		perCanal("length_drift_mm", "mm", -1, 3, "path shortened since a length was last read", "Schroeder 2002: 0.17 mm by straight access and flare"),
		perCanal("air_lock", "", 0, 1, "1 when air still keeps the irrigant out of the end", "derived from the state"),
	}
}

// aroundCanalFigures are in the order of aroundCanal.
func (s *State) aroundCanalFigures(k int) []float64 {
	c := &s.Canals[k]
	return []float64{
		c.mean(c.Care.Deposit), c.mean(c.Care.Recess), c.Care.Pressure / 1000, c.apical(c.Flora, 3),
		c.coreMean(), c.voidApical(4), c.spreaderShort(), truth(c.Care.ConeFilm), c.shortening(c.Foramen()) - c.Care.ReadAt,
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
