package quiz

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"tugback/internal/marking"
)

// lostTags says which tags of items belong to what a rule marks: by the metric it looks at or, where it
// looks at none, by its id in the shipped rule sets. A rule that is in neither brings back items of its
// stage. Checked by TestLostTags.
func lostTags() []struct{ mark, tags string } {
	return []struct{ mark, tags string }{
		{"difficulty_matched", "difficulty"}, {"diagnosis_share", "diagnosis pulp-test"}, {"tests_compared", "pulp-test"},
		{"choice_right", "diagnosis difficulty"}, {"consent", "consent"}, {"eyewear", "safety"}, {"syringes_labelled", "safety"},
		{"clamp_flossed", "safety isolated"}, {"files_counted", "safety"}, {"isolated_before_open", "isolated wrong-tooth"},
		{"dam_leak_tested", "isolated"}, {"roof_left_share", "roof-left roof-not-reached"}, {"horns_left", "roof-left opened"},
		{"floor_cut_mm", "floor-cut floor-perforated"}, {"wall_left_mm", "opened"}, {"access_angle_deg", "opened curvature"},
		{"canals_missed", "canal-not-found canal-found"}, {"working-length", "length-set reading"}, {"length-again", "reading length-set"},
		{"transport_apical_mm", "ledge curvature"}, {"ledge_depth_mm", "ledge pre-curved"}, {"straightening_deg", "curvature stiffness"},
		{"taper_share", "taper sizes"}, {"strip_left_mm", "strip-risk"}, {"patent", "debris-packed halted"}, {"wiping", "fatigue-risk torque-risk"},
		{"tissue_left_share", "rinsed"}, {"smear_left_share", "rinsed order"}, {"chelator", "order rinsed"}, {"recess_debris_share", "rinsed"},
		{"deposit_share", "precipitate order"}, {"flora_apical_share", "rinsed"}, {"irrigant_escaped_ml", "irrigant-escaped needle-bound"},
		{"apical_pressure_kPa", "irrigant-escaped needle-bound"}, {"dry", "point-dry point-bloody"}, {"dressing", "dressed"},
		{"temporary", "temporised"}, {"cone-length", "cone-off"}, {"cone_grip_N", "cone-fits cone-off"}, {"cone_film", "film cone-fits"},
		{"fill-length", "overfilled filled"}, {"fill_void_share", "filled"}, {"void_apical_share", "filled"}, {"spreader_short_mm", "filled"},
		{"fill_beyond_mm3", "overfilled"}, {"barrier_mm", "sealed"}, {"chamber_bonded", "sealed"}, {"coronal_sealed", "restored"},
		{"mishaps_unreported", "reported file-broken"}, {"perforation_decided", "perforated"}, {"review", "review-set"}, {"recall-decision", "review-set"},
	}
}

// Limits of what lost marks bring back: items for one rule, and in all.
const (
	perRule = 2
	lostAll = 12
)

// BringBackLost makes the items due that belong to marks that were lost, more than half of a rule's points,
// as a wrong decision loses them without anything going visibly wrong: those tagged with what the rule
// marks, else those of its stage; at most 2 for a rule and 12 in all, those that were answered worst or never
// first. It returns the ids brought back. Checked by TestBringBackLost.
func (p Practice) BringBackLost(bank []Item, rules []marking.Rule, marks []marking.RuleMark, now time.Time) (Practice, []string) {
	p = p.clone()
	var back []string
	for _, m := range marks {
		if m.Excused || len(back) >= lostAll || !wrong(m) {
			continue
		}
		taken := 0
		for _, item := range p.weakest(belonging(bank, rules, m)) {
			id := CardID(item)
			if slices.Contains(back, id) {
				continue
			}
			if taken++; taken > perRule || len(back) >= lostAll {
				break
			}
			back = append(back, p.bring(item, now))
		}
	}
	return p, back
}

// belonging returns the items that belong to a rule.
func belonging(bank []Item, rules []marking.Rule, m marking.RuleMark) []Item {
	text := m.ID
	for _, r := range rules {
		if r.ID == m.ID {
			text = strings.Join([]string{r.ID, r.Metric, r.When, r.Credit}, " ")
		}
	}
	var tags []string
	for _, row := range lostTags() {
		if strings.Contains(text, row.mark) && (strings.Contains(row.mark, "_") || m.ID == row.mark || strings.Contains(text, row.mark+"_")) {
			tags = append(tags, strings.Fields(row.tags)...)
		}
	}
	var out []Item
	for _, item := range bank {
		tagged := slices.ContainsFunc(item.Tags, func(t string) bool { return slices.Contains(tags, t) })
		if tagged || len(tags) == 0 && item.Step == m.Stage {
			out = append(out, item)
		}
	}
	return out
}

// weakest sorts items: never answered first, then by the credit of the last answer, least first.
func (p Practice) weakest(items []Item) []Item {
	credit := map[string]float64{}
	for _, a := range p.Answers {
		credit[a.Item] = a.Credit
	}
	rank := func(i Item) float64 {
		c, met := credit[CardID(i)]
		if !met {
			return -1
		}
		return c
	}
	out := slices.Clone(items)
	slices.SortStableFunc(out, func(a, b Item) int { return cmp.Compare(rank(a), rank(b)) })
	return out
}
