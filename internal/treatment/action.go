package treatment

import (
	"fmt"
	"strings"
)

// Kind names what an action does. The order below is the order in which the procedure usually runs.
type Kind string

// The kinds of action, one or more for every stage of the procedure.
const (
	Test         Kind = "test"         // test the pulp or what is round the root, of the tooth or a control
	Diagnose     Kind = "diagnose"     // write down the two diagnostic terms
	Prepare      Kind = "prepare"      // a step of consent, safety or build-up
	Anaesthetise Kind = "anaesthetise" // take the feeling away, no dose said
	Return       Kind = "return"       // the patient comes back for a second visit
	Recall       Kind = "recall"       // the patient comes for the review: signs and a film

	Judge      Kind = "judge"      // state the case's difficulty and choose to treat or refer
	Radiograph Kind = "radiograph" // take a film, with a file in place or not
	Isolate    Kind = "isolate"    // place the dam on a tooth, tested for leaks or not
	Open       Kind = "open"       // drill the access cavity
	Find       Kind = "find"       // probe the floor for one canal
	Measure    Kind = "measure"    // read a length: locator, film or touch
	SetLength  Kind = "set-length" // write down the working length of a canal
	Work       Kind = "work"       // place an instrument and make strokes with it
	Wipe       Kind = "wipe"       // clean an instrument's flutes and look at it
	Bend       Kind = "bend"       // pre-curve a steel file
	Retrieve   Kind = "fragment"   // remove, pass or leave a broken piece
	Irrigate   Kind = "irrigate"   // rinse a canal
	Gauge      Kind = "gauge"      // slide a hand file in to feel the apical size
	Dry        Kind = "dry"        // paper points
	Dress      Kind = "dress"      // dressing between visits
	Temporise  Kind = "temporise"  // temporary filling
	Fit        Kind = "fit"        // try a cone
	Fill       Kind = "fill"       // sealer and filling technique
	Seal       Kind = "seal"       // cut back and place the orifice barrier
	Restore    Kind = "restore"    // decide on the restoration
	Review     Kind = "review"     // plan the review
	Wait       Kind = "wait"       // let time pass
	Report     Kind = "report"     // stop, image, tell and record a mishap
)

// Action is one thing the operator does: a small value with integer fields that, together with the
// case and the seed, is all that may change the state. What a field means for a kind, its unit and
// its limits stand in the table that Fields returns; a field a kind does not use must be zero.
type Action struct {
	Do      Kind   `json:"do"`
	Canal   string `json:"canal,omitempty"`
	Item    string `json:"item,omitempty"`   // catalogue id of an instrument, cone or needle
	Choice  string `json:"choice,omitempty"` // one word of the kind's list
	Agent   string `json:"agent,omitempty"`  // irrigant, dressing, sealer
	Motion  string `json:"motion,omitempty"`
	Tooth   int    `json:"tooth,omitempty"`  // two-digit notation, ISO 3950
	Tested  int    `json:"tested,omitempty"` // 1: done and checked
	Strokes int    `json:"strokes,omitempty"`
	Stop    int    `json:"stop_um,omitempty"`      // µm from the reference point
	Push    int    `json:"push_mN,omitempty"`      // mN
	Press   int    `json:"press_mN,omitempty"`     // mN sideways
	Wall    string `json:"wall,omitempty"`         // mesial, distal, buccal, lingual, furcal
	Forward int    `json:"forward_ddeg,omitempty"` // tenths of a degree
	Back    int    `json:"back_ddeg,omitempty"`
	Lift    int    `json:"lift_um,omitempty"`
	Speed   int    `json:"speed_rpm,omitempty"`
	Torque  int    `json:"torque_mNmm,omitempty"` // motor limit, mN·mm
	Radius  int    `json:"radius_um,omitempty"`
	Length  int    `json:"length_um,omitempty"`
	Depth   int    `json:"depth_um,omitempty"`
	Mesial  int    `json:"mesial_um,omitempty"`
	Distal  int    `json:"distal_um,omitempty"`
	Buccal  int    `json:"buccal_um,omitempty"`
	Lingual int    `json:"lingual_um,omitempty"`
	Angle   int    `json:"angle_ddeg,omitempty"`
	Volume  int    `json:"volume_ul,omitempty"`
	Flow    int    `json:"flow_ul_s,omitempty"`
	Percent int    `json:"percent_tenths,omitempty"` // tenths of a per cent
	Time    int    `json:"time_ms,omitempty"`
	Days    int    `json:"days,omitempty"`
	Count   int    `json:"count,omitempty"`
	Tilt    int    `json:"tilt_ddeg,omitempty"`   // tenths of a degree
	Heat    int    `json:"heat_tenths,omitempty"` // tenths of a degree Celsius
}

// Form says how a field is written by a person.
type Form int

// The forms of a field.
const (
	Number Form = iota // a number with one of the units
	Word               // one of Words
	Name               // a name that another table knows: canal, catalogue item
	Flag               // yes or no
)

// Field describes one field of one kind of action: the single source for plans, records, the check
// at the door of Step, and the printed reference.
type Field struct {
	Key      string // as written in plans
	Form     Form
	Unit     string  // the unit a plan is written in; "" for counts
	Scale    float64 // stored integer = value in Unit × Scale
	Min, Max int     // stored integers
	Words    []string
	Needed   bool
	Text     string
	get      func(*Action) *int
	getText  func(*Action) *string
}

// Int returns the stored integer of a Number or Flag field.
func (f Field) Int(a *Action) *int { return f.get(a) }

// Str returns a pointer to the stored text of a Word or Name field.
func (f Field) Str(a *Action) *string { return f.getText(a) }

// Kinds returns all kinds of action in the usual order of the procedure.
func Kinds() []Kind {
	return []Kind{Test, Diagnose, Judge, Radiograph, Prepare, Anaesthetise, Isolate, Open, Find, Measure, SetLength, Work, Wipe, Bend,
		Retrieve, Irrigate, Gauge, Dry, Dress, Temporise, Return, Fit, Fill, Seal, Restore, Review, Recall, Wait, Report}
}

// Stage returns the stage of the procedure a kind belongs to, as used by rules and screens.
func (k Kind) Stage() string { return stages[k] }

var stages = map[Kind]string{
	Test: "judge", Diagnose: "judge", Prepare: "isolate", Anaesthetise: "isolate", Return: "dress", Recall: "review",
	Judge: "judge", Radiograph: "judge", Isolate: "isolate", Open: "open", Find: "find", Measure: "measure",
	SetLength: "measure", Work: "shape", Wipe: "shape", Bend: "shape", Retrieve: "shape", Irrigate: "rinse", Gauge: "shape",
	Dry: "dry", Dress: "dress", Temporise: "dress", Fit: "fit", Fill: "fill", Seal: "seal",
	Restore: "restore", Review: "review", Wait: "review", Report: "review",
}

// Check returns what is wrong with an action by itself: unknown kind, missing or foreign field, value
// out of range. It knows no case and no state.
func (a Action) Check() error {
	fields := Fields(a.Do)
	if fields == nil {
		return fmt.Errorf("unknown action %q", string(a.Do))
	}
	rest := a
	rest.Do = ""
	for _, f := range fields {
		if err := f.check(&a); err != nil {
			return fmt.Errorf("%s: %w", a.Do, err)
		}
		f.clear(&rest)
	}
	if rest != (Action{}) {
		return fmt.Errorf("%s: a field that does not belong to it is set", a.Do)
	}
	return nil
}

func (f Field) check(a *Action) error {
	if f.getText != nil {
		return f.checkText(*f.getText(a))
	}
	v := *f.get(a)
	if v == 0 && !f.Needed {
		return nil
	}
	if v < f.Min || v > f.Max {
		return fmt.Errorf("%s is %s, allowed %s to %s", f.Key, f.Show(v), f.Show(f.Min), f.Show(f.Max))
	}
	return nil
}

func (f Field) checkText(v string) error {
	if v == "" {
		if f.Needed {
			return fmt.Errorf("%s is missing", f.Key)
		}
		return nil
	}
	if f.Form != Word {
		return nil
	}
	for _, w := range f.Words {
		if w == v {
			return nil
		}
	}
	return fmt.Errorf("%s is %q, allowed: %s", f.Key, v, strings.Join(f.Words, ", "))
}

func (f Field) clear(a *Action) {
	if f.getText != nil {
		*f.getText(a) = ""
		return
	}
	*f.get(a) = 0
}

// Show returns a stored integer in the field's unit, for messages.
func (f Field) Show(v int) string {
	if f.Form == Flag {
		return map[bool]string{true: "yes", false: "no"}[v != 0]
	}
	if f.Scale == 0 || f.Scale == 1 {
		return strings.TrimSpace(fmt.Sprintf("%d %s", v, f.Unit))
	}
	return fmt.Sprintf("%g %s", float64(v)/f.Scale, f.Unit)
}
