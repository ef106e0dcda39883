package bench

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// usualStrokes is how many strokes a line of work makes that names none.
const usualStrokes = 10

// act does an action: the form of its kind as it stands, changed by what the line says.
func (p *Prompt) act(kind treatment.Kind, rest []string) []string {
	r := p.s.run
	was, form := r.kind, r.forms[kind]
	r.kind = kind
	undo := func(text string) []string {
		r.kind, r.forms[kind] = was, form
		return p.refuse(text)
	}
	a := form
	a.Do, a.Canal = kind, ""
	if kind == treatment.Work {
		a.Strokes = usualStrokes
	}
	given, complaint := p.settings(kind, rest, &a)
	if complaint != "" {
		return undo(complaint)
	}
	if a.Canal != "" {
		r.canal = r.canalNamed(a.Canal)
	}
	r.forms[kind] = a
	full := r.action(kind)
	if kind == treatment.Work {
		full.Strokes = a.Strokes
		if !slices.Contains(given, "until") {
			full.Choice = ""
		}
	}
	if kind == treatment.Radiograph && a.Canal != "" {
		full.Canal = a.Canal
	}
	if i := stageOf(kind); i >= 0 {
		r.stage = i
	}
	out := p.do(full)
	if p.wrong {
		r.forms[kind] = form
	}
	return out
}

// do does an action and tells what came of it.
func (p *Prompt) do(a treatment.Action) []string {
	s, r := p.s, p.s.run
	s.Said()
	before := len(r.run.Events())
	a, why := r.chairside(a)
	if why != "" {
		return p.refuse(why)
	}
	if err := p.keepFirst(a); err != nil {
		return p.refuse(plainRefusal(err))
	}
	if !r.do(s, a) {
		s.Said()
		return p.refuse(s.notice)
	}
	out := []string{clock(r.states[len(r.states)-1].Elapsed) + "  " + r.actionSays(a)}
	caution := func(text string) {
		if text != "" && !p.told[text] && p.exam == nil {
			p.told[text] = true
			out = append(out, say("face.caution")+" "+text)
		}
	}
	caution(attempt.CautionBefore(a))
	for _, e := range r.run.Events()[before:] {
		bullet := "· "
		if faulty(e.Kind) {
			bullet = "! "
		}
		text := r.told(e)
		if text == "" {
			continue
		}
		out = append(out, bullet+text)
		caution(attempt.CautionOf(e))
	}
	if a.Do == treatment.Work && r.feel.known {
		out = append(out, p.feels())
	}
	if r.guided {
		out = append(out, r.advice())
	}
	if r.lesson != nil {
		out = append(out, s.notice, r.goal())
	}
	s.Said()
	return out
}

// feels says what the hand feels, in words; depths are counted from the stop, which the hand sees.
func (p *Prompt) feels() string {
	f := p.s.run.feel
	return f.says + " " + say("face.feel", "word", f.word(), "stop", figure(f.stop, 1), "tip", figure(f.depth, 1))
}

// settings reads what a line says of an action: key and value, key=value, or a word that can only mean
// one thing. It returns the keys that were given, or what is wrong.
func (p *Prompt) settings(kind treatment.Kind, rest []string, a *treatment.Action) (given []string, complaint string) {
	fields := treatment.Fields(kind)
	key := func(word string) (treatment.Field, bool) {
		i := slices.IndexFunc(fields, func(f treatment.Field) bool { return f.Key == strings.ToLower(word) })
		if i < 0 {
			return treatment.Field{}, false
		}
		return fields[i], true
	}
	tokens := strings.Fields(strings.ReplaceAll(strings.Join(rest, " "), "=", " "))
	for i := 0; i < len(tokens); {
		f, named := key(tokens[i])
		var value []string
		if named {
			i++
			for i < len(tokens) && (len(value) == 0 || !isKey(key, tokens[i])) {
				if len(value) > 0 && !continues(f, tokens[i]) {
					break
				}
				if len(value) == 0 && f.Form == treatment.Flag && !slices.Contains([]string{"yes", "no"}, tokens[i]) {
					break
				}
				value = append(value, tokens[i])
				i++
			}
		} else {
			var found bool
			if f, found = p.meant(fields, tokens[i]); !found {
				return nil, p.stray(kind, fields, tokens[i])
			}
			value = tokens[i : i+1]
			i++
		}
		if complaint := p.setField(f, strings.Join(value, " "), a); complaint != "" {
			return nil, complaint
		}
		given = append(given, f.Key)
	}
	return given, ""
}

func isKey(key func(string) (treatment.Field, bool), word string) bool {
	_, ok := key(word)
	return ok
}

// continues reports whether a token can be the unit behind a number.
func continues(f treatment.Field, token string) bool {
	return f.Form == treatment.Number && token != "" && (token[0] < '0' || token[0] > '9') && token[0] != '-'
}

// meant returns the field that a word without a key can only belong to.
func (p *Prompt) meant(fields []treatment.Field, word string) (treatment.Field, bool) {
	var out []treatment.Field
	for _, f := range fields {
		fits := false
		switch {
		case f.Key == "canal":
			fits = p.s.run.canalNamed(canalIn(p.s.run, word)) >= 0
		case f.Form == treatment.Name:
			_, err := lookup(strings.ToLower(word))
			fits = err == nil
		case f.Form == treatment.Word:
			fits = slices.Contains(f.Words, strings.ToLower(word))
		}
		if fits {
			out = append(out, f)
		}
	}
	if len(out) != 1 {
		return treatment.Field{}, false
	}
	return out[0], true
}

// stray says that a word of a line has no place there.
func (p *Prompt) stray(kind treatment.Kind, fields []treatment.Field, word string) string {
	var known, keys []string
	for _, f := range fields {
		keys = append(keys, f.Key)
		known = append(append(known, f.Key), f.Words...)
	}
	for _, item := range p.items(kind) {
		known = append(known, item.ID)
	}
	if likely := marking.Likely(word, known); likely != "" {
		return say("face.likely", "word", shortened(word), "likely", likely)
	}
	return say("face.stray", "kind", string(kind), "word", shortened(word), "keys", strings.Join(keys, ", "))
}

// setField puts a value into a field of an action; the answer is what is wrong with it, or "".
func (p *Prompt) setField(f treatment.Field, text string, a *treatment.Action) string {
	switch {
	case f.Form == treatment.Flag:
		*f.Int(a) = 1
		if text == "no" {
			*f.Int(a) = 0
		}
		return ""
	case text == "":
		return say("face.novalue", "key", f.Key)
	case f.Key == "canal":
		name := canalIn(p.s.run, text)
		if p.s.run.canalNamed(name) < 0 {
			return p.whichCanal()
		}
		a.Canal = name
		return ""
	case f.Form == treatment.Name:
		return p.setItem(f, strings.ToLower(text), a)
	case f.Form == treatment.Word:
		word := strings.ToLower(text)
		if word == "none" && !f.Needed && !slices.Contains(f.Words, word) {
			word = ""
		}
		if word != "" && !slices.Contains(f.Words, word) {
			return say("face.word", "key", f.Key, "word", shortened(text), "words", strings.Join(f.Words, ", "))
		}
		*f.Str(a) = word
		return ""
	}
	return setNumber(f, text, a)
}

// setItem takes an instrument by its name in the catalogue, or by its size in the drawer that stands open.
func (p *Prompt) setItem(f treatment.Field, text string, a *treatment.Action) string {
	if _, err := lookup(text); err == nil {
		*f.Str(a) = text
		return ""
	}
	if size, err := strconv.Atoi(text); err == nil {
		drawers, open := p.s.run.drawer()
		if len(drawers) > 0 {
			for _, item := range drawers[open].items {
				if item.Size == size {
					*f.Str(a) = item.ID
					return ""
				}
			}
		}
	}
	var ids []string
	for _, item := range p.items(a.Do) {
		ids = append(ids, item.ID)
	}
	likely := marking.Likely(text, ids)
	if likely == "" {
		return say("face.noitem", "item", shortened(text))
	}
	return say("face.likely", "word", shortened(text), "likely", likely)
}

// items are the instruments on the tray for a kind of action.
func (p *Prompt) items(kind treatment.Kind) []treatment.Instrument {
	var out []treatment.Instrument
	for _, d := range p.s.run.drawers(kind) {
		out = append(out, d.items...)
	}
	return out
}

// setNumber reads a number; without a unit it is taken in the field's own.
func setNumber(f treatment.Field, text string, a *treatment.Action) string {
	value, err := scenario.Quantity(text, f.Unit)
	if plain, also := scenario.Quantity(text, ""); err != nil && also == nil {
		value, err = plain, nil
	}
	if err != nil {
		return f.Key + ": " + err.Error()
	}
	scale := f.Scale
	if scale == 0 {
		scale = 1
	}
	stored := math.RoundToEven(value * scale)
	if stored < float64(f.Min) || stored > float64(f.Max) {
		return say("face.range", "key", f.Key, "is", f.Show(int(min(max(stored, -1e9), 1e9))), "low", f.Show(f.Min), "high", f.Show(f.Max))
	}
	*f.Int(a) = int(stored)
	return ""
}
