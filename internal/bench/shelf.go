package bench

import (
	"slices"
	"strconv"
	"strings"

	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// shelfPage shows the cases.
func (s *Session) shelfPage() Page {
	left := []Block{
		{Kind: Heading, Text: say("shelf.title")},
		{Kind: Quiet, Text: say("shelf.intro")},
		{Kind: Gap},
	}
	if s.run != nil {
		name := s.cases[s.run.index].scenario.Title()
		left = append(left, Block{Kind: Subhead, Text: say("shelf.underway")}, Block{Kind: Text, Text: name},
			controls(Control{ID: "resume", Kind: Primary, Label: say("shelf.resume")}), Block{Kind: Gap})
	}
	left = append(left, s.lessonBlocks()...)
	left = append(left, s.quizBlocks()...)
	left = append(left, s.drillBlocks()...)
	left = append(left, s.examBlocks()...)
	left = append(left,
		controls(
			Control{ID: "open:help", Kind: Button, Label: say("shelf.help"), Detail: "F1"},
			Control{ID: "open:settings", Kind: Button, Label: say("shelf.settings"), Detail: "F2"}),
		Block{Kind: Gap},
		Block{Kind: Rule},
		Block{Kind: Quiet, Text: say("caution.aid")},
	)
	var cards []Card
	for _, c := range s.cases {
		if c.isDrill() {
			continue
		}
		result := c.bestText(say("shelf.new"))
		cards = append(cards, Card{
			Control: Control{ID: "case:" + c.scenario.Name(), Kind: CardFace, Label: c.scenario.Title(), Detail: result},
			Title:   c.scenario.Title(),
			Lines:   []string{say("shelf.tooth", "number", strconv.Itoa(c.scenario.Number()), "kind", sayOr("difficulty."+c.scenario.Difficulty(), c.scenario.Difficulty())), result},
			Case:    c.preview,
		})
	}
	return Page{Title: say("shelf.title"), Left: left, Centre: Centre{Cards: cards}}
}

func controls(list ...Control) Block { return Block{Kind: Controls, Controls: list} }

// chooseCase opens the briefing of a case.
func (s *Session) chooseCase(name string) {
	for i, c := range s.cases {
		if c.scenario.Name() == name {
			s.chosen = i
			s.open(BriefingScreen)
		}
	}
}

// briefingPage tells what is known before anything is done.
func (s *Session) briefingPage() Page {
	c := s.cases[s.chosen]
	kase := c.preview
	left := []Block{
		{Kind: Heading, Text: c.scenario.Title()},
		{Kind: Quiet, Text: say("briefing.tooth", "number", strconv.Itoa(kase.Number), "age", figure(kase.Tooth.Age, 0))},
		{Kind: Gap},
		{Kind: Subhead, Text: say("briefing.history")},
		{Kind: Text, Text: c.scenario.Summary()},
	}
	left = append(left, taught(c.scenario)...)
	left = append(left, []Block{
		{Kind: Gap},
		controls(Control{ID: "begin", Kind: Primary, Label: say("briefing.begin")},
			Control{ID: "begin:guided", Kind: Button, Label: say("briefing.guided")},
			Control{ID: "back", Kind: Button, Label: say("briefing.back"), Detail: "Esc"}),
	}...)
	if n := len(c.runs); n > 0 && (s.record != nil && c.runs[n-1].id != 0 || c.runs[n-1].data != nil) {
		left = append(left, controls(Control{ID: "past", Kind: Button, Label: say("briefing.past"), Detail: figure(c.earlier[n-1], 1)}))
	}
	right := []Block{
		{Kind: Subhead, Text: say("briefing.findings")},
		{Kind: Pairs, Pairs: findings(kase)},
		{Kind: Gap},
		{Kind: Rule},
		{Kind: Quiet, Text: say("briefing.practice")},
		{Kind: Quiet, Text: say("caution.aid")},
	}
	right = slices.Insert(right, 2, Block{Kind: Subhead, Text: say("briefing.film")}, Block{Kind: SmallFilm, Film: firstFilm(kase)})
	scene := &Scene{Key: "briefing:" + c.scenario.Name(), State: treatment.Start(kase), Closed: true, Canal: -1}
	return Page{Title: c.scenario.Title(), Left: left, Right: right, Centre: Centre{Plate: scene, Foot: say("briefing.foot")}}
}

// findings are the tests a clinician has made before the student sits down.
func findings(c *treatment.Case) [][2]string {
	cold, pulp, lesion := say("finding.none"), say("finding.necrotic"), say("finding.no")
	if c.Vital {
		cold, pulp = say("finding.lingers"), say("finding.vital")
	}
	if c.Lesion {
		lesion = say("finding.yes")
	}
	return [][2]string{
		{say("finding.cold"), cold},
		{say("finding.pulp"), pulp},
		{say("finding.lesion"), lesion},
		{say("finding.age"), say("finding.years", "age", figure(c.Tooth.Age, 0))},
	}
}

// taught tells what the instructor wrote of a case beside its history: what was found, the time allowed, and
// the steps taught.
func taught(from scenario.Scenario) []Block {
	var out []Block
	for _, finding := range from.Findings() {
		out = append(out, Block{Kind: Text, Text: "· " + finding})
	}
	if ms := from.Time(); ms > 0 {
		out = append(out, Block{Kind: Quiet, Text: say("briefing.time", "minutes", strconv.Itoa(ms/60000))})
	}
	var steps []string
	for _, step := range from.Protocol() {
		text := step.Text
		if text == "" {
			text = step.Do
		}
		steps = append(steps, text)
	}
	if len(steps) > 0 {
		out = append(out, Block{Kind: Quiet, Text: say("briefing.taught", "steps", strings.Join(steps, " · "))})
	}
	return out
}
