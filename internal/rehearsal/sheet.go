package rehearsal

import (
	"fmt"

	"tugback/internal/bench"
)

// Sizes that a page has to keep, px: letters, and places to point at (Web Content Accessibility Guidelines
// 2.2, 2.5.8).
const (
	leastLetter = 13
	leastPlace  = 24
)

// hair, px, is what a letter may stand over an edge without a person seeing it.
const hair = 1

// Faults returns what is wrong with a sheet: letters that overlap, leave their column or the sheet or are too
// small, places too small to point at, columns that overlap.
func Faults(sheet *bench.Sheet) []string {
	var out []string
	tell := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	var letters []bench.Item
	for _, i := range sheet.Items {
		if i.Kind != bench.Letter {
			continue
		}
		if i.Size < leastLetter {
			tell("%q is set at %.1f px, %d at least", i.Text, i.Size, leastLetter)
		}
		for _, fault := range outside(sheet, &i) {
			tell("%q leaves %s", i.Text, fault)
		}
		letters = append(letters, i)
	}
	for k, a := range letters {
		for _, b := range letters[:k] {
			if (a.Column == b.Column || Seen(sheet, &a) && Seen(sheet, &b)) && a.Box.Overlaps(b.Box) {
				tell("%q and %q overlap", a.Text, b.Text)
			}
		}
	}
	for _, h := range sheet.Hits {
		if h.Box.W < leastPlace || h.Box.H < leastPlace {
			tell("%s (part %d) is %.0f×%.0f px, %d at least", h.ID, h.Part, h.Box.W, h.Box.H, leastPlace)
		}
	}
	for i, a := range sheet.Columns {
		for _, b := range sheet.Columns[:i] {
			if a.Box.W > 0 && b.Box.W > 0 && a.Box.Overlaps(b.Box) {
				tell("columns overlap")
			}
		}
	}
	return out
}

// outside says where a letter stands over what holds it. A column scrolls, so that only its sides count.
func outside(sheet *bench.Sheet, i *bench.Item) []string {
	var out []string
	if i.Box.X < -hair || i.Box.Right() > sheet.W+hair {
		out = append(out, fmt.Sprintf("the sheet: %.0f to %.0f of %.0f", i.Box.X, i.Box.Right(), sheet.W))
	}
	if i.Column < 0 {
		if i.Box.Y < 0 || i.Box.Bottom() > sheet.H {
			out = append(out, fmt.Sprintf("the sheet above or below: %.0f to %.0f of %.0f", i.Box.Y, i.Box.Bottom(), sheet.H))
		}
		return out
	}
	column := sheet.Columns[i.Column].Box
	if i.Box.X < column.X-hair || i.Box.Right() > column.Right()+hair {
		out = append(out, fmt.Sprintf("its column: %.0f to %.0f of %.0f to %.0f", i.Box.X, i.Box.Right(), column.X, column.Right()))
	}
	return out
}

// Seen reports whether an item stands wholly where its column is seen.
func Seen(sheet *bench.Sheet, i *bench.Item) bool {
	if i.Column < 0 {
		return true
	}
	column := sheet.Columns[i.Column].Box
	return i.Box.Y >= column.Y-hair && i.Box.Bottom() <= column.Bottom()+hair
}
