package bench

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/geom"
	"tugback/internal/quiz"
)

// answering is an answer being given.
type answering struct {
	chosen []string    // ids of options, of an ordering in the order given
	joined map[int]int // right side by left side, indices as shown
	pair   int         // left side in hand
	text   string      // number as typed
	spot   geom.Point  // place in hand, mm of the tooth
	placed bool        // the spot was moved
	marks  []geom.Point
	low    geom.Point // bounds of the tooth
	high   geom.Point
	zoom   float64
}

// Steps of the spot, mm, and the most that a picture is enlarged.
const (
	spotStep  = 0.5
	spotFine  = 0.1
	mostZoom  = 4
	mostMarks = 12
	mostDigit = 10
	pageStep  = 200.0 // px at 100 % text, by which a page is turned
)

// newAnswering begins an answer.
func newAnswering(one quiz.Shown) answering {
	a := answering{joined: map[int]int{}, zoom: 1}
	if one.Item.Subject != nil {
		if tooth, _, err := one.Item.Subject.Grow(); err == nil {
			a.low, a.high = bounds(tooth)
			a.spot = geom.Point{X: (a.low.X + a.high.X) / 2, Y: (a.low.Y + a.high.Y) / 2}
		}
	}
	return a
}

// move moves the spot by steps, up in the tooth's own sense.
func (a *answering) move(across, up float64, fine bool) {
	step := spotStep
	if fine {
		step = spotFine
	}
	a.put(geom.Point{X: a.spot.X + across*step, Y: a.spot.Y + up*step})
}

// put puts the spot to a place within the tooth's bounds, in hundredths of a millimetre.
func (a *answering) put(p geom.Point) {
	hundredth := func(v float64) float64 { return math.RoundToEven(100*v) / 100 }
	a.spot = geom.Point{X: hundredth(min(max(p.X, a.low.X), a.high.X)), Y: hundredth(min(max(p.Y, a.low.Y), a.high.Y))}
	a.placed = true
}

// Spot marks the place of a picture item, mm of the tooth, or an end of the ruler, mm on the film, as a
// pointer does.
func (s *Session) Spot(at geom.Point) {
	if s.screen == TreatmentScreen && s.run != nil {
		s.spotFilm(at)
		return
	}
	q := s.quiz
	if s.screen != QuizScreen || q.phase != quizAsking || q.item().Item.Subject == nil {
		return
	}
	q.answer.put(at)
	if q.item().Item.Kind == quiz.Measure {
		q.answer.mark()
	}
	s.changed()
	s.speak(q.answer.where())
}

// mark sets a mark of the measure where the spot is; after the last it begins anew.
func (a *answering) mark() {
	if len(a.marks) >= mostMarks {
		a.marks = nil
	}
	a.marks = append(a.marks, a.spot)
}

// where says where the spot is, in words.
func (a *answering) where() string {
	return say("quiz.where", "x", figure(a.spot.X, 1), "y", figure(a.spot.Y, 1))
}

// measured says what the marks measure: the length of the line through them, and with three the angle
// between its last two parts.
func (a *answering) measured() string {
	n := len(a.marks)
	if n < 2 {
		return say("quiz.marks", "count", strconv.Itoa(n))
	}
	last := a.marks[n-1].Sub(a.marks[n-2])
	length := 0.0
	for i := 1; i < n; i++ {
		length += a.marks[i].Sub(a.marks[i-1]).Norm()
	}
	if n == 2 {
		return say("quiz.distance", "mm", figure(length, 2))
	}
	before := a.marks[n-2].Sub(a.marks[n-3])
	turn := math.Abs(math.Atan2(before.Cross(last), before.Dot(last))) * 180 / math.Pi
	return say("quiz.angle", "count", strconv.Itoa(n), "mm", figure(length, 2), "deg", figure(turn, 0))
}

// turnPair gives a left side another right side.
func (a *answering) turnPair(one quiz.Shown, tail string, steps int) {
	i, err := strconv.Atoi(tail)
	if err != nil || i < 0 || i >= len(one.Item.Pairs) {
		return
	}
	n := len(one.Sides)
	side, ok := a.joined[i]
	switch {
	case ok:
		side = ((side+steps)%n + n) % n
	case steps < 0:
		side = n - 1
	}
	a.joined[i], a.pair = side, i
}

// join joins a right side to the left side in hand and takes the next one that has none.
func (a *answering) join(one quiz.Shown, side int) {
	if side < 0 || side >= len(one.Sides) {
		return
	}
	a.joined[a.pair] = side
	for step := 1; step <= len(one.Item.Pairs); step++ {
		next := (a.pair + step) % len(one.Item.Pairs)
		if _, done := a.joined[next]; !done {
			a.pair = next
			return
		}
	}
}

// choose takes an option or puts it back.
func (a *answering) choose(one quiz.Shown, id string) {
	at := slices.Index(a.chosen, id)
	switch one.Item.Kind {
	case quiz.Several, quiz.Ordering:
		if at >= 0 {
			a.chosen = slices.Delete(slices.Clone(a.chosen), at, at+1)
		} else {
			a.chosen = append(slices.Clone(a.chosen), id)
		}
	default:
		a.chosen = []string{id}
	}
}

// typed takes one key of a number.
func (a *answering) typed(key string) {
	switch {
	case key == "Backspace":
		if n := len(a.text); n > 0 {
			a.text = a.text[:n-1]
		}
	case len(a.text) >= mostDigit:
	case key == "-":
		if rest, was := strings.CutPrefix(a.text, "-"); was {
			a.text = rest
		} else {
			a.text = "-" + a.text
		}
	case key == ".":
		if !strings.Contains(a.text, ".") {
			a.text += "."
		}
	default:
		a.text += key
	}
}

// response returns the answer as it is marked; the error is a sentence that says what is missing.
func (a *answering) response(one quiz.Shown) (quiz.Response, error) {
	switch one.Item.Kind {
	case quiz.Ordering:
		if len(a.chosen) != len(one.Item.Options) {
			return quiz.Response{}, errors.New(say("quiz.missing.ordering"))
		}
		return quiz.Response{Chosen: a.chosen}, nil
	case quiz.Matching:
		var r quiz.Response
		for i, p := range one.Item.Pairs {
			side, ok := a.joined[i]
			if !ok {
				return quiz.Response{}, errors.New(say("quiz.missing.matching"))
			}
			r.Joined = append(r.Joined, quiz.Joined{Pair: p.ID, Right: one.Sides[side]})
		}
		return r, nil
	case quiz.Numeric, quiz.Measure:
		v, err := strconv.ParseFloat(a.text, 64)
		if err != nil {
			return quiz.Response{}, errors.New(say("quiz.missing.number"))
		}
		return quiz.Response{Value: v}, nil
	case quiz.Place:
		if !a.placed {
			return quiz.Response{}, errors.New(say("quiz.missing.place"))
		}
		return quiz.Response{Point: a.spot}, nil
	default:
		if len(a.chosen) == 0 {
			return quiz.Response{}, errors.New(say("quiz.missing.choice"))
		}
		return quiz.Response{Chosen: a.chosen}, nil
	}
}

// pressAnswer handles what is pressed to answer.
func (q *quizzing) pressAnswer(s *Session, head, tail string) {
	if head == "zoom" {
		if q.answer.zoom *= 2; q.answer.zoom > mostZoom {
			q.answer.zoom = 1
		}
		return
	}
	if q.phase != quizAsking {
		return
	}
	one := q.item()
	n, err := strconv.Atoi(tail)
	switch head {
	case "opt":
		if err == nil && n >= 0 && n < len(one.Order) {
			q.answer.choose(one, one.Item.Options[one.Order[n]].ID)
		}
	case "pair":
		q.answer.pair = min(max(n, 0), len(one.Item.Pairs)-1)
	case "side":
		if err == nil {
			q.answer.join(one, n)
		}
	case "key":
		q.answer.typed(tail)
	case "minus":
		q.answer.typed("-")
	case "mark":
		q.answer.mark()
		s.speak(q.answer.measured())
	case "clear":
		q.answer.marks = nil
	}
}

// typeQuiz handles the keys of the quiz and reports whether it did.
func (s *Session) typeQuiz(k Stroke) bool {
	q := s.quiz
	switch {
	case k.Key == "=" && s.Page().Centre.Plate != nil:
		was := s.focus
		s.Press("quiz:zoom")
		s.focus = was
	case k.Key == "PageUp" || k.Key == "PageDown":
		dy := pageStep
		if k.Key == "PageUp" {
			dy = -pageStep
		}
		for i := range s.scroll {
			s.Scroll(i, dy*float64(s.settings.TextPercent)/100)
		}
	case q.phase == quizSure && len(k.Key) == 1 && k.Key >= "1" && k.Key <= "4":
		s.Press("quiz:sure-" + strconv.Itoa(quiz.Confidences()[k.Key[0]-'1']))
	case q.phase == quizAsking && (s.focus == "" || s.focus == "quiz:up" || s.focus == "quiz:across") && s.typeSpot(k):
	case q.phase == quizAsking && len(k.Key) == 1 || k.Key == "Backspace":
		return s.typeAnswer(k.Key)
	default:
		return false
	}
	s.changed()
	return true
}

// typeSpot moves the spot of a picture item.
func (s *Session) typeSpot(k Stroke) bool {
	q := s.quiz
	if q.item().Item.Subject == nil {
		return false
	}
	up := 1.0
	if q.scene() != nil && q.scene().State.Case.Tooth.Upper {
		up = -1 // the picture of an upper tooth stands on its crown
	}
	switch k.Key {
	case "Left":
		q.answer.move(-1, 0, k.Shift)
	case "Right":
		q.answer.move(1, 0, k.Shift)
	case "Up":
		q.answer.move(0, up, k.Shift)
	case "Down":
		q.answer.move(0, -up, k.Shift)
	default:
		return false
	}
	s.speak(q.answer.where())
	return true
}

// typeAnswer handles a letter, a figure or a sign.
func (s *Session) typeAnswer(key string) bool {
	q := s.quiz
	if q.phase != quizAsking {
		return false
	}
	one := q.item()
	was := s.focus
	letter := int(key[0]) - 'a'
	switch one.Item.Kind {
	case quiz.Numeric, quiz.Measure:
		switch {
		case key == ",":
			key = "."
		case key == "m" && one.Item.Kind == quiz.Measure:
			s.Press("quiz:mark")
			s.focus = was
			return true
		case key == "x" && one.Item.Kind == quiz.Measure:
			s.Press("quiz:clear")
			s.focus = was
			return true
		}
		if key != "Backspace" && key != "." && key != "-" && (key < "0" || key > "9") {
			return false
		}
		q.answer.typed(key)
		s.speak(q.answer.text)
		s.changed()
	case quiz.Matching:
		if key >= "1" && key <= "9" {
			s.Press("quiz:pair-" + strconv.Itoa(int(key[0]-'1')))
		} else {
			s.Press("quiz:side-" + strconv.Itoa(letter))
		}
	default:
		s.Press("quiz:opt-" + strconv.Itoa(letter))
	}
	s.focus = was
	return true
}
