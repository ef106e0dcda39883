package scenario

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"tugback/internal/anatomy"
)

// toothTypes are the words of the seven tooth types, front to back: digit 1 to 7 of the two-digit
// notation of ISO 3950.
func toothTypes() []string {
	return []string{"central-incisor", "lateral-incisor", "canine", "first-premolar", "second-premolar", "first-molar", "second-molar"}
}

// kindOf returns the kind of the tooth with a number of ISO 3950: quadrants 1 and 2 are upper right
// and left, 3 and 4 lower left and right. It returns "" for a number without a kind.
func kindOf(number int) anatomy.Kind {
	quadrant, digit := number/10, number%10
	if quadrant < 1 || quadrant > 4 || digit < 1 || digit > 7 {
		return ""
	}
	jaw := "upper-"
	if quadrant > 2 {
		jaw = "lower-"
	}
	return anatomy.Kind(jaw + toothTypes()[digit-1])
}

// numbersOf returns the numbers a kind of tooth may have, right side first.
func numbersOf(kind anatomy.Kind) []int {
	var numbers []int
	for _, quadrant := range []int{1, 2, 4, 3} {
		for digit := 1; digit <= 7; digit++ {
			if n := 10*quadrant + digit; kindOf(n) == kind {
				numbers = append(numbers, n)
			}
		}
	}
	return numbers
}

// kinds returns the words of all kinds of tooth.
func kinds() []string {
	var words []string
	for _, jaw := range []string{"upper-", "lower-"} {
		for _, t := range toothTypes() {
			words = append(words, jaw+t)
		}
	}
	return words
}

// spanKey is a key whose value is fixed or drawn from a range. Limits keep a value possible; what a
// tooth of the kind really has is the norms' business.
type spanKey struct {
	name   string
	limits limits
	stored string // unit in the engine
	at     *anatomy.Range
}

// toothSpans lists the keys of a tooth that are quantities.
func toothSpans(s *anatomy.Spec) []spanKey {
	return []spanKey{
		{"age", limits{"years", 12, 90}, "years", &s.Age},
		{"length", limits{"mm", 12, 35}, "mm", &s.Length},
		{"crown-height", limits{"mm", 4, 14}, "mm", &s.Crown},
		{"chamber-height", limits{"mm", 0.2, 6}, "mm", &s.ChamberHeight},
		{"roof-depth", limits{"mm", 2, 10}, "mm", &s.RoofDepth},
		{"irregularity", limits{"%", 0, 200}, "share", &s.Noise},
	}
}

// canalSpans lists the keys of a canal that are quantities.
func canalSpans(c *anatomy.CanalSpec) []spanKey {
	return []spanKey{
		{"length", limits{"mm", 5, 30}, "mm", &c.Length},
		{"angle", limits{"deg", 0, 120}, "rad", &c.Angle},
		{"radius", limits{"mm", 1, 100}, "mm", &c.Radius},
		{"apical-straight", limits{"mm", 0, 15}, "mm", &c.ApicalStraight},
		{"second-angle", limits{"deg", 0, 90}, "rad", &c.SecondAngle},
		{"second-radius", limits{"mm", 1, 100}, "mm", &c.SecondRadius},
		{"proximal-angle", limits{"deg", 0, 120}, "rad", &c.ProximalAngle},
		{"proximal-radius", limits{"mm", 1, 100}, "mm", &c.ProximalRadius},
		{"orifice-tilt", limits{"deg", -45, 45}, "rad", &c.OrificeTilt},
		{"narrow", limits{"mm", 0.05, 1.5}, "mm", &c.Narrow},
		{"wide", limits{"mm", 0.05, 2}, "mm", &c.Wide},
		{"constriction-level", limits{"mm", 0, 3}, "mm", &c.ConstrictionLevel},
		{"foramen-offset", limits{"mm", 0, 4}, "mm", &c.ForamenOffset},
		{"taper", limits{"%", 0, 30}, "share", &c.Taper},
		{"join-level", limits{"mm", 0.5, 12}, "mm", &c.JoinLevel},
	}
}

// spanKeys makes readable keys of a list of quantities.
func (r *reader) spanKeys(spans []spanKey) []key {
	keys := make([]key, len(spans))
	for i, s := range spans {
		keys[i] = key{name: s.name, read: func(n *yaml.Node) { *s.at, _ = r.span(n, s.name, s.limits, s.stored) }}
	}
	return keys
}

// wordKey makes a key whose value is one of some words.
func (r *reader) wordKey(name string, at *string, allowed ...string) key {
	return key{name: name, read: func(n *yaml.Node) { *at, _ = r.word(n, name, allowed) }}
}

// tooth reads what is said of the tooth: its kind, its number and its anatomy.
func (r *reader) tooth(node *yaml.Node, c *content) {
	c.toothNode = node
	var kind string
	var number, canals *yaml.Node
	keys := []key{
		{"kind", true, func(n *yaml.Node) { kind, _ = r.word(n, "kind", kinds()) }},
		{"number", false, func(n *yaml.Node) { number = n }},
		{"canals", false, func(n *yaml.Node) { canals = n }},
	}
	r.group(node, "tooth", append(keys, r.spanKeys(toothSpans(&c.spec))...))
	c.spec.Kind = anatomy.Kind(kind)
	if number != nil {
		c.number = r.toothNumber(number, c.spec.Kind)
	} else if kind != "" {
		c.number = numbersOf(c.spec.Kind)[0]
	}
	if canals != nil {
		r.canals(canals, &c.spec)
	}
}

// toothNumber reads a number in two-digit notation and checks that it belongs to the kind.
func (r *reader) toothNumber(node *yaml.Node, kind anatomy.Kind) int {
	number, ok := r.whole(node, "number", 11, 47)
	if !ok {
		return 0
	}
	if kind == "" && kindOf(number) != "" || kind != "" && kindOf(number) == kind {
		return number
	}
	var fitting []string
	for _, n := range numbersOf(kind) {
		fitting = append(fitting, fmt.Sprint(n))
	}
	switch {
	case kindOf(number) == "":
		r.note(node, "tooth", "number %d is no tooth this program knows; allowed (ISO 3950): 11 to 17, 21 to 27, 31 to 37, 41 to 47", number)
	default:
		r.note(node, "tooth", "number %d is the %s; %s is %s (ISO 3950)", number, kindOf(number), kind, strings.Join(fitting, " or "))
	}
	return 0
}

// canals reads the canals by name. They are put in the order of the tooth's orifices, so that the
// order in the file does not matter.
func (r *reader) canals(node *yaml.Node, spec *anatomy.Spec) {
	if node.Kind != yaml.MappingNode {
		r.note(node, "type", "canals is %s; expected the canals by name, such as \"MB: {angle: 30 deg}\"", kindName(node))
		return
	}
	var names []string
	if spec.Kind != "" {
		names = anatomy.CanalNames(spec.Kind)
	}
	seen := map[string]*yaml.Node{}
	joins := map[string]*yaml.Node{}
	for i := 0; i+1 < len(node.Content); i += 2 {
		name, value := node.Content[i], node.Content[i+1]
		if !r.keyText(name, seen) {
			continue
		}
		if names != nil && !slices.Contains(names, name.Value) {
			r.note(name, "canal", "%s has no canal %q; %s", spec.Kind, shorten(name.Value), choices(name.Value, names))
		}
		canal := anatomy.CanalSpec{Name: name.Value}
		if value.Kind != yaml.ScalarNode || value.ShortTag() != "!!null" {
			joins[name.Value] = r.canal(value, &canal)
		}
		spec.Canals = append(spec.Canals, canal)
	}
	r.checkJoins(spec.Canals, joins)
	slices.SortStableFunc(spec.Canals, func(a, b anatomy.CanalSpec) int {
		return slices.Index(names, a.Name) - slices.Index(names, b.Name)
	})
}

// canal reads one canal and returns where it says which canal it joins.
func (r *reader) canal(node *yaml.Node, c *anatomy.CanalSpec) (joins *yaml.Node) {
	keys := append(r.spanKeys(canalSpans(c)),
		r.wordKey("towards", &c.Towards, "mesial", "distal"),
		r.wordKey("proximal-towards", &c.ProximalTowards, "buccal", "lingual"),
		r.wordKey("constriction", &c.Constriction, "single", "tapering", "multiple", "parallel"),
		key{name: "calcified", read: func(n *yaml.Node) {
			r.list(n, "calcified", 10, func(n *yaml.Node) { c.Calcified = append(c.Calcified, r.narrowing(n)) })
		}},
		key{name: "joins", read: func(n *yaml.Node) { c.Joins, _ = r.text(n, "joins"); joins = n }},
	)
	if !r.group(node, "canal "+shorten(c.Name), keys) {
		return nil
	}
	if c.Narrow.Set && c.Wide.Set && c.Narrow.Low > c.Wide.High {
		r.note(node, "range", "narrow is %s, more than wide, %s", show(c.Narrow.Low, "mm"), show(c.Wide.High, "mm"))
	}
	return joins
}

// narrowing reads one calcified stretch.
func (r *reader) narrowing(node *yaml.Node) (n anatomy.Narrowing) {
	quantity := func(name string, at *float64, l limits, stored string) key {
		return key{name, true, func(node *yaml.Node) {
			value, _ := r.quantity(node, name, l)
			*at = convert(value, l.unit, stored)
		}}
	}
	r.group(node, "a calcified stretch", []key{
		quantity("level", &n.Level, limits{"mm", 0, 30}, "mm"),
		quantity("length", &n.Length, limits{"mm", 0.1, 30}, "mm"),
		quantity("left", &n.Share, limits{"%", 5, 100}, "share"),
	})
	return n
}

// checkJoins checks that a canal joins another canal of the list that runs to the apex by itself.
func (r *reader) checkJoins(canals []anatomy.CanalSpec, at map[string]*yaml.Node) {
	for _, c := range canals {
		if c.Joins == "" || at[c.Name] == nil {
			continue
		}
		target := slices.IndexFunc(canals, func(other anatomy.CanalSpec) bool { return other.Name == c.Joins })
		switch {
		case target < 0 || c.Joins == c.Name:
			var others []string
			for _, other := range canals {
				if other.Name != c.Name {
					others = append(others, other.Name)
				}
			}
			r.note(at[c.Name], "canal", "%s joins %q; %s", c.Name, shorten(c.Joins), choices(c.Joins, others))
		case canals[target].Joins != "":
			r.note(at[c.Name], "canal", "%s joins %s, which itself joins %s; name the canal that reaches the apex", c.Name, c.Joins, canals[target].Joins)
		}
	}
}
