package ui_test

import (
	"testing"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/scenario"
	"tugback/internal/specimen"
	"tugback/scenarios"
)

// drawer is a desk that forgets.
type drawer struct{}

func (drawer) Log(exam.Packet, int) (exam.Log, [][]byte, error) { return nil, nil, nil }

func (drawer) Keep(name string, _ []byte) (string, error) { return "exams/handed-in/" + name, nil }

func (drawer) HandIn(int, []byte) <-chan bench.HandedIn { return nil }

func (drawer) Seat() bench.Seat { return nil }

func (drawer) Clock() exam.Clock { return nil }

// examined returns a session with an examination of two cases and five questions on the bench.
func examined(t *testing.T) *bench.Session {
	t.Helper()
	paper := exam.Paper{ID: "winter-1", Title: "Winter examination, part 1", Candidates: []exam.Candidate{{ID: "C-1042", TimeFactor: 1, RestS: 600}},
		Cases: specimen.Cases(t, "lower-premolar", "lower-first-molar"), Terms: exam.Terms{LimitS: 5400, Attempts: 1}}
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	for i := range 5 {
		paper.Items = append(paper.Items, exam.Item{Item: bank[17*i], Points: 2})
	}
	s, err := bench.New(bench.Opening{Cases: scenarios.Files, Exam: drawer{}})
	if err != nil {
		t.Fatal(err)
	}
	s.Take("C-1042.packet.json", specimen.Packet(t, specimen.Seal(t, paper), "C-1042"))
	if s.Screen() != bench.ExamScreen {
		t.Fatalf("the paper was not opened: %v", s.Said())
	}
	return s
}
