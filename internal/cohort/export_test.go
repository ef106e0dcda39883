package cohort

// Place is where a number stands in a scatter.
type Place struct{ Left, Top, Right, Bottom float64 }

// Numbered places the numbers of marks at x, y, all equally urgent.
func Numbered(at [][2]float64) map[string]Place {
	var marks []mark
	for i, p := range at {
		marks = append(marks, mark{x: p[0], y: p[1], number: string(rune('0' + i%10))})
	}
	places := map[string]Place{}
	for i, m := range numbered(marks) {
		r := m.room()
		places[m.number+string(rune('a'+i))] = Place{r.left, r.top, r.right, r.bottom}
	}
	return places
}

// Joined returns the numbers of marks at x, y after those that lie on one another became one.
func Joined(at [][2]float64) []string {
	var marks []mark
	for i, p := range at {
		marks = append(marks, mark{x: p[0], y: p[1], number: string(rune('1' + i))})
	}
	var out []string
	for _, m := range joined(marks) {
		out = append(out, m.number)
	}
	return out
}
