package treatment

// EventDefinition documents one kind of event.
type EventDefinition struct {
	Kind  EventKind
	Value string // what Value is
	Unit  string
	Fault bool // a mishap or an omission that harms
	Text  string
}

// The kinds of event.
const (
	Judged         EventKind = "judged"
	FilmTaken      EventKind = "film"
	Dammed         EventKind = "isolated"
	WrongTooth     EventKind = "wrong-tooth"
	Opened         EventKind = "opened"
	NotThrough     EventKind = "roof-not-reached"
	RoofLeft       EventKind = "roof-left"
	FloorCut       EventKind = "floor-cut"
	FloorHole      EventKind = "floor-perforated"
	Bleeding       EventKind = "bleeding"
	Located        EventKind = "canal-found"
	NotFound       EventKind = "canal-not-found"
	Reading        EventKind = "reading"
	NoReading      EventKind = "no-reading"
	LengthSet      EventKind = "length-set"
	Reached        EventKind = "reached"
	Halted         EventKind = "halted"
	Loose          EventKind = "loose"
	Felt           EventKind = "felt"
	Tugged         EventKind = "tug"
	Ledge          EventKind = "ledge"
	WallWorn       EventKind = "wall-worn"
	StripRisk      EventKind = "strip-risk"
	Perforated     EventKind = "perforated"
	PastForamen    EventKind = "past-foramen"
	DebrisOut      EventKind = "debris-extruded"
	Packed         EventKind = "debris-packed"
	Strained       EventKind = "fatigue-risk"
	Bound          EventKind = "torque-risk"
	Unwound        EventKind = "flutes-unwound"
	Broke          EventKind = "file-broken"
	AnglesOutside  EventKind = "angles-outside"
	Zipped         EventKind = "zip"
	ForamenTorn    EventKind = "foramen-torn"
	Straightened   EventKind = "straightened"
	Transported    EventKind = "transported"
	ScrewIn        EventKind = "screw-in"
	FragmentOut    EventKind = "fragment-removed"
	FragmentStays  EventKind = "fragment-stays"
	FragmentPassed EventKind = "fragment-bypassed"
	FragmentLeft   EventKind = "fragment-left"
	DentineSpent   EventKind = "dentine-spent"
	Wiped          EventKind = "wiped"
	PreCurved      EventKind = "pre-curved"
	NoCurve        EventKind = "sprang-back"
	Rinsed         EventKind = "rinsed"
	NeedleBound    EventKind = "needle-bound"
	IrrigantOut    EventKind = "irrigant-escaped"
	Precipitated   EventKind = "precipitate"
	ChlorineLost   EventKind = "chlorine-spent"
	Eroded         EventKind = "wall-eroded"
	GaugedSize     EventKind = "gauged"
	PointDry       EventKind = "point-dry"
	PointWet       EventKind = "point-wet"
	PointBlood     EventKind = "point-bloody"
	Dressed        EventKind = "dressed"
	Temporised     EventKind = "temporised"
	ConeFits       EventKind = "cone-fits"
	ConeOff        EventKind = "cone-off"
	Filled         EventKind = "filled"
	Overfilled     EventKind = "overfilled"
	CoronalSeal    EventKind = "sealed"
	Restored       EventKind = "restored"
	ReviewSet      EventKind = "review-set"
	Waited         EventKind = "waited"
	Reported       EventKind = "reported"

	IrrigantSeeped EventKind = "irrigant-seeped"
	NeedleHeld     EventKind = "needle-held"
	PressureHigh   EventKind = "apical-pressure"
	FlowLimited    EventKind = "flow-limited"
	AirLocked      EventKind = "air-lock"
	Coloured       EventKind = "discoloured"
	TestDone       EventKind = "tested"
	Diagnosed      EventKind = "diagnosed"
	Harder         EventKind = "difficulty-factor"
	Prepared       EventKind = "prepared"
	FilesCounted   EventKind = "files-counted"
	Numbed         EventKind = "anaesthetised"
	Painful        EventKind = "painful"
	Splashed       EventKind = "splashed"
	DamLeaks       EventKind = "dam-leaks"
	SyringeSwapped EventKind = "syringe-swapped"
	Swallowed      EventKind = "swallowed"
	CameBack       EventKind = "came-back"
	Leaked         EventKind = "temporary-leaked"
	ThinCover      EventKind = "thin-cover"
	RecallFilm     EventKind = "recall-film"
	CrownHole      EventKind = "wall-perforated"
	WallGouged     EventKind = "wall-gouged"
	OverOpened     EventKind = "over-extended"
	HornsLeft      EventKind = "horns-left"
	SpreaderIn     EventKind = "spreader"
	RootLoaded     EventKind = "root-loaded"
	RootHeated     EventKind = "root-heated"
	SealerOut      EventKind = "sealer-extruded"
	ShortFill      EventKind = "filled-short"
	SealerSets     EventKind = "sealer-sets"
	CuspLowered    EventKind = "cusp-cut"
	BondSpoiled    EventKind = "bond-spoiled"
	CrownLeaked    EventKind = "crown-leaked"
	HoleDecided    EventKind = "perforation-decided"

	HoleAgainst     EventKind = "repair-hindered"
	ThroughHole     EventKind = "irrigant-through-hole"
	DressingLeft    EventKind = "dressing-left"
	NoDam           EventKind = "no-dam"
	Uncovered       EventKind = "uncovered"
	CrackDeep       EventKind = "crack-deepened"
	RestorationLost EventKind = "restoration-lost"
)

// EventKinds lists every kind of event in the order of the procedure.
func EventKinds() []EventDefinition {
	return append(coronalEvents(), append(shapingEvents(), laterEvents()...)...)
}

func coronalEvents() []EventDefinition {
	return []EventDefinition{
		{Judged, "0", "", false, "the case was judged; detail: treat or refer"},
		{TestDone, "tooth number", "", false, "a tooth was tested; item: the test, detail: the answer"},
		{Diagnosed, "0", "", false, "the diagnosis was written down; item: pulp, detail: apical"},
		{Harder, "1 moderate, 2 high", "", false, "a finding makes the case harder; detail: which"},
		{Prepared, "0", "", false, "something was made ready; detail: what"},
		{CuspLowered, "height cut", "mm", false, "the reference cusp was cut; lengths written down before are too long"},
		{FilesCounted, "whole instruments", "", false, "the instruments were counted; detail: in or out"},
		{Numbed, "0", "", false, "an injection was given; detail: its effect, if tested"},
		{Painful, "0", "", true, "a vital pulp was cut while it felt"},
		{Splashed, "0", "", true, "irrigant splashed into an unprotected eye"},
		{DamLeaks, "0", "", true, "irrigant leaked past the dam"},
		{SyringeSwapped, "0", "", true, "an unlabelled syringe held another irrigant"},
		{Swallowed, "0", "", true, "an instrument went down the throat"},
		{FilmTaken, "image length from cusp to apex of the canal", "mm", false, "a film was taken"},
		{Dammed, "tooth number", "", false, "the dam is on; detail: tested or untested"},
		{NoDam, "tooth number", "", true, "the tooth stands open without the dam on it"},
		{WrongTooth, "tooth number under the dam", "", true, "the dam is on another tooth"},
		{Opened, "depth drilled", "mm", false, "the chamber is open"},
		{NotThrough, "depth left to the roof", "mm", false, "the bur has not reached the chamber"},
		{RoofLeft, "share of the roof left", "", true, "part of the roof stays and covers horns or orifices"},
		{HornsLeft, "number of horns", "", true, "pulp horns lie beyond the opening's edge"},
		{OverOpened, "wall left", "mm", true, "the opening is wider than the crown bears"},
		{WallGouged, "wall left", "mm", true, "the bur went off the tooth's axis and gouged a wall"},
		{CrownHole, "wall left", "mm", true, "a wall of the crown or the root's trunk is perforated"},
		{FloorCut, "depth cut into the floor", "mm", true, "the bur cut the floor"},
		{FloorHole, "depth below the floor", "mm", true, "the floor is perforated"},
		{Bleeding, "share of the pulp left", "", false, "the pulp bleeds"},
		{Located, "distance of the orifice from the tooth's axis", "mm", false, "the canal was found"},
		{NotFound, "distance the cavity falls short of the orifice", "mm", false, "the canal was not found"},
		{Reading, "length read", "mm", false, "a length was read; detail: locator, film or touch"},
		{NoReading, "0", "", false, "no reading could be had; detail: why"},
		{LengthSet, "working length", "mm", false, "the working length was written down"},
	}
}

func shapingEvents() []EventDefinition {
	return []EventDefinition{
		{Reached, "length reached", "mm", false, "the instrument reached its stop"},
		{Halted, "length reached", "mm", false, "the instrument went no further; detail: why"},
		{Loose, "resistance / push", "", false, "the instrument is loose at its stop"},
		{Felt, "resistance to the last stroke; force: to the stroke before", "N", false, "what the hand felt; detail: easing, same or tightening"},
		{Tugged, "pull that draws it out", "N", false, "the instrument is gripped"},
		{Ledge, "step cut into the wall", "mm", true, "the tip gouged a ledge"},
		{WallWorn, "difference of the cuts on opposite walls", "mm", true, "one wall was worn more than the other"},
		{StripRisk, "dentine left", "mm", true, "a wall is thinner than the limit"},
		{Perforated, "length of the hole's place", "mm", true, "a wall is cut through; detail: strip or apical"},
		{PastForamen, "length past the foramen", "mm", true, "an instrument went past the foramen"},
		{DebrisOut, "volume pushed out", "mm³", true, "shavings were pushed past the foramen"},
		{Packed, "share of the section filled", "", true, "shavings are packed at the tip"},
		{Strained, "share of this piece's life used", "", true, "the instrument nears its fatigue life"},
		{Bound, "torque / strength", "", true, "the instrument binds near its strength"},
		{Unwound, "permanent twist", "deg", true, "the flutes are unwound"},
		{Broke, "length of the fragment", "mm", true, "the instrument broke; detail: fatigue or torsion"},
		{AnglesOutside, "angle turned back", "deg", false, "balanced force outside the published angles: at most 180° clockwise, at least 120° back (Roane 1985)"},
		{Zipped, "apex wider than the elbow above it", "mm", true, "the apex is torn to a drop; the level is that of the elbow"},
		{ForamenTorn, "foramen widened or moved by", "mm", true, "the foramen was torn or moved; detail: torn or moved"},
		{Straightened, "Schneider's angle lost", "deg", true, "the canal has been straightened"},
		{Transported, "transportation in the apical 3 mm", "mm", true, "the apical part has left its path by more than the limit"},
		{ScrewIn, "pull of the turning flutes", "N", false, "the instrument draws itself in harder than the hand pushes"},
		{FragmentOut, "length of the piece", "mm", false, "a broken piece was removed"},
		{FragmentStays, "chance there was", "", false, "a broken piece could not be moved; detail: removal or bypass"},
		{FragmentPassed, "wall cut to pass", "mm", false, "a fine file passed a broken piece"},
		{FragmentLeft, "length of the piece", "mm", false, "a broken piece is left where it is"},
		{DentineSpent, "dentine removed to reach a piece", "mm³", false, "freeing a broken piece cost dentine"},
		{Wiped, "share of the flutes that was full", "", false, "the flutes were wiped and looked at"},
		{PreCurved, "radius", "mm", false, "the file was pre-curved"},
		{NoCurve, "0", "", false, "the file sprang back straight"},
		{GaugedSize, "length where it binds", "mm", false, "a gauging file went in; detail: snug, passes, short, or stiff where the bend holds it"},
	}
}

func laterEvents() []EventDefinition {
	return []EventDefinition{
		{Rinsed, "length down to which the liquid was renewed", "mm", false, "the canal was rinsed; detail: irrigant"},
		{NeedleBound, "length where the needle binds", "mm", true, "the needle binds in the canal"},
		{IrrigantOut, "volume", "ml", true, "irrigant went past the foramen"},
		{ThroughHole, "volume", "ml", true, "irrigant went through an open perforation"},
		{IrrigantSeeped, "volume", "ml", false, "a little irrigant went past the foramen; nobody felt it"},
		{NeedleHeld, "length at which it is held", "mm", false, "the needle is too stiff to follow the curve further; detail: sealer for a sealer needle that wedges"},
		{PressureHigh, "pressure at the foramen", "kPa", true, "the pressure at the foramen is above the tissue's"},
		{FlowLimited, "flow that was reached", "ml/min", false, "the thumb can't push the wanted flow through the needle"},
		{AirLocked, "length down to which the canal is wet", "mm", false, "air keeps the irrigant out of the canal's end"},
		{Coloured, "0", "", true, "traces of NaOCl turned chlorhexidine brown"},
		{Precipitated, "concentration of what was left", "%", true, "two irrigants met and left a precipitate"},
		{ChlorineLost, "share of free chlorine lost", "", true, "EDTA met NaOCl and spent its chlorine"},
		{Eroded, "degree, 0 to 1", "", true, "long EDTA followed by NaOCl erodes the wall"},
		{PointDry, "length of the point", "mm", false, "the last paper point came out dry"},
		{PointWet, "liquid left", "mm³", false, "the last paper point came out wet"},
		{PointBlood, "length of the red tip", "mm", false, "the paper point came out with blood on it"},
		{Dressed, "days", "d", false, "the canal was dressed"},
		{Temporised, "thickness", "mm", false, "a temporary filling was placed"},
		{Uncovered, "thickness", "mm", false, "the temporary filling was taken out"},
		{ThinCover, "thickness or length", "mm", true, "a cover is thinner than the convention; detail: temporary, barrier or post"},
		{CameBack, "days since the last visit", "d", false, "the patient came back; the dam and the temporary are off"},
		{Leaked, "share of the bacteria that came back", "", true, "the temporary filling leaked between the visits; detail: open where there was none"},
		{ConeFits, "grip on withdrawal", "N", false, "the cone stands at its length and grips"},
		{ConeOff, "tip from the length wanted, short negative", "mm", false, "the cone does not fit; detail: short, long, loose, or past where the length itself lies past the foramen"},
		{DressingLeft, "0", "", true, "the canal was filled before the dressing was rinsed out; detail: which"},
		{Filled, "share of void", "", false, "the canal is filled"},
		{SpreaderIn, "length the spreader reached", "mm", false, "the spreader went in beside the cone"},
		{RootLoaded, "load on the spreader", "N", true, "the spreader is loaded as much as roots were split with"},
		{RootHeated, "warming of the root's surface", "K", true, "the root's surface is warmed to where bone suffers"},
		{SealerOut, "volume", "mm³", true, "sealer went past the foramen"},
		{ShortFill, "end short of the foramen", "mm", true, "the filling ends more than 2 mm short"},
		{SealerSets, "time", "h", false, "the sealer needs this time to set"},
		{Overfilled, "length past the foramen", "mm", true, "filling went past the foramen"},
		{CoronalSeal, "thickness of the barrier", "mm", false, "orifices are sealed"},
		{BondSpoiled, "0", "", true, "the barrier does not bond; detail: sealer or saliva"},
		{Restored, "days until it is placed", "d", false, "the restoration was decided"},
		{RestorationLost, "0", "", true, "too little sound tooth is left to hold the restoration"},
		{CrackDeep, "share of the way to the chamber's floor", "", true, "a crack of the crown has gone under the barrier; detail: seen before the treatment or unseen"},
		{CrownLeaked, "share of the bacteria that came back", "", true, "bacteria came down from the mouth"},
		{RecallFilm, "days since the treatment", "d", false, "the recall's film, drawn by published group figures; detail: healed, uncertain, failed, or uncertain-no-first-film"},
		{ReviewSet, "days until the review, 0 none", "d", false, "the review was planned; detail: what was decided on the recall's film"},
		{Waited, "time", "s", false, "time passed"},
		{HoleAgainst, "time since the hole was made", "min", false, "something stands against a repair; detail: late, large, crestal or bleeding"},
		{HoleDecided, "number of perforations", "", false, "it was decided on a perforation; detail: refer, repair or leave"},
		{Reported, "0", "", false, "a mishap was reported; detail: which"},
	}
}
