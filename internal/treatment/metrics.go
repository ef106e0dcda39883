package treatment

// MetricTable documents every metric, tooth metrics first.
func MetricTable() []Definition { return append(toothMetrics(), canalMetrics()...) }

func tooth(name, unit string, low, high float64, text string) Definition {
	return Definition{Name: name, Unit: unit, Low: low, High: high, Text: text, Source: "derived from the state"}
}

func perCanal(name, unit string, low, high float64, text, source string) Definition {
	return Definition{Name: name, Unit: unit, PerCanal: true, Low: low, High: high, Text: text, Source: source}
}

func toothMetrics() []Definition {
	return append([]Definition{
		tooth("difficulty_matched", "", 0, 1, "1 when the stated difficulty is the case's class"),
		tooth("isolated_before_open", "", 0, 1, "1 when the dam was on the right tooth before the chamber was opened"),
		tooth("dam_leak_tested", "", 0, 1, "1 when the dam was tested for leaks"),
		tooth("roof_left_share", "", 0, 1, "share of the chamber roof left"),
		tooth("floor_cut_mm", "mm", 0, 20, "depth cut into the chamber floor"),
		tooth("floor_perforated", "", 0, 1, "1 when the floor is perforated"),
		tooth("dentine_lost_mm3", "mm³", 0, 5000, "crown dentine and enamel removed beyond the chamber's own outline"),
		tooth("canals_missed", "", 0, 4, "canals that were not found"),
		tooth("mishaps_unreported", "", 0, 50, "kinds of mishap that happened and were not reported"),
		tooth("barrier_mm", "mm", 0, 6, "thickness of the orifice barrier"),
		tooth("coronal_sealed", "", 0, 1, "1 when the orifices are sealed and a restoration is decided"),
		tooth("review_days", "d", 0, 3650, "days until the planned review, 0 when none"),
		tooth("minutes", "min", 0, 10000, "time taken"),
	}, aroundTooth()...)
}

func canalMetrics() []Definition {
	return append(append(shapeMetrics(), careMetrics()...), aroundCanal()...)
}

func shapeMetrics() []Definition {
	gambill := "Gambill 1996, J Endod 22:369: T = (X1−X2)−(Y1−Y2), C = smaller/larger removal"
	return []Definition{
		perCanal("found", "", 0, 1, "1 when the canal was found", "derived from the state"),
		perCanal("length_error_mm", "mm", -40, 40, "working length written down minus the length to the constriction, short negative", "derived from the state"),
		perCanal("transport_max_mm", "mm", 0, 5, "largest difference of the cuts on opposite walls, 0 to 10 mm from the foramen, either plane", gambill),
		perCanal("transport_apical_mm", "mm", 0, 5, "largest difference of the cuts on opposite walls, 0 to 3 mm from the foramen, either plane", gambill),
		perCanal("transport_1mm", "mm", -5, 5, "outer minus inner cut in the clinical plane 1 mm from the foramen, outwards positive", gambill),
		perCanal("centring_1mm", "", 0, 1, "centring ratio in the clinical plane 1 mm from the foramen, 1 centred or nothing cut", gambill),
		perCanal("ledge_depth_mm", "mm", 0, 3, "largest one-sided step of a wall, away from the working length", "derived from the state"),
		perCanal("straightening_deg", "deg", -20, 90, "Schneider angle before minus after, clinical plane", "Schneider 1971"),
		perCanal("length_loss_mm", "mm", -1, 3, "path length before minus after", "derived from the state"),
		perCanal("apical_size_iso", "", 0, 200, "largest ISO size whose tip fits the canal at the working length without cutting", "derived from the state"),
		perCanal("taper_share", "", 0, 1, "share of millimetre steps from the working end to the orifice where the canal widens or keeps its width crownwards", "ESE 2006, from memory: continuously tapered"),
		perCanal("strip_left_mm", "mm", -5, 10, "thinnest dentine left between canal and root surface, 2 mm or more from the foramen; 0 or below: through", "Lim & Stock 1987, Int Endod J: 0.2–0.3 mm"),
		perCanal("perforated", "", 0, 1, "1 when a wall is cut through", "derived from the state"),
		perCanal("untouched_share", "", 0, 1, "share of the canal wall no instrument touched, orifice to working length", "derived from the state; published 26–45 %, Peters 2001, Int Endod J 34:221"),
		perCanal("patent", "", 0, 1, "1 when a size 10 steel file reaches the foramen without force", "derived from the state"),
		perCanal("blocked_mm", "mm", 0, 40, "how far short of the constriction a size 10 steel file stops", "derived from the state"),
		perCanal("fragment_mm", "mm", 0, 20, "length of a broken piece in the canal", "derived from the state"),
		perCanal("past_foramen_mm", "mm", 0, 20, "furthest an instrument went past the foramen", "derived from the state"),
		perCanal("debris_extruded_mm3", "mm³", 0, 50, "shavings pushed past the foramen", "derived from the state"),
		perCanal("zip_mm", "mm", 0, 5, "how much wider the apical millimetre is than the elbow above it; 0 without one", "Weine 1975, J Endod 1:255: drop-shaped zip"),
		perCanal("elbow_level_mm", "mm", 0, 5, "level of that elbow, 0 without one", "Weine 1975, J Endod 1:255"),
		perCanal("foramen_tear_mm", "mm", 0, 6, "how much wider the foramen was cut, in the plane of the larger cut", "derived from the state"),
		perCanal("foramen_moved_mm", "mm", 0, 6, "how far the middle of the foramen was moved", "derived from the state"),
	}
}

func careMetrics() []Definition {
	return []Definition{
		perCanal("irrigant_escaped_ml", "ml", 0, 20, "irrigant pushed past the foramen", "derived from the state"),
		perCanal("tissue_left_share", "", 0, 1, "pulp tissue left, mean over the canal", "derived from the state"),
		perCanal("smear_left_share", "", 0, 1, "smear layer left, mean over the canal", "derived from the state"),
		perCanal("flora_left_share", "", 0, 1, "bacteria left of those at the start, mean over the canal", "derived from the state"),
		perCanal("erosion", "", 0, 1, "largest erosion of the wall", "Calt & Serper 2002, J Endod 28:17"),
		perCanal("naocl_ml", "ml", 0, 500, "NaOCl rinsed through the canal", "derived from the state"),
		perCanal("cone_short_mm", "mm", -40, 40, "master cone tip short of the working length, or of the place where canals join when the common end is filled; beyond negative", "derived from the state"),
		perCanal("cone_grip_N", "N", 0, 50, "force to draw the master cone back", "derived from the state"),
		perCanal("fill_short_mm", "mm", -15, 40, "end of the filling short of the foramen, beyond negative; whole length when not filled; of joined canals the one that fills the common end counts", "derived from the state"),
		perCanal("fill_void_share", "", 0, 1, "share of the filled canal's volume that is void; 1 when not filled", "derived from the state"),
		perCanal("fill_beyond_mm3", "mm³", 0, 50, "filling pushed past the foramen", "derived from the state"),
	}
}
