package cli

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/picture"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// shapeCommand shapes a bare canal.
type shapeCommand struct {
	Canal      canalFlag  `required:"" placeholder:"CANAL" help:"The canal: \"arc 40 deg, radius 6 mm\" or \"schneider 28 deg, radius 8 mm\", and as wanted: length (16 mm), coronal straight (what is left of it), apical straight (0 mm), width at the foramen (0.18 mm), taper (0.03), second arc (0 deg, turns back), second radius (5 mm), between the two (1 mm), wall (3 mm)."`
	Files      fileFlag   `placeholder:"FILES" xor:"how" help:"Files in order: \"15/.02 steel, 25/.06 niti\"; kinds: steel, flex, h, reamer, niti (by hand), rotary, annealed, heat-treated, reciprocating, opener; or names of the catalogue."`
	Technique  string     `placeholder:"NAME" xor:"how" help:"A technique that comes with the program, or a technique file, in place of files."`
	Strokes    int        `default:"40" help:"Strokes with each file (default: ${default})."`
	Motion     string     `placeholder:"WORD" help:"Motion (default: quarter-turn-pull by hand, watch-winding when pre-curved, push-pull with H-files; driven files rotate or reciprocate)."`
	Forward    *turnFlag  `placeholder:"ANGLE" help:"Turned clockwise, or in the cutting direction, per stroke or swing (default: by motion)."`
	Back       *turnFlag  `placeholder:"ANGLE" help:"Turned back per stroke or swing (default: by motion)."`
	Speed      *int       `placeholder:"RPM" help:"Motor speed (default: 300; for reciprocation 130, at which its swings run at 300)."`
	Push       pushFlag   `placeholder:"N" help:"Push along the canal (default: 3 N by hand, 1.5 N driven)."`
	Press      forceFlag  `placeholder:"N" help:"Sideways load for filing motions (default: none)."`
	Short      lengthFlag `placeholder:"MM" default:"0.5 mm" help:"How far short of the foramen the files stop (default: ${default})."`
	PreCurve   lengthFlag `placeholder:"MM" help:"Radius to which the last 4 mm of steel files are pre-curved first."`
	UntilLoose bool       `help:"End with a file when it is loose at length."`
	Flare      bool       `help:"First widen the straight coronal part with an orifice enlarger and two rotary files."`
	Seed       seedFlag   `placeholder:"N" help:"Seed of each file's own life and strength (default: 1)."`
	pictureFlags
	JSON bool `name:"json" help:"Print JSON."`
}

// shaped is a bare canal after its files.
type shaped struct {
	block  treatment.Block
	state  treatment.State
	events []treatment.Event
	files  []shapedFile
	how    string
}

// shapedFile is one file's work.
type shapedFile struct {
	Item      string  `json:"item"`
	Strokes   int     `json:"strokes"`
	Short     float64 `json:"short_mm"` // of the foramen, beyond negative
	Halt      string  `json:"halt"`     // stop, tight, step, narrow, debris, buckled, torque, broken
	Loose     bool    `json:"loose"`
	Life      float64 `json:"life_used"`    // of this piece's own fatigue life
	Torque    float64 `json:"torque_share"` // largest torque over its strength
	Fractured bool    `json:"fractured"`
}

// Validate refuses what no hand does; the parser calls it.
func (c *shapeCommand) Validate() error {
	if err := c.pictureFlags.Validate(); err != nil {
		return err
	}
	switch {
	case len(c.Files.items) == 0 && c.Technique == "":
		return fmt.Errorf("--files or --technique is needed")
	case c.Technique != "" && (c.Motion != "" || c.Push != 0 || c.Press != 0 || c.PreCurve != 0 || c.Forward != nil || c.Back != nil || c.Speed != nil || c.UntilLoose):
		return fmt.Errorf("--technique has its own motions, pushes and strokes; --motion, --forward, --back, --speed, --push, --press, --pre-curve and --until-loose go with --files")
	case c.Strokes < 1 || c.Strokes > 400:
		return fmt.Errorf("--strokes is %d, allowed 1 to 400", c.Strokes)
	case c.Press < 0 || c.Press > 10:
		return fmt.Errorf("--press is %g N, allowed 0 to 10 N", float64(c.Press))
	case c.Short < -2 || float64(c.Short) > c.Canal.Length-2:
		return fmt.Errorf("--short is %g mm, allowed -2 mm to 2 mm less than the canal, %g mm", float64(c.Short), c.Canal.Length-2)
	case c.PreCurve < 0 || c.PreCurve > 50 || c.PreCurve > 0 && c.PreCurve < 0.5:
		return fmt.Errorf("--pre-curve is %g mm, allowed 0.5 to 50 mm", float64(c.PreCurve))
	case c.Forward != nil && !c.Forward.sound():
		return fmt.Errorf("--forward is %g deg, allowed 1 to 360 deg", float64(c.Forward.tenths())/10)
	case c.Back != nil && !c.Back.sound():
		return fmt.Errorf("--back is %g deg, allowed 1 to 360 deg", float64(c.Back.tenths())/10)
	case c.Speed != nil && (*c.Speed < 1 || *c.Speed > 2000):
		return fmt.Errorf("--speed is %d rpm, allowed 1 to 2000", *c.Speed)
	}
	return c.validateMotion()
}

// stop is the length at which the files' stops stand, mm.
func (c *shapeCommand) stop() float64 {
	return treatment.BlockEntry + c.Canal.Length - float64(c.Short)
}

// motorMotions are what only a motor does.
var motorMotions = []string{"rotation", "reciprocation", "pecking"}

// validateMotion refuses a motion that none of the files can make.
func (c *shapeCommand) validateMotion() error {
	if c.Motion == "" {
		return nil
	}
	hand := slices.DeleteFunc(treatment.Motions(), func(m string) bool { return slices.Contains(motorMotions, m) })
	driven := slices.ContainsFunc(c.Files.items, func(i treatment.Instrument) bool { return i.Powered })
	byHand := slices.ContainsFunc(c.Files.items, func(i treatment.Instrument) bool { return !i.Powered })
	switch {
	case !slices.Contains(treatment.Motions(), c.Motion):
		return fmt.Errorf("--motion is %q; %sby hand there are: %s; driven files have: %s, brushing", c.Motion,
			likely(c.Motion, treatment.Motions()), strings.Join(hand, ", "), strings.Join(motorMotions, ", "))
	case slices.Contains(motorMotions, c.Motion) && !driven:
		return fmt.Errorf("--motion is %q, which needs a motor; by hand there are: %s", c.Motion, strings.Join(hand, ", "))
	case slices.Contains(hand, c.Motion) && c.Motion != "brushing" && !byHand:
		return fmt.Errorf("--motion is %q, but all files are driven; they have: %s, brushing", c.Motion, strings.Join(motorMotions, ", "))
	}
	return nil
}

// Run shapes the canal, writes its pictures and prints the measures by level.
func (c *shapeCommand) Run(s *session) error {
	done, err := c.shape()
	if err != nil {
		return err
	}
	var files outputs
	err = c.add(&files, func() (picture.Drawing, error) {
		return picture.LevelPlot([]picture.LevelRow{{Name: done.how, Levels: done.state.Levels(0)}}, picture.Options{Title: "Bare canal"})
	})
	if err != nil {
		return err
	}
	if err := files.write(); err != nil {
		return err
	}
	if c.JSON {
		return s.printJSON(newShapeReport(done))
	}
	done.print(page{s.out})
	return nil
}

// shape does the actions on the block. A file that breaks ends the run.
func (c *shapeCommand) shape() (shaped, error) {
	block := c.Canal.Block
	done := shaped{block: block, state: treatment.StartBlock(block, treatment.DefaultSettings(), c.Seed.or(nil, 1))}
	actions, err := c.actions()
	if err != nil {
		return done, err
	}
	done.how = c.Technique
	if c.Technique == "" {
		done.how = fmt.Sprintf("%s, %s each", several(len(c.Files.items), "file"), several(c.Strokes, "stroke"))
	}
	loose := ""
	for _, a := range actions {
		if a.Do == treatment.Work && a.Item == loose && c.Technique == "" {
			continue // it was loose before its bouts were over
		}
		next, events, err := treatment.Step(done.state, a)
		var refusal *treatment.Refusal
		if errors.As(err, &refusal) {
			return done, fmt.Errorf("%s: %w", attempt.Say(a), err)
		}
		if err != nil {
			return done, err
		}
		done.state = next
		if a.Do != treatment.Irrigate { // what a rinse does to a patient does not happen to a block
			done.events = append(done.events, events...)
		}
		if a.Do != treatment.Work {
			continue
		}
		done.note(a, events)
		f := done.files[len(done.files)-1]
		if f.Fractured {
			break
		}
		if loose = ""; f.Loose && c.UntilLoose {
			loose = a.Item
		}
	}
	return done, nil
}

// note enters an action of shaping into the list of files; the bouts of one file go together.
func (d *shaped) note(a treatment.Action, events []treatment.Event) {
	if n := len(d.files); n == 0 || d.files[n-1].Item != a.Item {
		d.files = append(d.files, shapedFile{Item: a.Item})
	}
	f := &d.files[len(d.files)-1]
	canal := d.state.Canals[0]
	f.Strokes += canal.Feel.Strokes
	f.Short = math.Round(1e6*(canal.Foramen()-canal.Feel.Depth)) / 1e6
	f.Halt, f.Loose = canal.Feel.Why, false
	for _, e := range events {
		f.Loose = f.Loose || e.Kind == treatment.Loose
		f.Fractured = f.Fractured || e.Kind == treatment.Broke
	}
	for _, tool := range d.state.Tools {
		if tool.Item == a.Item {
			f.Life = math.Round(1e6*tool.LifeUsed()) / 1e6
			f.Torque = math.Round(1e6*tool.Torque) / 1e6
		}
	}
}

// actions are the flare and the strokes with each file, or those of a technique.
func (c *shapeCommand) actions() ([]treatment.Action, error) {
	var out []treatment.Action
	if c.Flare {
		out = c.flare()
	}
	if c.Technique != "" {
		t, err := scenario.LoadTechnique(c.Technique)
		if err != nil {
			return nil, err
		}
		actions, err := t.Actions(treatment.BlockCanal, c.stop())
		if err != nil {
			return nil, err
		}
		return lengthen(append(out, actions...))
	}
	for _, item := range c.Files.items {
		out = append(out, c.file(item)...)
	}
	return lengthen(out)
}

// lengthen takes longer ones of the files whose handle would not stay above their stop. Orifice openers go as far
// as they are long.
func lengthen(actions []treatment.Action) ([]treatment.Action, error) {
	longer := map[string]string{}
	for _, a := range actions {
		item, err := treatment.Lookup(cmp.Or(longer[a.Item], a.Item))
		stop := float64(a.Stop) / 1000
		if err != nil || !item.Shapes() || item.Family == "opener" || a.Do != treatment.Work || item.Blank().Length >= stop {
			continue
		}
		longest := item
		for _, other := range treatment.Catalogue() {
			same := other.Family == item.Family && other.Size == item.Size && other.Taper == item.Taper
			if same && other.Shapes() && longest.Blank().Length < stop && other.Blank().Length > longest.Blank().Length {
				longest = other
			}
		}
		if longest.Blank().Length < stop {
			return nil, usage("shape: %s comes %g mm long at most, and its stop would stand at %.4g mm, %g mm of way in included; shorten the canal by %.4g mm",
				item.ID, longest.Blank().Length, stop, treatment.BlockEntry, stop-longest.Blank().Length)
		}
		longer[a.Item] = longest.ID
	}
	for i, a := range actions {
		if id := longer[a.Item]; id != "" {
			actions[i].Item = id
		}
	}
	return actions, nil
}

// flare widens the coronal straight, at most 8 mm of it, with an orifice enlarger and two rotary files, the
// largest stopping short of the others.
func (c *shapeCommand) flare() []treatment.Action {
	depth := min(8, c.Canal.Coronal()-0.5)
	var out []treatment.Action
	for _, f := range []struct {
		item string
		less float64 // mm short of the depth
	}{{"opener-30.12", 3}, {"rotary-40.06", 0}, {"rotary-50.06", 1}} {
		stop := int(1000 * (treatment.BlockEntry + max(1, depth-f.less)))
		work := treatment.Action{Do: treatment.Work, Canal: treatment.BlockCanal, Item: f.item, Motion: "rotation",
			Stop: stop, Push: 2000, Strokes: 10}
		wipe := treatment.Action{Do: treatment.Wipe, Item: f.item}
		out = append(out, work, wipe, work, wipe, rinseBlock(stop))
	}
	return out
}

// bout is how many strokes are made before the flutes are wiped.
const bout = 5

// file returns one file's strokes in bouts, its flutes wiped after each and the canal rinsed at the end.
func (c *shapeCommand) file(item treatment.Instrument) []treatment.Action {
	var out []treatment.Action
	stop := int(math.Round(1000 * c.stop()))
	a := treatment.Action{Do: treatment.Work, Canal: treatment.BlockCanal, Item: item.ID, Motion: c.motion(item), Stop: stop,
		Push: int(math.Round(1000 * float64(c.Push))), Press: int(math.Round(1000 * float64(c.Press))),
		Forward: c.Forward.tenths(), Back: c.Back.tenths()}
	if item.Powered && c.Speed != nil {
		a.Speed = *c.Speed
	}
	if c.Push == 0 {
		a.Push = 3000
		if item.Powered {
			a.Push = 1500
		}
	}
	if c.UntilLoose {
		a.Choice = "loose"
	}
	if c.PreCurve > 0 && item.Steel() {
		out = append(out, treatment.Action{Do: treatment.Bend, Item: item.ID, Radius: int(1000 * float64(c.PreCurve)), Length: 4000, Wall: "distal"})
	}
	for left := c.Strokes; left > 0; left -= bout {
		a.Strokes = min(left, bout)
		out = append(out, a, treatment.Action{Do: treatment.Wipe, Item: item.ID})
	}
	return append(out, rinseBlock(stop-2000))
}

// motion is the one asked for where the file can make it, else its usual one.
func (c *shapeCommand) motion(item treatment.Instrument) string {
	motor := slices.Contains(motorMotions, c.Motion)
	switch {
	case c.Motion != "" && (c.Motion == "brushing" || motor == item.Powered):
		return c.Motion
	case item.Family == "reciprocating":
		return "reciprocation"
	case item.Powered:
		return "rotation"
	case c.PreCurve > 0 && item.Steel(): // turned farther, its curve no longer lies in that of the canal
		return "watch-winding"
	case item.Family == "hand-h":
		return "push-pull"
	}
	return "quarter-turn-pull"
}

// several is a number of things in words that fit it.
func several(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// rinseBlock rinses with water through a fine needle as deep as it goes.
func rinseBlock(stop int) treatment.Action {
	return treatment.Action{Do: treatment.Irrigate, Canal: treatment.BlockCanal, Agent: "water", Percent: 0, Volume: 2000, Flow: 67,
		Item: "needle-30-side", Stop: max(stop, 7000)}
}
