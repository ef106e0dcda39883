package treatment

// Parameters are the instructor's parameters of the procedure around shaping. DefaultParameters holds
// the sourced defaults.
type Parameters struct {
	BackPressure   float64    // Pa the tissue holds against what comes out of the foramen
	SyringePush    float64    // Pa the thumb keeps up behind a needle at most
	AirLock        float64    // share of rinses of a dry canal that leave an air lock, balanced over conditions
	Accident       float64    // ml past the foramen from which a patient feels an accident
	RoomTemp       float64    // °C of irrigant that was not warmed
	Cone           float64    // standard deviation of a cone's tip diameter, share of the size
	ConeBias       float64    // mean deviation of it, share of the size
	TemporaryLeast float64    // mm of temporary filling from which it counts as tight
	BarrierLeast   float64    // mm of orifice barrier from which it counts as tight
	PostLeast      float64    // mm of filling to leave below a post
	SealerHours    [3]float64 // h to set: epoxy resin, zinc oxide eugenol, calcium silicate
	SealerCoat     float64    // mm of sealer that clings to a dipped cone and to the wall it wipes
	RootLoad       float64    // N on the spreader from which a root is at risk
	Shelf          float64    // mm of dentine over a second mesiobuccal orifice, mean
	ColdRight      [2]float64
	ElectricRight  [2]float64
	HeatRight      [2]float64 // sensitivity and specificity of a pulp test, disease = pulp not vital
	TestsTogether  float64    // correlation of the errors of pulp tests on one tooth
	Assumed        Assumptions
}

// Assumptions are what no paper gives: each stands for a direction that is known and a size that is not. An
// instructor changes them by keys of the same words (dressing-left, hole-seep and so on).
type Assumptions struct {
	DressingLeft float64 // share of the sealer's room that an unrinsed dressing keeps
	WetGap       float64 // share of the gap beside a cone that compaction still fills where liquid stands in it
	HoleSeep     float64 // ml of irrigant through an open hole per mm² and minute
	RepairFault  float64 // share of a repair's seal lost to each of late, large, crestal
	RepairBlood  float64 // share lost to bleeding
	CrackRate    float64 // share of its way that a crack gains in a day of chewing
	OpenLeak     float64 // rate at which bacteria pass an open filling, a day
	BareLeak     float64 // rate past a tight barrier without restoration, a day
	SpoiledBond  float64 // share of the barrier that a spoiled bond takes away
	TemporaryGap float64 // rate past a temporary that lacks all its thickness, a day
	Regrowth     float64 // rate at which bacteria grow back in an empty canal, a day
}

// MmHg is a millimetre of mercury, Pa (conventional value, from memory). Checked by TestUnitsOfTheProcedure.
const MmHg = 133.322387415

// DefaultParameters returns the defaults, each with its source.
func DefaultParameters() Parameters {
	return Parameters{
		BackPressure:   30 * MmHg,            // 30 mmHg of simulated bone pressure (protocol facts 3.3, [10])
		SyringePush:    550e3,                // operators reached 400–550 kPa (protocol facts 3.2, [6])
		AirLock:        0.48,                 // Boutsioukis 2014, Int Endod J: 48 % of the cases tested
		Accident:       0.1,                  // assumption: no volume is published; below it an extrusion stays silent
		RoomTemp:       22,                   // °C, the state of most bench tests
		Cone:           0.075,                // sd 7.2–11.4 % of D0 in size 30/.04, five makes (protocol facts 4.1, [32e])
		ConeBias:       0,                    // makes differ from −15.4 to +7.3 % (same)
		TemporaryLeast: 3.5,                  // Webber 1978, dye leakage: a leakage convention
		BarrierLeast:   2,                    // 2 mm suffices for many adhesives: a leakage convention
		PostLeast:      4,                    // 4–5 mm: a leakage convention
		SealerHours:    [3]float64{8, 12, 6}, // as the material's instructions say; common practice, no source
		SealerCoat:     0.1,                  // assumption: twice the film that a sealer leaves under load (ISO 6876: 50 µm)
		RootLoad:       14.7,                 // 1.5 kgf: fractures reported from there (Holcomb 1987, from memory)
		Shelf:          1.68,                 // vertical step MB1–MB2 1.68 ± 0.83 mm (anatomy facts 2.4)
		ColdRight:      [2]float64{0.87, 0.84},
		ElectricRight:  [2]float64{0.72, 0.93},
		HeatRight:      [2]float64{0.78, 0.67}, // all three: Mainkar & Kim 2018, J Endod, pooled
		Assumed: Assumptions{
			DressingLeft: 0.4,   // direction: remnants keep sealer off the wall, common practice
			WetGap:       0.3,   // direction: liquid is not compressed
			HoleSeep:     0.01,  // direction: a perforation in 19 % of accidents (protocol facts 7, [66d])
			RepairFault:  0.25,  // direction: Fuss & Trope 1996, from memory
			RepairBlood:  0.4,   // the same
			CrackRate:    0.02,  // direction: cracks deepen under load, common practice
			OpenLeak:     0.019, // half through in 36 days: 24–49 (protocol facts 4.6, [40b]), a leakage convention
			BareLeak:     0.002, // direction: a barrier alone keeps for weeks
			SpoiledBond:  0.5,   // direction: sealer left on the floor keeps the barrier off it, common practice
			TemporaryGap: 0.15,  // direction: Webber 1978, a leakage convention
			Regrowth:     0.05,  // direction: empty canals are recolonised between visits, from memory
		},
		TestsTogether: 0.3, // assumption: tests share what upsets them (a restoration, an anxious patient)
	}
}
