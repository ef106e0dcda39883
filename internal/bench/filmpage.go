package bench

import (
	"strconv"

	"tugback/internal/treatment"
)

// filmTitle names a film: "Film 2 of 3".
func filmTitle(at, of int) string {
	return say("film.number", "number", strconv.Itoa(at+1), "of", strconv.Itoa(of))
}

// angles says how a film was exposed.
func angles(e exposure) string {
	return say("film.angles", "shift", figure(float64(e.shift)/10, 0), "vertical", figure(float64(e.tilt)/10, 0))
}

// filmPage shows the light box: a film large in the middle, at its left what exposes the next one and the
// ruler.
func (s *Session) filmPage() Page {
	r := s.run
	films := r.films()
	page := Page{
		Title: say("film.title"),
		Left:  r.exposeBlocks(s, films),
		Right: r.filmSide(),
		Tell:  r.tellBlocks(s),
	}
	page.Centre = Centre{Clock: r.clock(), Foot: r.film.measured()}
	if film := r.hung(); film != nil {
		page.Centre.Film, page.Centre.Spot, page.Centre.Marks = film, &r.film.spot, r.film.marks
		page.Centre.Zoom, page.Centre.At = r.film.zoom, r.film.spot
	} else {
		page.Centre.Blocks, page.Centre.Foot = []Block{{Kind: Quiet, Text: say("film.none")}}, ""
	}
	if s.folded {
		page.Act, page.Right, page.Tell = page.Tell, nil, nil
		r.taskUnder(&page.Centre)
	}
	return page
}

// exposeBlocks are the light box's tools.
func (r *treating) exposeBlocks(s *Session, films []exposure) []Block {
	f := &r.film
	blocks := []Block{{Kind: Heading, Text: say("film.title")}}
	if r.lesson != nil && !s.folded {
		blocks = append(blocks, Block{Kind: Said, Text: r.lessonText()})
	}
	if len(films) > 0 {
		blocks = append(blocks, Block{Kind: Subhead, Text: filmTitle(f.at, len(films)), Note: angles(films[f.at])},
			Block{Kind: Row, Controls: []Control{
				{ID: "film:earlier", Kind: Tab, Label: say("film.earlier"), Detail: "[", Disabled: f.at == 0, Why: say("film.first")},
				{ID: "film:later", Kind: Tab, Label: say("film.later"), Detail: "]", Disabled: f.at == len(films)-1, Why: say("film.last")},
				{ID: "film:zoom", Kind: Tab, Label: say("film.zoom", "times", figure(f.zoom, 0)), Detail: "="},
				{ID: "film:close", Kind: Tab, Label: say("film.close"), Detail: "X"}}})
		blocks = append(blocks, r.rulerBlocks()...)
		blocks = append(blocks, Block{Kind: Rule})
	} else {
		blocks = append(blocks, Block{Kind: Row, Controls: []Control{{ID: "film:close", Kind: Tab, Label: say("film.close"), Detail: "X"}}})
	}
	blocks = append(blocks, Block{Kind: Subhead, Text: say("film.expose"), Note: say("film.count", "count", strconv.Itoa(r.now().Films))})
	var fields []Control
	for _, field := range r.fieldsShown() {
		fields = append(fields, r.fieldControl(field))
	}
	fields = append(fields, Control{ID: "go", Kind: Button, Label: say("go." + string(treatment.Radiograph))})
	return append(blocks, controls(fields...))
}

// rulerBlocks are the ruler: where the cross is, its ends, and what it shows.
func (r *treating) rulerBlocks() []Block {
	f := &r.film
	_, done := f.length()
	blocks := []Block{
		{Kind: Subhead, Text: say("ruler.title"), Note: say("ruler.note")},
		{Kind: Quiet, Text: say("ruler.how")},
		controls(
			Control{ID: "film:across", Kind: Choice, Label: say("ruler.across"), Value: figure(f.spot.X, 1) + " mm"},
			Control{ID: "film:up", Kind: Choice, Label: say("ruler.up"), Value: figure(f.spot.Y, 1) + " mm"},
			Control{ID: "film:mark", Kind: Button, Label: say("ruler.mark"), Detail: "M"}),
		{Kind: Said, Text: f.measured()},
	}
	if tabs := r.canalTabs(); len(tabs) > 1 {
		blocks = append(blocks, Block{Kind: Row, Controls: tabs})
	}
	write := Control{ID: "film:write", Kind: Primary, Label: say("ruler.write", "canal", r.inHandName()), Detail: "S", Disabled: !done, Why: say("ruler.missing")}
	if len(r.nameable()) == 0 {
		write.Disabled, write.Why = true, say("exam.notfound")
	}
	return append(blocks, controls(write,
		Control{ID: "film:clear", Kind: Button, Label: say("ruler.clear"), Detail: say("ruler.backspace"), Disabled: len(f.marks) == 0, Why: say("ruler.marks0")}))
}

// filmSide is the right column beside the light box: the record and the student's sheet.
func (r *treating) filmSide() []Block {
	return append(append(r.chartBlocks(), Block{Kind: Rule}), r.recordBlocks()...)
}
