package treatment

import "math"

// Tuning numbers and conventions of this package, each with unit, source and effect.
const (
	// tipHalfAngle: half of the 75° tip of a K-type file (75° ± 15°, read in a standards digest; D8).
	tipHalfAngle = 37.5 * math.Pi / 180

	// outside is how far a space runs on past the foramen, mm: room for a file that goes too far.
	outside = 3.0

	// outsideWall is the distance of the (soft) wall there, mm.
	outsideWall = 3.0

	// probePush is the push of a passive probe (N): common practice, "no force".
	probePush = 0.6

	// scoutSize is the size of the file that shows whether a canal is open.
	scoutSize = "hand-steel-10.02"

	// mortalSlope: first-order rate of loss of bacteria and of tissue per second and per per cent of
	// NaOCl where the irrigant is renewed. Tuned: 3 % over 60 s leaves about a third of the tissue
	// film; dissolution close to linear in concentration (Stojicic 2010, abstract). P11 of the
	// protocol facts would notice.
	tissueRate = 0.006
	floraRate  = 0.012

	// smearRate: 17 % EDTA clears smear in a minute (Calt & Serper 2002): 95 % in 60 s.
	smearRate = 0.05

	// erosionOnset: s of EDTA after which walls begin to erode when NaOCl follows (1 min clean, 10 min
	// strongly eroded: Calt & Serper 2002).
	erosionOnset = 60.0
	erosionFull  = 600.0

	// packShare: shavings per section at which debris carries a tip: tuned, no source; a plug of chips
	// is felt well before the section is full.
	packShare = 0.35

	// packPressure: MPa a full plug sets against a tip: tuned so that 3 N on a size 25 tip (0.05 mm²)
	// just moves it (from memory: chips pack like wet plaster). No source.
	packPressure = 60.0

	// fragmentPressure: MPa; no hand pushes through a metal fragment.
	fragmentPressure = 1e6

	// viscosity (MPa·s) and density (kg/m³) of 1 % NaOCl near 22 °C: 0.99 mPa·s, 1.04 g/cm³ (from memory,
	// high certainty).
	viscosity = 0.99e-9
	density   = 1040.0
)

func radians(deg float64) float64 { return float64(deg*math.Pi) / 180 }
func degrees(rad float64) float64 { return float64(rad*180) / math.Pi }
