package bench

import (
	"math"
	"slices"
	"strconv"

	"tugback/internal/treatment"
)

// span is the range a field is usually worked in and the steps it moves by, stored integers.
type span struct{ low, high, step, fine int }

// spans are by kind and key, or by key alone. They bound a slider, not what is allowed: the limits of
// treatment.Fields do.
func spanOf(k treatment.Kind, key string) span {
	switch string(k) + "." + key {
	case "open.depth":
		return span{3000, 12000, 500, 100}
	case "temporise.thickness", "seal.barrier":
		return span{500, 6000, 500, 100}
	case "review.days":
		return span{30, 730, 30, 7}
	case "fill.spreader":
		return span{0, 26000, 500, 100}
	}
	switch key {
	case "stop":
		return span{6000, 26000, 500, 50}
	case "push":
		return span{100, 5000, 100, 50}
	case "press":
		return span{0, 3000, 250, 50}
	case "mesial", "distal", "buccal", "lingual":
		return span{300, 4500, 200, 50}
	case "forward", "back":
		return span{0, 3600, 150, 50}
	case "angle", "vertical", "lean", "lean-across":
		return span{-300, 300, 50, 10}
	case "speed":
		return span{0, 600, 50, 10}
	case "torque":
		return span{0, 50000, 2500, 500}
	case "percent":
		return span{0, 200, 5, 1}
	case "volume":
		return span{500, 10000, 500, 100}
	case "flow":
		return span{17, 250, 17, 8}
	case "time":
		return span{0, 300000, 15000, 5000}
	case "days":
		return span{0, 90, 7, 1}
	case "radius":
		return span{3000, 20000, 1000, 250}
	case "length":
		return span{1000, 6000, 500, 100}
	case "cut":
		return span{250, 2000, 250, 50}
	case "trim":
		return span{0, 3000, 500, 100}
	case "cut-back":
		return span{0, 4000, 500, 100}
	}
	return span{0, 20, 1, 1}
}

// firstForms are what the forms hold before anything was done: starting values, not advice.
func firstForms(c *treatment.Case) map[treatment.Kind]treatment.Action {
	forms := map[treatment.Kind]treatment.Action{
		treatment.Test:         {Choice: "cold"},
		treatment.Diagnose:     {Choice: "normal-pulp", Agent: "normal-apical-tissues"},
		treatment.Prepare:      {Choice: "history"},
		treatment.Anaesthetise: {Choice: "infiltration"},
		treatment.Return:       {Days: 14},
		treatment.Recall:       {Days: 365},

		treatment.Judge:      {Choice: "treat", Agent: "low"},
		treatment.Radiograph: {},
		treatment.Isolate:    {Tooth: c.Number/10*10 + 1},
		treatment.Open:       {Depth: 5000, Mesial: 1000, Distal: 1000, Buccal: 1000, Lingual: 1000, Choice: "round"},
		treatment.Find:       {Item: "hand-steel-10.02"},
		treatment.Measure:    {Choice: "locator", Item: "hand-steel-10.02"},
		treatment.SetLength:  {Stop: 20000},
		treatment.Work:       {Item: "hand-steel-10.02", Motion: "watch-winding", Stop: 15000, Push: 1000},
		treatment.Wipe:       {},
		treatment.Bend:       {Item: "hand-steel-10.02", Radius: 8000, Length: 3000, Wall: "distal"},
		treatment.Retrieve:   {Choice: "remove"},
		treatment.Irrigate:   {Agent: "sodium-hypochlorite", Percent: 30, Volume: 2000, Flow: 67, Item: "needle-30-side", Stop: 12000},
		treatment.Gauge:      {Item: "hand-steel-25.02", Stop: 20000},
		treatment.Dry:        {Stop: 20000, Count: 4},
		treatment.Dress:      {Agent: "calcium-hydroxide", Days: 7},
		treatment.Temporise:  {Depth: 3500},
		treatment.Fit:        {Item: "cone-25.04", Stop: 20000},
		treatment.Fill:       {Choice: "cold-lateral", Agent: "epoxy-resin", Stop: 19000, Count: 5},
		treatment.Seal:       {Depth: 1000, Length: 3000},
		treatment.Restore:    {Choice: "direct", Days: 14},
		treatment.Review:     {Days: 365},
		treatment.Wait:       {Time: 60000},
		treatment.Report:     {Choice: "other"},
	}
	for k, a := range forms {
		a.Do = k
		if a.Item != "" && len(c.Tray) > 0 && !slices.Contains(c.Tray, a.Item) {
			a.Item = ""
		}
		forms[k] = a
	}
	return forms
}

// action returns the form of a kind as an action on the present canal.
func (r *treating) action(k treatment.Kind) treatment.Action {
	a := r.forms[k]
	a.Do = k
	if needsCanal(k) {
		a.Canal = r.states[0].Canals[r.canal].Name
	}
	if k == treatment.Work {
		r.tidyWork(&a)
	}
	if k == treatment.Measure && a.Choice != "film" {
		a.Stop = 0
	}
	if k == treatment.Fill && a.Choice != "cold-lateral" {
		a.Stop, a.Count = 0, 0
	}
	return a
}

// tidyWork clears what does not belong to the instrument's motion.
func (r *treating) tidyWork(a *treatment.Action) {
	item, err := lookup(a.Item)
	if err != nil {
		return
	}
	a.Motion = motionFor(item, a.Motion)
	if !item.Powered {
		a.Speed, a.Torque = 0, 0
	} else if a.Speed == 0 {
		a.Speed = 300
	}
	if !pressed(a.Motion) {
		a.Press, a.Wall = 0, ""
	}
	if !turned(a.Motion) {
		a.Forward = 0
	}
}

// needsCanal reports whether a kind of action is done in one canal.
func needsCanal(k treatment.Kind) bool {
	for _, f := range treatment.Fields(k) {
		if f.Key == "canal" && f.Needed {
			return true
		}
	}
	return false
}

// motionsFor are the motions an instrument can be moved with.
func motionsFor(item treatment.Instrument) []string {
	if item.Powered {
		return []string{"rotation", "pecking", "reciprocation", "brushing"}
	}
	return []string{"watch-winding", "quarter-turn-pull", "reaming", "balanced-force", "push-pull", "circumferential", "anticurvature"}
}

func motionFor(item treatment.Instrument, motion string) string {
	if list := motionsFor(item); !slices.Contains(list, motion) {
		return list[0]
	}
	return motion
}

// pressed reports whether a motion is one that presses sideways.
func pressed(motion string) bool {
	return slices.Contains([]string{"push-pull", "circumferential", "anticurvature", "brushing"}, motion)
}

// turned reports whether the hand chooses the angle of a motion.
func turned(motion string) bool {
	return slices.Contains([]string{"watch-winding", "quarter-turn-pull", "reaming", "balanced-force", "reciprocation"}, motion)
}

// fieldsShown are the fields of the present form that are operated: canal and instrument have
// controls of their own, strokes come from holding.
func (r *treating) fieldsShown() []treatment.Field {
	a := r.forms[r.kind]
	var out []treatment.Field
	for _, f := range treatment.Fields(r.kind) {
		hidden := f.Key == "canal" || f.Form == treatment.Name
		if r.kind == treatment.Work {
			item, err := lookup(a.Item)
			powered := err == nil && item.Powered
			switch f.Key {
			case "strokes", "until", "lift", "back":
				hidden = true
			case "press", "wall":
				hidden = !pressed(a.Motion)
			case "forward":
				hidden = !turned(a.Motion)
			case "speed", "torque":
				hidden = !powered
			}
		}
		if r.kind == treatment.Measure && f.Key == "stop" {
			hidden = a.Choice != "film"
		}
		if r.kind == treatment.Fill && (f.Key == "spreader" || f.Key == "accessory") {
			hidden = a.Choice != "cold-lateral"
		}
		if r.kind == treatment.Gauge && f.Key == "push" || r.kind == treatment.Fit && f.Key == "push" {
			hidden = true
		}
		if !hidden {
			out = append(out, f)
		}
	}
	return out
}

// fieldControl returns the control of a field.
func (r *treating) fieldControl(f treatment.Field) Control {
	a := r.forms[r.kind]
	c := Control{ID: "field:" + f.Key, Label: sayOr("field."+string(r.kind)+"."+f.Key, sayOr("field."+f.Key, f.Key))}
	switch f.Form {
	case treatment.Word, treatment.Name:
		c.Kind = Choice
		c.Value = wordText(*f.Str(&a))
	case treatment.Flag:
		c.Kind, c.Chosen = Toggle, *f.Int(&a) != 0
		c.Value = f.Show(*f.Int(&a))
	default:
		v := *f.Int(&a)
		sp := spanOf(r.kind, f.Key)
		c.Kind, c.Value = Slider, shown(f, v)
		if f.Key == "tooth" {
			c.Kind = Choice
		}
		c.Share = min(max(float64(v-sp.low)/float64(sp.high-sp.low), 0), 1)
	}
	return c
}

// wordText returns a word of the engine as it is shown.
func wordText(word string) string {
	if word == "" {
		return say("value.none")
	}
	return sayOr("word."+word, word)
}

// shown returns a number with its unit, rounded as a hand can set it.
func shown(f treatment.Field, v int) string {
	if v == 0 && !f.Needed && f.Min > 0 || v == 0 && (f.Key == "forward" || f.Key == "speed" || f.Key == "torque") {
		return say("value.usual")
	}
	scale := f.Scale
	if scale == 0 {
		scale = 1
	}
	x := float64(v) / scale
	places := 2
	switch {
	case math.Abs(x-math.RoundToEven(x)) < 0.04 && f.Key != "stop":
		places = 0
	case math.Abs(10*x-math.RoundToEven(10*x)) < 1e-6:
		places = 1
	}
	text := strconv.FormatFloat(x, 'f', places, 64)
	if f.Unit != "" {
		text += " " + f.Unit
	}
	return text
}

// field returns a field of the present form by its key.
func (r *treating) field(key string) (treatment.Field, bool) {
	for _, f := range treatment.Fields(r.kind) {
		if f.Key == key {
			return f, true
		}
	}
	return treatment.Field{}, false
}

// toggle turns a flag over, or takes the next word.
func (r *treating) toggle(key string) {
	f, ok := r.field(key)
	if !ok {
		return
	}
	a := r.forms[r.kind]
	switch f.Form {
	case treatment.Flag:
		set(f, &a, 1-*f.Int(&a))
	case treatment.Word:
		r.turnWord(f, &a, 1)
	default:
		return
	}
	r.forms[r.kind] = a
}

func set(f treatment.Field, a *treatment.Action, v int) {
	*f.Int(a) = v
}

// adjust moves a field, the family of the tray, or the instrument's size.
func (r *treating) adjust(_ *Session, head, rest string, steps int, fine bool) {
	switch head {
	case "family":
		r.turnFamily(steps)
		return
	case "stages":
		n := len(stages())
		r.stage = ((r.stage+steps)%n + n) % n
		r.kind = stages()[r.stage].kinds[0]
		return
	case "film":
		r.adjustFilm(rest, steps, fine)
		return
	case "field":
	default:
		return
	}
	f, ok := r.field(rest)
	if !ok {
		return
	}
	a := r.forms[r.kind]
	switch f.Form {
	case treatment.Word, treatment.Name:
		r.turnWord(f, &a, steps)
	case treatment.Flag:
		set(f, &a, 1-*f.Int(&a))
	default:
		r.turnNumber(f, &a, steps, fine)
	}
	r.forms[r.kind] = a
}

// turnWord takes another word of a field's list.
func (r *treating) turnWord(f treatment.Field, a *treatment.Action, steps int) {
	words := f.Words
	if f.Key == "motion" {
		if item, err := lookup(a.Item); err == nil {
			words = motionsFor(item)
		}
	}
	if !f.Needed && f.Form == treatment.Word && f.Key != "difficulty" {
		words = append([]string{""}, words...)
	}
	n := len(words)
	if n == 0 {
		return
	}
	i := max(0, slices.Index(words, *f.Str(a)))
	*f.Str(a) = words[((i+steps)%n+n)%n]
	if f.Key == "irrigant" {
		a.Percent = map[string]int{"sodium-hypochlorite": 30, "edta": 170, "chlorhexidine": 20, "saline": 9}[a.Agent]
	}
}

// turnNumber moves a number by steps within its limits, to round values.
func (r *treating) turnNumber(f treatment.Field, a *treatment.Action, steps int, fine bool) {
	sp := spanOf(r.kind, f.Key)
	if f.Key == "tooth" {
		a.Tooth = nextTooth(a.Tooth, steps)
		return
	}
	step := sp.step
	if fine {
		step = sp.fine
	}
	v := *f.Int(a)
	if v == 0 && f.Min > 0 {
		v = sp.low - step
	}
	v = int(math.RoundToEven(float64(v)/float64(step)))*step + steps*step
	low := f.Min
	if !f.Needed {
		low = min(low, 0)
	}
	set(f, a, min(max(v, low), f.Max))
	if v > 0 && v < f.Min {
		set(f, a, f.Min)
	}
}

// nextTooth steps through the teeth of a quadrant and on to the next one, ISO 3950.
func nextTooth(number, steps int) int {
	quadrant, place := number/10-1, number%10-1
	at := ((quadrant*8+place+steps)%32 + 32) % 32
	return (at/8+1)*10 + at%8 + 1
}

// slide sets a number from a share of its usual range.
func (r *treating) slide(_ *Session, head, rest string, share float64) {
	f, ok := r.field(rest)
	if head != "field" || !ok || f.Form != treatment.Number {
		return
	}
	sp := spanOf(r.kind, rest)
	v := float64(sp.low) + share*float64(sp.high-sp.low)
	v = math.RoundToEven(v/float64(sp.fine)) * float64(sp.fine)
	a := r.forms[r.kind]
	set(f, &a, min(max(int(v), f.Min), f.Max))
	r.forms[r.kind] = a
}
