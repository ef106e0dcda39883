package handin

import (
	"encoding/json"

	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// What can be asked of a sitting that is stepped on the server.
const (
	StepBegin  = "begin"  // begin, or come back to it
	StepLine   = "line"   // a line of text about a case, as it is typed
	StepAction = "action" // a whole action in a case
	StepAnswer = "answer" // an answer to a question; the last one counts
	StepRest   = "rest"   // a rest begins
	StepBack   = "back"   // and ends
	StepSubmit = "submit" // the end; the server hands the sitting in
	StepFilm   = "film"   // a film that was taken, to be looked at; changes nothing
)

// Step is one thing asked of a sitting that is stepped on the server. Sent again, because no answer came, it
// is not done twice: Acts says after how many acts it is to be done.
type Step struct {
	Do     string            `json:"do"`
	Acts   int               `json:"acts"` // how many acts were done, as Seen told
	Case   int               `json:"case"` // from 0
	Line   string            `json:"line,omitempty"`
	Action *treatment.Action `json:"action,omitempty"`
	Item   string            `json:"item,omitempty"`
	Answer *quiz.Response    `json:"answer,omitempty"`
	View   bool              `json:"view,omitempty"` // a bench asks: it draws what is seen
	From   int               `json:"from,omitempty"` // with View: how many actions of the case it knows
	Film   int               `json:"film,omitempty"` // place of a film, 0 that which came with the patient
}

// Seen is what a candidate may see and feel after a step.
type Seen struct {
	Said      []string `json:"said"`    // in lines of text
	Refused   bool     `json:"refused"` // it was not understood or not possible; nothing was done
	Acts      int      `json:"acts"`    // how many acts are done: actions, answers, looks, rests
	Ask       string   `json:"ask"`     // what stands before the next line
	Actions   []int    `json:"actions"` // done in each case
	Answered  []string `json:"answered"`
	LeftS     int      `json:"left_s"` // -1 without limit
	RestS     int      `json:"rest_s"` // rest left
	Resting   bool     `json:"resting"`
	Submitted bool     `json:"submitted"`
	// View is what a bench draws, as package bench has it; only where the step asks for it.
	View json.RawMessage `json:"view,omitempty"`
	// Receipt is that of the class once the sitting was submitted, as Receipt has it.
	Receipt json.RawMessage `json:"receipt,omitempty"`
}
