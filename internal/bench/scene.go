package bench

import (
	"math"
	"slices"
	"strconv"

	"tugback/internal/geom"
	"tugback/internal/mechanics"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// Scene is what a plate shows: the state as engraved, and what moves over it.
type Scene struct {
	Key    string // the same key: the same engraving
	State  treatment.State
	Events []treatment.Event // faults to be lettered
	Closed bool              // the tooth is shown from outside
	Canal  int               // the canal in hand, −1 none
	Live   *Live             // what has changed since the engraving, and the instrument
	Notes  []PlateNote
	Over   []Outline // walls as grown, drawn over those as they are
	From   *Reference
}

// PlateNote is a caption beside the plate with the place it speaks of, mm of the tooth.
type PlateNote struct {
	At           geom.Point
	Head, Detail string
}

// Live is what moves: the canal in hand as it is now, and the instrument in it; mm of the tooth.
type Live struct {
	Inside picture.Inside // nothing where the tooth is closed
	File   *FileShape
}

// FileShape is the instrument in a canal as it is bent.
type FileShape struct {
	Item   treatment.Instrument
	Body   []geom.Point    // closed outline from the tip to the stop
	Flutes [][2]geom.Point // light strokes
	Axis   []geom.Point    // from the tip to the level of the reference point
	Top    geom.Point      // where the axis ends
	Up     geom.Point      // unit vector along the shaft, away from the tooth
	Stop   geom.Point      // where the stop sits: so many mm from the tip as it was set to
	Shaft  float64         // mm, diameter above the stop
	Clog   float64         // share of the flutes that shavings fill
}

// plate returns the drawing of a scene. It may take some hundredths of a second.
func (s *Scene) plate(p picture.Palette) (picture.Drawing, error) {
	return picture.TreatmentPlate(s.State, s.Events, picture.Options{Palette: p})
}

// Engrave returns the drawing of a scene. It takes some hundredths of a second and reads only what no
// one changes, so it may be called from another goroutine.
func (s *Scene) Engrave(p picture.Palette) (picture.Drawing, error) { return s.plate(p) }

// stations returns the axis of a canal's whole space: carried on straight above the orifice and beyond
// the foramen.
func stations(s *treatment.State, canal int) []geom.Station {
	c, axis := &s.Canals[canal], s.Case.Tooth.Canals[canal].Axis
	n := len(c.Space.Soft)
	out := make([]geom.Station, n)
	for i := range out {
		k := i - c.Space.Orifice
		switch {
		case k < 0:
			out[i] = axis[0]
			out[i].Point = axis[0].Point.Add(geom.Direction(axis[0].Heading).Scale(float64(k) * c.Space.Step))
		case k >= len(axis):
			last := axis[len(axis)-1]
			out[i] = last
			out[i].Point = last.Point.Add(geom.Direction(last.Heading).Scale(float64(k-len(axis)+1) * c.Space.Step))
		default:
			out[i] = axis[k]
		}
	}
	return out
}

// scene returns the treatment's plate. While the hand works the engraving stays that of the state
// before, and the canal in hand is drawn over it.
func (r *treating) scene() *Scene {
	if c := r.far(); c != nil {
		return &Scene{Key: "far:" + strconv.Itoa(r.examCase), State: c.plate, Closed: true, Canal: -1}
	}
	settled := r.states[len(r.states)-1]
	now := r.now()
	scene := &Scene{
		Key:    "run:" + strconv.Itoa(r.index) + ":" + strconv.Itoa(len(r.states)-1),
		State:  settled,
		Closed: !r.section,
		Canal:  r.canal,
	}
	c := &now.Canals[r.canal]
	if !c.Found {
		return scene
	}
	live := &Live{}
	scene.Live, scene.From = live, r.reference()
	if r.section {
		live.Inside = picture.InsideOf(&now, r.canal)
		scene.Notes = r.plateNotes()
	}
	live.File = r.fileShape()
	return scene
}

// fileShape returns the instrument in hand where the tip was last felt, bent as the engine bends it.
func (r *treating) fileShape() *FileShape {
	id, depth := r.inHand()
	item, err := lookup(id)
	if err != nil || depth <= 0 {
		return nil
	}
	now := r.now()
	set := math.Max(r.stopSet(), depth) + now.CuspCut
	depth += now.CuspCut
	c := &now.Canals[r.canal]
	axis := stations(&now, r.canal)
	f := &FileShape{Item: item}
	if item.Family == "needle" || item.Family == "cone" {
		f.Axis = alongAxis(axis, c.Space.Step, depth)
	} else {
		rod, tool := r.piece(item, c.Space.Step)
		f.Axis = mechanics.NewWorker().Shape(&c.Space, rod, &tool, depth, axis)
	}
	if len(f.Axis) < 2 {
		return nil
	}
	f.outline()
	f.Clog = r.clog(id)
	f.setStop(set, c.Space.Step)
	return f
}

// alongAxis returns the canal's own axis from a depth crownwards, for what lies loose in it.
func alongAxis(axis []geom.Station, step, depth float64) []geom.Point {
	var out []geom.Point
	for i := min(int(depth/step), len(axis)-1); i >= 0; i-- {
		out = append(out, axis[i].Point)
	}
	return out
}

// inHand returns the instrument shown in the canal and the depth of its tip: where it was last felt,
// else held at the stop above it.
func (r *treating) inHand() (string, float64) {
	a := r.forms[r.kind]
	switch r.kind {
	case treatment.Work:
		if r.feel.known && r.feel.item == a.Item && r.feel.canal == r.canal {
			return a.Item, r.feel.depth
		}
		c := &r.now().Canals[r.canal]
		return a.Item, math.Min(float64(a.Stop)/1000, c.Orifice()+1-r.now().CuspCut)
	case treatment.Irrigate:
		return a.Item, float64(a.Stop) / 1000
	case treatment.Fit:
		if cone := r.now().Canals[r.canal].Cone; cone.Item == a.Item {
			return a.Item, cone.Tip - r.now().CuspCut
		}
		return "", 0
	case treatment.Gauge:
		return r.gauged(a.Item)
	case treatment.Measure, treatment.SetLength:
		if held := r.now().Held; held.Item != "" && held.Canal == r.canal {
			return held.Item, held.Depth - r.now().CuspCut
		}
		return "", 0
	default:
		return "", 0
	}
}

// clog is the share of an instrument's flutes that shavings fill.
func (r *treating) clog(id string) float64 {
	for _, t := range r.now().Tools {
		if t.Item == id && !t.Broken {
			return t.Tool.Clog
		}
	}
	return 0
}

// stopSet is how far from its tip the stop of the instrument in hand stands, mm; 0 where none was set.
func (r *treating) stopSet() float64 {
	switch r.kind {
	case treatment.Work, treatment.Irrigate, treatment.Gauge:
		return float64(r.forms[r.kind].Stop) / 1000
	default:
		return 0
	}
}

// setStop puts the stop so far from the tip: on the axis, or on the shaft above it.
func (f *FileShape) setStop(far, step float64) {
	i := int(math.RoundToEven(far / step))
	if i < len(f.Axis) {
		f.Stop = f.Axis[i]
		return
	}
	f.Stop = f.Top.Add(f.Up.Scale(far - float64(len(f.Axis)-1)*step))
}

// gauged returns a file where it was last slid in to gauge the canal in hand.
func (r *treating) gauged(id string) (string, float64) {
	events := r.events()
	for i := len(events) - 1; i >= 0; i-- {
		if e := events[i]; e.Kind == treatment.GaugedSize && e.Item == id && e.Canal == r.states[0].Canals[r.canal].Name {
			return id, r.readNow(e)
		}
	}
	return "", 0
}

// diameter of an instrument, mm, at x behind its tip.
func diameter(item treatment.Instrument, x float64) float64 {
	switch item.Family {
	case "needle":
		return 0.31
	case "enlarger":
		return treatment.EnlargerHead(item.Size) * math.Min(1, 0.4+0.4*x)
	}
	working, shaft := 16.0, 1.2
	if item.Family == "opener" {
		working, shaft = 10, 1.3
	}
	return math.Min(shaft, float64(item.Size)/100+float64(item.Taper)/100*math.Min(x, working))
}

// outline gives the file its body and flutes around its axis.
func (f *FileShape) outline() {
	var left, right []geom.Point
	x, nextFlute := 0.0, 0.25
	for i, p := range f.Axis {
		if i > 0 {
			x += p.Sub(f.Axis[i-1]).Norm()
		}
		ahead := f.Axis[min(i+1, len(f.Axis)-1)].Sub(f.Axis[max(i-1, 0)]).Unit()
		r := diameter(f.Item, x) / 2
		if x < r {
			r = 0.35*r + 0.65*x
		}
		across := ahead.Left().Scale(r)
		left, right = append(left, p.Add(across)), append(right, p.Sub(across))
		if fluted := x < 16 && f.Item.Shapes(); fluted && x >= nextFlute {
			lean := ahead.Scale(0.6 * r)
			f.Flutes = append(f.Flutes, [2]geom.Point{p.Add(across.Scale(0.8)).Add(lean), p.Sub(across.Scale(0.8)).Sub(lean)})
			nextFlute = x + 1.1*r + 0.12
		}
	}
	slices.Reverse(right)
	f.Body = append(left, right...)
	n := len(f.Axis)
	f.Top = f.Axis[n-1]
	f.Up = f.Axis[n-1].Sub(f.Axis[max(0, n-8)]).Unit()
	f.Shaft = diameter(f.Item, x)
}

// notesShown is how many faults stay lettered beside the plate.
const notesShown = 3

// plateNotes letters the last faults that have a place in the canal in hand.
func (r *treating) plateNotes() []PlateNote {
	return notesOf(r.run.Events(), &r.states[len(r.states)-1], r.canal)
}

func notesOf(events []treatment.Event, s *treatment.State, canal int) []PlateNote {
	var out []PlateNote
	seen := map[string]bool{}
	for i := len(events) - 1; i >= 0 && len(out) < notesShown; i-- {
		e := events[i]
		key := string(e.Kind) + e.Wall
		if e.Canal != s.Canals[canal].Name || !faulty(e.Kind) || e.Level == 0 || seen[key] || !placed(e.Kind) {
			continue
		}
		seen[key] = true
		out = append(out, PlateNote{At: placeOf(s, canal, e), Head: sayOr("plate."+string(e.Kind), string(e.Kind)), Detail: noteDetail(e)})
	}
	return out
}

// placed reports whether a fault belongs to one spot of a wall.
func placed(k treatment.EventKind) bool {
	return slices.Contains([]treatment.EventKind{treatment.Ledge, treatment.WallWorn, treatment.StripRisk, treatment.Perforated, treatment.Broke, treatment.Packed}, k)
}

func noteDetail(e treatment.Event) string {
	text := figure(e.Level, 1) + " " + say("plate.level")
	if e.Unit == "mm" && e.Kind != treatment.Perforated {
		text = figure(e.Value, 2) + " mm, " + text
	}
	if e.Wall != "" {
		text = sayOr("word."+e.Wall, e.Wall) + ", " + text
	}
	return text
}

// placeOf returns where an event happened: on the wall it names, or on the axis.
func placeOf(s *treatment.State, canal int, e treatment.Event) geom.Point {
	c, axis := &s.Canals[canal], s.Case.Tooth.Canals[canal].Axis
	i := min(max(int(math.RoundToEven((c.Foramen()-e.Level)/c.Space.Step))-c.Space.Orifice, 0), len(axis)-1)
	at := axis[i].Point
	side := slices.Index([]string{"mesial", "distal"}, e.Wall)
	if side < 0 {
		return at
	}
	across := geom.Direction(axis[i].Heading).Left().Scale(float64(2*side-1) * c.Space.Wall[side][c.Space.Orifice+i])
	return at.Add(across)
}

// floorPlan returns the crown from above as the student has uncovered it.
func (r *treating) floorPlan() *Plan {
	if c := r.far(); c != nil {
		p := c.chair.Plan
		p.Wanted = r.wanted()
		return &p
	}
	s := r.now()
	tooth := s.Case.Tooth
	p := &Plan{Tooth: tooth.Chamber.Plan.Tooth, Upper: tooth.Upper}
	if s.Access.Depth > 0 {
		done := s.Access.Extent
		p.Done = &done
	}
	if s.Access.Opened {
		p.Chamber, p.Lines = tooth.Chamber.Plan.Outline, tooth.Chamber.Plan.Lines
	}
	p.Wanted = r.wanted()
	for i, c := range s.Canals {
		if c.Found && i < len(tooth.Chamber.Plan.Orifices) {
			p.Orifices = append(p.Orifices, Orifice{Name: canalName(c.Name), At: tooth.Chamber.Plan.Orifices[i]})
		}
	}
	return p
}

// wanted is the cavity as the hand would drill it now, nil where no bur is in it.
func (r *treating) wanted() *[4]float64 {
	if r.kind != treatment.Open {
		return nil
	}
	a := r.forms[treatment.Open]
	return &[4]float64{float64(a.Mesial) / 1000, float64(a.Distal) / 1000, float64(a.Buccal) / 1000, float64(a.Lingual) / 1000}
}
