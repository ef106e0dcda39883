package bench

import (
	"strconv"

	"tugback/internal/treatment"
)

// Stroke of the keyboard: a key by its name, such as "Tab", "Enter", "Left", "a" or "F1".
type Stroke struct {
	Key   string
	Shift bool
}

// keyList is the list of keys as help shows it.
func keyList() [][2]string {
	var out [][2]string
	for _, k := range []string{"tab", "enter", "space", "arrows", "updown", "stop", "push", "size", "canal", "stage", "kind", "repeat", "rinse", "wipe", "view", "live", "closer", "film", "ruler", "hint", "guide", "mark", "rewind", "finish", "help", "read", "escape", "page"} {
		out = append(out, [2]string{say("key." + k + ".key"), say("key." + k + ".does")})
	}
	return out
}

// Type does what a key stands for and reports whether it stands for anything. Letting Space go is
// Hold(false), which the host calls.
func (s *Session) Type(k Stroke) bool {
	if s.screen == QuizScreen && s.typeQuiz(k) || s.screen == TreatmentScreen && s.typeFilm(k) {
		return true
	}
	switch k.Key {
	case "Tab":
		s.moveFocus(map[bool]int{false: 1, true: -1}[k.Shift])
	case "Down":
		s.moveFocus(1)
	case "Up":
		s.moveFocus(-1)
	case "Enter":
		s.enter()
	case "Space":
		if s.screen == TreatmentScreen {
			s.Hold(true)
		} else {
			s.enter()
		}
	case "Left":
		s.Adjust(s.focus, -1, k.Shift)
	case "Right":
		s.Adjust(s.focus, 1, k.Shift)
	case "Escape":
		if s.screen != ShelfScreen {
			s.goBack()
			s.changed()
		}
	case "F1":
		s.open(HelpScreen)
	case "F2":
		s.open(SettingsScreen)
	case "F4":
		s.readOut()
	default:
		if s.screen == TreatmentScreen {
			return s.typeTreatment(k)
		}
		if s.screen == DebriefScreen {
			return s.typeDebrief(k)
		}
		return false
	}
	return true
}

// enter presses the control that has the keyboard; with none, the page's main act.
func (s *Session) enter() {
	if s.focus == "" {
		for _, c := range s.Page().Controls() {
			if c.Kind == Primary {
				s.Press(c.ID)
				return
			}
		}
		return
	}
	if c, ok := s.control(s.focus); ok && (c.Kind == Slider || c.Kind == Choice && s.screen == TreatmentScreen) {
		s.Press("go")
		s.focus = c.ID
		s.changed()
		return
	}
	s.Press(s.focus)
}

// moveFocus gives the keyboard to the next control, or the one before, and says which it is.
func (s *Session) moveFocus(step int) {
	list := s.Page().Controls()
	if len(list) == 0 {
		return
	}
	at := -1
	for i, c := range list {
		if c.ID == s.focus {
			at = i
		}
	}
	if at < 0 && step < 0 {
		at = 0
	}
	next := list[((at+step)%len(list)+len(list))%len(list)]
	s.focus = next.ID
	s.changed()
	s.speak(next.Spoken())
}

// SetFocus gives the keyboard to a control, as a pointer does.
func (s *Session) SetFocus(id string) {
	if s.focus != id {
		s.focus = id
		s.changed()
	}
}

// typeTreatment handles the single keys of the treatment screen.
func (s *Session) typeTreatment(k Stroke) bool {
	r := s.run
	switch k.Key {
	case "[", ",":
		s.nudge("stop", -1, k.Shift)
	case "]", ".":
		s.nudge("stop", 1, k.Shift)
	case "-":
		s.nudge("push", -1, k.Shift)
	case "=", "+":
		s.nudge("push", 1, k.Shift)
	case "PageUp":
		s.turnSize(-1)
	case "PageDown":
		s.turnSize(1)
	case "c":
		s.nextCanal()
	case "n":
		s.turnStage(min(r.stage+1, len(stages())-1))
	case "b":
		s.turnStage(max(r.stage-1, 0))
	case "m":
		s.nudge("motion", 1, false)
	case "a":
		s.nextKind()
	case "r":
		s.direct("repeat", "")
	case "w":
		s.quick(treatment.Wipe)
	case "i":
		s.quick(treatment.Irrigate)
	case "v":
		s.direct("section", "")
	case "x":
		s.direct("film", "hang")
	case "l":
		s.direct("live", "")
	case "e":
		s.direct("closer", "")
	case "h":
		s.direct("hint", "")
	case "g":
		s.direct("guide", "")
	case "k":
		s.direct("checkpoint", "")
	case "z":
		s.direct("rewind", "")
	case "F10":
		s.direct("finish", "")
	default:
		return s.typeStage(k)
	}
	s.changed()
	return true
}

// direct does what a control would do, wherever the page has room for it or not.
func (s *Session) direct(head, rest string) {
	s.notice = ""
	s.run.press(s, head, rest)
	s.changed()
}

// typeStage goes to a stage by its number.
func (s *Session) typeStage(k Stroke) bool {
	n, err := strconv.Atoi(k.Key)
	if err != nil || n < 0 || n > 9 {
		return false
	}
	s.turnStage((n + 9) % 10)
	return true
}

// turnStage goes to a stage and gives the keyboard to its main act: where it was before belongs to the
// step that was left.
func (s *Session) turnStage(n int) {
	s.direct("stage", strconv.Itoa(n))
	s.focus = ""
	if _, ok := s.control("go"); ok {
		s.focus = "go"
	}
	s.changed()
}

// nudge adjusts a field of the present form wherever the keyboard is.
func (s *Session) nudge(key string, steps int, fine bool) {
	was := s.focus
	s.Adjust("field:"+key, steps, fine)
	if was != "" {
		s.focus = was
	}
}

// turnSize takes another size of the drawer and says which.
func (s *Session) turnSize(steps int) {
	s.run.turnSize(steps)
	if item, err := lookup(s.run.forms[s.run.kind].Item); err == nil {
		s.speak(instrumentName(item))
	}
}

func (s *Session) nextCanal() {
	r := s.run
	n := len(r.states[0].Canals)
	for step := 1; step <= n; step++ {
		i := (r.canal + step) % n
		if r.now().Canals[i].Found || r.kind == treatment.Find && !r.perceived {
			r.canal, r.feel = i, feeling{}
			s.speak(canalName(r.states[0].Canals[i].Name))
			return
		}
	}
}

func (s *Session) nextKind() {
	kinds := stages()[s.run.stage].kinds
	for i, k := range kinds {
		if k == s.run.kind {
			s.direct("kind", string(kinds[(i+1)%len(kinds)]))
			return
		}
	}
}

// quick wipes the instrument in hand or rinses the canal in hand with what was last used, without
// leaving the shaping.
func (s *Session) quick(k treatment.Kind) {
	r := s.run
	if why := r.objection(treatment.Action{Do: k}); why != "" && r.lesson.now().does != k {
		s.refuse(why)
		return
	}
	if !r.now().Canals[r.canal].Found {
		s.refuse(capital(say("canal.notfound", "canal", r.inHandName())))
		return
	}
	a := r.action(k)
	if k == treatment.Wipe {
		a.Item = r.forms[treatment.Work].Item
	}
	r.do(s, a)
}
