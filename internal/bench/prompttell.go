package bench

import (
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// lettered returns blocks as lines of text: what a person would read of them from top to bottom.
// Drawn panels are left out; what they show is told elsewhere in words.
func lettered(blocks []Block) []string {
	var out []string
	for _, b := range blocks {
		switch b.Kind {
		case Heading, Subhead:
			text := b.Text
			if b.Note != "" {
				text += " (" + b.Note + ")"
			}
			out = append(out, "", text)
		case Text, Quiet, Said:
			out = append(out, "  "+b.Text)
		case Warning:
			out = append(out, "! "+b.Text)
		case Pairs, Figures:
			for _, pair := range b.Pairs {
				out = append(out, "  "+strings.TrimPrefix(pair[0]+": "+pair[1], ": "))
			}
		case FloorPlan:
			var names []string
			for _, o := range b.Plan.Orifices {
				names = append(names, o.Name)
			}
			if len(names) > 0 {
				out = append(out, "  "+say("face.orifices", "canals", strings.Join(names, ", ")))
			}
		case FeelStrip:
			if text := b.Strip.Spoken(); text != "" {
				out = append(out, "  "+text)
			}
		case Rule, Gap, Controls, Row, Curve, LocatorScale, SmallFilm: // nothing to read
		}
	}
	if len(out) > 0 && out[0] == "" {
		out = out[1:]
	}
	return out
}

// briefing tells what is known before anything is done.
func (p *Prompt) briefing() []string {
	page := p.s.briefingPage()
	return append(append(lettered(page.Left), ""), lettered(page.Right)...)
}

// look tells what can be seen and felt now.
func (p *Prompt) look() []string {
	r := p.s.run
	out := []string{say("face.now", "time", clock(r.now().Elapsed), "step", say("stage."+stages()[r.stage].name), "canal", r.inHandName())}
	if r.feel.known && r.feel.canal == r.canal {
		out = append(out, p.feels())
	}
	for _, block := range r.sideBlocks() {
		if block.Kind == Figures {
			continue
		}
		out = append(out, lettered([]Block{block})...)
	}
	return out
}

// offers lists the actions of the step in hand as lines that can be typed, with the settings as they are.
func (p *Prompt) offers() []string {
	r := p.s.run
	out := []string{say("face.offers", "number", strconv.Itoa(r.stage+1), "step", say("stage."+stages()[r.stage].name))}
	if goal := r.goal(); goal != "" {
		out = append(out, goal)
	}
	for _, k := range stages()[r.stage].kinds {
		out = append(out, "  "+p.form(k))
	}
	return out
}

// form is an action as a line that does it with the settings as they are.
func (p *Prompt) form(k treatment.Kind) string {
	r := p.s.run
	a := r.action(k)
	text := string(k)
	for _, f := range treatment.Fields(k) {
		switch {
		case f.Key == "strokes":
			text += " strokes " + strconv.Itoa(usualStrokes)
		case f.Key == "until":
		case f.Form == treatment.Word || f.Form == treatment.Name:
			if f.Key == "canal" && (len(r.states[0].Canals) == 1 || r.perceived && (k == treatment.Find || r.canalNamed(a.Canal) < 0)) {
				continue
			}
			if *f.Str(&a) != "" {
				text += " " + f.Key + " " + *f.Str(&a)
			}
		case f.Form == treatment.Flag:
			if *f.Int(&a) != 0 {
				text += " " + f.Key
			}
		case *f.Int(&a) != 0 || f.Needed:
			text += " " + f.Key + " " + shortNumber(f, *f.Int(&a))
		}
	}
	return text
}

// shortNumber writes a stored number with its unit so that it can be typed again.
func shortNumber(f treatment.Field, v int) string {
	scale := f.Scale
	if scale == 0 {
		scale = 1
	}
	return strings.TrimSpace(strconv.FormatFloat(float64(v)/scale, 'g', 4, 64) + " " + f.Unit)
}

// steps tells the procedure, what of it is done and which step is in hand.
func (p *Prompt) steps() []string {
	var out []string
	for i, c := range p.s.run.stageControls(false) {
		out = append(out, "  "+strconv.Itoa(i+1)+" "+stages()[i].name+": "+c.Spoken())
	}
	return out
}

// tray lists the instruments for the action in hand, or for the one that is named: a drawer a line, and what
// is to be said of the pieces that were used.
func (p *Prompt) tray(rest []string) []string {
	r := p.s.run
	kind := r.kind
	if len(rest) == 1 {
		kind = treatment.Kind(rest[0])
		if !slices.Contains(treatment.Kinds(), kind) {
			return p.refuse(say("face.nokind", "kind", shortened(rest[0])))
		}
	}
	list := r.drawers(kind)
	if len(list) == 0 {
		return []string{say("tray.empty")}
	}
	out := []string{say("face.tray")}
	var used []string
	for _, d := range list {
		out = append(out, "  "+drawerLine(d.items))
		for _, item := range d.items {
			if note := r.pieceNote(item.ID); note != "" {
				used = append(used, "  "+item.ID+": "+note)
			}
		}
	}
	return append(out, used...)
}

// drawerLine names what lies in a drawer by one name and its sizes: "hand-steel-SIZE.02, steel K-type hand file:
// 06 08 10".
func drawerLine(items []treatment.Instrument) string {
	id := items[0].ID
	if len(items) == 1 {
		return id + ", " + items[0].Name
	}
	head, tail := len(id), len(id)
	for _, item := range items[1:] {
		for !strings.HasPrefix(item.ID, id[:head]) {
			head--
		}
		for !strings.HasSuffix(item.ID, id[len(id)-tail:]) {
			tail--
		}
	}
	head = strings.LastIndex(id[:head], "-") + 1
	end := ""
	if at := strings.IndexAny(id[len(id)-tail:], "-."); at >= 0 {
		end = id[len(id)-tail+at:]
	}
	var sizes []string
	for _, item := range items {
		sizes = append(sizes, strings.TrimSuffix(item.ID[head:], end))
	}
	return id[:head] + say("face.size") + end + ", " + items[0].Name + ": " + strings.Join(sizes, " ")
}

// section tells in words what the open section would show of the canal in hand. That is noted.
func (p *Prompt) section([]string) []string {
	r := p.s.run
	r.note(attempt.NoteSectionShown)
	p.s.save()
	now := r.now()
	c := &now.Canals[r.canal]
	out := []string{say("face.section", "canal", canalName(c.Name), "length", figure(c.Foramen()-r.now().CuspCut, 1))}
	if r.feel.known && r.feel.canal == r.canal {
		out = append(out, "  "+say("face.tip", "short", figure(c.Foramen()-r.feel.depth-r.now().CuspCut, 1), "life", figure(100*r.life(r.feel.item), 0)))
	}
	names := []string{"mesial", "distal", "buccal", "lingual"}
	for _, level := range []float64{1, 3, 5, 7} {
		i := c.Space.Foramen - int(level/c.Space.Step+0.5)
		if i <= c.Space.Orifice {
			continue
		}
		var parts []string
		for side, name := range names {
			parts = append(parts, sayOr("word."+name, name)+" "+figure(c.Space.Wall[side][i]-c.First[side][i], 2))
		}
		out = append(out, "  "+say("face.cut", "level", figure(level, 0), "cuts", strings.Join(parts, ", ")))
	}
	for _, n := range r.plateNotes() {
		out = append(out, "! "+capital(n.Head)+", "+n.Detail)
	}
	return out
}

// record tells what was done, every action a line.
func (p *Prompt) record() []string {
	var lines []done
	if p.s.screen == DebriefScreen {
		lines = p.s.debrief.lines
	} else {
		lines = history(p.s.run.run, p.s.run.states, p.s.run.actionSays)
	}
	if len(lines) == 0 {
		return []string{say("record.none")}
	}
	var out []string
	for i, l := range lines {
		out = append(out, strconv.Itoa(i+1)+"  "+clock(l.at)+"  "+l.text)
	}
	return out
}

// help lists the orders, or explains an action with its settings.
func (p *Prompt) help(rest []string) []string {
	if len(rest) == 1 && p.s.screen != DebriefScreen {
		kind := treatment.Kind(rest[0])
		if !slices.Contains(treatment.Kinds(), kind) {
			return p.refuse(say("face.nokind", "kind", shortened(rest[0])))
		}
		return p.explain(kind)
	}
	var out []string
	if p.s.screen != DebriefScreen {
		out = append(out, paragraphs("face.help")...)
	}
	for _, o := range p.allowed() {
		key := "face.does." + o.word
		if o.debrief {
			key = "face.later." + o.word
		}
		out = append(out, "  "+o.word+": "+say(key))
	}
	return out
}

// explain tells an action's settings with unit, limits and words.
func (p *Prompt) explain(kind treatment.Kind) []string {
	out := []string{string(kind) + ": " + say("go."+string(kind)), "  " + p.form(kind)}
	for _, f := range treatment.Fields(kind) {
		text := "  " + f.Key + ": " + f.Text
		switch f.Form {
		case treatment.Word:
			text += "; " + strings.Join(f.Words, ", ")
		case treatment.Number:
			text += "; " + f.Show(f.Min) + " – " + f.Show(f.Max)
		case treatment.Flag, treatment.Name: // the text says it
		}
		out = append(out, text)
	}
	return out
}

// Complete returns what the last, unfinished word of a line may be, sorted. Checked by TestComplete.
func (p *Prompt) Complete(line string) []string {
	tokens := strings.Fields(line)
	last := ""
	if len(tokens) > 0 && !strings.HasSuffix(line, " ") {
		last, tokens = strings.ToLower(tokens[len(tokens)-1]), tokens[:len(tokens)-1]
	}
	var words []string
	switch {
	case len(tokens) == 0:
		words = p.words()
	case p.s.screen == DebriefScreen:
		if tokens[0] == "own" {
			words = append(slices.Clone(p.s.debrief.stages), "0", "1", "2", "3", "4")
		}
	case tokens[0] == "help" || tokens[0] == "tray":
		for _, k := range treatment.Kinds() {
			words = append(words, string(k))
		}
	case tokens[0] == "go":
		for _, st := range stages() {
			words = append(words, st.name)
		}
	case tokens[0] == "canal":
		words = canalNames(p.s.run)
	default:
		words = p.possible(treatment.Kind(tokens[0]), tokens[len(tokens)-1], last)
	}
	words = slices.DeleteFunc(words, func(w string) bool { return !strings.HasPrefix(strings.ToLower(w), last) })
	slices.Sort(words)
	return slices.Compact(words)
}

// possible returns the words an action's line may hold behind a word: the values of a key, else the keys
// and, once a letter is there, every value that needs no key.
func (p *Prompt) possible(kind treatment.Kind, behind, last string) []string {
	var words []string
	for _, f := range treatment.Fields(kind) {
		values := slices.Clone(f.Words)
		switch {
		case f.Key == "canal":
			values = canalNames(p.s.run)
		case f.Form == treatment.Name:
			for _, item := range p.items(kind) {
				values = append(values, item.ID)
			}
		}
		if f.Key == behind && len(values) > 0 {
			return values
		}
		words = append(words, f.Key)
		if last != "" {
			words = append(words, values...)
		}
	}
	return words
}
