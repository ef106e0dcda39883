package exam

import "fmt"

// clockSlack is by how much wall and monotonic time may part between two lines, ms; allowed is what a
// line may come after the limit, since the clock is read before an action is done and again after it.
const (
	clockSlack = 2000
	allowed    = 5000
)

// unevenly says how the clock ran unevenly between two lines, or "". After a resume the monotonic clock
// begins anew and says nothing.
func unevenly(before, e Event) string {
	wall, mono := e.Wall-before.Wall, e.Mono-before.Mono
	switch {
	case wall < 0:
		return fmt.Sprintf("the clock was set back by %d s", -wall/1000)
	case e.Kind == KindResume:
		return ""
	case mono < 0:
		return "the monotonic clock ran back"
	case wall-mono > clockSlack:
		return fmt.Sprintf("the clock jumped ahead, or the machine slept, by %d s", (wall-mono)/1000)
	case mono-wall > clockSlack:
		return fmt.Sprintf("the clock was set back, or ran slow, by %d s", (mono-wall)/1000)
	}
	return ""
}

// meter adds up the time that a sitting has used, in ms, from its lines alone, so that a sitting under
// way, a resumed one and its verification count alike. Between two lines the larger of wall and
// monotonic time counts, so that setting the clock back gains nothing; a rest does not as far as rest is
// left. While the program is not running only wall time is known. Checked by TestMeter.
type meter struct {
	used, rest int64 // rest left
	clock      int64 // wall time of the first line and all that passed since
	resting    bool
	last       Event
	begun      bool
	notes      []string
}

// between returns the time since the last line.
func (m *meter) between(wall, mono int64, resumed bool) int64 {
	if !m.begun {
		return 0
	}
	passed := max(wall-m.last.Wall, 0)
	if !resumed {
		passed = max(passed, mono-m.last.Mono)
	}
	return passed
}

// take counts a line.
func (m *meter) take(e Event) {
	passed := m.between(e.Wall, e.Mono, e.Kind == KindResume)
	if m.begun {
		if text := unevenly(m.last, e); text != "" {
			m.notes = append(m.notes, fmt.Sprintf("line %d: %s", e.Index+1, text))
		}
	}
	if e.Kind == KindResume {
		m.notes = append(m.notes, fmt.Sprintf("line %d: resumed after %d s", e.Index+1, max(e.Wall-m.last.Wall, 0)/1000))
	}
	m.clock += passed
	if !m.begun {
		m.clock = e.Wall
	}
	if m.resting {
		free := min(passed, m.rest)
		m.rest, passed = m.rest-free, passed-free
	}
	m.used += passed
	if e.Kind == KindRest || e.Kind == KindBack {
		m.resting = e.Kind == KindRest
	}
	m.last, m.begun = e, true
}

// usedAt returns the time used if a line were written now.
func (m *meter) usedAt(wall, mono int64) int64 {
	passed := m.between(wall, mono, false)
	if m.resting {
		passed -= min(passed, m.rest)
	}
	return m.used + passed
}
