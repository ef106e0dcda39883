package treatment

import (
	"fmt"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/mechanics"
)

// Refusal is why an action cannot be done now: it breaks the order of the procedure or asks for what
// is not there. The state is unchanged.
type Refusal struct {
	Rule string // short name of the rule, for tests and screens
	Text string // for the person
}

// Error returns the text for the person.
func (r *Refusal) Error() string { return r.Text }

func refuse(rule, format string, args ...any) error {
	return &Refusal{Rule: rule, Text: fmt.Sprintf(format, args...)}
}

// turn is one action being done: a private copy of the state, and what happens.
type turn struct {
	State
	action Action
	events []Event
	worker *mechanics.Worker
	memory *Scratch
	holed  bool // this action made a hole
}

// Step does one action: it returns a new state and the events, or an error that names the rule broken.
// Its argument is never changed.
func Step(s State, a Action) (State, []Event, error) { return NewScratch().Step(s, a) }

func (m *Scratch) step(s State, a Action) (State, []Event, error) {
	if err := a.Check(); err != nil {
		return s, nil, &Refusal{Rule: "action", Text: err.Error()}
	}
	t := &turn{State: s, action: s.fromTop(a), worker: m.worker, memory: m}
	t.Canals, t.Tools = slices.Clone(s.Canals), slices.Clone(s.Tools)
	t.Reports, t.Mishaps = slices.Clone(s.Reports), slices.Clone(s.Mishaps)
	t.Exam = s.Exam.clone()
	if err := t.allowed(); err != nil {
		return s, nil, err
	}
	t.release()
	t.uncover()
	if err := t.do(); err != nil {
		return s, nil, err
	}
	t.shareEnd()
	t.bare()
	t.afterHole()
	t.Done++
	return t.State, t.events, nil
}

// allowed holds the rules of order that every kind of action obeys.
func (t *turn) allowed() error {
	k := t.action.Do
	switch {
	case t.Referred && k != Review && k != Wait && k != Report:
		return refuse("referred", "%s: the case was judged not to be treated here", k)
	case t.Restoration != "" && !t.afterwards():
		return refuse("finished", "%s: the tooth is already restored", k)
	case needsAccess(k) && !t.Access.Opened:
		return refuse("not-opened", "%s: the chamber is not open yet", k)
	case k == Open && t.Sealed, needsAccess(k) && t.Sealed:
		return refuse("sealed", "%s: the orifices are already sealed", k)
	}
	if err := t.possible(); err != nil || !needsCanal(k) {
		return err
	}
	return t.canalReady()
}

func needsAccess(k Kind) bool {
	return slices.Contains([]Kind{Find, Measure, SetLength, Work, Retrieve, Irrigate, Gauge, Dry, Dress, Fit, Fill, Seal, Temporise}, k)
}

func needsCanal(k Kind) bool {
	return slices.Contains([]Kind{Find, Measure, SetLength, Work, Retrieve, Irrigate, Gauge, Dry, Dress, Fit, Fill}, k)
}

// canalReady checks the canal's name, that it was found, and that it is not filled, and makes a
// private copy of it.
func (t *turn) canalReady() error {
	k, i := t.action.Do, t.index(t.action.Canal)
	if i < 0 {
		return refuse("no-such-canal", "%s: this tooth has no canal %q, only %s", k, t.action.Canal, t.canalNames())
	}
	if k != Find && !t.Canals[i].Found {
		return refuse("not-found", "%s: %s has not been found yet", k, t.action.Canal)
	}
	if t.Canals[i].Fill.Technique != "" && k != Dress {
		return refuse("filled", "%s: %s is already filled", k, t.action.Canal)
	}
	t.Canals[i] = t.Canals[i].clone()
	return nil
}

func (t *turn) index(name string) int {
	return slices.IndexFunc(t.Canals, func(c CanalState) bool { return c.Name == name })
}

func (t *turn) canalNames() string {
	names := ""
	for i, c := range t.Canals {
		if i > 0 {
			names += ", "
		}
		names += c.Name
	}
	return names
}

// canal returns the action's canal, private to this turn.
func (t *turn) canal() *CanalState { return &t.Canals[t.index(t.action.Canal)] }

// grown returns the action's canal as grown.
func (t *turn) grown() *anatomy.Canal { return &t.Case.Tooth.Canals[t.index(t.action.Canal)] }

func (t *turn) do() error {
	switch t.action.Do {
	case Judge:
		return t.judge()
	case Test:
		return t.examine()
	case Diagnose:
		return t.diagnose()
	case Prepare:
		return t.prepare()
	case Anaesthetise:
		return t.anaesthetise()
	case Return:
		return t.comeBack()
	case Recall:
		return t.recall()
	case Radiograph:
		return t.radiograph()
	case Isolate:
		return t.isolate()
	case Open:
		return t.open()
	case Find:
		return t.find()
	case Measure:
		return t.measure()
	case SetLength:
		return t.setLength()
	case Work:
		return t.work()
	case Wipe:
		return t.wipe()
	case Bend:
		return t.bend()
	case Retrieve:
		return t.fragment()
	case Irrigate:
		return t.irrigate()
	case Gauge:
		return t.gauge()
	case Dry:
		return t.dry()
	case Dress:
		return t.dress()
	case Temporise:
		return t.temporise()
	case Fit:
		return t.fit()
	case Fill:
		return t.fill()
	case Seal:
		return t.seal()
	case Restore:
		return t.restore()
	case Review:
		return t.review()
	case Wait:
		return t.wait()
	case Report:
		return t.report()
	}
	panic("treatment: no action " + string(t.action.Do))
}

// spend lets time pass, ms.
func (t *turn) spend(ms int) { t.Elapsed += ms }

// happen records an event at the action's canal.
func (t *turn) happen(e Event) {
	e.Action, e.At = t.Done, t.Elapsed
	if t.CuspCut > 0 && toTop(e.Kind) {
		e.Value -= t.CuspCut
	}
	if e.Canal == "" {
		e.Canal = t.action.Canal
	}
	t.events = append(t.events, e)
}

// mishap notes a kind of mishap that wants reporting.
func (t *turn) mishap(kind string) {
	if !slices.Contains(t.Mishaps, kind) {
		t.Mishaps = append(t.Mishaps, kind)
	}
}

// instrument looks an item up in the catalogue and on the tray.
func (t *turn) instrument(families ...string) (Instrument, error) {
	i, err := Lookup(t.action.Item)
	if err != nil {
		return i, refuse("no-such-item", "%s: %v", t.action.Do, err)
	}
	if len(t.Case.Tray) > 0 && !slices.Contains(t.Case.Tray, i.ID) {
		return i, refuse("not-on-tray", "%s: %s is not on the tray of this case", t.action.Do, i.ID)
	}
	if len(families) > 0 && !slices.Contains(families, i.Family) {
		return i, refuse("wrong-item", "%s: %s is a %s and cannot be used for this", t.action.Do, i.ID, i.Name)
	}
	return i, nil
}

// wallName returns the word for a wall side.
func wallName(side int) string {
	if side < 0 || side > 3 {
		return ""
	}
	return [4]string{"mesial", "distal", "buccal", "lingual"}[side]
}

func wallSide(name string) int {
	return slices.Index([]string{"mesial", "distal", "buccal", "lingual"}, name)
}
