package cli

import (
	"fmt"
	"math"

	"tugback/internal/attempt"
	"tugback/internal/treatment"
)

// shapeReport is a shaped bare canal as JSON.
type shapeReport struct {
	Engine        string            `json:"engine"`
	Canal         blockReport       `json:"canal"`
	Levels        []treatment.Level `json:"levels"`
	Straightening float64           `json:"straightening_deg"` // loss of Schneider's angle, straighter positive
	LengthChange  float64           `json:"length_change_mm"`  // shorter negative
	Events        []treatment.Event `json:"events"`
	Files         []shapedFile      `json:"files"`
	Outcome       treatment.Outcome `json:"outcome"`
}

// blockReport is the canal as understood.
type blockReport struct {
	Arc          float64 `json:"arc_deg"`
	Schneider    float64 `json:"schneider_deg"`
	Radius       float64 `json:"radius_mm"`
	Length       float64 `json:"length_mm"`
	Coronal      float64 `json:"coronal_straight_mm"`
	Tail         float64 `json:"apical_straight_mm"`
	SecondArc    float64 `json:"second_arc_deg"`
	SecondRadius float64 `json:"second_radius_mm"`
	Between      float64 `json:"between_mm"`
	Width        float64 `json:"width_mm"`
	Taper        float64 `json:"taper"`
}

const radian = 180 / math.Pi

// round6 rounds to a millionth.
func round6(v float64) float64 { return math.Round(1e6*v)/1e6 + 0 }

// newShapeReport reports a shaped canal; lists without entries are written as such and not as null.
func newShapeReport(d shaped) shapeReport {
	return shapeReport{
		Engine: treatment.Engine, Canal: d.canal(), Levels: d.state.Levels(0),
		Straightening: round6(radian * d.state.Straightening(0)), LengthChange: round6(d.state.LengthChange(0)),
		Events: rounded(d.events), Files: append([]shapedFile{}, d.files...),
		Outcome: treatment.MeasureOutcome(d.state),
	}
}

// rounded returns events with their figures to a millionth.
func rounded(events []treatment.Event) []treatment.Event {
	out := append([]treatment.Event{}, events...)
	for i := range out {
		out[i].Level, out[i].Value, out[i].Force = round6(out[i].Level), round6(out[i].Value), round6(out[i].Force)
	}
	return out
}

func (d shaped) canal() blockReport {
	b := d.block
	r := blockReport{Arc: round6(radian * b.Angle), Radius: b.Radius, Length: round6(b.Length), Tail: b.Tail,
		SecondArc: round6(radian * b.SecondAngle), SecondRadius: b.SecondRadius, Between: b.Between, Width: b.Width, Taper: b.Taper,
		Schneider: round6(radian * d.state.SchneiderGrown(0)), Coronal: round6(b.Coronal())}
	return r
}

// print lays a shaped canal out for a terminal.
func (d shaped) print(p page) {
	c := d.canal()
	p.title("A bare canal, " + d.how)
	p.paragraph("", fmt.Sprintf("arc %s, Schneider %s, radius %s, length %s, coronal straight %s, apical straight %s, width %s, taper %g",
		quantity(c.Arc, "deg"), quantity(c.Schneider, "deg"), quantity(c.Radius, "mm"), quantity(c.Length, "mm"),
		quantity(c.Coronal, "mm"), quantity(c.Tail, "mm"), quantity(c.Width, "mm"), c.Taper))
	if c.SecondArc > 0 {
		p.paragraph("", fmt.Sprintf("then back by %s at %s, %s after the first", quantity(c.SecondArc, "deg"), quantity(c.SecondRadius, "mm"), quantity(c.Between, "mm")))
	}
	p.section("Files", "short of the foramen; life and torque as shares of what this piece bears")
	rows := [][]string{{"file", "strokes", "short", "", "stopped by", "loose", "life", "torque", ""}}
	for _, f := range d.files {
		broke := ""
		if f.Fractured {
			broke = "BROKE"
		}
		rows = append(rows, []string{f.Item, fmt.Sprint(f.Strokes), number(f.Short, "mm"), "mm", f.Halt, yes(f.Loose), number(f.Life, ""), number(f.Torque, ""), broke})
	}
	p.table("lrrlllrrl", rows)
	p.section("By level", "mm; level from the foramen; transportation = outer - inner (Gambill)")
	rows = [][]string{{"level", "inner", "outer", "transport", "centring", "before", "after", "dentine", "untouched"}}
	for _, l := range d.state.Levels(0) {
		rows = append(rows, []string{number(l.Level, ""), three(l.Inner), three(l.Outer), three(l.Transport), number(l.Centring, "mm"),
			three(l.Before[0]), three(l.After[0]), number(l.Least, "mm"), number(100*l.Untouched, "%") + " %"})
	}
	p.table("rrrrrrrrr", rows)
	fmt.Fprintln(p.to)
	p.table("lrl", [][]string{
		{"straightening (loss of Schneider's angle)", fmt.Sprintf("%.2f", radian*d.state.Straightening(0)+0), "deg"},
		{"change of path length", three(d.state.LengthChange(0)), "mm"},
	})
	d.printFaults(p)
}

// three writes a length to the micrometre.
func three(v float64) string {
	text := fmt.Sprintf("%.3f", v)
	if text == "-0.000" {
		return "0.000"
	}
	return text
}

func yes(v bool) string {
	if v {
		return "yes"
	}
	return "no"
}

// printFaults tells the mishaps: of those of one kind by one file on one wall the worst, and in how many bouts.
func (d shaped) printFaults(p page) {
	type source struct{ kind, item, wall string }
	faults := mishaps()
	worst, times := map[source]treatment.Event{}, map[source]int{}
	var order []source
	for _, e := range d.events {
		if !faults[e.Kind] {
			continue
		}
		from := source{string(e.Kind), e.Item, e.Wall}
		if times[from]++; times[from] == 1 {
			order = append(order, from)
		}
		if times[from] == 1 || e.Value > worst[from].Value {
			worst[from] = e
		}
	}
	if len(order) == 0 {
		p.section("Mishaps", "none")
		return
	}
	p.section("Mishaps", "the worst of each kind, file and wall")
	for _, from := range order {
		text := attempt.Sentence(worst[from])
		if n := times[from]; n > 1 {
			text += fmt.Sprintf(" In %d bouts; this was the worst.", n)
		}
		p.paragraph("  ! ", text)
	}
}
