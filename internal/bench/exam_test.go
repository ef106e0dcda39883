package bench_test

import (
	"bytes"
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/specimen"
	"tugback/scenarios"
)

// examDay is when the papers here are sat, ms since 1970.
const examDay = 1_893_460_000_000

// memory is a desk that keeps logs and exports in memory.
type memory struct {
	logs    map[int]*memoryLog
	kept    map[string][]byte
	now     int64 // ms since examDay
	handed  chan bench.HandedIn
	handIns int
	seat    bench.Seat // nil: no class server
}

type memoryLog struct {
	lines [][]byte
	full  bool
}

func (l *memoryLog) Append(lines [][]byte) error {
	if l.full {
		return errors.New("no space left on the disk")
	}
	l.lines = append(l.lines, lines...)
	return nil
}

func newMemory() *memory {
	return &memory{logs: map[int]*memoryLog{}, kept: map[string][]byte{}}
}

func (m *memory) Log(_ exam.Packet, attempt int) (exam.Log, [][]byte, error) {
	if m.logs[attempt] == nil {
		m.logs[attempt] = &memoryLog{}
	}
	return m.logs[attempt], slices.Clone(m.logs[attempt].lines), nil
}

func (m *memory) Keep(name string, export []byte) (string, error) {
	m.kept[name] = bytes.Clone(export)
	return "exams/" + name, nil
}

func (m *memory) HandIn(int, []byte) <-chan bench.HandedIn {
	m.handIns++
	return m.handed
}

func (m *memory) Seat() bench.Seat { return m.seat }

func (m *memory) Clock() exam.Clock {
	return func() (int64, int64) { return examDay + m.now, m.now }
}

// sealedPaper returns a paper of the upper lateral incisor and a question of each kind, and a candidate's
// packet.
func sealedPaper(t testing.TB, see ...string) (exam.Paper, []byte) {
	t.Helper()
	paper := specimen.Seal(t, exam.Paper{ID: "incisor-2030", Title: "An incisor, and some questions",
		Cases: specimen.Cases(t, "upper-lateral-incisor"), Items: specimen.Questions(t),
		Candidates: []exam.Candidate{{ID: "ALFA", TimeFactor: 1, RestS: 600}},
		Terms:      exam.Terms{FromS: examDay/1000 - 3600, UntilS: examDay/1000 + 86400, LimitS: 3600, Attempts: 2, See: see}})
	return paper, specimen.Packet(t, paper, "ALFA")
}

// examSession returns a session with an examination's paper on the bench.
func examSession(t testing.TB, m *memory, packet []byte) (*bench.Session, student) {
	t.Helper()
	s, err := bench.New(bench.Opening{Cases: scenarios.Files, Exam: m})
	if err != nil {
		t.Fatal(err)
	}
	s.Take("ALFA.packet.json", packet)
	if s.Screen() != bench.ExamScreen {
		t.Fatalf("the paper was not opened: %v", s.Said())
	}
	return s, newStudent(t, s)
}

// everything is all that a page says.
func everything(s *bench.Session) string {
	page := s.Page()
	text := []string{page.Title, page.Centre.Foot, page.Centre.Clock}
	for _, blocks := range [][]bench.Block{page.Left, page.Centre.Blocks, page.Act, page.Right, page.Tell, page.Foot} {
		text = append(text, lines(blocks)...)
	}
	for _, c := range page.Controls() {
		text = append(text, c.Spoken())
	}
	return strings.Join(append(text, s.Said()...), "\n")
}

// secrets are what no candidate is told: levels from the foramen, newtons, the seed, shares.
var secrets = regexp.MustCompile(`mm from the foramen|[0-9] N\b|seed|constriction|Section on|of its fatigue`)

// ownForce is what the candidate sets: the hand knows how hard it means to push.
var ownForce = regexp.MustCompile(`(Push|Load|Sideways): [0-9.]+ N`)

// secret returns what a text tells that it should not.
func secret(text string) string { return secrets.FindString(ownForce.ReplaceAllString(text, "")) }

// answerAll answers the questions of a paper by keys and presses, whatever is right.
func answerAll(p student) {
	p.t.Helper()
	for i := range 8 {
		if !strings.HasPrefix(p.s.Page().Title, "Question") {
			p.t.Fatalf("after %d questions the page is %s", i, p.s.Page().Title)
		}
		for _, c := range p.s.Page().Controls() {
			if strings.HasPrefix(c.ID, "quiz:opt-") && !c.Chosen {
				p.s.Press(c.ID)
				if strings.Contains(everything(p.s), "Choose the one") {
					break
				}
			}
		}
		for n := range 9 {
			p.s.Press("quiz:pair-" + string(rune('0'+n)))
			p.s.Press("quiz:side-0")
		}
		p.s.Press("quiz:key-2")
		p.key("Left", "Right", "Down")
		text := everything(p.s)
		for _, tell := range []string{"Right.", "Not right", "Source:", "How sure"} {
			if strings.Contains(text, tell) {
				p.t.Errorf("question %d tells %q", i+1, tell)
			}
		}
		p.s.Press("quiz:answer")
	}
}

// TestExam sits a paper by keys, from its rules to the receipt. Nothing that only the model knows is told;
// the export is verified by the examiner and is worth what the treatment earns in practice.
func TestExam(t *testing.T) {
	paper, packet := sealedPaper(t)
	m := newMemory()
	s, p := examSession(t, m, packet)
	if len(m.logs[1].lines) != 0 {
		t.Fatal("the clock runs before the candidate begins")
	}
	if text := everything(s); !strings.Contains(text, "1 h") || !strings.Contains(text, "30, 10, 5 and 1 minutes") {
		t.Errorf("the start page does not tell time and warnings: %s", text)
	}
	p.press("exam:begin")
	p.press("exam:enter-0")
	for _, key := range []string{"v", "h", "g", "z", "k"} {
		p.key(key)
		if text := strings.Join(lines(s.Page().Tell), ""); text == "" {
			t.Errorf("%s is not refused in an examination", key)
		}
	}
	if !s.Page().Centre.Plate.Closed {
		t.Error("the tooth is open")
	}
	incisorSteps(p)
	if found := secret(everything(s)); found != "" {
		t.Errorf("the page of the case tells %q", found)
	}
	p.key("Escape")
	p.press("exam:question-0")
	answerAll(p)
	if s.Screen() != bench.ExamScreen {
		t.Fatalf("after the last answer the screen is %s", s.Screen())
	}
	p.press("exam:submit")
	p.press("exam:stay")
	p.press("exam:submit")
	p.press("exam:handin")
	export := m.kept["ALFA.1.sitting.json"]
	if text := everything(s); !strings.Contains(text, exam.Spoken(export)) {
		t.Errorf("the receipt %s is not shown: %s", exam.Spoken(export), text)
	}
	v := specimen.Verify(t, paper, export)
	if v.Cases[0].Marks.Total < 80 || len(v.Answers) != 8 {
		t.Errorf("verified %.1f points for the case and %d answers", v.Cases[0].Marks.Total, len(v.Answers))
	}
	for _, a := range v.Answers {
		if !a.Given {
			t.Errorf("the answer to %s was not kept", a.Item.ID)
		}
	}
	p.press("exam:leave")
	if s.Screen() != bench.ShelfScreen {
		t.Errorf("the paper is not put away: %s", s.Screen())
	}
}

// TestExamSaysNoSecret reads aloud all that a whole treatment says in an examination.
func TestExamSaysNoSecret(t *testing.T) {
	_, packet := sealedPaper(t)
	s, p := examSession(t, newMemory(), packet)
	p.press("exam:begin")
	p.press("exam:enter-0")
	s.Said()
	incisorSteps(p)
	for _, text := range s.Said() {
		if found := secret(text); found != "" {
			t.Errorf("said %q", text)
		}
	}
}

// TestExamKilled: a sitting that is killed at any moment goes on where it stood, with what was done and
// answered, once the same paper is opened again.
func TestExamKilled(t *testing.T) {
	_, packet := sealedPaper(t, exam.SeeSection)
	m := newMemory()
	s, p := examSession(t, m, packet)
	p.press("exam:begin")
	p.press("exam:enter-0")
	for _, kind := range []string{"judge", "radiograph"} {
		p.act("1", kind)
		p.press("go")
	}
	p.key("Escape", "v", "Escape")
	at := singleQuestion(p)
	s.Press("quiz:opt-1")
	s.Press("quiz:answer")
	m.now += 600_000
	s, p = examSession(t, m, packet)
	if text := everything(s); !strings.Contains(text, "Go on where it stood") {
		t.Fatalf("the start page does not offer to go on: %s", text)
	}
	p.press("exam:begin")
	text := everything(s)
	for _, want := range []string{"2 actions", "answered, done", "50:00"} {
		if !strings.Contains(text, want) {
			t.Errorf("after a kill %q is missing: %s", want, text)
		}
	}
	p.press(at)
	chosen := 0
	for _, c := range s.Page().Controls() {
		if strings.HasPrefix(c.ID, "quiz:opt-") && c.Chosen {
			chosen++
		}
	}
	if chosen != 1 {
		t.Errorf("%d options are chosen in the question that was answered", chosen)
	}
}

// singleQuestion opens the question with one best answer and returns the control that does.
func singleQuestion(p student) string {
	p.t.Helper()
	for i := range 8 {
		id := "exam:question-" + string(rune('0'+i))
		p.press(id)
		if strings.Contains(everything(p.s), "Choose the one") {
			return id
		}
		p.key("Escape")
	}
	p.t.Fatal("there is no question with one best answer")
	return ""
}

// TestExamClock: the clock is told by the second, warns at the stated times, stands still in a rest, and
// hands in when the time is over.
func TestExamClock(t *testing.T) {
	paper, packet := sealedPaper(t)
	m := newMemory()
	s, p := examSession(t, m, packet)
	p.press("exam:begin")
	p.press("exam:enter-0")
	pass := func(seconds int64) string {
		m.now += seconds * 1000
		s.Said()
		s.Tick(16)
		return strings.Join(s.Said(), " ")
	}
	if said := pass(1799); said != "" || !strings.HasPrefix(s.Page().Centre.Clock, "30:01") {
		t.Errorf("said %q with %s", said, s.Page().Centre.Clock)
	}
	for _, step := range []struct {
		seconds int64
		say     string
	}{{2, "29 min left."}, {1200, "9 min left."}, {300, "4 min left."}, {240, "59 s left."}} {
		if said := pass(step.seconds); said != step.say {
			t.Errorf("said %q, want %q", said, step.say)
		}
	}
	p.key("Escape")
	p.press("exam:rest")
	pass(500)
	if text := everything(s); !strings.Contains(text, "You are resting") {
		t.Errorf("no rest: %s", text)
	}
	p.press("exam:rest")
	pass(30)
	if len(m.kept) != 0 {
		t.Fatal("handed in before the time was over: the clock ran in the rest")
	}
	if said := pass(40); !strings.Contains(said, "The time is over.") {
		t.Errorf("said %q at the end", said)
	}
	specimen.Verify(t, paper, m.kept["ALFA.1.sitting.json"])
	s, _ = examSession(t, m, packet)
	if text := everything(s); !strings.Contains(text, "2 of 2") {
		t.Errorf("the second attempt is not offered: %s", text)
	}
}

// TestExamDiskFull: what could not be kept was not done and is said so.
func TestExamDiskFull(t *testing.T) {
	_, packet := sealedPaper(t)
	m := newMemory()
	s, p := examSession(t, m, packet)
	p.press("exam:begin")
	p.press("exam:enter-0")
	m.logs[1].full = true
	p.act("1", "judge")
	p.press("go")
	if text := everything(s); !strings.Contains(text, "was not done") || strings.Contains(text, "judged and taken on") {
		t.Errorf("a full disk is not told: %s", text)
	}
	m.logs[1].full = false
	p.press("go")
	if text := everything(s); !strings.Contains(text, "judged and taken on") {
		t.Errorf("with room again it is not done: %s", text)
	}
}

// TestExamServer: what the class server says of a hand-in is shown; a refusal can be tried again.
func TestExamServer(t *testing.T) {
	_, packet := sealedPaper(t)
	m := newMemory()
	m.handed = make(chan bench.HandedIn, 1)
	s, p := examSession(t, m, packet)
	p.press("exam:begin")
	p.press("exam:submit")
	p.press("exam:handin")
	m.handed <- bench.HandedIn{Err: errors.New("no answer")}
	s.Tick(16)
	if text := everything(s); !strings.Contains(text, "not at the class server yet: no answer") {
		t.Errorf("the failure is not told: %s", text)
	}
	p.press("exam:again")
	m.handed <- bench.HandedIn{Digest: exam.Digest(m.kept["ALFA.1.sitting.json"])}
	s.Tick(16)
	if text := everything(s); !strings.Contains(text, "its receipt is the same") || m.handIns != 2 {
		t.Errorf("the success is not told after %d tries: %s", m.handIns, text)
	}
}

// TestExamRefused: a changed paper is refused in words, and a desk is needed.
func TestExamRefused(t *testing.T) {
	_, packet := sealedPaper(t)
	s, err := bench.New(bench.Opening{Cases: scenarios.Files, Exam: newMemory()})
	if err != nil {
		t.Fatal(err)
	}
	s.Take("x.json", bytes.Replace(packet, []byte(`"limit_s":3600`), []byte(`"limit_s":7200`), 1))
	if said := strings.Join(s.Said(), " "); s.Screen() != bench.ShelfScreen || !strings.Contains(said, "paper-signature") {
		t.Errorf("a changed paper: %s, said %q", s.Screen(), said)
	}
	plain, _ := open(t, nil)
	plain.Said()
	plain.Take("x.json", packet)
	if said := strings.Join(plain.Said(), " "); !strings.Contains(said, "No examination") {
		t.Errorf("without a desk: %q", said)
	}
}
