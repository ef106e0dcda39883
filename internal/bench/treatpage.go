package bench

import (
	"slices"
	"strconv"

	"tugback/internal/exam"
	"tugback/internal/treatment"
)

// treatmentPage shows the treatment: procedure and tray, plate, hand and record.
func (s *Session) treatmentPage() Page {
	r := s.run
	if r.film.on {
		return s.filmPage()
	}
	foot := r.plateSays()
	if r.exam != nil {
		foot = say("exam.foot")
	}
	page := Page{
		Title:  r.title(s),
		Left:   r.handBlocks(s),
		Centre: Centre{Plate: r.scene(), Clock: r.clock(), Foot: foot, Zoom: r.zoom, At: r.anchor()},
		Act:    r.goBlocks(),
		Right:  r.sideBlocks(),
		Tell:   r.tellBlocks(s),
	}
	if r.live {
		page.Centre = Centre{Film: r.liveFilm(), Clock: r.clock(), Foot: say("treat.live.foot"), Zoom: r.zoom, At: r.filmAnchor()}
	}
	if s.folded {
		if r.side == 1 {
			page.Left = append(page.Left[:3:3], page.Right...)
		}
		page.Act, page.Right, page.Tell = append(page.Tell, page.Act...), nil, nil
		r.taskUnder(&page.Centre)
	}
	return page
}

// taskUnder puts the task under the plate where columns are folded: there it stays in sight however far the
// column is scrolled.
func (r *treating) taskUnder(c *Centre) {
	if goal := r.goal(); goal != "" {
		c.Foot, c.Task = goal, true
	}
}

// title is the title of the case.
func (r *treating) title(s *Session) string {
	if r.exam != nil {
		return r.exam.cases[r.examCase].title
	}
	return s.cases[r.index].scenario.Title()
}

// line says what is treated here; in an examination without the seed.
func (r *treating) line(c *treatment.Case) string {
	if x := r.exam; x != nil {
		return say("exam.line", "case", strconv.Itoa(r.examCase+1), "of", strconv.Itoa(len(x.cases)), "number", strconv.Itoa(c.Number))
	}
	return say("treat.line", "number", strconv.Itoa(c.Number), "seed", strconv.FormatUint(c.Seed, 10))
}

// clock is the time of the treatment, in an examination that which is left.
func (r *treating) clock() string {
	if r.exam != nil && r.exam.limited() {
		return say("exam.clock", "left", r.exam.clock())
	}
	return clock(r.now().Elapsed)
}

// ownTabs are the session's own acts: in an examination only what its paper lets be seen.
func (r *treating) ownTabs() []Control {
	tabs := r.viewTabs()
	if r.sees(exam.SeeHints) {
		tabs = append(tabs, Control{ID: "hint", Kind: Tab, Label: say("treat.hint"), Detail: "H"})
	}
	if r.sees(exam.SeeGuidance) && r.far() == nil {
		tabs = append(tabs, Control{ID: "guide", Kind: Tab, Label: say("treat.guide", "state", onWord(r.guided)), Detail: "G"})
	}
	if r.exam != nil {
		return tabs
	}
	return append(tabs,
		Control{ID: "checkpoint", Kind: Tab, Label: say("treat.mark"), Detail: "K"},
		Control{ID: "rewind", Kind: Tab, Label: say("treat.rewind"), Detail: "Z", Disabled: len(r.checkpoints) == 0, Why: say("treat.nocheckpoint")})
}

// handBlocks are the left column: what the step in hand is and what may be done in it.
func (r *treating) handBlocks(s *Session) []Block {
	c := r.paper.Case
	blocks := []Block{
		{Kind: Heading, Text: r.title(s)},
		{Kind: Quiet, Text: r.line(c)},
		controls(r.stageControls(s.compact)...),
		{Kind: Gap},
	}
	if s.folded {
		blocks = append(blocks[:2:2], Block{Kind: Row, Controls: []Control{
			{ID: "side", Kind: Tab, Label: say("treat.side" + strconv.Itoa(1-r.side))},
		}})
		blocks = append(blocks, controls(r.stageControls(true)...), Block{Kind: Gap})
	}
	if goal := r.goal(); goal != "" && !s.folded {
		blocks = append(blocks, Block{Kind: Said, Text: goal})
	}
	if tabs := r.canalTabs(); len(tabs) > 1 && needsCanal(r.kind) {
		blocks = append(blocks, Block{Kind: Row, Controls: tabs})
	}
	if kinds := stages()[r.stage].kinds; len(kinds) > 1 {
		var tabs []Control
		for _, k := range kinds {
			tabs = append(tabs, Control{ID: "kind:" + string(k), Kind: Tab, Label: say("kind." + string(k)), Chosen: k == r.kind})
		}
		blocks = append(blocks, Block{Kind: Row, Controls: tabs})
	}
	if r.hasTray() {
		blocks = append(blocks, r.trayBlocks(s.rows)...)
	}
	var fields []Control
	for _, f := range r.fieldsShown() {
		fields = append(fields, r.fieldControl(f))
	}
	if len(fields) > 0 {
		blocks = append(blocks, controls(fields...))
	}
	return blocks
}

// goBlocks are the main act and what may be repeated.
func (r *treating) goBlocks() []Block {
	act := Control{ID: "go", Kind: Primary, Label: say("go." + string(r.kind)), Detail: say("key.enter")}
	if r.kind != treatment.Work {
		return []Block{controls(act)}
	}
	act.Detail = say("key.space")
	if r.hold.active {
		act.Value = strconv.Itoa(r.hold.strokes)
		act.Chosen = true
	}
	repeat := Control{ID: "repeat", Kind: Button, Label: say("go.repeat"), Detail: "R"}
	blocks := []Block{controls(act, repeat)}
	if r.stopped != "" && r.kind == treatment.Work { // above, so that the controls stay where they are
		blocks = append([]Block{{Kind: Quiet, Text: r.stopped}}, blocks...)
	}
	return blocks
}

// stageControls are the list of the procedure, or one line of it where there is little room.
func (r *treating) stageControls(compact bool) []Control {
	now := r.now()
	if compact {
		return []Control{{ID: "stages", Kind: Choice, Label: say("treat.step"), Value: strconv.Itoa(r.stage+1) + " " + say("stage."+stages()[r.stage].name)}}
	}
	done := r.stagesDone(&now)
	var out []Control
	for i, st := range stages() {
		c := Control{ID: "stage:" + strconv.Itoa(i), Kind: StageLine, Label: say("stage." + st.name), Chosen: i == r.stage, Done: done[i]}
		if st.name == "measure" && now.Canals[r.canal].Length > 0 {
			c.Detail = figure(now.Canals[r.canal].Length-now.CuspCut, 1) + " mm"
		}
		if st.name == "shape" && now.Canals[r.canal].Last > 0 {
			c.Detail = say("stage.size", "size", strconv.Itoa(now.Canals[r.canal].Last))
		}
		out = append(out, c)
	}
	return out
}

// stagesDone says which steps have been done so far, in every canal found where it is a canal's step.
func (r *treating) stagesDone(s *treatment.State) []bool {
	all := func(done func(c *treatment.CanalState) bool) bool {
		found := 0
		for i := range s.Canals {
			c := &s.Canals[i]
			if !c.Found {
				continue
			}
			found++
			if !done(c) {
				return false
			}
		}
		return found > 0
	}
	dried := r.driedCanals()
	return []bool{
		s.Judged != "",
		s.Isolated != 0,
		s.Access.Opened,
		all(func(*treatment.CanalState) bool { return true }),
		all(func(c *treatment.CanalState) bool { return c.Length > 0 }),
		all(func(c *treatment.CanalState) bool { return c.Gauged > 0 }),
		all(func(c *treatment.CanalState) bool { return slices.Contains(dried, c.Name) || c.Fill.Technique != "" }),
		all(func(c *treatment.CanalState) bool { return c.Fill.Technique != "" }),
		s.Sealed && s.Restoration != "",
		s.ReviewDays > 0,
	}
}

func (r *treating) driedCanals() []string {
	var out []string
	for _, e := range r.events() {
		if e.Kind == treatment.PointDry {
			out = append(out, e.Canal)
		}
	}
	return out
}

// canalTabs are the canals that can be named: in practice all of the tooth, since there one looks for a canal by its
// name, in an examination those that were found.
func (r *treating) canalTabs() []Control {
	var out []Control
	if r.perceived && r.kind == treatment.Find {
		return nil
	}
	for _, i := range r.nameable() {
		c := r.now().Canals[i]
		tab := Control{ID: "canal:" + c.Name, Kind: Tab, Label: canalName(c.Name), Chosen: i == r.canal, Done: c.Fill.Technique != ""}
		if !c.Found && r.kind != treatment.Find {
			tab.Disabled, tab.Why = true, say("canal.notfound", "canal", canalName(c.Name))
		}
		out = append(out, tab)
	}
	return out
}

// tellBlocks are what has to be said at once.
func (r *treating) tellBlocks(s *Session) []Block {
	var blocks []Block
	said := []string{s.told(), r.hint}
	if r.guided && !r.hold.active {
		said[1] = r.advice()
	}
	for _, text := range said {
		if text != "" {
			blocks = append(blocks, Block{Kind: Warning, Text: text})
		}
	}
	return blocks
}

// sideBlocks are the right column: floor plan or film, hand, record, and the session's own acts.
func (r *treating) sideBlocks() []Block {
	var blocks []Block
	switch stages()[r.stage].name {
	case "open", "find":
		blocks = append(blocks, Block{Kind: Subhead, Text: say("plan.title"), Note: say("plan.note")}, Block{Kind: FloorPlan, Plan: r.floorPlan()})
	case "judge", "isolate", "dry", "seal", "review":
		blocks = append(blocks, r.filmBlocks()...)
	case "measure":
		blocks = append(blocks, r.locatorBlocks()...)
		blocks = append(blocks, r.filmBlocks()...)
	default:
		blocks = append(blocks, r.handFelt()...)
	}
	blocks = append(blocks, Block{Kind: Rule})
	blocks = append(blocks, r.cautionBlocks()...)
	blocks = append(blocks, r.recordBlocks()...)
	blocks = append(blocks, Block{Kind: Rule})
	blocks = append(blocks, r.chartBlocks()...)
	blocks = append(blocks, Block{Kind: Rule}, Block{Kind: Row, Controls: r.ownTabs()})
	if r.exam != nil {
		return append(blocks, controls(Control{ID: "exam:desk", Kind: Button, Label: say("exam.backtodesk"), Detail: "Esc"}))
	}
	return append(blocks, controls(
		Control{ID: "finish", Kind: Button, Label: say("treat.finish"), Detail: "F10", Disabled: len(r.states) < 2, Why: say("treat.nothing")},
		Control{ID: "back", Kind: Button, Label: say("treat.leave"), Detail: "Esc"},
	))
}

// onWord is how a switch is said to stand.
func onWord(on bool) string {
	if on {
		return say("settings.on")
	}
	return say("settings.off")
}

// filmBlocks tell what the films showed.
func (r *treating) filmBlocks() []Block {
	blocks := []Block{{Kind: Subhead, Text: say("film.title"), Note: say("film.count", "count", strconv.Itoa(r.now().Films))}}
	if films := r.films(); len(films) > 0 {
		blocks = append(blocks, Block{Kind: SmallFilm, Film: films[len(films)-1].scene})
	}
	var pairs [][2]string
	for _, e := range r.events() {
		if e.Kind == treatment.FilmTaken && r.lines && r.filmed(e) {
			pairs = append(pairs, [2]string{r.nameOf(e.Canal), say("film.image", "length", figure(e.Value, 1))})
		}
		if e.Kind == treatment.Reading && e.Detail == "film" {
			pairs = append(pairs, [2]string{canalName(e.Canal), say("film.read", "length", figure(r.readNow(e), 1))})
		}
	}
	if len(pairs) == 0 && len(blocks) > 1 {
		return blocks
	}
	if len(pairs) == 0 {
		return append(blocks, Block{Kind: Quiet, Text: say("film.none")})
	}
	const most = 6
	return append(blocks, Block{Kind: Pairs, Pairs: pairs[max(0, len(pairs)-most):]})
}
