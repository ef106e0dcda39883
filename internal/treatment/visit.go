package treatment

import (
	"math"

	"tugback/internal/detmath"
)

// comeBack begins the second visit: days pass, dam and temporary come off, and what leaked in is there.
func (t *turn) comeBack() error {
	if !t.Access.Opened {
		return refuse("not-opened", "return: nothing was begun yet")
	}
	days := float64(t.action.Days)
	t.spend(60_000)
	t.Days += t.action.Days
	t.happen(Event{Kind: CameBack, Value: days, Unit: "d"})
	back := t.leakage(days)
	if t.Sealed {
		back = t.crownLeak(days) // the barrier keeps what a temporary would
	}
	if back > 0 {
		for i := range t.Canals {
			t.Canals[i] = t.Canals[i].clone()
			c := &t.Canals[i]
			for k := range c.Flora {
				c.Flora[k] += float64(back * (1 - c.Flora[k]))
			}
		}
		detail := ""
		if t.Temporary == 0 && !t.Sealed {
			detail = "open"
		}
		t.happen(Event{Kind: Leaked, Value: back, Detail: detail})
	}
	for i := range t.Canals {
		if c := &t.Canals[i]; c.Dressing == "calcium-hydroxide" && c.DressDays == 0 {
			t.Canals[i] = t.Canals[i].clone()
			t.Canals[i].rest(t.action.Days)
		}
		if c := &t.Canals[i]; c.Dressing == "" && c.Found && c.Fill.Technique == "" && t.Case.Lesion {
			t.Canals[i] = t.Canals[i].clone()
			t.Canals[i].regrow(t.Case.Settings.Around.Assumed.Regrowth, days)
		}
	}
	t.Temporary, t.Isolated, t.LeakTest, t.Exam.Numb, t.BareVisit = 0, 0, false, false, false
	return nil
}

// rest lets calcium hydroxide act for days.
func (c *CanalState) rest(days int) {
	c.DressDays = days
	keep := SurvivorsUnder(float64(days))
	for k := range c.Flora {
		c.Flora[k] = float64(c.Flora[k] * keep)
	}
}

// leakage returns the share of the starting bacteria that comes back through a temporary filling: none for
// the first week under one of the least thickness; a thin one leaks in proportion to what it lacks, none
// at all lets everything in. An open filling was penetrated in 24–49 days on average (protocol facts 4.6
// [40b]); the week is that of premixed paste on one surface ([42c]). Leakage conventions.
func (t *turn) leakage(days float64) float64 {
	least := t.Case.Settings.Around.TemporaryLeast
	lacks := math.Max(0, 1-t.Temporary/math.Max(0.1, least))
	rate := float64(lacks * t.Case.Settings.Around.Assumed.TemporaryGap)
	if days > 7 {
		rate = math.Max(rate, 0.01)
		days -= float64(7 * (1 - lacks))
	}
	return 1 - detmath.Exp(-float64(rate*days))
}

// TemporaryTight says whether a temporary filling counts as tight: from the least thickness on, a dye
// leakage convention (Webber 1978). Checked by TestSealConventions (P32).
func (p Parameters) TemporaryTight(thickness float64) bool { return thickness >= p.TemporaryLeast }

// BarrierTight says the same of an orifice barrier (protocol facts 4.6 [45]). Checked by TestSealConventions.
func (p Parameters) BarrierTight(thickness float64) bool { return thickness >= p.BarrierLeast }

// PostTight says whether the filling left below a post counts as tight: 4 mm or more (protocol facts 4.6
// [45b]), a leakage convention. Checked by TestSealConventions.
func (p Parameters) PostTight(left float64) bool { return left >= p.PostLeast }

// regrow lets bacteria multiply back in a canal left empty: half of what is missing in two weeks (from
// memory: empty canals are recolonised between visits; size assumed).
func (c *CanalState) regrow(rate, days float64) {
	gain := 1 - detmath.Exp(-float64(rate*days))
	for k := range c.Flora {
		if c.Flora[k] > 0.001 {
			c.Flora[k] += float64(float64(gain*(1-c.Flora[k])) * c.Flora[k])
		}
	}
}
