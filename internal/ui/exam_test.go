package ui_test

import (
	"bytes"
	"crypto/ed25519"
	"testing"

	"tugback/internal/bench"
	"tugback/internal/exam"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// drawer is a desk that forgets.
type drawer struct{}

func (drawer) Log(exam.Packet, int) (exam.Log, [][]byte, error) { return nil, nil, nil }

func (drawer) Keep(name string, _ []byte) (string, error) { return "exams/handed-in/" + name, nil }

func (drawer) HandIn(int, []byte) <-chan bench.HandedIn { return nil }

func (drawer) Clock() exam.Clock { return nil }

// examined returns a session with an examination of two cases and five questions on the bench.
func examined(t *testing.T) *bench.Session {
	t.Helper()
	paper := exam.Paper{ID: "winter-1", Title: "Winter examination, part 1", Candidates: []exam.Candidate{{ID: "C-1042", TimeFactor: 1, RestS: 600}},
		Terms: exam.Terms{LimitS: 5400, Attempts: 1, See: []string{}}}
	for _, name := range []string{"lower-premolar", "lower-first-molar"} {
		sc, err := scenario.LoadFS(scenarios.Files, name+".yaml")
		if err != nil {
			t.Fatal(err)
		}
		one, err := exam.CaseOf(sc)
		if err != nil {
			t.Fatal(err)
		}
		paper.Cases = append(paper.Cases, one)
	}
	bank, err := scenario.LoadItemsFS(scenarios.Files, "quiz")
	if err != nil {
		t.Fatal(err)
	}
	for i := range 5 {
		paper.Items = append(paper.Items, exam.Item{Item: bank[17*i], Points: 2})
	}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	if paper, err = exam.Seal(paper, exam.Sealing{Secret: bytes.Repeat([]byte{9}, 32), Key: key}); err != nil {
		t.Fatal(err)
	}
	packet, err := paper.Packet("C-1042", key)
	if err != nil {
		t.Fatal(err)
	}
	data, err := packet.Encode()
	if err != nil {
		t.Fatal(err)
	}
	s, err := bench.New(bench.Opening{Cases: scenarios.Files, Exam: drawer{}})
	if err != nil {
		t.Fatal(err)
	}
	s.Take("C-1042.packet.json", data)
	if s.Screen() != bench.ExamScreen {
		t.Fatalf("the paper was not opened: %v", s.Said())
	}
	return s
}
