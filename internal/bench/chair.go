package bench

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math"
	"slices"

	"tugback/internal/attempt"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// Chair is what a person at the chair can know of a case of an examination that is stepped elsewhere: what they
// did, saw, felt and wrote down. It is all that a bench needs that draws the case without its tooth. No wall, no
// level, no canal that was not found and no event that nobody perceives stands in it. Checked by
// TestChairKeepsSecrets.
type Chair struct {
	Number  int      `json:"number"` // of the tooth, ISO 3950
	Kind    string   `json:"kind"`   // of tooth
	Age     float64  `json:"age"`    // years
	Summary string   `json:"summary"`
	Tray    []string `json:"tray"` // empty: the whole catalogue
	Long    bool     `json:"long"` // the assistant lays out the longer files
	// From is how many actions are left out here because they were told before.
	From     int                `json:"from"`
	Actions  []treatment.Action `json:"actions"`  // a search of the floor names no canal
	Elapsed  []int              `json:"elapsed"`  // ms, after each of them
	CuspCut  []float64          `json:"cusp_cut"` // mm, after each of them
	Told     []ChairEvent       `json:"told"`     // of those actions
	Canals   []ChairCanal       `json:"canals"`   // found, in the order in which they were
	Opened   bool               `json:"opened"`
	Plan     Plan               `json:"plan"` // the crown from above
	Judged   bool               `json:"judged"`
	Isolated int                `json:"isolated"` // tooth under the dam, 0 none
	Sealed   bool               `json:"sealed"`
	Restored bool               `json:"restored"`
	Reviewed bool               `json:"reviewed"`
	Tools    []ChairTool        `json:"tools"` // used so far
	Films    []ChairFilm        `json:"films"` // the first came with the patient
	Feel     *ChairFeel         `json:"feel,omitempty"`
	Marks    *ChairMarks        `json:"marks,omitempty"` // after handing in, where the paper lets them be told
}

// ChairEvent is something that was perceived, and the words for it. Of figures only those stand in it that were
// read off.
type ChairEvent struct {
	Event treatment.Event `json:"event"`
	Text  string          `json:"text"`
	Swing float64         `json:"swing,omitempty"` // of the locator's pointer, on its scale
}

// ChairCanal is a canal that was found and what the sheet says of it, mm.
type ChairCanal struct {
	Name    string  `json:"name"`
	Cusp    string  `json:"cusp"` // reference
	Reading float64 `json:"reading"`
	Length  float64 `json:"length"`
	Gauged  int     `json:"gauged"` // ISO size
	Last    int     `json:"last"`   // ISO size
	Cone    string  `json:"cone"`
	ConeTip float64 `json:"cone_tip"` // mm, as read off
	Grip    float64 `json:"grip"`     // N on drawing it back, shown as a bar
	Filled  string  `json:"filled"`   // technique
}

// ChairTool is an instrument that was used.
type ChairTool struct {
	Item  string `json:"item"`
	Whole bool   `json:"whole"`
	Note  string `json:"note"` // what is seen on it
}

// ChairFilm is a film that can be asked for by its place.
type ChairFilm struct {
	Action int        `json:"action"` // that exposed it, −1 before the first
	Tilt   int        `json:"tilt"`   // 0.1°
	Shift  int        `json:"shift"`  // 0.1°
	Frame  [4]float64 `json:"frame"`  // left, right, low, high on the receptor, mm
}

// ChairFeel is what the hand felt last.
type ChairFeel struct {
	Item  string  `json:"item"`
	Canal string  `json:"canal"`
	Depth float64 `json:"depth"` // mm, as read off the stop
	Stop  float64 `json:"stop"`  // mm
	Halt  string  `json:"halt"`
	Loose bool    `json:"loose"`
	Word  string  `json:"word"`
	Says  string  `json:"says"`
	// Stroke are the strokes made, and the resistance to this one and to the one before as shares of the push.
	Stroke ChairStroke  `json:"stroke"`
	First  []geom.Point `json:"first"` // mm and the share of the greatest resistance
	Now    []geom.Point `json:"now"`
}

// ChairStroke is the last stroke against the one before.
type ChairStroke struct {
	Count       int     `json:"count"`
	Now, Before float64 // shares of the push
}

// ChairMarks are the marks of a case.
type ChairMarks struct {
	Total     float64 `json:"total"`
	Available float64 `json:"available"`
}

// Shot is a developed film: a grey picture, and where the tooth's origin stands on it.
type Shot struct {
	PNG    []byte     `json:"png"`
	Origin [2]float64 `json:"origin"` // dots from the left and from the top
	Dot    float64    `json:"dot"`    // mm of the receptor
}

// Chair tells what can be known of the case, actions from number from on.
func (p *Prompt) Chair(from int) Chair {
	r, c := p.s.run, p.s.run.paper.Case
	now := r.now()
	out := Chair{Number: c.Number, Kind: string(c.Tooth.Kind), Age: c.Tooth.Age, Summary: p.exam.Scenario.Summary(), Tray: c.Tray, Long: r.longTooth(),
		From: min(max(from, 0), len(r.states)-1), Opened: now.Access.Opened, Plan: *r.floorPlan(), Judged: now.Judged != "", Isolated: now.Isolated, Sealed: now.Sealed,
		Restored: now.Restoration != "", Reviewed: now.ReviewDays != 0}
	out.Plan.Wanted = nil // is in the hand
	for i, a := range r.run.Actions()[out.From:] {
		if a.Do == treatment.Find {
			a.Canal = ""
		}
		state := &r.states[out.From+i+1]
		out.Actions, out.Elapsed, out.CuspCut = append(out.Actions, a), append(out.Elapsed, state.Elapsed), append(out.CuspCut, state.CuspCut)
	}
	for _, e := range r.run.Events() {
		if text := r.told(e); e.Action >= out.From && text != "" {
			told := ChairEvent{Event: r.readOff(e), Text: text}
			if e.Kind == treatment.Reading && e.Detail == "locator" {
				told.Swing = hundredths(r.scatterOf(e))
			}
			out.Told = append(out.Told, told)
		}
	}
	for _, i := range r.foundOrder() {
		canal := now.Canals[i]
		out.Canals = append(out.Canals, ChairCanal{Name: canal.Name, Cusp: c.Tooth.Crown.Cusps[c.Tooth.Canals[i].Cusp].Name, Reading: canal.Reading, Length: canal.Length,
			Gauged: canal.Gauged, Last: canal.Last, Cone: canal.Cone.Item,
			ConeTip: attempt.ToQuarter(canal.Cone.Tip), Grip: hundredths(canal.Cone.Grip), Filled: canal.Fill.Technique})
	}
	for _, t := range now.Tools {
		out.Tools = append(out.Tools, ChairTool{t.Item, !t.Broken, r.pieceNote(t.Item)})
	}
	for _, f := range append([]exposure{{action: -1, scene: firstFilm(c)}}, r.films()...) {
		left, right, low, high := f.scene.Frame()
		out.Films = append(out.Films, ChairFilm{f.action, f.tilt, f.shift, [4]float64{left, right, low, high}})
	}
	out.Feel = r.chairFeel()
	return out
}

// readOff returns an event without what only the model knows.
func (r *treating) readOff(e treatment.Event) treatment.Event {
	out := treatment.Event{Action: e.Action, At: e.At, Kind: e.Kind, Item: e.Item}
	if r.canalNamed(e.Canal) >= 0 {
		out.Canal = e.Canal
	}
	switch e.Kind {
	case treatment.Reading:
		out.Value, out.Unit, out.Detail = attempt.ReadOff(e), e.Unit, e.Detail
	case treatment.GaugedSize:
		out.Value, out.Unit, out.Detail = attempt.ReadOff(e), e.Unit, e.Detail
		if e.Detail == "stiff" {
			out.Detail = "short" // what holds it, nobody feels
		}
	case treatment.NoReading:
		out.Detail = perceivedWhy(e.Detail)
	default: // its words say it
	}
	return out
}

// foundOrder returns the places of the canals found, in the order in which they were.
func (r *treating) foundOrder() []int {
	var out []int
	for _, e := range r.run.Events() {
		if i := r.canalNamed(e.Canal); e.Kind == treatment.Located && !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	return out
}

// chairFeel tells what the hand felt last, nil when nothing; a curve as shares, since no hand reads newtons.
func (r *treating) chairFeel() *ChairFeel {
	f := &r.feel
	if !f.known {
		return nil
	}
	if len(f.now) <= 1 { // a prompt felt the tip alone
		f.now = r.curve(f.item, f.depth, curveSamples)
	}
	if len(f.first) <= 1 {
		f.first = f.now
	}
	top := 1e-9
	for _, q := range slices.Concat(f.first, f.now) {
		top = math.Max(top, q.Y)
	}
	share := func(list []geom.Point) []geom.Point {
		out := make([]geom.Point, len(list))
		for i, q := range list {
			out[i] = geom.Point{X: hundredths(q.X), Y: hundredths(q.Y / top)}
		}
		return out
	}
	push := math.Max(r.now().Canals[f.canal].Feel.Push, 1e-9)
	felt := r.now().Canals[f.canal].Feel
	return &ChairFeel{Stroke: ChairStroke{felt.Strokes, hundredths(felt.Now / push), hundredths(felt.Before / push)}, Item: f.item, Canal: r.states[0].Canals[f.canal].Name, Depth: math.RoundToEven(10*f.depth) / 10, Stop: f.stop, Halt: f.halt, Loose: f.loose,
		Word: f.word(), Says: f.says, First: share(f.first), Now: share(f.now)}
}

// Film develops a film by its place in Chair's list. It takes some tenths of a second.
func (p *Prompt) Film(at int) (Shot, error) {
	films := append([]exposure{{scene: firstFilm(p.s.run.paper.Case)}}, p.s.run.films()...)
	if at < 0 || at >= len(films) {
		return Shot{}, fmt.Errorf("there is no film %d", at)
	}
	shown, err := films[at].scene.Expose()
	if err != nil {
		return Shot{}, err
	}
	var text bytes.Buffer
	if err := png.Encode(&text, shown.Image); err != nil {
		return Shot{}, err
	}
	return Shot{text.Bytes(), shown.Origin, shown.Dot}, nil
}

// radiogram reads a film that was developed elsewhere.
func (s Shot) radiogram() (picture.Radiogram, error) {
	shown, err := png.Decode(bytes.NewReader(s.PNG))
	if err != nil {
		return picture.Radiogram{}, err
	}
	grey, ok := shown.(*image.Gray)
	if !ok {
		return picture.Radiogram{}, errors.New("the film is no grey picture")
	}
	return picture.Radiogram{Image: grey, Origin: s.Origin, Dot: s.Dot}, nil
}
