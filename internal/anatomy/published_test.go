package anatomy_test

import "testing"

// P27. The published chamber depths of molars agree with themselves: roof and height make the floor, floor and
// floor to furcation the furcation, roof and roof to furcation too, to 0.05 mm; TestChamberDepths holds ours to them.
// Source: Deutsch & Musikant 2004, J Endod 30:388, protocol facts 5.2 [38b].
func TestPublishedChamberAddsUp(t *testing.T) {
	for _, row := range []struct {
		jaw                                                  string
		roof, floor, furcation, roofDown, floorDown, chamber float64
	}{
		{"upper", 6.24, 8.08, 11.15, 4.91, 3.05, 1.88},
		{"lower", 6.36, 7.95, 10.90, 4.55, 2.96, 1.57},
	} {
		near(t, row.jaw+" roof and height", row.roof+row.chamber, row.floor, 0.05)
		near(t, row.jaw+" floor and below", row.floor+row.floorDown, row.furcation, 0.05)
		near(t, row.jaw+" roof and below", row.roof+row.roofDown, row.furcation, 0.05)
	}
}
