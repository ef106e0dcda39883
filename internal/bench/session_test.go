package bench_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tugback/assets"
	"tugback/internal/bench"
	"tugback/internal/detmath"
	"tugback/internal/picture"
	"tugback/internal/treatment"
)

// begun returns a session with the premolar opened and its canal found.
func begun(t *testing.T) (*bench.Session, *keeper) {
	t.Helper()
	s, k := open(t, nil)
	p := newStudent(t, s)
	p.press("case:lower-premolar")
	p.press("begin")
	p.key("3")
	p.value("field:depth", "8 mm")
	p.press("field:deroofed")
	p.press("go")
	p.key("4")
	p.press("go")
	p.key("6")
	return s, k
}

// TestHoldIsOneAction: what is tried while the hand works is what is recorded when it lets go, as one
// action.
func TestHoldIsOneAction(t *testing.T) {
	s, k := begun(t)
	saves := k.saves
	s.Hold(true)
	for range 40 {
		s.Tick(20)
	}
	if !s.Working() {
		t.Fatal("the hand does not work")
	}
	var tip = s.Page().Centre.Plate.Live.File.Axis[0]
	s.Hold(false)
	if got := k.saves - saves; got != 1 {
		t.Errorf("letting go saved %d times, want once", got)
	}
	var kept struct{ Actions []treatment.Action }
	if err := json.Unmarshal(k.current, &kept); err != nil {
		t.Fatal(err)
	}
	last := kept.Actions[len(kept.Actions)-1]
	if last.Do != treatment.Work || last.Strokes < 4 {
		t.Errorf("recorded %+v, want one work action of several strokes", last)
	}
	if now := s.Page().Centre.Plate.Live.File.Axis[0]; now != tip {
		t.Errorf("let go the tip stands at %v, held it stood at %v", now, tip)
	}
}

// TestResume takes the run up after every action from what the keeper has, as after a kill.
func TestResume(t *testing.T) {
	s, k := begun(t)
	for _, keys := range [][]string{{"i"}, {"r"}, {"w"}, {"r"}} {
		for _, key := range keys {
			s.Type(bench.Stroke{Key: key})
		}
		again, _ := open(t, k.current)
		if again.Screen() != bench.TreatmentScreen {
			t.Fatalf("taken up on %s, want treatment", again.Screen())
		}
		a, b := s.Page().Centre.Plate.State, again.Page().Centre.Plate.State
		if got, want := detmath.Digest(b), detmath.Digest(a); got != want {
			t.Errorf("after %v the state taken up is %s, want %s", keys, got, want)
		}
	}
}

// TestResumeRefuses: what is no run of this program leaves the shelf open.
func TestResumeRefuses(t *testing.T) {
	for _, text := range []string{"", "{", "null", `{"format":1}`, `{"format":1,"engine":"` + treatment.Engine + `","scenario":"lower-premolar","digest":"x"}`,
		`{"format":2,"engine":"` + treatment.Engine + `","scenario":"lower-premolar"}`} {
		if s, _ := open(t, []byte(text)); s.Screen() != bench.ShelfScreen {
			t.Errorf("%q opened %s, want the shelf", text, s.Screen())
		}
	}
}

// FuzzTakeUp: no text makes taking up a run panic.
func FuzzTakeUp(f *testing.F) {
	s, k := open(f, nil)
	s.Press("case:lower-premolar")
	s.Press("begin")
	s.Press("go")
	f.Add(k.current)
	f.Add([]byte(`{"format":1,"engine":"` + treatment.Engine + `","actions":[{}]}`))
	f.Fuzz(func(_ *testing.T, data []byte) {
		if s.TakeUp(data) {
			s.Compose(1024, 640)
		}
	})
}

// TestRewind goes back to a checkpoint: the state is the one that was, and the debrief says it was done.
func TestRewind(t *testing.T) {
	s, _ := begun(t)
	s.Type(bench.Stroke{Key: "i"})
	s.Type(bench.Stroke{Key: "k"})
	before := detmath.Digest(s.Page().Centre.Plate.State)
	s.Type(bench.Stroke{Key: "r"})
	if detmath.Digest(s.Page().Centre.Plate.State) == before {
		t.Fatal("working changed nothing")
	}
	s.Type(bench.Stroke{Key: "z"})
	if got := detmath.Digest(s.Page().Centre.Plate.State); got != before {
		t.Errorf("wound back the state is %s, want %s", got, before)
	}
	s.Type(bench.Stroke{Key: "h"})
	s.Type(bench.Stroke{Key: "F10"})
	s.Press("show:")
	found := 0
	for _, b := range s.Page().Right {
		for _, p := range b.Pairs {
			if strings.Contains(p[1], "wound back") || strings.Contains(p[1], "hint") {
				found++
			}
		}
	}
	if found != 2 {
		t.Errorf("the debrief notes %d of rewind and hint, want both", found)
	}
}

// TestRefusalChangesNothing: an act out of order is told with its reason, and the state stays.
func TestRefusalChangesNothing(t *testing.T) {
	s, k := open(t, nil)
	p := newStudent(t, s)
	p.press("case:lower-premolar")
	p.press("begin")
	before, saves := detmath.Digest(s.Page().Centre.Plate.State), k.saves
	p.key("5", "Enter")
	s.Said()
	p.press("go")
	if text := strings.Join(s.Said(), " "); !strings.Contains(text, "not open yet") {
		t.Errorf("said %q, want that the chamber is not open", text)
	}
	if detmath.Digest(s.Page().Centre.Plate.State) != before || k.saves != saves {
		t.Error("a refused act changed or saved something")
	}
}

// TestTryAgain begins anew from a moment of the debrief.
func TestTryAgain(t *testing.T) {
	s, _ := begun(t)
	s.Type(bench.Stroke{Key: "i"})
	s.Type(bench.Stroke{Key: "r"})
	want := detmath.Digest(s.Page().Centre.Plate.State)
	s.Type(bench.Stroke{Key: "w"})
	s.Type(bench.Stroke{Key: "F10"})
	s.Press("show:")
	s.Press("earlier:")
	s.Press("again:")
	if s.Screen() != bench.TreatmentScreen {
		t.Fatalf("the screen is %s, want treatment", s.Screen())
	}
	if got := detmath.Digest(s.Page().Centre.Plate.State); got != want {
		t.Errorf("begun again the state is %s, want %s", got, want)
	}
}

// TestEngravingIsHarmless: making the plate changes neither state nor events.
func TestEngravingIsHarmless(t *testing.T) {
	s, _ := begun(t)
	scene := s.Page().Centre.Plate
	before := detmath.Digest(scene.State)
	if _, err := scene.Engrave(picture.Night()); err != nil {
		t.Fatal(err)
	}
	if after := detmath.Digest(scene.State); after != before {
		t.Errorf("engraving changed the state: %s, then %s", before, after)
	}
}

// TestBenchWords: the texts are one table of plain words, no key twice, every step, act and field of
// the engine named.
func TestBenchWords(t *testing.T) {
	seen := map[string]bool{}
	decoder := json.NewDecoder(strings.NewReader(string(assets.BenchWords)))
	if _, err := decoder.Token(); err != nil {
		t.Fatal(err)
	}
	for decoder.More() {
		var pair [2]string
		for i := range pair {
			token, err := decoder.Token()
			if err != nil {
				t.Fatal(err)
			}
			pair[i], _ = token.(string)
		}
		if seen[pair[0]] {
			t.Errorf("%s stands twice", pair[0])
		}
		if pair[1] == "" {
			t.Errorf("%s has no text", pair[0])
		}
		seen[pair[0]] = true
	}
	for _, kind := range treatment.Kinds() {
		for _, key := range []string{"kind." + string(kind), "go." + string(kind)} {
			if !seen[key] {
				t.Errorf("no text %s", key)
			}
		}
		for _, f := range treatment.Fields(kind) {
			if f.Key == "canal" || f.Form == treatment.Name || seen["field."+f.Key] || seen["field."+string(kind)+"."+f.Key] {
				continue
			}
			switch f.Key { // fields the bench sets by itself
			case "strokes", "until", "lift", "back":
			default:
				t.Errorf("the field %s of %s has no text", f.Key, kind)
			}
		}
	}
}

// TestEveryKindHasAStep: whatever the engine can do has a place on the bench.
func TestEveryKindHasAStep(t *testing.T) {
	s, _ := begun(t)
	offered := map[string]bool{}
	for stage := range 10 {
		s.Type(bench.Stroke{Key: string(rune('0' + stage))})
		kinds := 0
		for _, c := range s.Page().Controls() {
			if name, ok := strings.CutPrefix(c.ID, "kind:"); ok {
				offered[name] = true
				kinds++
			}
		}
		if kinds == 0 {
			for _, c := range s.Page().Controls() {
				if c.ID == "go" {
					offered[c.Label] = true
				}
			}
		}
	}
	alone := map[treatment.Kind]string{treatment.Isolate: "Place the dam", treatment.Open: "Drill", treatment.Find: "Look for the canal"}
	for _, kind := range treatment.Kinds() {
		if !offered[string(kind)] && !offered[alone[kind]] {
			t.Errorf("the bench offers no %s", kind)
		}
	}
}

// TestPlanBeside looks at the instructor's plan on the same tooth and goes back to one's own run.
func TestPlanBeside(t *testing.T) {
	s, _ := begun(t)
	s.Type(bench.Stroke{Key: "F10"})
	s.Press("show:")
	own := s.Page().Left[0].Text
	s.Press("plan:")
	plan := s.Page().Left[0].Text
	if plan == own {
		t.Errorf("plan and own run both show %s", own)
	}
	s.Press("plan:")
	if back := s.Page().Left[0].Text; back != own {
		t.Errorf("back from the plan it shows %s, want %s", back, own)
	}
}

// TestGuidance gives a word after every act, and notes that it was asked for.
func TestGuidance(t *testing.T) {
	s, _ := open(t, nil)
	p := newStudent(t, s)
	p.press("case:upper-lateral-incisor")
	p.press("begin:guided")
	last := ""
	for _, keys := range [][]string{{"1", "Enter"}, {"a", "Enter"}, {"2", "Enter"}} {
		s.SetFocus("")
		p.key(keys...)
		told := s.Page().Tell
		if len(told) == 0 || told[len(told)-1].Text == last {
			t.Errorf("after %v the guide says %v, before %q", keys, told, last)
			continue
		}
		last = told[len(told)-1].Text
	}
}

// TestDrills begins every drill: it stands at its act with the chamber open and a canal found, and the
// one of the ledge has a ledge.
func TestDrills(t *testing.T) {
	for name, kind := range map[string]string{"measure": "measure", "ledge": "work", "cone": "fit", "needle": "irrigate"} {
		s, k := open(t, nil)
		s.Press("drill:drill-" + name)
		if s.Screen() != bench.TreatmentScreen {
			t.Errorf("%s: the screen is %s, want treatment", name, s.Screen())
			continue
		}
		stands := false
		for _, c := range s.Page().Controls() {
			stands = stands || c.ID == "kind:"+kind && c.Chosen
		}
		state := s.Page().Centre.Plate.State
		if !stands || !state.Access.Opened || !state.Canals[0].Found {
			t.Errorf("%s: stands at %s: %v; opened %v, found %v", name, kind, stands, state.Access.Opened, state.Canals[0].Found)
		}
		again, _ := open(t, k.current)
		if !slices.ContainsFunc(again.Page().Left, func(b bench.Block) bool { return strings.Contains(b.Text, "Then finish") }) {
			t.Errorf("%s: taken up it does not show its goal", name)
		}
		if name != "ledge" {
			continue
		}
		if !slices.ContainsFunc(s.Page().Centre.Plate.Notes, func(n bench.PlateNote) bool { return n.Head == "ledge" }) {
			t.Errorf("the plate shows no ledge: %v", s.Page().Centre.Plate.Notes)
		}
	}
}

// TestFocusFollowsStage: after a step is chosen by its number the keyboard is at that step's main act.
func TestFocusFollowsStage(t *testing.T) {
	s, _ := begun(t)
	for _, key := range []string{"3", "5", "n", "b", "1"} {
		s.SetFocus("stage:6")
		s.Type(bench.Stroke{Key: key})
		if s.Focus() != "go" {
			t.Errorf("after %s the keyboard is at %q, want the main act", key, s.Focus())
		}
	}
}

// TestSheetAgainstTruth: the debrief sets length, size and cone beside the tooth; the instructor's plan
// is right in all three.
func TestSheetAgainstTruth(t *testing.T) {
	s, _ := open(t, nil)
	for _, id := range []string{"case:upper-central-incisor", "begin", "go", "finish", "show:", "plan:"} {
		s.Press(id)
	}
	var text string
	for _, b := range s.Page().Right {
		for _, p := range b.Pairs {
			text += p[1] + "\n"
		}
	}
	for _, want := range []string{"constriction at", ": right", "size 45 gauged, the canal takes 45 there", "tip at your length", ", tug-back"} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet lacks %q:\n%s", want, text)
		}
	}
}
