package trial

import (
	"math"
	"slices"

	"tugback/internal/treatment"
)

// coronal judges, isolates, opens and looks for the canals. It reports whether there is a canal to treat.
func (h *hand) coronal() bool {
	if !h.was(treatment.Judge) {
		h.do(treatment.Action{Do: treatment.Judge, Choice: "treat", Agent: h.seen.difficulty()})
	}
	if !h.was(treatment.Radiograph) {
		h.note(h.do(treatment.Action{Do: treatment.Radiograph}))
	}
	if !h.was(treatment.Isolate) && !h.skips("dam") {
		tested := 1
		if h.skips("leak-test") {
			tested = 0
		}
		h.do(treatment.Action{Do: treatment.Isolate, Tooth: h.state.Case.Number, Tested: tested})
	}
	if !h.state.Access.Opened && !h.open() {
		return false
	}
	found := false
	for i := range h.state.Canals {
		found = h.search(i) || found
	}
	return found
}

// margin is how far beyond the chamber's walls the cavity is meant to reach, mm: common practice.
const margin = 0.3

// deeper is how much further the bur goes when it has not dropped into the chamber, mm.
const deeper = 0.6

// open drills half way between roof and floor as the film shows them, deeper while nothing gives way.
func (h *hand) open() bool {
	a := treatment.Action{Do: treatment.Open, Choice: "safe-ended", Tested: 1}
	if h.skips("roof") {
		a.Choice, a.Tested = "round", 0
	}
	depth := (h.seen.roof + math.Max(h.seen.roof+deeper, h.seen.floor)) / 2
	extent := h.seen.chamber
	for side := range extent {
		extent[side] += margin
	}
	for range 8 {
		a.Depth = micron(depth)
		h.extents(&a, extent)
		h.do(a)
		if h.state.Access.Opened {
			return true
		}
		depth += deeper
	}
	return false
}

func (h *hand) extents(a *treatment.Action, mm [4]float64) {
	for side, at := range []*int{&a.Mesial, &a.Distal, &a.Buccal, &a.Lingual} {
		*at = micron(mm[side])
	}
}

// wider is how much the cavity grows on every side in a search, mm.
const wider = 0.5

// search probes for a canal and widens the cavity while it is not found.
func (h *hand) search(i int) bool {
	if h.state.Canals[i].Found {
		return true
	}
	probe := treatment.Action{Do: treatment.Find, Canal: h.state.Canals[i].Name, Item: h.file(10)}
	h.do(probe)
	for n := 0; n < h.Searches && !h.state.Canals[i].Found; n++ {
		extent := h.state.Access.Extent
		for side := range extent {
			extent[side] += wider
		}
		a := treatment.Action{Do: treatment.Open, Choice: "safe-ended", Tested: 1, Depth: micron(h.state.Access.Depth)}
		h.extents(&a, extent)
		h.do(a)
		h.do(probe)
	}
	return h.state.Canals[i].Found
}

// report tells a mishap that shows itself, each kind once.
func (h *hand) report(events []treatment.Event) {
	for _, e := range events {
		word := mishapWord(e.Kind)
		if word == "" || slices.Contains(h.told, word) {
			continue
		}
		h.told = append(h.told, word)
		if !h.skips("report") {
			h.do(treatment.Action{Do: treatment.Report, Choice: word})
		}
	}
}

// mishapWord returns the word by which a mishap is reported, "" for what is none.
func mishapWord(kind treatment.EventKind) string {
	switch kind { //nolint:exhaustive // all others are no mishap to be told
	case treatment.Broke:
		return "broken-file"
	case treatment.Perforated, treatment.FloorHole, treatment.CrownHole:
		return "perforation"
	case treatment.Ledge:
		return "blockage"
	case treatment.Overfilled:
		return "overfill"
	case treatment.IrrigantOut:
		return "irrigant-accident"
	case treatment.Splashed, treatment.SyringeSwapped, treatment.Swallowed:
		return "other"
	}
	return ""
}

// finish seals what was filled, decides on the restoration and plans the review.
func (h *hand) finish() {
	if h.was(treatment.Restore) {
		return
	}
	h.do(treatment.Action{Do: treatment.Seal, Depth: 1000, Length: micron(h.Barrier)})
	choice := "direct"
	if len(h.state.Canals) > 1 {
		choice = "cuspal-cover"
	}
	h.do(treatment.Action{Do: treatment.Restore, Choice: choice, Days: 14})
	if !h.skips("review") {
		h.do(treatment.Action{Do: treatment.Review, Days: 365})
	}
}
