package bench_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"tugback/internal/treatment"
)

func sscan(text string, v *float64) (int, error) { return fmt.Sscan(text, v) }

// step is the large step of a control, in the unit it shows.
func step(id string) float64 {
	switch strings.TrimPrefix(id, "field:") {
	case "stop", "depth", "volume", "length", "trim", "barrier", "cut-back", "spreader", "percent":
		return 0.5
	case "mesial", "distal", "buccal", "lingual":
		return 0.2
	case "push":
		return 0.1
	case "time":
		return 15
	case "days":
		return 7
	}
	return 1
}

// treatIncisor follows the shipped careful plan by hand.
func treatIncisor(p student) {
	p.t.Helper()
	p.press("case:upper-lateral-incisor")
	p.press("begin")
	incisorSteps(p)
	p.key("F10")
}

// incisorSteps are the steps of that treatment, from the first look to the review.
func incisorSteps(p student) {
	p.t.Helper()
	p.act("1", "judge")
	p.value("field:difficulty", "moderate")
	p.press("go")
	p.act("1", "radiograph")
	p.press("go")
	p.act("2", "isolate")
	p.value("field:tooth", "22")
	p.press("field:tested")
	p.press("go")
	p.key("3")
	p.value("field:depth", "9.5 mm")
	p.value("field:lingual", "1.6 mm")
	p.value("field:with", "safe-ended")
	p.press("field:deroofed")
	p.press("go")
	p.key("4")
	p.press("go")
	p.shape()
	p.act("7", "dry")
	p.value("field:stop", "21.6 mm")
	p.value("field:points", "6")
	p.press("go")
	p.act("8", "fit")
	p.item("cone-35.04")
	p.value("field:stop", "21.8 mm")
	p.press("go")
	p.act("8", "fill")
	p.value("field:spreader", "20.8 mm")
	p.value("field:accessory", "8")
	p.press("go")
	p.act("9", "seal")
	p.press("go")
	p.act("9", "restore")
	p.press("go")
	p.key("0")
	p.press("go")
}

// item takes an instrument from the tray: drawer by drawer, size by size.
func (p student) item(id string) {
	p.t.Helper()
	want, err := treatment.Lookup(id)
	if err != nil {
		p.t.Fatal(err)
	}
	for range 40 {
		held := p.held()
		switch {
		case held.ID == id:
			return
		case held.Family != want.Family || held.Taper != want.Taper:
			p.focus("family:")
			p.key("Right")
		case held.Size > want.Size:
			p.key("PageUp")
		default:
			p.key("PageDown")
		}
	}
	p.t.Fatalf("%s is not on the tray", id)
}

// held returns the instrument in hand.
func (p student) held() treatment.Instrument {
	for _, c := range p.s.Page().Controls() {
		if c.Item != nil && c.Chosen {
			return *c.Item
		}
	}
	return treatment.Instrument{}
}

// update rewrites the list of keys from the treatment.
var update = flag.Bool("update", false, "rewrite the list of keys")

// checkKeys compares the keys with the list that the tests of window and browser press.
func checkKeys(t *testing.T, keys []string) {
	t.Helper()
	const name = "../../testdata/keys/upper-lateral-incisor.txt"
	text := strings.Join(keys, "\n") + "\n"
	if *update {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if string(kept) != text {
		t.Errorf("%s is not what the treatment presses; go test ./internal/bench -update rewrites it", name)
	}
}

// rinse rinses with the needle at a depth.
func (p student) rinse(stop string) {
	p.act("6", "irrigate")
	p.value("field:stop", stop)
	p.press("go")
}

// work works a file to its stop until it is loose, then wipes it.
func (p student) work(id, stop string) {
	p.act("6", "work")
	p.item(id)
	p.value("field:stop", stop)
	for range 8 {
		p.s.Said()
		p.key("r")
		if strings.Contains(strings.Join(p.s.Said(), " "), "Loose at the stop") {
			break
		}
	}
	p.key("w")
}

func (p student) shape() {
	p.t.Helper()
	p.rinse("13.1 mm")
	p.act("6", "bend")
	p.press("go")
	p.work("hand-steel-10.02", "17.5 mm")
	p.rinse("15.1 mm")
	p.work("hand-steel-08.02", "21.8 mm")
	p.work("hand-steel-10.02", "21.8 mm")
	p.act("5", "measure")
	p.press("go")
	p.act("5", "set-length")
	p.value("field:stop", "21.8 mm")
	p.press("go")
	p.rinse("18.8 mm")
	p.work("hand-steel-15.02", "21.8 mm")
	p.act("5", "measure")
	p.press("go")
	for _, id := range []string{"rotary-heat-20.04", "rotary-heat-25.04", "rotary-heat-30.04", "rotary-heat-35.04"} {
		p.work(id, "21.8 mm")
		p.rinse("19.8 mm")
		p.act("6", "work")
		p.item("hand-steel-10.02")
		p.key("Space")
	}
	p.act("6", "gauge")
	p.item("hand-steel-35.02")
	p.value("field:stop", "21.8 mm")
	p.press("go")
	p.act("6", "irrigate")
	p.value("field:irrigant", "EDTA")
	p.press("go")
	p.value("field:irrigant", "NaOCl")
	p.press("go")
}
