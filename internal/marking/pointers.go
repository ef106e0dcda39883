package marking

import "tugback/internal/treatment"

// shownBy returns the events that show where a metric's loss came from, so that evidence can point to
// the action; nil for a metric that no single event explains. Checked by TestMetricsPointToEvents.
func shownBy(metric string) []treatment.EventKind {
	for _, p := range pointers() {
		if p.metric == metric {
			return p.events
		}
	}
	return nil
}

// pointer says which events explain a metric.
type pointer struct {
	metric string
	events []treatment.EventKind
}

func pointers() []pointer {
	type kinds = []treatment.EventKind
	return []pointer{
		{"difficulty_matched", kinds{treatment.Judged}},
		{"isolated_before_open", kinds{treatment.WrongTooth, treatment.Dammed}},
		{"dam_leak_tested", kinds{treatment.Dammed}},
		{"roof_left_share", kinds{treatment.RoofLeft}},
		{"floor_cut_mm", kinds{treatment.FloorCut}},
		{"floor_perforated", kinds{treatment.FloorHole}},
		{"canals_missed", kinds{treatment.NotFound}},
		{"barrier_mm", kinds{treatment.CoronalSeal}},
		{"coronal_sealed", kinds{treatment.CoronalSeal}},
		{"review_days", kinds{treatment.ReviewSet}},
		{"found", kinds{treatment.NotFound, treatment.Located}},
		{"length_error_mm", kinds{treatment.LengthSet}},
		{"transport_max_mm", kinds{treatment.WallWorn}},
		{"transport_apical_mm", kinds{treatment.Transported, treatment.WallWorn}},
		{"zip_mm", kinds{treatment.Zipped}},
		{"elbow_level_mm", kinds{treatment.Zipped}},
		{"foramen_tear_mm", kinds{treatment.ForamenTorn}},
		{"foramen_moved_mm", kinds{treatment.ForamenTorn}},
		{"straightening_deg", kinds{treatment.Straightened}},
		{"ledge_depth_mm", kinds{treatment.Ledge}},
		{"strip_left_mm", kinds{treatment.StripRisk}},
		{"perforated", kinds{treatment.Perforated}},
		{"blocked_mm", kinds{treatment.Packed, treatment.Ledge}},
		{"fragment_mm", kinds{treatment.Broke}},
		{"past_foramen_mm", kinds{treatment.PastForamen}},
		{"debris_extruded_mm3", kinds{treatment.DebrisOut}},
		{"irrigant_escaped_ml", kinds{treatment.IrrigantOut, treatment.IrrigantSeeped}},
		{"apical_pressure_kPa", kinds{treatment.PressureHigh}},
		{"air_lock", kinds{treatment.AirLocked}},
		{"deposit_share", kinds{treatment.Precipitated}},
		{"erosion", kinds{treatment.Eroded}},
		{"cone_short_mm", kinds{treatment.ConeOff}},
		{"cone_film", kinds{treatment.ConeFits, treatment.ConeOff}},
		{"cone_grip_N", kinds{treatment.ConeOff, treatment.ConeFits}},
		{"fill_short_mm", kinds{treatment.ShortFill, treatment.Filled}},
		{"fill_void_share", kinds{treatment.Filled}},
		{"void_apical_share", kinds{treatment.Filled}},
		{"fill_core_share", kinds{treatment.Filled}},
		{"spreader_short_mm", kinds{treatment.SpreaderIn}},
		{"fill_beyond_mm3", kinds{treatment.Overfilled, treatment.SealerOut}},
		{"diagnosis_share", kinds{treatment.Diagnosed}},
		{"tests_compared", kinds{treatment.TestDone}},
		{"choice_right", kinds{treatment.Judged}},
		{"files_counted", kinds{treatment.FilesCounted}},
		{"numb_at_opening", kinds{treatment.Painful, treatment.Numbed}},
		{"wall_left_mm", kinds{treatment.CrownHole, treatment.WallGouged, treatment.OverOpened}},
		{"wall_perforated", kinds{treatment.CrownHole}},
		{"horns_left", kinds{treatment.HornsLeft}},
		{"recall_decided_right", kinds{treatment.RecallFilm}},
		{"temporary_mm", kinds{treatment.Temporised, treatment.ThinCover}},
		{"chamber_bonded", kinds{treatment.BondSpoiled, treatment.CoronalSeal}},
		{"perforation_decided", kinds{treatment.HoleDecided, treatment.Perforated, treatment.FloorHole, treatment.CrownHole}},
		{"days_between", kinds{treatment.CameBack, treatment.Dressed}},
		{"perforation_actions", kinds{treatment.Perforated, treatment.FloorHole, treatment.CrownHole}},
		{"perforation_imaged", kinds{treatment.FilmTaken}},
		{"perforation_leak", kinds{treatment.HoleDecided, treatment.HoleAgainst}},
		{"bare_actions", kinds{treatment.NoDam}},
		{"crack_share", kinds{treatment.CrackDeep}},
	}
}
