package cli

import (
	"bufio"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"tugback/internal/anatomy"
	"tugback/internal/attempt"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/quiz"
)

// dialogue is a sitting in a terminal.
type dialogue struct {
	s     *session
	in    *bufio.Scanner
	page  page
	ended bool // no more input, or the person wants no more
}

// lineLimit is the longest answer that is read, in bytes.
const lineLimit = 4096

// ask asks a sitting of items, marks and keeps each answer at once, and tells the result.
func (c *quizCommand) ask(s *session, bank []quiz.Item, k *keeper, now time.Time) error {
	now = now.UTC().Truncate(time.Second)
	wish := quiz.Wish{Count: c.Count, DueOnly: c.Due, Seed: c.Seed.value, Now: now}
	if !c.Seed.given {
		wish.Seed = uint64(s.now().UnixNano()) //nolint:gosec // any bits will do
	}
	if !c.Written {
		from, err := s.loadScenario(c.Tooth)
		if err != nil {
			return err
		}
		grown, err := from.Case(wish.Seed)
		if err != nil { // what the file fixes does not fit every tooth
			grown, err = from.Case(from.Seed())
		}
		if err != nil {
			return err
		}
		wish.Ground = quiz.Ground{Scenario: from.Name(), Tooth: grown.Tooth}
	}
	sitting := quiz.Sit(k.practice, bank, wish)
	if len(sitting) == 0 {
		fmt.Fprintln(s.out, "Nothing is due.")
		return nil
	}
	d := &dialogue{s: s, in: bufio.NewScanner(s.in), page: page{s.out}}
	d.in.Buffer(make([]byte, 0, lineLimit), lineLimit)
	begun := s.now()
	answered, credit := 0, 0.0
	for n, shown := range sitting {
		if err := c.picture(shown.Item); err != nil {
			return err
		}
		result, confidence, ok := d.item(shown, fmt.Sprintf("%d of %d", n+1, len(sitting)))
		if !ok {
			break
		}
		at := now.Add(s.now().Sub(begun)).UTC().Truncate(time.Second)
		practice, err := k.practice.Record(shown.Item, result.Credit, confidence, at)
		if err != nil {
			return err
		}
		k.practice = practice
		if err := k.save(); err != nil {
			return err
		}
		answered, credit = answered+1, credit+result.Credit
	}
	d.close(answered, len(sitting), credit, k.path)
	return nil
}

// close says how the sitting went.
func (d *dialogue) close(answered, of int, credit float64, path string) {
	fmt.Fprintf(d.s.out, "\n%d of %d answered", answered, of)
	if answered > 0 {
		fmt.Fprintf(d.s.out, ", credit %.1f of %d; kept in %s", credit, answered, path)
	}
	fmt.Fprintln(d.s.out, ".")
}

// item asks one item: question, answer, confidence, result.
func (d *dialogue) item(shown quiz.Shown, place string) (result quiz.Result, confidence int, ok bool) {
	i := shown.Item
	d.page.section(fmt.Sprintf("%s · %s", i.Step, i.ID), place)
	d.page.paragraph("", i.Stem)
	d.parts(shown)
	for {
		line, more := d.line(prompt(i))
		if !more {
			return result, 0, false
		}
		response, err := read(shown, line)
		if err == nil {
			result, err = quiz.Mark(i, response)
		}
		if err == nil {
			break
		}
		fmt.Fprintf(d.s.out, "That is no answer to this item: %v. q ends the sitting.\n", err)
	}
	confidence, ok = d.confidence()
	if !ok {
		return result, 0, false
	}
	d.tell(shown, result)
	return result, confidence, true
}

// line prompts and reads a line; it is false at the end of the input or when the person types q.
func (d *dialogue) line(prompt string) (string, bool) {
	for !d.ended {
		fmt.Fprintf(d.s.out, "\n%s ", prompt)
		if d.s.out.Flush() != nil || !d.in.Scan() {
			break
		}
		text := strings.TrimSpace(d.in.Text())
		if strings.EqualFold(text, "q") {
			break
		}
		if text != "" {
			fmt.Fprintln(d.s.out)
			return text, true
		}
	}
	d.ended = true
	fmt.Fprintln(d.s.out)
	return "", false
}

// confidence asks how sure the person is, before the result is shown.
func (d *dialogue) confidence() (int, bool) {
	choices := quiz.Confidences()
	for {
		line, more := d.line("How sure? 1 a guess (25 %), 2 half (50 %), 3 rather (75 %), 4 sure (95 %):")
		if !more {
			return 0, false
		}
		if n, err := strconv.Atoi(line); err == nil && n >= 1 && n <= len(choices) {
			return choices[n-1], true
		}
		fmt.Fprintln(d.s.out, "Type a number from 1 to 4.")
	}
}

// prompt says how an item is answered.
func prompt(i quiz.Item) string {
	switch i.Kind {
	case quiz.Several:
		return "Letters of all that apply, such as a c:"
	case quiz.Ordering:
		return "All letters in the right order, such as c a b:"
	case quiz.Matching:
		return "Pairs, such as 1b 2a 3d:"
	case quiz.Numeric, quiz.Measure:
		return strings.TrimSuffix("A number in "+i.Unit, " in ") + ":"
	case quiz.Place:
		return "x and y in mm, such as 1.5 -9.2, or one number: mm from the foramen on the canal:"
	default: // single, predict
		return "A letter:"
	}
}

// parts prints what there is to choose from, in the order shown.
func (d *dialogue) parts(shown quiz.Shown) {
	i := shown.Item
	if len(shown.Order)+len(i.Pairs) > 0 || i.Subject != nil {
		fmt.Fprintln(d.s.out)
	}
	for n, at := range shown.Order {
		d.page.paragraph(fmt.Sprintf("  %s) ", letter(n)), i.Options[at].Text)
	}
	if i.Kind == quiz.Matching {
		for n, p := range i.Pairs {
			d.page.paragraph(fmt.Sprintf("  %d) ", n+1), p.Left)
		}
		fmt.Fprintln(d.s.out)
		for n, side := range shown.Sides {
			d.page.paragraph(fmt.Sprintf("  %s) ", letter(n)), side)
		}
	}
	if i.Subject != nil {
		d.canal(i)
	}
}

// letter names the n-th part.
func letter(n int) string { return quiz.OptionID(n) }

// canal prints a canal as coordinates, for those who cannot or will not look at the picture.
func (d *dialogue) canal(i quiz.Item) {
	tooth, at, err := i.Subject.Grow()
	if err != nil {
		return // such an item is refused when it is read
	}
	c := tooth.Canals[at]
	cusp := tooth.Crown.Cusps[c.Cusp].Point
	d.page.paragraph("  ", fmt.Sprintf("%s, seed %d, canal %s, as coordinates x y in mm: x to distal, y to the crown, 0 at the neck. Reference cusp %s, chamber from y %s to %s. Sections square to the canal, from orifice to foramen:",
		strings.ReplaceAll(string(tooth.Kind), "-", " "), tooth.Seed, c.Name, at2(cusp), number(tooth.Chamber.Roof, "mm"), number(tooth.Chamber.Floor, "mm")))
	rows := [][]string{{"root mesial", "wall mesial", "middle", "wall distal", "root distal"}}
	sections := max(2, int(c.Length+0.5))
	for n := range sections + 1 {
		s := c.Axis[n*(len(c.Axis)-1)/sections]
		j := n * (len(c.Axis) - 1) / sections
		left := geom.Direction(s.Heading).Left()
		row := []string{}
		for _, off := range []float64{-c.Surface[0][j], -c.Wall[0][j], 0, c.Wall[1][j], c.Surface[1][j]} {
			row = append(row, at2(s.Point.Add(left.Scale(off))))
		}
		rows = append(rows, row)
	}
	d.page.table("rrrrr", rows)
}

// at2 writes a place as two numbers.
func at2(p geom.Point) string { return number(p.X, "mm") + " " + number(p.Y, "mm") }

// nearestStation returns the station of a canal at a level, mm from the foramen.
func nearestStation(c anatomy.Canal, level float64) int {
	return max(0, min(len(c.Axis)-1, int((c.Length-level)/c.Step+0.5)))
}

// read turns a typed line into a response.
func read(shown quiz.Shown, line string) (quiz.Response, error) {
	i := shown.Item
	words := strings.FieldsFunc(line, func(r rune) bool { return r == ' ' || r == ',' || r == ';' || r == '\t' })
	switch i.Kind {
	case quiz.Single, quiz.Several, quiz.Predict, quiz.Ordering:
		return readLetters(shown, words)
	case quiz.Matching:
		return readPairs(shown, words)
	case quiz.Place:
		return readPlace(i, words)
	default: // numeric, measure
		return readNumber(i, line)
	}
}

// readLetters reads letters of options, apart or in one word.
func readLetters(shown quiz.Shown, words []string) (quiz.Response, error) {
	var r quiz.Response
	for _, l := range strings.Split(strings.ToLower(strings.Join(words, "")), "") {
		n := -1
		for at := range shown.Order {
			if letter(at) == l {
				n = at
			}
		}
		if n < 0 {
			return r, fmt.Errorf("there is no %q", l)
		}
		r.Chosen = append(r.Chosen, shown.Item.Options[shown.Order[n]].ID)
	}
	return r, nil
}

// readPairs reads pairs such as 1b.
func readPairs(shown quiz.Shown, words []string) (quiz.Response, error) {
	var r quiz.Response
	for _, w := range words {
		w = strings.ToLower(w)
		digits := strings.TrimRight(w, "abcdefghijklmnopqrstuvwxyz")
		n, err := strconv.Atoi(digits)
		side := -1
		for at := range shown.Sides {
			if letter(at) == w[len(digits):] {
				side = at
			}
		}
		if err != nil || n < 1 || n > len(shown.Item.Pairs) || side < 0 {
			return r, fmt.Errorf("%q is no pair", w)
		}
		r.Joined = append(r.Joined, quiz.Joined{Pair: shown.Item.Pairs[n-1].ID, Right: shown.Sides[side]})
	}
	return r, nil
}

// readPlace reads a place: x and y, or a level on the canal's axis.
func readPlace(i quiz.Item, words []string) (quiz.Response, error) {
	var figures []float64
	for _, w := range words {
		v, err := strconv.ParseFloat(strings.TrimSuffix(w, "mm"), 64)
		if err != nil {
			return quiz.Response{}, fmt.Errorf("%q is no number", w)
		}
		figures = append(figures, v)
	}
	switch len(figures) {
	case 2:
		return quiz.Response{Point: geom.Point{X: figures[0], Y: figures[1]}}, nil
	case 1:
		tooth, at, err := i.Subject.Grow()
		if err != nil {
			return quiz.Response{}, err
		}
		c := tooth.Canals[at]
		if figures[0] < 0 || figures[0] > c.Length {
			return quiz.Response{}, fmt.Errorf("the canal is %.1f mm long", c.Length)
		}
		return quiz.Response{Point: c.Axis[nearestStation(c, figures[0])].Point}, nil
	}
	return quiz.Response{}, fmt.Errorf("expected one or two numbers")
}

// readNumber reads a number, with or without the item's unit.
func readNumber(i quiz.Item, line string) (quiz.Response, error) {
	text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(line), i.Unit))
	if i.Unit == "deg" {
		text = strings.TrimSuffix(text, "°")
	}
	value, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil {
		return quiz.Response{}, fmt.Errorf("%q is no number in %s", line, i.Unit)
	}
	return quiz.Response{Value: value}, nil
}

// tell prints the result: verdict, feedback, reason, source.
func (d *dialogue) tell(shown quiz.Shown, result quiz.Result) {
	i := shown.Item
	switch {
	case result.Right:
		fmt.Fprintln(d.s.out, "Right.")
	case result.Credit > 0:
		fmt.Fprintf(d.s.out, "Partly right: credit %.2f.\n", result.Credit)
	default:
		fmt.Fprintln(d.s.out, "Wrong.")
	}
	if i.Kind == quiz.Predict && i.Trial != nil {
		d.predicted(i)
	}
	for _, l := range result.Lines {
		if !l.Chosen && l.Right {
			continue // what was rightly left alone is told in the reason
		}
		d.page.paragraph(mark(l)+" ", strings.TrimPrefix(l.Text+": ", ": ")+l.Why)
	}
	if !result.Right {
		d.page.paragraph("Answer: ", result.Key)
	}
	if told := slices.ContainsFunc(result.Lines, func(l quiz.Line) bool { return l.Chosen && l.Right && l.Why == result.Why }); !told {
		d.page.paragraph("Reason: ", result.Why)
	}
	d.page.paragraph("Source: ", result.Source)
}

// mark shows in two characters whether what was done with an option is right.
func mark(l quiz.Line) string {
	switch {
	case l.Right:
		return " +"
	case l.Chosen:
		return " -"
	}
	return " o" // right, and not chosen
}

// predicted does the action that was asked about and says what happened.
func (d *dialogue) predicted(i quiz.Item) {
	_, events, refusal, err := i.Trial.Run()
	switch {
	case err != nil:
		d.page.paragraph("Done: ", err.Error())
	case refusal != "":
		d.page.paragraph("Done: ", "refused: "+refusal)
	}
	for _, e := range events {
		d.page.paragraph("Done: ", attempt.Sentence(e))
	}
}

// picture writes the picture of a picture item, when a folder for it was named.
func (c *quizCommand) picture(i quiz.Item) error {
	if c.Pictures == "" || i.Subject == nil {
		return nil
	}
	tooth, _, err := i.Subject.Grow()
	if err != nil {
		return err
	}
	drawing, err := picture.Plate(tooth, picture.Options{Title: i.ID})
	if err != nil {
		return err
	}
	var files outputs
	err = files.add("--pictures", filepath.Join(c.Pictures, i.ID+".svg"), func(w io.Writer) error { return drawing.SVG(w) })
	if err != nil {
		return err
	}
	return files.write()
}
