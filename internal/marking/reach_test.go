package marking_test

import (
	"strings"
	"testing"

	"tugback/internal/marking"
)

// TestReach holds what Lint says of conditions and credits that the ranges of the metrics decide, and of which it
// says nothing. Ranges by the table of metrics: barrier_mm 0 to 6 mm, minutes from 0, a share 0 to 1.
func TestReach(t *testing.T) {
	words := marking.Standard()
	for _, c := range []struct {
		rule marking.Rule
		say  string // "" nothing
	}{
		{marking.Rule{Points: 1, When: "minutes >= 0"}, "nobody can lose"},
		{marking.Rule{Points: 1, When: "barrier_mm > 6"}, "nobody can earn"},
		{marking.Rule{Points: 1, When: "barrier_mm >= 6"}, ""},
		{marking.Rule{Points: 1, When: "6 < barrier_mm"}, "nobody can earn"},
		{marking.Rule{Points: 1, When: "not (barrier_mm > 6)"}, "nobody can lose"},
		{marking.Rule{Points: 1, When: `did("open") and barrier_mm > 7`}, "nobody can earn"},
		{marking.Rule{Points: 1, When: `did("open") and barrier_mm < 7`}, ""},
		{marking.Rule{Points: 1, When: `did("open") or barrier_mm < 7`}, "nobody can lose"},
		{marking.Rule{Points: 1, When: `actions("wipe") < 0`}, "nobody can earn"},
		{marking.Rule{Points: 1, When: `actions("wipe") > -1`}, "nobody can lose"},
		{marking.Rule{Points: 1, When: `clock("open") >= 0`}, ""}, // false when never opened
		{marking.Rule{Points: 1, When: `max_of("found") == 2`}, "nobody can earn"},
		{marking.Rule{Points: 1, When: "abs(barrier_mm - 3) <= 3"}, "nobody can lose"},
		{marking.Rule{Points: 1, When: "max(barrier_mm, 7) > 6.5"}, "nobody can lose"},
		{marking.Rule{Points: 1, When: "min(barrier_mm, 7) > 6"}, "nobody can earn"},
		{marking.Rule{Points: 1, When: `last_agent() == "edta"`}, ""},
		{marking.Rule{Points: 1, When: "barrier_mm * 2 > 100"}, ""}, // products are not followed
		{marking.Rule{Critical: true, When: "minutes >= 0"}, "every run fails"},
		{marking.Rule{Deduct: 2, When: "barrier_mm < 0"}, "it never happens"},
		{marking.Rule{Deduct: 2, When: "barrier_mm >= 0"}, "everyone loses"},
		{marking.Rule{Points: 1, Credit: "barrier_mm - 6"}, "nobody can earn"},
		{marking.Rule{Points: 1, Credit: "1 + barrier_mm"}, "nobody can lose"},
		{marking.Rule{Points: 1, Credit: "ramp(minutes, 60, 90)"}, ""},
	} {
		c.rule.ID = "one"
		if _, faults := words.Compile([]marking.Rule{c.rule}); len(faults) > 0 {
			t.Errorf("%s%s: %s", c.rule.When, c.rule.Credit, faults[0].Message)
		}
		var said []string
		for _, f := range words.Lint([]marking.Rule{c.rule}) {
			said = append(said, f.Field+": "+f.Message)
		}
		got := strings.Join(said, "\n")
		if c.say == "" && got != "" || c.say != "" && !strings.Contains(got, c.say) {
			t.Errorf("%s%s: got %q, want %q", c.rule.When, c.rule.Credit, got, c.say)
		}
	}
}
