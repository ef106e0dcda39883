package bench

import (
	"slices"
	"strconv"

	"tugback/internal/picture"
)

// Settings are the student's settings of comfort. They change nothing in a treatment.
type Settings struct {
	TextPercent   int    // 100 to 200
	Palette       string // light, night, high-contrast
	ReducedMotion bool
}

func defaultSettings() Settings { return Settings{TextPercent: 100, Palette: "light"} }

// textStep is the step of the text size, per cent.
const textStep = 25

// Colours returns the palette that was chosen.
func (s Settings) Colours() picture.Palette {
	for _, p := range picture.Palettes() {
		if p.Name == s.Palette {
			return p
		}
	}
	return picture.Light()
}

func (s *Settings) toggle(what string) {
	if what == "motion" {
		s.ReducedMotion = !s.ReducedMotion
	}
}

func (s *Settings) adjust(what string, steps int) {
	switch what {
	case "text":
		s.TextPercent = min(max(s.TextPercent+textStep*steps, 100), 200)
	case "palette":
		names := []string{"light", "night", "high-contrast"}
		i := slices.Index(names, s.Palette)
		s.Palette = names[(i+steps%3+3)%3]
	}
}

// SetComfort replaces the settings, kept from an earlier session; values out of range are brought into it.
func (s *Session) SetComfort(c Settings) {
	c.TextPercent = min(max(c.TextPercent, 100), 200)
	s.settings = c
	s.changed()
}

// settingsPage offers the settings.
func (s *Session) settingsPage() Page {
	set := s.settings
	motion := say("settings.off")
	if set.ReducedMotion {
		motion = say("settings.on")
	}
	left := []Block{
		{Kind: Heading, Text: say("settings.title")},
		{Kind: Quiet, Text: say("settings.intro")},
		{Kind: Gap},
		controls(
			Control{ID: "set:text", Kind: Choice, Label: say("settings.text"), Value: strconv.Itoa(set.TextPercent) + " %"},
			Control{ID: "set:palette", Kind: Choice, Label: say("settings.palette"), Value: say("palette." + set.Palette)},
			Control{ID: "set:motion", Kind: Toggle, Label: say("settings.motion"), Value: motion, Chosen: set.ReducedMotion}),
		{Kind: Gap},
		controls(Control{ID: "back", Kind: Button, Label: say("settings.back"), Detail: "Esc"}),
	}
	var centre []Block
	centre = append(centre, Block{Kind: Subhead, Text: say("settings.sample")})
	for _, p := range paragraphs("settings.sample") {
		centre = append(centre, Block{Kind: Text, Text: p})
	}
	centre = append(centre, Block{Kind: Said, Text: say("settings.said")}, Block{Kind: Quiet, Text: say("settings.sound")},
		Block{Kind: Quiet, Text: say("settings.still")}, Block{Kind: Quiet, Text: say("settings.voice")})
	return Page{Title: say("settings.title"), Left: left, Centre: Centre{Blocks: centre}}
}

// helpTopics are the pages of help, in order.
func helpTopics() []string { return []string{"first", "hand", "keys", "truth", "caution"} }

// helpPages shows the handbook's pages, the keys and the cautions.
func (s *Session) helpPages() Page {
	left := []Block{{Kind: Heading, Text: say("help.title")}}
	var picks []Control
	for i, topic := range helpTopics() {
		picks = append(picks, Control{ID: "page:" + strconv.Itoa(i), Kind: Pick, Label: say("help." + topic), Chosen: i == s.helpPage})
	}
	left = append(left, controls(picks...), Block{Kind: Gap},
		controls(Control{ID: "back", Kind: Button, Label: say("settings.back"), Detail: "Esc"}))
	topic := helpTopics()[min(max(s.helpPage, 0), len(helpTopics())-1)]
	centre := []Block{{Kind: Heading, Text: say("help." + topic)}}
	if topic == "keys" {
		centre = append(centre, Block{Kind: Pairs, Pairs: keyList()})
	}
	for _, p := range paragraphs("help." + topic + ".") {
		centre = append(centre, Block{Kind: Text, Text: p})
	}
	if topic == "caution" {
		centre = append(centre, cautionPage()...)
	}
	return Page{Title: say("help.title"), Left: left, Centre: Centre{Blocks: centre}}
}
