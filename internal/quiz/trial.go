package quiz

import (
	"errors"
	"fmt"
	"slices"

	"tugback/internal/anatomy"
	"tugback/internal/treatment"
)

// Trial is what a predict item lets the engine do: a tooth grown from a seed, what has been done to it,
// and the action in question.
type Trial struct {
	Kind   anatomy.Kind       `json:"kind"`
	Number int                `json:"number"` // two-digit notation (ISO 3950)
	Seed   uint64             `json:"seed"`
	Vital  bool               `json:"vital"`
	Before []treatment.Action `json:"before,omitempty"`
	Then   treatment.Action   `json:"then"`
}

// Refused is the outcome of an action that the procedure does not allow at this point.
const Refused = "refused"

// Outcomes returns the words an option of a predict item may have as its outcome: refused, and the names
// of events.
func Outcomes() []string {
	words := []string{Refused}
	for _, e := range treatment.EventKinds() {
		words = append(words, string(e.Kind))
	}
	return words
}

// Run does the trial and returns the outcomes of its last action, each once, in order, and for a refusal
// its text. It is an error when the tooth cannot be grown or an action before the last is refused.
// Checked by TestTrials.
func (t Trial) Run() (outcomes []string, events []treatment.Event, refusal string, err error) {
	state, err := t.before()
	if err != nil {
		return nil, nil, "", err
	}
	_, events, err = treatment.Step(state, t.Then)
	var refused *treatment.Refusal
	switch {
	case errors.As(err, &refused):
		return []string{Refused}, nil, refused.Text, nil
	case err != nil:
		return nil, nil, "", fmt.Errorf("the last step, %s: %w", t.Then.Do, err)
	}
	for _, e := range events {
		if !slices.Contains(outcomes, string(e.Kind)) {
			outcomes = append(outcomes, string(e.Kind))
		}
	}
	return outcomes, events, "", nil
}

// CheckTrial returns what is wrong with the key of a predict item: the option marked right is not what
// the engine does, or another one is too. Items of other kinds have nothing wrong.
func CheckTrial(item Item) error {
	if item.Kind != Predict {
		return nil
	}
	if item.Trial == nil {
		return fmt.Errorf("the item has no action to run")
	}
	outcomes, _, refusal, err := item.Trial.Run()
	if err != nil {
		return err
	}
	for _, o := range item.Options {
		if happens := slices.Contains(outcomes, o.Outcome); happens != o.Right {
			return fmt.Errorf("option %s (%s) is marked %s, but the engine gives %v %s", o.ID, o.Outcome, rightWord(o.Right), outcomes, refusal)
		}
	}
	return nil
}

func rightWord(right bool) string {
	if right {
		return "right"
	}
	return "wrong"
}

// State returns the tooth before or after the last action; a refused action leaves it as it was. It is an
// error when the tooth cannot be grown or an action before the last is refused. Checked by TestTrialState.
func (t Trial) State(after bool) (treatment.State, error) {
	state, err := t.before()
	if err != nil || !after {
		return state, err
	}
	next, _, err := treatment.Step(state, t.Then)
	var refused *treatment.Refusal
	switch {
	case errors.As(err, &refused):
		return state, nil
	case err != nil:
		return state, fmt.Errorf("the last step, %s: %w", t.Then.Do, err)
	}
	return next, nil
}

// before returns the tooth with all that was done to it before the last action.
func (t Trial) before() (treatment.State, error) {
	tooth, err := anatomy.Grow(anatomy.Spec{Kind: t.Kind}, t.Seed)
	if err != nil {
		return treatment.State{}, fmt.Errorf("grow %s from %d: %w", t.Kind, t.Seed, err)
	}
	settings := treatment.DefaultSettings()
	settings.BreakageDrawn = false // the key must not hang on the draw of one piece
	state := treatment.Start(&treatment.Case{Scenario: "quiz", Seed: t.Seed, Number: t.Number, Tooth: tooth,
		Vital: t.Vital, Difficulty: "low", Settings: settings})
	for i, a := range t.Before {
		if state, _, err = treatment.Step(state, a); err != nil {
			return treatment.State{}, fmt.Errorf("step %d, %s: %w", i+1, a.Do, err)
		}
	}
	return state, nil
}
