package quiz_test

import (
	"slices"
	"testing"
	"time"

	"tugback/internal/marking"
	"tugback/internal/quiz"
	"tugback/internal/treatment"
)

// TestBringLinked holds what brings an item back that a case links: a rule that lost half its points, an event,
// a lost rule of the item's step, a critical error; and that what was decided rightly, excused or not linked
// brings nothing back.
func TestBringLinked(t *testing.T) {
	bank := []quiz.Item{named("by-rule", "shape"), named("by-event", "fit"), named("by-step", "rinse"), named("accident", "mishap"),
		named("right", "open"), named("excused", "fill"), named("not-linked", "rinse")}
	links := []quiz.Link{{Item: "by-rule", After: "ledge-rule"}, {Item: "by-event", After: "cone-off"}, {Item: "by-step"}, {Item: "accident"},
		{Item: "right"}, {Item: "excused"}, {Item: "not-in-bank"}}
	marks := marking.Marks{Rules: []marking.RuleMark{
		{ID: "ledge-rule", Stage: "shape", Points: 0.4, Available: 1},
		{ID: "smear", Stage: "rinse", Points: 0, Available: 2},
		{ID: "roof", Stage: "open", Points: 1, Available: 2}, // just half
		{ID: "density", Stage: "fill", Excused: true},
		{ID: "perforation", Stage: "shape", Critical: true, Happened: true},
	}}
	events := []treatment.Event{{Kind: treatment.ConeOff}}
	now := morning.Add(time.Hour)
	p := record(t, quiz.NewPractice(), bank[0], 1, 95, morning)
	p, back := p.BringLinked(bank, links, marks, events, now)
	want := []string{"by-rule", "by-event", "by-step", "accident"}
	if !slices.Equal(back, want) {
		t.Errorf("brought back %v, want %v", back, want)
	}
	if due := p.Due(now); len(due) != len(want) {
		t.Errorf("due are %v", due)
	}
	if _, none := quiz.NewPractice().BringLinked(bank, links, marking.Marks{}, nil, now); none != nil {
		t.Errorf("a treatment without loss brought back %v", none)
	}
}
