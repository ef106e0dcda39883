package author

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
)

// texts are the files of the page by id, as they stand in it.
type texts map[string]string

// request is what the page sends: its texts, the file in view, and a change to it.
type request struct {
	Texts   texts   `json:"texts"`
	File    string  `json:"file"`
	Edit    *change `json:"edit,omitempty"`
	Seed    string  `json:"seed"`
	Palette string  `json:"palette"`
	Who     string  `json:"who"` // an operator's name, or plan: for the plan
	Count   int     `json:"count"`
	Width   float64 `json:"width"` // of the picture in the page, px
}

// change is one change made in the form.
type change struct {
	Do     string        `json:"do"` // set, add, remove, rename, move, tick, untick
	Path   scenario.Path `json:"path"`
	Text   string        `json:"text"`   // of set, of what is added, or the new name
	Choice string        `json:"choice"` // what is added
	By     int           `json:"by"`     // of move
	Words  []string      `json:"words"`  // that are to stand, or not, in a list
}

// view is a file as a form.
type view struct {
	Text    string            `json:"text"`
	Form    *scenario.Form    `json:"form"` // nil while the text cannot be read
	Notices []scenario.Notice `json:"notices"`
	Counts  map[string]int    `json:"counts"` // faults by file
	Files   []string          `json:"files"`  // that the case uses
	Used    []scenario.Used   `json:"used"`
	Kind    string            `json:"kind"` // of the tooth
}

// caseOf reads the case from the page's texts.
func (o opened) caseOf(t texts) (scenario.Scenario, error) {
	root, err := os.OpenRoot(o.folder)
	if err != nil {
		return scenario.Scenario{}, err
	}
	defer root.Close() //nolint:errcheck // only read
	return scenario.ParseIn(overlaid{root.FS(), t}, o.prefix(), o.name, []byte(t[o.name]))
}

// planOf reads the plan from the page's texts.
func (o opened) planOf(t texts) (scenario.Plan, error) {
	return scenario.ParsePlanIn(filepath.Dir(o.plan), filepath.ToSlash(o.plan), []byte(t[planID]))
}

// shown is the name of a file in faults.
func (o opened) shown(id string) string {
	if id == planID {
		return filepath.ToSlash(o.plan)
	}
	return o.prefix() + id
}

// look makes the view of a file, after a change if there is one. An error is what a change is refused for.
// Checked by TestLook.
func (o opened) look(r request) (view, error) {
	v := view{Text: r.Texts[r.File], Notices: []scenario.Notice{}, Counts: map[string]int{}, Files: []string{}, Used: []scenario.Used{}}
	kind := o.kind(r.Texts)
	if r.Edit != nil {
		text, err := r.Edit.apply(o.shown(r.File), v.Text, kind)
		if err != nil {
			return v, err
		}
		v.Text = text
		r.Texts[r.File] = text
	}
	v.Kind = string(o.kind(r.Texts))
	faults, doubts, used := o.judge(r.Texts)
	v.Used = append(v.Used, used...)
	for _, f := range faults {
		v.Counts[f.File]++
	}
	if head, err := scenario.NewDocument("", []byte(r.Texts[o.name])); err == nil {
		v.Files = append(v.Files, head.Uses()...)
	}
	d, err := scenario.NewDocument(o.shown(r.File), []byte(v.Text))
	if err != nil {
		var own scenario.Faults
		errors.As(err, &own)
		d = nil
	}
	v.Notices = append(v.Notices, notices(d, faults, false)...)
	v.Notices = append(v.Notices, notices(d, doubts, true)...)
	if d != nil {
		form := d.Form(anatomy.Kind(v.Kind))
		v.Form = &form
	}
	return v, nil
}

// notices puts faults at the fields of a document; without one they have their lines only.
func notices(d *scenario.Document, faults scenario.Faults, doubt bool) []scenario.Notice {
	if d != nil {
		return d.Notices(faults, doubt)
	}
	var list []scenario.Notice
	for _, f := range faults {
		list = append(list, scenario.Notice{File: f.File, Line: f.Line, Column: f.Column, Message: f.Message, Doubt: doubt})
	}
	return list
}

// kind returns the kind of the case's tooth as far as the text says it.
func (o opened) kind(t texts) anatomy.Kind {
	d, err := scenario.NewDocument("", []byte(t[o.name]))
	if err != nil {
		return ""
	}
	kind, _ := d.Get(scenario.Path{"tooth", "kind"})
	return anatomy.Kind(kind)
}

// judge finds all faults of the case and of the plan, and when there are none what is doubtful.
func (o opened) judge(t texts) (faults, doubts scenario.Faults, used []scenario.Used) {
	from, err := o.caseOf(t)
	if err != nil {
		faults = append(faults, asFaults(o.shown(o.name), err)...)
	} else {
		doubts = append(doubts, from.Lint()...)
		used = from.Used()
	}
	if o.plan == "" || t[planID] == "" {
		return faults, doubts, used
	}
	plan, planErr := o.planOf(t)
	if planErr != nil {
		return append(faults, asFaults(o.shown(planID), planErr)...), doubts, used
	}
	if err != nil {
		return faults, doubts, used
	}
	grown, err := from.Case(seedOf("", plan.Seed, from))
	if err != nil {
		return append(faults, asFaults(o.shown(o.name), err)...), doubts, used
	}
	if err := plan.CheckAgainst(grown); err != nil {
		return append(faults, asFaults(o.shown(planID), err)...), doubts, used
	}
	drill, _ := from.Drill()
	return faults, append(doubts, plan.Lint(grown, drill.Steps)...), used
}

// asFaults returns an error as faults.
func asFaults(file string, err error) scenario.Faults {
	var faults scenario.Faults
	if errors.As(err, &faults) {
		return slices.Clone(faults)
	}
	return scenario.Faults{{File: file, Message: err.Error(), Rule: "file"}}
}

// seedOf returns the seed asked for, else the plan's, else the scenario's.
func seedOf(text string, plan *uint64, from scenario.Scenario) uint64 {
	if seed, err := strconv.ParseUint(text, 10, 64); err == nil {
		return seed
	}
	if plan != nil {
		return *plan
	}
	return from.Seed()
}

// apply makes a change in a text. A field that is emptied is left out.
func (c change) apply(name, text string, kind anatomy.Kind) (string, error) {
	d, err := scenario.NewDocument(name, []byte(text))
	if err != nil {
		return "", errors.New("the text cannot be read as it stands; mend it there first")
	}
	switch c.Do {
	case "set":
		if _, given := d.Get(c.Path); !given && c.Text == "" {
			return text, nil
		}
		if c.Text == "" {
			d, err = d.Remove(c.Path)
			break
		}
		d, err = d.Set(c.Path, scenario.Value{Text: c.Text})
	case "add":
		d, err = d.AddChoice(c.Path, c.Choice, c.Text, kind)
	case "remove":
		d, err = d.Remove(c.Path)
	case "tick":
		d, err = tick(d, c.Path, c.Words)
	case "untick":
		d, err = untick(d, c.Path, c.Words)
	case "rename":
		d, err = d.Rename(c.Path, c.Text)
	case "move":
		d, err = d.Move(c.Path, c.By)
	default:
		err = errors.New("no such change: " + c.Do)
	}
	if err != nil {
		return "", err
	}
	return string(d.Text()), nil
}

// tick adds the words that a list does not have yet.
func tick(d *scenario.Document, path scenario.Path, words []string) (*scenario.Document, error) {
	have := listed(d, path)
	for _, word := range words {
		if slices.Contains(have, word) {
			continue
		}
		next, err := d.AddChoice(path, "text", word, "")
		if err != nil {
			return nil, err
		}
		d = next
	}
	return d, nil
}

// untick takes words out of a list.
func untick(d *scenario.Document, path scenario.Path, words []string) (*scenario.Document, error) {
	have := listed(d, path)
	for i := len(have) - 1; i >= 0; i-- {
		if !slices.Contains(words, have[i]) {
			continue
		}
		next, err := d.Remove(append(slices.Clone(path), strconv.Itoa(i)))
		if err != nil {
			return nil, err
		}
		d = next
	}
	return d, nil
}

// listed returns the items of a list, "" for those that are no single text.
func listed(d *scenario.Document, path scenario.Path) []string {
	var words []string
	for i := range d.Length(path) {
		word, _ := d.Get(append(slices.Clone(path), strconv.Itoa(i)))
		words = append(words, word)
	}
	return words
}
