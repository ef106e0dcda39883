package bench

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/geom"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// FilmScene is a radiograph as it was exposed: the treatment at that moment, the beam and the grain. A
// film shows what stood in the tooth then and does not change afterwards.
type FilmScene struct {
	Key   string // the same key: the same film
	State treatment.State
	Film  picture.Film
	Upper bool // hung with the roots up
	far   *farFilm
	Live  bool // of this moment: the one before stays until it is there
}

// Expose returns the film. It takes some tenths of a second and reads only what no one changes, so it may
// be called from another goroutine.
func (f *FilmScene) Expose() (picture.Radiogram, error) {
	if f.far != nil {
		return f.far.expose()
	}
	return picture.Radiograph(f.State, f.Film)
}

// Frame returns the part of the receptor the film shows, mm.
func (f *FilmScene) Frame() (left, right, low, high float64) {
	if f.far != nil {
		return f.far.frame[0], f.far.frame[1], f.far.frame[2], f.far.frame[3]
	}
	return f.Film.Frame(f.State.Case.Tooth)
}

// exposure is a film of a run.
type exposure struct {
	action int // that exposed it
	scene  *FilmScene
	tilt   int // 0.1°, flatter positive
	shift  int // 0.1°, towards distal positive
}

// filming is the light box: whether it is on, which film hangs on it, and the ruler on that film.
type filming struct {
	on    bool
	at    int
	was   treatment.Kind // what stood open before
	spot  geom.Point     // mm on the receptor
	marks []geom.Point   // ends of the ruler, none, one or two
	zoom  float64
}

// exposes reports whether an action leaves a film.
func exposes(a treatment.Action) bool {
	return a.Do == treatment.Radiograph || a.Do == treatment.Recall || a.Do == treatment.Measure && a.Choice == "film"
}

// films returns the films of a run in the order in which they were exposed.
func (r *treating) films() []exposure {
	if r.far() != nil {
		return r.exam.sitting.(*farSitting).films(r.examCase)[1:]
	}
	var out []exposure
	for i, a := range r.run.Actions() {
		if exposes(a) && i+1 < len(r.states) {
			out = append(out, filmOf(a, i, r.states[i+1]))
		}
	}
	return out
}

// filmOf is the film an action exposed, with a grain of its own.
func filmOf(a treatment.Action, index int, state treatment.State) exposure {
	film := picture.DefaultFilm()
	film.Beam = treatment.BeamOf(a)
	film.Seed = state.Case.Seed + uint64(index) //nolint:gosec // an index is not negative
	key := "film:" + state.Case.Digest + ":" + strconv.FormatUint(state.Case.Seed, 10) + ":" + strconv.Itoa(index) + ":" + strconv.Itoa(state.Elapsed) + ":" + strconv.Itoa(a.Tilt) + ":" + strconv.Itoa(a.Angle)
	return exposure{action: index, tilt: a.Tilt, shift: a.Angle,
		scene: &FilmScene{Key: key, State: state, Film: film, Upper: state.Case.Tooth.Upper}}
}

// firstFilm is the film that came with the patient.
func firstFilm(c *treatment.Case) *FilmScene {
	return filmOf(treatment.Action{Do: treatment.Radiograph}, 0, treatment.Start(c)).scene
}

// hang turns the light box on with a film on it; −1 is the last one.
func (r *treating) hang(s *Session, at int) {
	films := r.films()
	if at < 0 {
		at = len(films) - 1
	}
	f := &r.film
	if !f.on {
		f.was, f.on = r.kind, true
	}
	f.at, f.marks, f.zoom = max(at, 0), nil, 1
	r.kind = treatment.Radiograph
	s.focus = ""
	s.toTop()
	if len(films) == 0 {
		s.speak(say("film.none"))
		return
	}
	f.at = min(f.at, len(films)-1)
	left, right, low, high := films[f.at].scene.Frame()
	f.spot = geom.Point{X: hundredths((left + right) / 2), Y: hundredths((low + high) / 2)}
	s.focus = "film:across"
	s.speak(filmTitle(f.at, len(films)) + ", " + angles(films[f.at]))
}

// unhang goes back from the light box to the plate.
func (r *treating) unhang() {
	if r.film.on {
		r.film.on, r.kind = false, r.film.was
	}
}

// pressFilm handles the controls of the light box.
func (r *treating) pressFilm(s *Session, rest string) {
	f := &r.film
	switch rest {
	case "hang":
		r.hang(s, -1)
	case "close":
		r.unhang()
		s.focus = ""
	case "earlier":
		r.hang(s, max(0, f.at-1))
	case "later":
		r.hang(s, min(f.at+1, max(0, len(r.films())-1)))
	case "zoom":
		if f.zoom *= 2; f.zoom > mostZoom {
			f.zoom = 1
		}
	case "mark":
		f.mark()
		s.speak(f.measured())
	case "clear":
		f.marks = nil
		s.speak(f.measured())
	case "write":
		r.writeMeasure(s)
	}
}

// mark puts an end of the ruler where the cross is; a third begins a new measure.
func (f *filming) mark() {
	if len(f.marks) >= 2 {
		f.marks = nil
	}
	f.marks = append(slices.Clone(f.marks), f.spot)
}

// length is what the ruler shows, mm on the film as it is: nothing is corrected for magnification or
// angle. ok is false while it has not two ends.
func (f *filming) length() (mm float64, ok bool) {
	if len(f.marks) < 2 {
		return 0, false
	}
	return hundredths(f.marks[1].Sub(f.marks[0]).Norm()), true
}

// measured says what the ruler shows.
func (f *filming) measured() string {
	if mm, ok := f.length(); ok {
		return say("ruler.length", "mm", figure(mm, 2))
	}
	return say("ruler.marks" + strconv.Itoa(len(f.marks)))
}

func hundredths(v float64) float64 { return math.RoundToEven(100*v) / 100 }

// put puts the cross to a place of the film.
func (f *filming) put(film *FilmScene, p geom.Point) {
	left, right, low, high := film.Frame()
	f.spot = geom.Point{X: hundredths(min(max(p.X, left), right)), Y: hundredths(min(max(p.Y, low), high))}
}

// hung is the film on the light box, nil where there is none.
func (r *treating) hung() *FilmScene {
	films := r.films()
	if !r.film.on || r.film.at >= len(films) {
		return nil
	}
	return films[r.film.at].scene
}

// writeMeasure writes what the ruler shows into the student's sheet, for the canal in hand.
func (r *treating) writeMeasure(s *Session) {
	mm, ok := r.film.length()
	switch {
	case !ok:
		s.refuse(say("ruler.missing"))
		return
	case len(r.nameable()) == 0:
		s.refuse(say("exam.notfound"))
		return
	}
	name := r.states[0].Canals[r.canal].Name
	n := attempt.Note{After: len(r.states) - 1, Kind: attempt.NoteRuler,
		Detail: strings.ToLower(name) + "-" + strconv.Itoa(int(math.RoundToEven(100*mm)))}
	if err := n.Check(); err != nil {
		s.refuse(err.Error())
		return
	}
	r.notes = append(r.notes, n)
	s.notice = say("ruler.written", "mm", figure(mm, 2), "canal", canalName(name))
	s.speak(s.notice)
	r.measuredWell(s, mm)
	s.save()
}

// rulerOf reads a measure out of its note.
func rulerOf(n attempt.Note) (canal string, mm float64, ok bool) {
	at := strings.LastIndex(n.Detail, "-")
	if n.Kind != attempt.NoteRuler || at < 0 {
		return "", 0, false
	}
	v, err := strconv.Atoi(n.Detail[at+1:])
	return n.Detail[:at], float64(v) / 100, err == nil
}

// ruled returns what was measured last on a film for a canal and written down.
func (r *treating) ruled(canal string) (mm float64, ok bool) {
	for _, n := range slices.Backward(r.notes) {
		if name, v, is := rulerOf(n); is && strings.EqualFold(name, canal) {
			return v, true
		}
	}
	return 0, false
}

// typeFilm handles the keys of the light box and reports whether it did.
func (s *Session) typeFilm(k Stroke) bool {
	r := s.run
	f := &r.film
	if !f.on {
		return false
	}
	was := s.focus
	onCross := was == "" || was == "film:across" || was == "film:up"
	switch {
	case k.Key == "x" || k.Key == "Escape":
		s.direct("film", "close")
		return true
	case k.Key == "[" || k.Key == ",":
		s.direct("film", "earlier")
		return true
	case k.Key == "]" || k.Key == ".":
		s.direct("film", "later")
		return true
	case k.Key == "m" || onCross && (k.Key == "Enter" || k.Key == "Space"):
		s.direct("film", "mark")
	case k.Key == "Backspace":
		s.direct("film", "clear")
	case k.Key == "s":
		s.direct("film", "write")
	case k.Key == "=":
		s.direct("film", "zoom")
	case onCross && s.nudgeCross(k):
	default:
		return false
	}
	s.focus = was
	s.changed()
	return true
}

// nudgeCross moves the cross on the film by an arrow key.
func (s *Session) nudgeCross(k Stroke) bool {
	film := s.run.hung()
	if film == nil {
		return false
	}
	up := 1.0
	if film.Upper {
		up = -1 // an upper film hangs on its crown
	}
	step := map[bool]float64{false: spotStep, true: spotFine}[k.Shift]
	by, ok := map[string]geom.Point{"Left": {X: -step}, "Right": {X: step}, "Up": {Y: up * step}, "Down": {Y: -up * step}}[k.Key]
	if !ok {
		return false
	}
	s.notice = ""
	s.run.film.put(film, s.run.film.spot.Add(by))
	s.speak(s.run.film.where())
	return true
}

func (f *filming) where() string {
	return say("quiz.where", "x", figure(f.spot.X, 1), "y", figure(f.spot.Y, 1))
}

// adjustFilm moves the cross by a control.
func (r *treating) adjustFilm(rest string, steps int, fine bool) {
	film := r.hung()
	if film == nil {
		return
	}
	step := map[bool]float64{false: spotStep, true: spotFine}[fine]
	by := geom.Point{X: float64(steps) * step}
	if rest == "up" {
		by = geom.Point{Y: float64(steps) * step}
	}
	r.film.put(film, r.film.spot.Add(by))
}

// spotFilm puts an end of the ruler to a place of the film, as a pointer does.
func (s *Session) spotFilm(at geom.Point) {
	film := s.run.hung()
	if film == nil {
		return
	}
	s.run.film.put(film, at)
	s.run.film.mark()
	s.notice = ""
	s.changed()
	s.speak(s.run.film.measured())
}

// Stretch draws the ruler from the end that was set to a place, mm on the film, while the pointer is held
// down.
func (s *Session) Stretch(at geom.Point) {
	if s.screen != TreatmentScreen || s.run == nil {
		return
	}
	film, f := s.run.hung(), &s.run.film
	if film == nil || len(f.marks) == 0 {
		return
	}
	f.put(film, at)
	f.marks = []geom.Point{f.marks[0], f.spot}
	s.changed()
}
