package bench

// Sentence is one line of a page in words.
type Sentence struct {
	Text string
	Head bool // a heading
	Act  bool // a control
}

// InWords returns the page as a person would read it, from left to right: for those who cannot see it. What is
// drawn is told by the sentences that stand beside it. Checked by TestInWords.
func (p Page) InWords() []Sentence {
	out := []Sentence{{Text: p.Title, Head: true}}
	add := func(blocks []Block) {
		for i := range blocks {
			out = append(out, inWords(&blocks[i])...)
		}
	}
	add(p.Left)
	add(p.Act)
	for _, text := range []string{p.Centre.Clock, p.Centre.Foot} {
		if text != "" {
			out = append(out, Sentence{Text: text})
		}
	}
	for _, c := range p.Centre.Cards {
		out = append(out, Sentence{Text: c.Control.Spoken(), Act: true})
	}
	add(p.Centre.Blocks)
	add(p.Right)
	add(p.Tell)
	add(p.Foot)
	return out
}

// inWords returns one block in words.
func inWords(b *Block) []Sentence {
	var out []Sentence
	for _, text := range lettered([]Block{*b}) {
		out = append(out, Sentence{Text: text, Head: b.Kind == Heading || b.Kind == Subhead})
	}
	for _, c := range b.Controls {
		out = append(out, Sentence{Text: c.Spoken(), Act: true})
	}
	return out
}

// readOut says all that the page shows.
func (s *Session) readOut() {
	for _, l := range s.Page().InWords() {
		s.speak(l.Text)
	}
}
