package bench

import (
	"math"
	"slices"

	"tugback/internal/exam"
	"tugback/internal/geom"
	"tugback/internal/mechanics"
	"tugback/internal/treatment"
)

// feeling is what the hand feels: where the tip is, what resists, in figures and in words.
type feeling struct {
	known      bool
	item       string
	canal      int
	depth      float64 // mm from the reference point
	stop       float64 // mm
	push       float64 // N
	resistance float64 // N
	halt       string  // word of the halt, "" at the stop
	loose      bool
	first, now []geom.Point // resistance against depth: first pass and this one
	says       string
	felt       string                // the feel in one word, where it was felt elsewhere
	mishaps    []treatment.EventKind // that came with it
}

// felt takes what an action's events tell the hand.
func (r *treating) felt(a treatment.Action, events []treatment.Event) {
	if r.far() != nil {
		return // it came with the answer
	}
	if a.Choice == "cusp-cut" {
		r.feel = feeling{} // its depths were read at another point
	}
	if a.Do != treatment.Work {
		return
	}
	old := r.feel
	f := feeling{item: a.Item, canal: r.canal, stop: float64(a.Stop) / 1000, push: float64(a.Push) / 1000}
	if old.item == f.item && old.canal == f.canal {
		f.first = old.first
	}
	for _, e := range events {
		if faulty(e.Kind) {
			f.mishaps = append(f.mishaps, e.Kind)
		}
		switch e.Kind {
		case treatment.Reached:
			f.known, f.depth = true, e.Value
		case treatment.Halted:
			f.known, f.depth, f.halt = true, e.Value, e.Detail
		case treatment.Loose:
			f.loose = true
		default: // says nothing of the hand
		}
	}
	if !f.known {
		return
	}
	same := old.item == f.item && old.canal == f.canal && len(old.now) > 0
	switch {
	case r.words:
		f.now = r.curve(a.Item, f.depth, 1)
	case r.hold.active && same && math.Abs(f.depth-old.depth) < sameDepth:
		f.now = append(slices.Clone(old.now[:len(old.now)-1]), r.curve(a.Item, f.depth, 1)...)
	default:
		f.now = r.curve(a.Item, f.depth, curveSamples)
	}
	if len(f.now) > 0 {
		f.resistance = f.now[len(f.now)-1].Y
	}
	if f.first == nil {
		f.first = f.now
	}
	f.says = f.sentence()
	r.feel = f
}

// curveSamples is how many places the curve of resistance has from the orifice to the tip; while the
// hand works on within sameDepth, mm, of where it was, only the last is felt anew.
const (
	curveSamples = 24
	sameDepth    = 0.1
)

// curve returns the resistance (N) a file meets when it is slid to each of some depths, as the canal is
// now: what a hand feels on the way in. With one sample it is that at the tip alone.
func (r *treating) curve(id string, depth float64, samples int) []geom.Point {
	item, err := lookup(id)
	if err != nil || item.Family == "needle" {
		return nil
	}
	c := &r.now().Canals[r.canal]
	rod, tool := r.piece(item, c.Space.Step)
	worker := mechanics.NewWorker()
	friction := 0.0
	if c.Wet > 0 {
		friction = 0.2
	}
	cut := r.now().CuspCut // depths are read at what is left of the cusp
	from := c.Orifice()
	depth += cut
	if depth <= from {
		return nil
	}
	points := make([]geom.Point, 0, samples+1)
	for k := range samples + 1 {
		if samples == 1 && k == 0 {
			continue
		}
		d := from + (depth-from)*float64(k)/float64(samples)
		hand := mechanics.Hand{Motion: mechanics.Motion{Kind: mechanics.Sliding}, Push: 30, Stop: d, Friction: friction}
		s := worker.Slide(&c.Space, rod, &tool, hand, d)
		points = append(points, geom.Point{X: d - cut, Y: s.Resistance})
	}
	return points
}

// piece returns an instrument as it is now: with its history when it was used, new when not.
func (r *treating) piece(item treatment.Instrument, step float64) (*mechanics.Rod, mechanics.Tool) {
	rod := mechanics.NewRod(item.Blank(), step)
	for _, t := range r.now().Tools {
		if t.Item == item.ID && !t.Broken {
			return rod, suited(t.Tool, rod)
		}
	}
	return rod, mechanics.NewTool(rod)
}

// suited lays a tool's history onto a rod that may have a station more or less.
func suited(tool mechanics.Tool, rod *mechanics.Rod) mechanics.Tool {
	fresh := mechanics.NewTool(rod)
	for p := range fresh.Set {
		copy(fresh.Set[p], tool.Set[p])
	}
	copy(fresh.Life, tool.Life)
	fresh.Endurance, fresh.Strength = tool.Endurance, tool.Strength
	return fresh
}

// Shares of the push at which a hand changes its word: loose as the engine has it, snug below tight.
// Common practice, no source.
const snugShare = 0.6

// sentence says what a careful hand would feel; lengths are counted from the stop, which the hand sees.
func (f feeling) sentence() string {
	short := figure(math.Max(0, f.stop-f.depth), 1)
	if f.halt == "" {
		switch {
		case f.loose:
			return say("feel.loose")
		case f.resistance < snugShare*f.push:
			return say("feel.snug")
		}
		return say("feel.held")
	}
	return sayOr("feel."+f.halt, say("feel.other")) + " " + say("feel.short", "short", short)
}

// word is the feel in one word.
func (f feeling) word() string {
	switch {
	case f.felt != "":
		return f.felt
	case f.halt == "step":
		return say("word.hard-stop")
	case f.halt == "debris":
		return say("word.soft-stop")
	case f.halt == "narrow" || f.halt == "buckled":
		return say("word.springy")
	case f.loose:
		return say("word.loose")
	case f.halt == "" && f.resistance < snugShare*f.push:
		return say("word.snug")
	}
	return say("word.tight")
}

// life returns the share of the fatigue life the instrument in hand has used.
func (r *treating) life(id string) float64 {
	worst := 0.0
	for _, t := range r.now().Tools {
		if t.Item != id || t.Broken {
			continue
		}
		worst = 0
		for _, l := range t.Tool.Life {
			worst = math.Max(worst, l)
		}
		worst /= math.Max(t.Tool.Endurance, 1e-9)
	}
	return worst
}

// handFelt is the hand's part of the right column, for what is in hand.
func (r *treating) handFelt() []Block {
	switch r.kind {
	case treatment.Gauge:
		strip, told := r.gaugeStrip()
		return append([]Block{{Kind: Subhead, Text: say("gauge.title")}, {Kind: FeelStrip, Strip: strip}}, told...)
	case treatment.Fit:
		strip, told := r.coneStrip()
		return append([]Block{{Kind: Subhead, Text: say("cone.title"), Note: say("cone.note")}, {Kind: FeelStrip, Strip: strip}}, told...)
	case treatment.Fill:
		return r.filmBlocks()
	default:
		return r.feelBlocks()
	}
}

// feelBlocks are what a file that worked tells: the strip, the sentence, the figures, and the way in.
func (r *treating) feelBlocks() []Block {
	f := r.feel
	head := Block{Kind: Subhead, Text: say("feel.title"), Note: say("feel.note")}
	strip := Block{Kind: FeelStrip, Strip: r.workStrip()}
	if !f.known || f.canal != r.canal {
		return []Block{head, strip, {Kind: Said, Text: say("feel.empty")}}
	}
	said := f.says
	if change := r.now().Canals[r.canal].Feel.Change(); change != "" {
		said += " " + say("strip."+change)
	}
	figures := [][2]string{
		{say("feel.stop"), figure(f.stop, 1) + " mm"},
		{say("feel.tip"), figure(f.depth, 1) + " mm"},
	}
	if r.section && r.sees(exam.SeeRisk) {
		figures = append(figures, [2]string{say("feel.life"), figure(100*r.life(f.item), 0) + " %"})
	}
	return []Block{head, strip, {Kind: Said, Text: said}, {Kind: Figures, Pairs: figures},
		{Kind: Subhead, Text: say("feel.way"), Note: say("feel.waynote")}, {Kind: Curve, Graph: r.feelGraph()}}
}

// feelGraph is the resistance on the way in, first pass and now.
func (r *treating) feelGraph() *Graph {
	f := r.feel
	g := &Graph{Across: say("feel.across"), Up: say("feel.up"), Top: 0.5, Marker: f.stop, MarkerName: say("feel.marker"), PlacesY: 1}
	if r.exam != nil {
		g.Up, g.NoFigures = say("feel.harder"), true // no hand reads newtons
	}
	g.Lines = []Line{{Name: say("feel.first"), Points: f.first, Dashed: true}, {Name: say("feel.now"), Points: f.now}}
	if len(f.first) > 0 {
		g.Left = math.Floor(f.first[0].X)
	}
	g.Right = math.Ceil(math.Max(f.stop, f.depth)) + 1
	for _, l := range g.Lines {
		for _, p := range l.Points {
			g.Top = math.Max(g.Top, math.Ceil(2*p.Y)/2)
		}
	}
	return g
}
