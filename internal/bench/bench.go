// Package bench is the student's session: which screen stands open, what it shows, offers and says.
//
// The main idea: a Session is driven by presses, adjustments and keys, and gives a Page, plain data
// that can be drawn in a window, lettered in a terminal or read out. It holds the run of package
// attempt; nothing it does changes a treatment but by an action. Work is held: while the hand works,
// the same action with ever more strokes is tried on the state before it, so that what is seen is
// what will be recorded; letting go records it as one action.
//
// What is not an action is kept as a note of the session: that the section was looked at, that a hint
// was asked for, that the treatment was wound back. The package also lays a page out on a sheet of a
// size (Compose), so that hit boxes and overlaps can be tested without a display. Lengths on a sheet
// are pixels, those of a tooth mm.
//
// It knows no window, no clock, no file: package ui draws it and cmd hands it a Keeper. Begin reading
// at Session, then treat.go, then compose.go.
package bench

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"

	"tugback/internal/comment"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// Screen names a screen.
type Screen string

// The screens.
const (
	ShelfScreen     Screen = "shelf"
	BriefingScreen  Screen = "briefing"
	TreatmentScreen Screen = "treatment"
	DebriefScreen   Screen = "debrief"
	SettingsScreen  Screen = "settings"
	HelpScreen      Screen = "help"
)

// Keeper keeps practice. Its methods return at once; what they keep may be written later.
type Keeper interface {
	Keep(record []byte)     // a finished run, as attempt.Encode writes it
	SaveCurrent(run []byte) // the run under way, after every action; empty when there is none
}

// Kept is what the shelf shows of an earlier run.
type Kept struct {
	ID               int64 // by which Record finds it, 0 not to be had
	Scenario         string
	Total, Available float64
}

// Opening is what a session begins with.
type Opening struct {
	Cases   fs.FS // scenario files at the top
	Keeper  Keeper
	Kept    []Kept
	Current []byte // the run under way, as SaveCurrent got it; empty none
	// Record fetches a kept record by its ID; the channel gives it, or nil where it cannot be read. It
	// returns at once. Nil where kept records are not to be had.
	Record func(id int64) <-chan []byte
	Quiz   QuizOpening
	Exam   ExamDesk // nil: no examination can be sat here
	Pick   func()   // asks the person for a file, which then comes by Take; nil: files can only be dropped
}

// shelved is one case on the shelf.
type shelved struct {
	scenario scenario.Scenario
	preview  *treatment.Case
	best     float64                   // share of the points, −1 none
	earlier  []float64                 // points of the runs that were kept, oldest first
	runs     []pastRun                 // the same runs
	planned  bool                      // the instructor has done it
	plan     func() []treatment.Action // as the instructor did it, read when it is first asked for; nil where nobody did
}

// Session is one student at the bench.
type Session struct {
	screen   Screen
	back     Screen // where settings and help return to
	cases    []shelved
	chosen   int // case of the briefing and the treatment
	keeper   Keeper
	current  []byte
	record   func(int64) <-chan []byte
	waits    *awaited
	comments []comment.Comment
	desk     ExamDesk
	pick     func()
	exam     *examining // nil where none is on the bench
	settings Settings
	run      *treating
	debrief  *debriefing
	quiz     *quizzing // nil where there is none
	helpPage int
	focus    string
	notice   string // the last refusal or message
	trouble  string // what is amiss outside, as long as it lasts
	said     []string
	revision int
	page     Page
	drawn    int // revision of page
	scroll   [4]float64
	revealed string // focus that was last scrolled into view
	pointed  string // what was to be used next when it was
	folded   bool   // the sheet has no room for the right column
	rows     int    // lines of the tray there is room for
	compact  bool   // the steps take one line
	lines    bool   // the face of text
	quit     bool
}

// New opens a session. The error is that of a case that cannot be read.
func New(o Opening) (*Session, error) {
	s := &Session{screen: ShelfScreen, back: ShelfScreen, keeper: o.Keeper, current: o.Current, record: o.Record, desk: o.Exam, pick: o.Pick, settings: defaultSettings(), revision: 1, rows: 6}
	names, err := fs.Glob(o.Cases, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("list the cases: %w", err)
	}
	for _, name := range names {
		sc, err := scenario.LoadFS(o.Cases, name)
		if err != nil {
			return nil, fmt.Errorf("read the case %s: %w", name, err)
		}
		c, err := sc.Case(sc.Seed())
		if err != nil {
			return nil, fmt.Errorf("grow the case %s: %w", name, err)
		}
		one := shelved{scenario: sc, preview: c, best: best(o.Kept, sc.Name())}
		for _, k := range o.Kept {
			if k.Scenario == sc.Name() {
				one.earlier = append(one.earlier, k.Total)
				one.runs = append(one.runs, pastRun{id: k.ID})
			}
		}
		_, err = fs.Stat(o.Cases, planFile(sc.Name()))
		one.planned = err == nil
		one.plan = sync.OnceValue(func() []treatment.Action { return carefulPlan(o.Cases, sc, c) })
		s.cases = append(s.cases, one)
	}
	rank := func(c shelved) int {
		if c.isDrill() {
			return 3 // after the whole cases
		}
		return slices.Index([]string{"low", "moderate", "high"}, c.scenario.Difficulty())
	}
	slices.SortStableFunc(s.cases, func(a, b shelved) int { return rank(a) - rank(b) })
	s.openQuiz(o)
	s.resume()
	if len(s.said) == 0 {
		s.speak(s.Page().Title)
	}
	return s, nil
}

// planFile is where the instructor's plan of a case stands.
func planFile(name string) string { return "plans/" + name + ".careful.yaml" }

// carefulPlan returns the instructor's plan of a case, that of a drill after what the drill begins with; one
// that is not there or cannot be carried out is none. Checked by TestPlansCanBeRead.
func carefulPlan(files fs.FS, from scenario.Scenario, c *treatment.Case) []treatment.Action {
	name := planFile(from.Name())
	text, err := fs.ReadFile(files, name)
	if err != nil {
		return nil
	}
	plan, err := scenario.ParsePlan(name, text)
	if err != nil || plan.CheckAgainst(c) != nil {
		return nil
	}
	drill, _ := from.Drill()
	return slices.Concat(drill.Steps, plan.Steps)
}

// best returns the best share of the points of a case's kept runs, −1 without one.
func best(kept []Kept, name string) float64 {
	top := -1.0
	for _, k := range kept {
		if k.Scenario == name && k.Available > 0 {
			top = max(top, k.Total/k.Available)
		}
	}
	return top
}

// Screen returns the screen that stands open.
func (s *Session) Screen() Screen { return s.screen }

// Revision grows whenever what the page shows may have changed.
func (s *Session) Revision() int { return s.revision }

// Done reports whether the student left the bench.
func (s *Session) Done() bool { return s.quit }

// Settings returns the settings of comfort.
func (s *Session) Settings() Settings { return s.settings }

// Focus returns the id of the control that has the keyboard, "" none yet.
func (s *Session) Focus() string { return s.focus }

// Said returns what was said since the last call, for people who cannot see the page.
func (s *Session) Said() []string {
	out := s.said
	s.said = nil
	return out
}

func (s *Session) speak(text string) {
	if text != "" {
		s.said = append(s.said, text)
	}
}

func (s *Session) changed() { s.revision++ }

// refuse shows why something cannot be done.
func (s *Session) refuse(text string) {
	s.notice = text
	s.pointed = "" // the message takes room from what may stand under it
	s.speak(text)
	s.changed()
}

// open goes to a screen.
func (s *Session) open(to Screen) {
	if s.screen != SettingsScreen && s.screen != HelpScreen {
		s.back = s.screen
	}
	s.screen, s.notice, s.focus = to, "", ""
	s.toTop()
	s.changed()
	s.speak(s.Page().Title)
}

// toTop scrolls all columns to their beginning.
func (s *Session) toTop() { s.scroll, s.revealed, s.pointed = [4]float64{}, "", "" }

// Page returns what the screen shows now.
func (s *Session) Page() Page {
	if s.drawn == s.revision {
		return s.page
	}
	s.drawn = s.revision
	switch s.screen {
	case ShelfScreen:
		s.page = s.shelfPage()
	case BriefingScreen:
		s.page = s.briefingPage()
	case TreatmentScreen:
		s.page = s.treatmentPage()
		if s.run.lesson != nil {
			s.page.point(s.run.lessonControl(s), s.folded)
		}
	case DebriefScreen:
		s.page = s.debriefPage()
	case SettingsScreen:
		s.page = s.settingsPage()
	case HelpScreen:
		s.page = s.helpPages()
	case QuizScreen:
		s.page = s.quizPage()
	case ExamScreen:
		s.page = s.examPage()
	}
	s.page.warn(s.told(), s.screen)
	s.page.Screen = s.screen
	return s.page
}

// warn puts a message under the head of pages that have no place of their own for it.
func (p *Page) warn(notice string, screen Screen) {
	switch screen {
	case ShelfScreen, BriefingScreen, DebriefScreen:
		if notice != "" && len(p.Left) > 0 {
			p.Left = slices.Insert(slices.Clone(p.Left), 1, Block{Kind: Warning, Text: notice})
		}
	default: // has one
	}
}

// Controls returns the controls of the page in the order in which the keyboard visits them.
func (p Page) Controls() []Control {
	var out []Control
	add := func(blocks []Block) {
		for _, b := range blocks {
			out = append(out, b.Controls...)
		}
	}
	add(p.Left)
	add(p.Act)
	for _, c := range p.Centre.Cards {
		out = append(out, c.Control)
	}
	add(p.Centre.Blocks)
	add(p.Right)
	add(p.Tell)
	add(p.Foot)
	return out
}

// Press presses a control by its id. A control that is not on the page or is disabled does nothing but
// say why.
func (s *Session) Press(id string) {
	c, ok := s.control(id)
	if !ok {
		return
	}
	s.focus = id
	s.changed()
	if c.Disabled {
		s.refuse(c.Why)
		return
	}
	s.notice = ""
	before := len(s.said)
	defer func() {
		if now, there := s.control(id); there && len(s.said) == before {
			s.speak(now.Spoken())
		}
	}()
	head, rest, _ := strings.Cut(id, ":")
	switch {
	case s.pressAnywhere(head, rest):
	case s.screen == TreatmentScreen:
		s.run.press(s, head, rest)
		s.followLesson(id)
	case s.screen == DebriefScreen:
		s.debrief.press(s, head, rest)
	}
	s.changed()
}

// pressAnywhere handles the controls that mean the same on every screen.
func (s *Session) pressAnywhere(head, rest string) bool {
	switch head {
	case "case":
		s.chooseCase(rest)
	case "begin":
		s.begin(rest == "guided")
	case "drill":
		s.beginDrill(rest)
	case "pick":
		s.pick()
	case "exam":
		s.pressExam(rest)
	case "past":
		s.lookAtLast()
	case "lesson":
		s.beginLesson()
	case "resume":
		s.resume()
	case "open":
		s.open(Screen(rest))
	case "back":
		s.goBack()
	case "page":
		fmt.Sscan(rest, &s.helpPage) //nolint:errcheck // the id was made here
	case "set":
		s.settings.toggle(rest)
	case "quiz":
		s.pressQuiz(rest)
	case "quit":
		s.quit = true
	default:
		return false
	}
	return true
}

func (s *Session) goBack() {
	switch s.screen {
	case SettingsScreen, HelpScreen:
		s.screen, s.focus, s.notice = s.back, "", ""
		s.changed()
	case ExamScreen:
		s.backInExam()
	case QuizScreen:
		s.leaveQuiz()
	case TreatmentScreen:
		if s.run.exam != nil {
			s.toDesk()
			return
		}
		s.open(ShelfScreen)
	default:
		s.open(ShelfScreen)
	}
}

// Adjust moves the value of a control by steps; fine takes small ones.
func (s *Session) Adjust(id string, steps int, fine bool) {
	c, ok := s.control(id)
	if !ok || c.Disabled || (c.Kind != Choice && c.Kind != Slider && c.Kind != TimeLine) {
		return
	}
	s.focus = id
	head, rest, _ := strings.Cut(id, ":")
	switch {
	case head == "quiz":
		s.adjustQuiz(rest, steps, fine)
	case head == "set":
		s.settings.adjust(rest, steps)
	case s.screen == TreatmentScreen:
		s.run.adjust(s, head, rest, steps, fine)
	case s.screen == DebriefScreen:
		s.debrief.adjust(s, head, rest, steps, fine)
	}
	s.changed()
	if now, ok := s.control(id); ok {
		s.speak(now.Spoken())
	}
}

// Slide sets a slider or a time line to a share of its range.
func (s *Session) Slide(id string, share float64) {
	c, ok := s.control(id)
	if !ok || c.Disabled {
		return
	}
	s.focus = id
	head, rest, _ := strings.Cut(id, ":")
	share = min(max(share, 0), 1)
	switch {
	case s.screen == TreatmentScreen:
		s.run.slide(s, head, rest, share)
	case s.screen == DebriefScreen:
		s.debrief.slide(head, share)
	}
	s.changed()
}

// Warn shows and says what went wrong outside the session. Checked by TestWarnOnce.
func (s *Session) Warn(text string) { s.refuse(text) }

// Unkept shows and says, as long as it lasts, that what is done here cannot be kept; an empty text: it is kept
// now. Checked by TestUnkept.
func (s *Session) Unkept(why string) {
	if why == "" {
		s.trouble = ""
		s.refuse(say("kept.again"))
		return
	}
	s.trouble = say("kept.not", "why", why)
	s.refuse(s.trouble)
}

// Unsent shows and says, to the end of the sitting, that the class server takes no more lines of it. Checked
// by TestUnkept.
func (s *Session) Unsent(why string) {
	if s.exam == nil {
		return
	}
	s.exam.unsent = say("exam.unsent", "why", why)
	s.refuse(s.exam.unsent)
}

// told is the last message, with none what is amiss outside.
func (s *Session) told() string {
	switch {
	case s.notice != "":
		return s.notice
	case s.trouble == "" && s.exam != nil && s.exam.phase != examReceipt:
		return s.exam.unsent
	}
	return s.trouble
}

// Tell says what a control shows, once the pointer has let a slider go.
func (s *Session) Tell(id string) {
	if c, ok := s.control(id); ok {
		s.speak(c.Spoken())
	}
}

func (s *Session) control(id string) (Control, bool) {
	for _, c := range s.Page().Controls() {
		if c.ID == id {
			return c, true
		}
	}
	return Control{}, false
}
