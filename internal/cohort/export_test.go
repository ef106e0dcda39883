package cohort

// Place is where a number stands in a scatter.
type Place struct{ Left, Top, Right, Bottom float64 }

// Numbered places the numbers of marks at x, y, all equally urgent.
func Numbered(at [][2]float64) map[string]Place {
	var marks []mark
	for i, p := range at {
		marks = append(marks, mark{p[0], p[1], string(rune('0' + i%10)), false})
	}
	places := map[string]Place{}
	for i, m := range numbered(marks) {
		r := m.room()
		places[m.number+string(rune('a'+i))] = Place{r.left, r.top, r.right, r.bottom}
	}
	return places
}
