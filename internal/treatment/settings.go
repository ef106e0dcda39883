package treatment

// DefaultSettings returns the sourced defaults of the instructor's parameters.
func DefaultSettings() Settings {
	return Settings{
		LedgeStep:       0.05,  // common practice, no source: the least step a size 10 tip feels
		StripThickness:  0.3,   // Lim & Stock 1987, Int Endod J: limit 0.2–0.3 mm left
		LooseShare:      0.25,  // common practice, no source
		LengthShort:     0.5,   // common practice: 0.5–1 mm short of the foramen
		LocatorError:    0.25,  // assumption within the 87–96 % of readings inside 0.5 mm
		FilmError:       0.4,   // readings within 0.5 mm in 74–83 %: sd 0.5/1.28
		ExtrusionLimit:  764,   // 5.73 mmHg, a convention (Park 2013; Khan 2013 uses 784)
		FatigueScatter:  0.28,  // published spread of cycles to fracture, sd up to 30 % (Hülsmann 2019)
		StrengthScatter: 0.08,  // spread of ISO torque tests, common practice
		SizeScatter:     0.007, // files of 08–40: none at nominal, all within ±0.02 mm (J Endod 2002); the spread is chosen
		TransportLimit:  0.3,   // Wu 2000, Int Endod J 33:116: 3 % leak up to it, 42 % beyond; a leakage convention
		WornLimit:       0.15,  // half of it, common practice, no source
		ZipWidth:        0.05,  // common practice, no source: half of the least ledge on either side
		ForamenLimit:    0.1,   // common practice, no source: two sizes of a fine file
		StraightenLimit: radians(5),
		RiskShare:       0.5, // torque limits are set at 50–75 % of fracture (common practice)
		RemovalSkill:    1,   // a specialist's; a student's default is to refer
		Temperature:     35,  // in the canal during treatment, °C (from memory, 31–37 reported)
		BreakageDrawn:   true,
		Around:          DefaultParameters(),
	}
}
