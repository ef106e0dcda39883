package treatment

import (
	"maps"
	"sync"
)

// Fields returns the fields a kind of action takes, needed ones first; nil for an unknown kind.
func Fields(k Kind) []Field { return fieldsByKind()[k] }

// fieldsByKind holds the fields of every kind, made once: a screen asks for them many times a frame, a file
// of a plan for each of its steps.
var fieldsByKind = sync.OnceValue(func() map[Kind][]Field {
	table := fieldTable()
	maps.Copy(table, aroundTable())
	return table
})

func number(key, unit string, scale float64, low, high int, text string, at func(*Action) *int) Field {
	return Field{Key: key, Form: Number, Unit: unit, Scale: scale, Min: low, Max: high, Text: text, get: at}
}

func word(key, text string, words []string, at func(*Action) *string) Field {
	return Field{Key: key, Form: Word, Words: words, Text: text, Needed: true, getText: at}
}

func name(key, text string, at func(*Action) *string) Field {
	return Field{Key: key, Form: Name, Text: text, Needed: true, getText: at}
}

func flag(key, text string, at func(*Action) *int) Field {
	return Field{Key: key, Form: Flag, Scale: 1, Max: 1, Text: text, get: at}
}

func needed(f Field) Field {
	f.Needed = true
	return f
}

func optional(f Field) Field {
	f.Needed = false
	return f
}

// Motions are the words for a motion, as the trade uses them.
func Motions() []string {
	return []string{"watch-winding", "quarter-turn-pull", "reaming", "balanced-force", "push-pull",
		"circumferential", "anticurvature", "brushing", "pecking", "rotation", "reciprocation"}
}

func canalField() Field {
	return name("canal", "the canal, by its name in this tooth", func(a *Action) *string { return &a.Canal })
}

func stopField(text string) Field {
	return number("stop", "mm", 1000, 1000, 40000, text, func(a *Action) *int { return &a.Stop })
}

func pushField(high int, text string) Field {
	return number("push", "N", 1000, 10, high, text, func(a *Action) *int { return &a.Push })
}

func itemField(text string) Field {
	return name("with", text, func(a *Action) *string { return &a.Item })
}

func choiceField(key, text string, words ...string) Field {
	return word(key, text, words, func(a *Action) *string { return &a.Choice })
}

func agentField(key, text string, words ...string) Field {
	return word(key, text, words, func(a *Action) *string { return &a.Agent })
}

func timeField(high int, text string) Field {
	return number("time", "s", 1000, 0, high, text, func(a *Action) *int { return &a.Time })
}

// fieldTable lists the fields of the kinds of treatment itself. Limits keep a value physical and a loop bounded;
// they are not what is taught.
func fieldTable() map[Kind][]Field {
	return map[Kind][]Field{
		Judge: {
			choiceField("choice", "what to do with the case", "treat", "refer", "vital-therapy", "extract", "wait"),
			optional(word("difficulty", "class of difficulty", []string{"low", "moderate", "high"}, func(a *Action) *string { return &a.Agent })),
		},
		Radiograph: {
			number("angle", "deg", 10, -400, 400, "horizontal shift of the tube, towards distal positive", func(a *Action) *int { return &a.Angle }),
			optional(canalField()),
			number("vertical", "deg", 10, -400, 400, "vertical error of the beam, flatter positive", func(a *Action) *int { return &a.Tilt }),
			optional(choiceField("technique", "how the receptor stands", "paralleling", "bisecting")),
		},
		Isolate: {
			needed(number("tooth", "", 1, 11, 48, "tooth number, two-digit notation (ISO 3950)", func(a *Action) *int { return &a.Tooth })),
			flag("tested", "the dam was tested for leaks", func(a *Action) *int { return &a.Tested }),
		},
		Open: openFields(),
		Find: {canalField(), optional(itemField("hand file or probe used")),
			number("trough", "mm", 1000, 0, 5000, "depth drilled along the developmental line with a long-neck bur", func(a *Action) *int { return &a.Depth })},
		Measure:   measureFields(),
		SetLength: {canalField(), needed(stopField("working length from the reference point"))},
		Work:      workFields(),
		Wipe:      {itemField("the instrument")},
		Bend: {
			itemField("the steel hand file"),
			needed(number("radius", "mm", 1000, 500, 50000, "radius of the pre-curve", func(a *Action) *int { return &a.Radius })),
			needed(number("length", "mm", 1000, 500, 8000, "apical length that is curved", func(a *Action) *int { return &a.Length })),
			word("towards", "side its tip points to", []string{"mesial", "distal", "buccal", "lingual"}, func(a *Action) *string { return &a.Wall }),
		},
		Retrieve: {
			canalField(),
			choiceField("choice", "what is tried", "remove", "bypass", "leave"),
			optional(itemField("fine hand file, for a bypass")),
		},
		Irrigate:  irrigateFields(),
		Gauge:     {canalField(), itemField("hand file"), needed(stopField("length the stop is set to")), optional(pushField(20000, "push"))},
		Dry:       {canalField(), needed(stopField("length of the paper points")), needed(number("points", "", 1, 1, 20, "how many", func(a *Action) *int { return &a.Count }))},
		Dress:     {canalField(), agentField("dressing", "what is left in the canal", "calcium-hydroxide", "none"), number("days", "d", 1, 0, 365, "days it is left", func(a *Action) *int { return &a.Days })},
		Temporise: {needed(number("thickness", "mm", 1000, 500, 10000, "thickness of the temporary filling", func(a *Action) *int { return &a.Depth }))},
		Fit:       fitFields(),
		Fill:      fillFields(),
		Seal: {
			number("cut-back", "mm", 1000, 0, 6000, "filling cut to this depth below the orifice", func(a *Action) *int { return &a.Depth }),
			needed(number("barrier", "mm", 1000, 0, 6000, "thickness of the orifice barrier", func(a *Action) *int { return &a.Length })),
			flag("cleaned", "sealer was cleaned off the chamber first", func(a *Action) *int { return &a.Tested }),
			flag("bonded", "the barrier is bonded to the dentine", func(a *Action) *int { return &a.Count }),
		},
		Restore: {choiceField("choice", "definitive restoration", "direct", "cuspal-cover", "crown", "none"), number("days", "d", 1, 0, 365, "days until it is placed", func(a *Action) *int { return &a.Days }),
			number("post-leaves", "mm", 1000, 0, 20000, "filling left below a post", func(a *Action) *int { return &a.Depth })},
		Review: reviewFields(),
		Wait:   {needed(number("time", "s", 1000, 100, 3_600_000, "how long", func(a *Action) *int { return &a.Time }))},
		Report: {choiceField("what", "mishap that was told, imaged and recorded", "broken-file", "perforation", "blockage", "overfill", "irrigant-accident", "other"),
			optional(agentField("decision", "what follows from a perforation (a student refers)", "refer", "repair", "leave"))},
	}
}

func fitFields() []Field {
	return []Field{
		canalField(), itemField("cone"), needed(stopField("length it is held at")),
		number("trim", "mm", 1000, 0, 5000, "cut off its tip", func(a *Action) *int { return &a.Length }),
		flag("another", "a new cone of this size is taken instead of the one tried before", func(a *Action) *int { return &a.Tested }),
		optional(pushField(20000, "push")),
	}
}

func openFields() []Field {
	extent := func(key string, at func(*Action) *int) Field {
		return needed(number(key, "mm", 1000, 200, 8000, "how far the cavity reaches from the tooth's axis towards "+key, at))
	}
	return []Field{
		needed(number("depth", "mm", 1000, 500, 20000, "depth drilled, from the reference cusp", func(a *Action) *int { return &a.Depth })),
		extent("mesial", func(a *Action) *int { return &a.Mesial }),
		extent("distal", func(a *Action) *int { return &a.Distal }),
		extent("buccal", func(a *Action) *int { return &a.Buccal }),
		extent("lingual", func(a *Action) *int { return &a.Lingual }),
		choiceField("with", "bur", "round", "safe-ended", "tapered", "long-neck"),
		flag("deroofed", "the roof was lifted on the way out", func(a *Action) *int { return &a.Tested }),
		number("lean", "deg", 10, -400, 400, "bur's axis against the tooth's, its tip towards distal positive", func(a *Action) *int { return &a.Angle }),
		number("lean-across", "deg", 10, -400, 400, "the same across, its tip towards lingual positive", func(a *Action) *int { return &a.Tilt }),
	}
}

func measureFields() []Field {
	return []Field{
		canalField(),
		choiceField("by", "how", "locator", "film", "touch"),
		itemField("hand file in the canal"),
		optional(stopField("where its stop stands (film)")),
		number("angle", "deg", 10, -400, 400, "horizontal shift of the tube (film)", func(a *Action) *int { return &a.Angle }),
		number("vertical", "deg", 10, -400, 400, "vertical error of the beam (film)", func(a *Action) *int { return &a.Tilt }),
	}
}

func workFields() []Field {
	return []Field{
		canalField(),
		itemField("instrument"),
		word("motion", "how the hand moves", Motions(), func(a *Action) *string { return &a.Motion }),
		needed(stopField("length the stop is set to")),
		needed(pushField(30000, "push along the canal")),
		needed(number("strokes", "", 1, 1, 400, "strokes", func(a *Action) *int { return &a.Strokes })),
		number("press", "N", 1000, 0, 10000, "sideways load, for filing and brushing", func(a *Action) *int { return &a.Press }),
		optional(word("wall", "wall that is favoured", []string{"mesial", "distal", "buccal", "lingual"}, func(a *Action) *string { return &a.Wall })),
		number("forward", "deg", 10, 0, 3600, "turned clockwise per stroke (default by motion)", func(a *Action) *int { return &a.Forward }),
		number("back", "deg", 10, 0, 3600, "turned back per stroke", func(a *Action) *int { return &a.Back }),
		number("lift", "mm", 1000, 0, 6000, "drawn out and put back per stroke", func(a *Action) *int { return &a.Lift }),
		number("speed", "rpm", 1, 0, 2000, "motor speed", func(a *Action) *int { return &a.Speed }),
		number("torque", "N·mm", 1000, 0, 100000, "motor torque limit", func(a *Action) *int { return &a.Torque }),
		optional(choiceField("until", "end the strokes early when the instrument is loose at its stop", "loose")),
	}
}

func irrigateFields() []Field {
	return []Field{
		canalField(),
		agentField("irrigant", "what is rinsed with", "sodium-hypochlorite", "edta", "chlorhexidine", "water", "saline"),
		needed(number("percent", "%", 10, 0, 200, "concentration", func(a *Action) *int { return &a.Percent })),
		needed(number("volume", "ml", 1000, 50, 20000, "volume", func(a *Action) *int { return &a.Volume })),
		needed(number("flow", "ml/min", 1000.0/60, 1, 1000, "flow", func(a *Action) *int { return &a.Flow })),
		itemField("needle"),
		needed(stopField("depth of the needle's tip from the reference point")),
		timeField(1_800_000, "left in the canal after the rinse"),
		optional(choiceField("agitation", "agitation of the soak", "none", "manual", "sonic", "ultrasonic")),
		number("temperature", "°C", 10, 150, 600, "temperature of the irrigant (room temperature when not given)", func(a *Action) *int { return &a.Heat }),
		flag("moving", "the needle is kept moving", func(a *Action) *int { return &a.Tested }),
	}
}
