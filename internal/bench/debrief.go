package bench

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/geom"
	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// debriefing is a finished run looked at again.
type debriefing struct {
	index  int
	run    *attempt.Run
	record attempt.Record
	states []treatment.State
	lines  []done
	notes  []attempt.Note
	own    map[string]int // the student's own mark by stage, in quarters; −1 none yet
	stages []string       // that rules speak of, in order
	shown  bool           // the marks are on the table
	rule   int            // chosen
	at     int            // actions done at the moment looked at
	canal  int
	look   int    // lookNow, lookBefore or lookOver
	with   beside // what stands beside
	past   *debriefing
	at0    int         // place among the runs of its case, from 1; 0 the last
	given  bool        // a record that was handed over: nothing of it is kept anew
	other  *debriefing // the instructor's plan on the same tooth, or back to one's own
	plan   bool        // this is the instructor's plan
}

// finish ends the run, keeps its record and opens the debrief.
func (s *Session) finish() {
	r := s.run
	if len(r.states) < 2 {
		s.refuse(say("treat.nothing"))
		return
	}
	if r.lesson != nil && r.lesson.now().name != "look" {
		s.refuse(say("lesson.later", "why", say("lesson.later.finish"), "now", say("lesson."+r.lesson.now().name)))
		return
	}
	for _, n := range r.notes {
		if err := r.run.Note(n); err != nil {
			s.refuse(err.Error())
			return
		}
	}
	record := r.run.Close()
	data, err := attempt.Encode(record)
	if err != nil {
		s.refuse(err.Error())
		return
	}
	if s.keeper != nil {
		s.keeper.Keep(data)
		s.keeper.SaveCurrent(nil)
	}
	s.current = nil
	c := &s.cases[r.index]
	if record.Marks.Available > 0 {
		c.best = max(c.best, record.Marks.Total/record.Marks.Available)
	}
	d := lookBack(r, record)
	d.notes = r.notes
	s.run, s.debrief = nil, d
	s.bringBack(d)
	s.open(DebriefScreen)
	c.earlier = append(c.earlier, record.Marks.Total)
	c.runs = append(c.runs, pastRun{data: data})
}

// lookBack opens a finished run at its end.
func lookBack(r *treating, record attempt.Record) *debriefing {
	d := &debriefing{index: r.index, run: r.run, record: record, states: r.states,
		lines: history(r.run, r.states, r.actionSays), own: map[string]int{}, at: len(r.states) - 1, canal: r.canal}
	for _, m := range record.Marks.Rules {
		if !slices.Contains(d.stages, m.Stage) {
			d.stages = append(d.stages, m.Stage)
			d.own[m.Stage] = -1
		}
	}
	return d
}

// turnPlan shows the instructor's plan on the same tooth, or goes back to one's own run. The rule and
// the canal looked at stay.
func (d *debriefing) turnPlan(s *Session) {
	d.makePlan(s)
	d.other.rule, d.other.canal = d.rule, d.canal
	s.debrief = d.other
	s.speak(d.other.total())
}

// earlier returns the points of earlier runs of a case, oldest first; the run looked at is not among them.
func (s *Session) earlier(index int) []string {
	list := s.cases[index].earlier
	var out []string
	for _, points := range list[:max(0, len(list)-1)] {
		out = append(out, figure(points, 1))
	}
	const most = 6
	return out[max(0, len(out)-most):]
}

// Record returns the record of the run that was finished last, as it is kept, or nil.
func (s *Session) Record() []byte {
	if s.debrief == nil {
		return nil
	}
	d := s.debrief
	if d.plan {
		d = d.other
	}
	data, err := attempt.Encode(d.record)
	if err != nil {
		return nil
	}
	return data
}

func (d *debriefing) press(s *Session, head, rest string) {
	switch head {
	case "own":
		d.adjust(s, head, rest, 1, false)
	case "show":
		d.shown = true
		s.speak(d.total())
	case "rule":
		d.choose(rest)
	case "moment":
		d.moment()
	case "canal":
		d.canal = max(0, slices.IndexFunc(d.states[0].Canals, func(c treatment.CanalState) bool { return c.Name == rest }))
	case "before":
		d.look = (d.look + 1) % lookCount
	case "comment":
		d.toComment(s, rest)
	case "beside":
		s.turnBeside(1)
	case "earlier":
		d.at = max(0, d.at-1)
	case "later":
		d.at = min(len(d.states)-1, d.at+1)
	case "plan":
		d.turnPlan(s)
	case "again":
		s.startOn(d.states[0].Case, d.index, d.run.Actions()[:d.at], append(slices.Clone(d.notes), attempt.Note{After: d.at, Kind: attempt.NoteAgain, From: len(d.states) - 1}))
		s.chosen = d.index
		s.open(TreatmentScreen)
		s.save()
	case "export":
		if s.keeper != nil {
			s.keeper.Keep(s.Record())
		}
	}
}

func (d *debriefing) choose(id string) {
	for i, m := range d.record.Marks.Rules {
		if m.ID == id {
			d.rule = i
			if k := d.canalOf(m); k >= 0 {
				d.canal = k
			}
		}
	}
}

// canalOf returns the canal that cost a rule most, −1 when it is about the tooth.
func (d *debriefing) canalOf(m marking.RuleMark) int {
	worst, loss := -1, -1.0
	for _, p := range m.Parts {
		if l := p.Available - p.Points; l > loss {
			worst, loss = slices.IndexFunc(d.states[0].Canals, func(c treatment.CanalState) bool { return c.Name == p.Canal }), l
		}
	}
	return worst
}

// moment goes to the action the chosen mark points to.
func (d *debriefing) moment() {
	if a := d.record.Marks.Rules[d.rule].Action; a >= 0 {
		d.at = min(a+1, len(d.states)-1)
	}
}

func (d *debriefing) adjust(s *Session, head, rest string, steps int, _ bool) {
	switch head {
	case "own":
		d.own[rest] = (d.own[rest]+1+steps+60)%6 - 1
	case "beside":
		s.turnBeside(steps)
	case "time":
		d.at = min(max(d.at+steps, 0), len(d.states)-1)
		if d.at > 0 {
			s.speak(d.lines[d.at-1].text)
		}
	}
}

func (d *debriefing) slide(head string, share float64) {
	if head == "time" {
		d.at = int(math.RoundToEven(share * float64(len(d.states)-1)))
	}
}

// typeDebrief handles the single keys of the debrief.
func (s *Session) typeDebrief(k Stroke) bool {
	switch k.Key {
	case "[", ",":
		s.Press("earlier:")
	case "]", ".":
		s.Press("later:")
	case "v":
		s.Press("before:")
	case "g":
		s.Press("moment:")
	default:
		return false
	}
	return true
}

func (d *debriefing) total() string {
	m := d.record.Marks
	text := say("debrief.total", "points", figure(m.Total, 1), "available", figure(m.Available, 0))
	if m.Failed {
		text += " " + say("debrief.failed")
	}
	return text
}

// debriefPage shows the run again: first what the student thinks of it, then the marks.
func (s *Session) debriefPage() Page {
	d := s.debrief
	page := Page{Title: say("debrief.title"), Centre: Centre{Plate: d.scene(), Clock: clock(d.states[d.at].Elapsed), Foot: d.momentText()}}
	if !d.shown {
		page.Left = d.ownBlocks(s)
		page.Right = []Block{{Kind: Subhead, Text: say("debrief.why")}, {Kind: Text, Text: say("debrief.whytext")}, {Kind: Gap}}
		page.Right = append(page.Right, d.leave()...)
	} else {
		page.Left = d.markBlocks(s.earlier(d.index))
		page.Right = append(s.commentBlocks(d), d.evidenceBlocks(s)...)
		if other := d.otherRun(); other != nil {
			page.Centre.Beside, page.Centre.Names = other.besideView(d).scene(), [2]string{say("compare.yours"), d.besideName()}
		}
	}
	page.Right = append(page.Right, s.quizOffer()...)
	page.Foot = s.footBlocks(d, !s.cases[d.index].planned)
	return page
}

// ownMarks are the words for quarters of the points.
func ownMark(quarters int) string {
	if quarters < 0 {
		return say("own.none")
	}
	return say("own." + strconv.Itoa(quarters))
}

func (d *debriefing) ownBlocks(s *Session) []Block {
	blocks := []Block{
		{Kind: Heading, Text: say("debrief.own")},
		{Kind: Quiet, Text: s.cases[d.index].scenario.Title()},
		{Kind: Text, Text: say("debrief.owntext")},
	}
	var list []Control
	for _, st := range d.stages {
		list = append(list, Control{ID: "own:" + st, Kind: Choice, Label: sayOr("stage."+st, sayOr("rulestage."+st, st)), Value: ownMark(d.own[st])})
	}
	return append(blocks, controls(list...), controls(Control{ID: "show:", Kind: Primary, Label: say("debrief.show")}))
}

// markBlocks are the marks by rule, with the student's own estimate by stage.
func (d *debriefing) markBlocks(earlier []string) []Block {
	m := d.record.Marks
	blocks := []Block{{Kind: Heading, Text: figure(m.Total, 1) + " / " + figure(m.Available, 0)}}
	if d.plan {
		blocks = append(blocks, Block{Kind: Quiet, Text: say("debrief.plan", "own", figure(d.other.record.Marks.Total, 1))})
	} else if len(earlier) > 0 {
		blocks = append(blocks, Block{Kind: Quiet, Text: say("debrief.earlierruns", "points", strings.Join(earlier, ", "))})
	}
	if d.otherRun() != nil {
		blocks = append(blocks, Block{Kind: Quiet, Text: say("compare.legend", "what", d.besideName())})
	}
	if m.Failed {
		for _, text := range m.Critical {
			blocks = append(blocks, Block{Kind: Warning, Text: text})
		}
	}
	for _, st := range d.stages {
		got, of := 0.0, 0.0
		var list []Control
		for i, r := range m.Rules {
			if r.Stage != st {
				continue
			}
			got, of = got+r.Points, of+r.Available
			c := Control{ID: "rule:" + r.ID, Kind: Pick, Label: r.Title, Detail: d.compared(r.ID, points(r)), Chosen: i == d.rule}
			list = append(list, c)
		}
		note := say("debrief.stage", "points", figure(got, 1), "available", figure(of, 0))
		if d.own[st] >= 0 {
			note = say("debrief.yours", "own", ownMark(d.own[st])) + " · " + note
		}
		blocks = append(blocks, Block{Kind: Subhead, Text: sayOr("stage."+st, sayOr("rulestage."+st, capital(st))), Note: note}, controls(list...))
	}
	return blocks
}

func points(r marking.RuleMark) string {
	if r.Available == 0 {
		if r.Happened {
			return say("debrief.happened")
		}
		return say("debrief.clear")
	}
	return figure(r.Points, 1) + " / " + figure(r.Available, 0)
}

// evidenceBlocks are what the chosen mark rests on.
func (d *debriefing) evidenceBlocks(s *Session) []Block {
	r := d.record.Marks.Rules[d.rule]
	blocks := []Block{{Kind: Subhead, Text: r.Title, Note: points(r)}, {Kind: Text, Text: r.Evidence}}
	for _, p := range r.Parts {
		if p.Evidence != "" && !strings.Contains(r.Evidence, p.Evidence) {
			blocks = append(blocks, Block{Kind: Quiet, Text: p.Evidence})
		}
	}
	for _, rule := range s.cases[d.index].scenario.Rules() {
		if rule.ID == r.ID && rule.Source != "" {
			blocks = append(blocks, Block{Kind: Quiet, Text: say("debrief.source", "source", rule.Source)})
		}
	}
	if r.Action >= 0 {
		blocks = append(blocks, controls(Control{ID: "moment:", Kind: Button, Label: say("debrief.moment", "number", strconv.Itoa(r.Action+1)), Detail: "G"}))
	}
	var tabs []Control
	for i, c := range d.states[0].Canals {
		tabs = append(tabs, Control{ID: "canal:" + c.Name, Kind: Tab, Label: canalName(c.Name), Chosen: i == d.canal})
	}
	blocks = append(blocks, Block{Kind: Rule})
	if len(tabs) > 1 {
		blocks = append(blocks, Block{Kind: Row, Controls: tabs})
	}
	blocks = append(blocks,
		d.transportHead(),
		Block{Kind: Curve, Graph: d.transportGraph()},
		Block{Kind: Subhead, Text: say("debrief.truth")},
		Block{Kind: Pairs, Pairs: d.truth()},
		Block{Kind: Subhead, Text: say("debrief.files"), Note: say("debrief.filesnote")},
		Block{Kind: Pairs, Pairs: d.files()},
		Block{Kind: Rule})
	if len(d.notes) > 0 {
		var pairs [][2]string
		for _, n := range d.notes {
			pairs = append(pairs, [2]string{strconv.Itoa(n.After), noteText(n)})
		}
		blocks = append(blocks, Block{Kind: Subhead, Text: say("debrief.notes")}, Block{Kind: Pairs, Pairs: pairs})
	}
	return append(blocks, d.leave()...)
}

func (d *debriefing) leave() []Block {
	return []Block{controls(
		Control{ID: "export:", Kind: Button, Label: say("debrief.export")},
		Control{ID: "back", Kind: Button, Label: say("debrief.back"), Detail: "Esc"})}
}

// transport returns the difference of the cuts on opposite walls by level at the moment looked at, mm:
// distal minus mesial, and lingual minus buccal, dashed.
func (d *debriefing) transport() *Graph {
	s := &d.states[d.at]
	c := &s.Canals[d.canal]
	g := &Graph{Across: say("debrief.level"), Up: say("debrief.mm"), Left: 0, Right: 10, Top: 0.3, Bottom: -0.3, Marker: math.NaN(), PlacesY: 1}
	for plane := range 2 {
		var l []geom.Point
		for i := c.Space.Foramen; i >= c.Space.Orifice; i-- {
			level := float64(c.Space.Foramen-i) * c.Space.Step
			if level > g.Right {
				break
			}
			plus := c.Space.Wall[2*plane+1][i] - c.First[2*plane+1][i]
			minus := c.Space.Wall[2*plane][i] - c.First[2*plane][i]
			l = append(l, geom.Point{X: level, Y: plus - minus})
			g.Top = math.Max(g.Top, math.Ceil(10*(plus-minus))/10)
			g.Bottom = math.Min(g.Bottom, math.Floor(10*(plus-minus))/10)
		}
		g.Lines = append(g.Lines, Line{Name: say("debrief.plane" + strconv.Itoa(plane)), Points: l, Dashed: plane == 1, Event: plane == 0})
	}
	return g
}

// files lists the instruments used with their strain and the share of their life.
func (d *debriefing) files() [][2]string {
	var out [][2]string
	for _, t := range d.states[d.at].Tools {
		item, err := lookup(t.Item)
		if err != nil || t.Peak == 0 {
			continue
		}
		worst := 0.0
		for _, l := range t.Tool.Life {
			worst = math.Max(worst, l)
		}
		text := say("files.line", "strain", figure(100*t.Peak, 1), "life", figure(100*worst/math.Max(t.Tool.Endurance, 1e-9), 0))
		if t.Broken {
			text = say("piece.broken") + ", " + text
		}
		out = append(out, [2]string{shortName(item), text})
	}
	if len(out) == 0 {
		return [][2]string{{"", say("files.none")}}
	}
	return out
}

// scene is the plate at the moment looked at.
func (d *debriefing) scene() *Scene {
	at := d.at
	if d.look == lookBefore {
		at = 0
	}
	s := d.states[at]
	var faults []treatment.Event
	for _, e := range d.run.Events() {
		if e.Action < at && e.Canal == s.Canals[d.canal].Name && faulty(e.Kind) {
			faults = append(faults, e)
		}
	}
	scene := &Scene{
		Key:   "debrief:" + d.record.Digest[:8] + ":" + strconv.Itoa(at) + ":" + strconv.Itoa(d.canal),
		State: s, Events: faults, Canal: d.canal, Notes: notesOf(faults, &s, d.canal),
	}
	if d.look == lookOver {
		scene.Over = overlay(&s)
	}
	return scene
}

// momentText says where on the time line the plate stands.
func (d *debriefing) momentText() string {
	if d.look == lookBefore {
		return say("debrief.before")
	}
	if d.at == 0 {
		return say("debrief.start")
	}
	return say("debrief.at", "number", strconv.Itoa(d.at), "of", strconv.Itoa(len(d.states)-1), "text", d.lines[d.at-1].text)
}

func (s *Session) footBlocks(d *debriefing, noPlan bool) []Block {
	n := float64(max(1, len(d.states)-1))
	line := Control{ID: "time:", Kind: TimeLine, Label: say("debrief.time"), Value: strconv.Itoa(d.at), Share: float64(d.at) / n}
	for _, l := range d.lines {
		if slices.ContainsFunc(l.events, func(e treatment.Event) bool { return faulty(e.Kind) }) {
			line.Marks = append(line.Marks, float64(l.action+1)/n)
		}
	}
	if d.shown {
		for _, c := range s.commentsOn(d) {
			line.Pins = append(line.Pins, float64(c.Action)/n)
		}
	}
	return []Block{controls(line), {Kind: Row, Controls: []Control{
		{ID: "earlier:", Kind: Tab, Label: say("debrief.earlier"), Disabled: d.at == 0, Why: say("debrief.start")},
		{ID: "later:", Kind: Tab, Label: say("debrief.later"), Disabled: d.at == len(d.states)-1, Why: say("debrief.end")},
		{ID: "before:", Kind: Tab, Label: say("debrief.look" + strconv.Itoa(d.look)), Detail: "V", Chosen: d.look != lookNow},
		{ID: "again:", Kind: Tab, Label: say("debrief.again"), Disabled: d.at == len(d.states)-1, Why: say("debrief.end")},
		{ID: "plan:", Kind: Tab, Label: say("debrief.turnplan"), Chosen: d.plan, Disabled: !d.shown || noPlan, Why: say("debrief.noplan")},
		{ID: "beside:", Kind: Tab, Label: say("compare.beside", "what", d.besideName()), Chosen: d.with != alone, Disabled: !d.shown || len(s.choices()) < 2, Why: say("compare.none")},
	}}}
}
