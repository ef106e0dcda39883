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
		perCanal("air_lock", "", 0, 1, "1 when air still keeps the irrigant out of the end", "derived from the state"),
	}
}

// aroundCanalFigures are in the order of aroundCanal.
func (s *State) aroundCanalFigures(k int) []float64 {
	c := &s.Canals[k]
	return []float64{
		c.mean(c.Care.Deposit), c.mean(c.Care.Recess), c.Care.Pressure / 1000, c.apical(c.Flora, 3), truth(c.Care.AirLock > 0),
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
