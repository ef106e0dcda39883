package cli

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"tugback/internal/scenario"
)

// textWidth is the width of printed text in characters.
const textWidth = 92

// page lays text out for a terminal.
type page struct{ to io.Writer }

// title prints the heading of a whole output.
func (p page) title(text string) {
	fmt.Fprintf(p.to, "%s\n%s\n", text, strings.Repeat("=", utf8.RuneCountInString(text)))
}

// section prints the heading of a part after an empty line, with a remark at the right edge.
func (p page) section(text, remark string) {
	gap := textWidth - utf8.RuneCountInString(text) - utf8.RuneCountInString(remark)
	line := text
	if remark != "" {
		line += strings.Repeat(" ", max(gap, 2)) + remark
	}
	fmt.Fprintf(p.to, "\n%s\n%s\n", line, strings.Repeat("-", max(textWidth, utf8.RuneCountInString(line))))
}

// paragraph prints wrapped text: the first line begins with lead, the others stand under its text.
func (p page) paragraph(lead, text string) {
	indent := utf8.RuneCountInString(lead)
	for i, line := range wrap(text, textWidth-indent) {
		if i > 0 {
			lead = strings.Repeat(" ", indent)
		}
		fmt.Fprintln(p.to, strings.TrimRight(lead+line, " "))
	}
}

// wrap breaks a text into lines of at most a width where blanks allow it, at least one line.
func wrap(text string, width int) []string {
	lines := []string{""}
	for _, word := range pieces(text) {
		last := &lines[len(lines)-1]
		switch {
		case *last == "":
			*last = word
		case utf8.RuneCountInString(*last)+1+utf8.RuneCountInString(word) <= width:
			*last += " " + word
		default:
			lines = append(lines, word)
		}
	}
	return lines
}

// pieces splits a text at the blanks where a line may end: not between a number and its unit, and not
// after a comparison.
func pieces(text string) []string {
	var out []string
	before := ""
	for _, word := range strings.Fields(text) {
		unit := slices.Contains(units, strings.TrimRight(word, ".,;:)"))
		if len(out) > 0 && (unit || strings.HasPrefix(before, "<") || strings.HasPrefix(before, ">") || before == "==") {
			out[len(out)-1] += " " + word
		} else {
			out = append(out, word)
		}
		before = word
	}
	return out
}

// units are the units that stand in sentences.
var units = []string{"mm", "mm³", "N", "N·mm", "ml", "ml/min", "s", "min", "d", "deg", "%", "rpm", "Pa"}

// table prints rows with aligned columns, two blanks apart and two from the left edge. align holds one
// letter a column: l or r.
func (p page) table(align string, rows [][]string) {
	widths := make([]int, len(align))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	for _, row := range rows {
		line := ""
		for i, cell := range row {
			blank := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if align[i] == 'r' {
				cell = blank + cell
			} else {
				cell += blank
			}
			line += "  " + cell
		}
		fmt.Fprintln(p.to, strings.TrimRight(line, " "))
	}
}

// decimals returns with how many decimals a figure of a unit is printed: what can be seen or felt, and
// one more.
func decimals(unit string) int {
	switch unit {
	case "mm³":
		return 3
	case "mm", "ml", "N", "":
		return 2
	case "deg", "%", "min", "N·mm":
		return 1
	}
	return 0
}

// number writes a figure of a unit, whole numbers without a unit plainly, and never "-0".
func number(v float64, unit string) string {
	switch {
	case math.IsInf(v, 0):
		return "none"
	case unit == "" && v == math.Trunc(v):
		return strconv.FormatFloat(v+0, 'f', 0, 64)
	}
	text := strconv.FormatFloat(v, 'f', decimals(unit), 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return text
}

// quantity writes a figure with its unit.
func quantity(v float64, unit string) string {
	return strings.TrimSpace(number(v, unit) + " " + unit)
}

// clock writes a time of a treatment as h:mm:ss.
func clock(ms int) string {
	seconds := ms / 1000
	return fmt.Sprintf("%d:%02d:%02d", seconds/3600, seconds/60%60, seconds%60)
}

// whole writes a seed.
func whole(v uint64) string { return strconv.FormatUint(v, 10) }

// heading prints a scenario's title, or its name for want of one.
func heading(p page, from scenario.Scenario) {
	if from.Title() != "" {
		p.title(from.Title())
		return
	}
	p.title(from.Name())
}
