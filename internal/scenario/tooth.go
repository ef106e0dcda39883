package scenario

import (
	"errors"
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

// spanKey is a key whose value is fixed or drawn from a range. The limits are those of anatomy, here so
// that every value outside them is found in one run; TestLimits compares the two.
type spanKey struct {
	name   string
	field  string // as anatomy calls it in a SpecError
	limits limits
	stored string // unit in the engine
	at     *anatomy.Range
}

// toothSpans lists the keys of a tooth that are quantities.
func toothSpans(s *anatomy.Spec) []spanKey {
	return []spanKey{
		{"age", "Age", limits{"years", 12, 90}, "years", &s.Age},
		{"length", "Length", limits{"mm", 12, 36}, "mm", &s.Length},
		{"crown-height", "Crown", limits{"mm", 4, 14}, "mm", &s.Crown},
		{"chamber-height", "ChamberHeight", limits{"mm", 0.3, 6}, "mm", &s.ChamberHeight},
		{"roof-depth", "RoofDepth", limits{"mm", 2.5, 10}, "mm", &s.RoofDepth},
		{"irregularity", "Noise", limits{"%", 0, 200}, "share", &s.Noise},
	}
}

// canalSpans lists the keys of a canal that are quantities.
func canalSpans(c *anatomy.CanalSpec) []spanKey {
	return []spanKey{
		{"length", "Length", limits{"mm", 4, 28}, "mm", &c.Length},
		{"angle", "Angle", limits{"deg", 0, 75}, "rad", &c.Angle},
		{"radius", "Radius", limits{"mm", 2, 100}, "mm", &c.Radius},
		{"apical-straight", "ApicalStraight", limits{"mm", 0, 15}, "mm", &c.ApicalStraight},
		{"second-angle", "SecondAngle", limits{"deg", 0, 75}, "rad", &c.SecondAngle},
		{"second-radius", "SecondRadius", limits{"mm", 2, 100}, "mm", &c.SecondRadius},
		{"proximal-angle", "ProximalAngle", limits{"deg", 0, 75}, "rad", &c.ProximalAngle},
		{"proximal-radius", "ProximalRadius", limits{"mm", 2, 100}, "mm", &c.ProximalRadius},
		{"orifice-tilt", "OrificeTilt", limits{"deg", -45, 45}, "rad", &c.OrificeTilt},
		{"narrow", "Narrow", limits{"mm", 0.06, 1.5}, "mm", &c.Narrow},
		{"wide", "Wide", limits{"mm", 0.06, 1.8}, "mm", &c.Wide},
		{"constriction-level", "ConstrictionLevel", limits{"mm", 0, 2}, "mm", &c.ConstrictionLevel},
		{"foramen-offset", "ForamenOffset", limits{"mm", 0, 3}, "mm", &c.ForamenOffset},
		{"taper", "Taper", limits{"%", 0, 20}, "share", &c.Taper},
		{"join-level", "JoinLevel", limits{"mm", 0.5, 12}, "mm", &c.JoinLevel},
	}
}

// fieldPlace is where a value that anatomy may refuse was written, and what it is called there.
type fieldPlace struct {
	node *yaml.Node
	name string
}

// toothReader reads the tooth of a scenario and keeps the places of its values.
type toothReader struct {
	*reader
	spec   *anatomy.Spec
	places map[string]fieldPlace // by the field's name in a SpecError
}

// spanKeys makes readable keys of a list of quantities; path leads to their fields in the Spec.
func (r *toothReader) spanKeys(path string, spans []spanKey) []key {
	keys := make([]key, len(spans))
	for i, s := range spans {
		keys[i] = key{name: s.name, read: func(n *yaml.Node) {
			r.places[path+s.field] = fieldPlace{n, s.name}
			*s.at, _ = r.span(n, s.name, s.limits, s.stored)
		}}
	}
	return keys
}

// wordKey makes a key whose value is one of some words.
func (r *reader) wordKey(name string, at *string, allowed ...string) key {
	return key{name: name, read: func(n *yaml.Node) { *at, _ = r.word(n, name, allowed) }}
}

// tooth reads what is said of the tooth: its kind, its number and its anatomy.
func (r *reader) tooth(node *yaml.Node, c *content) {
	t := &toothReader{r, &c.spec, map[string]fieldPlace{"": {node, "tooth"}}}
	c.places = t.places
	var kind string
	var number, canals *yaml.Node
	keys := []key{
		{"kind", true, func(n *yaml.Node) { kind, _ = r.word(n, "kind", kinds()) }},
		{"number", false, func(n *yaml.Node) { number = n }},
		{"canals", false, func(n *yaml.Node) { canals = n }},
	}
	r.group(node, "tooth", append(keys, t.spanKeys("", toothSpans(t.spec))...))
	t.spec.Kind = anatomy.Kind(kind)
	if number != nil {
		c.number = r.toothNumber(number, t.spec.Kind)
	} else if kind != "" {
		c.number = numbersOf(t.spec.Kind)[0]
	}
	if canals != nil {
		t.canals(canals)
	}
}

// toothNumber reads a number in two-digit notation and checks that it belongs to the kind.
func (r *reader) toothNumber(node *yaml.Node, kind anatomy.Kind) int {
	number, ok := r.whole(node, "number", 1, 99)
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
		own := ""
		if len(fitting) > 0 {
			own = fmt.Sprintf("; %s is %s", kind, strings.Join(fitting, " or "))
		}
		r.note(node, "tooth", "number %d is no tooth this program knows; allowed (ISO 3950): 11 to 17, 21 to 27, 31 to 37, 41 to 47%s", number, own)
	default:
		r.note(node, "tooth", "number %d is the %s; %s is %s (ISO 3950)", number, kindOf(number), kind, strings.Join(fitting, " or "))
	}
	return 0
}

// canals reads the canals by name. They are put in the order of the tooth's orifices, so that the
// order in the file does not matter.
func (r *toothReader) canals(node *yaml.Node) {
	if node.Kind != yaml.MappingNode {
		r.note(node, "type", "canals is %s; expected the canals by name, such as \"MB: {angle: 30 deg}\"", kindName(node))
		return
	}
	names := anatomy.CanalNames(r.spec.Kind)
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(node.Content); i += 2 {
		name, value := node.Content[i], node.Content[i+1]
		if !r.keyText(name, seen) {
			continue
		}
		if names != nil && !slices.Contains(names, name.Value) {
			r.note(name, "canal", "%s has no canal %q; %s", r.spec.Kind, shorten(name.Value), choices(name.Value, names))
		}
		canal := anatomy.CanalSpec{Name: name.Value}
		r.places[canalPath(canal)] = fieldPlace{name, name.Value}
		if value.Kind != yaml.ScalarNode || value.ShortTag() != "!!null" {
			r.canal(value, &canal)
		}
		r.spec.Canals = append(r.spec.Canals, canal)
	}
	r.checkJoins()
	slices.SortStableFunc(r.spec.Canals, func(a, b anatomy.CanalSpec) int {
		return slices.Index(names, a.Name) - slices.Index(names, b.Name)
	})
}

// canalPath leads to a canal in a Spec.
func canalPath(c anatomy.CanalSpec) string { return "Canals[" + c.Name + "]" }

// canal reads one canal.
func (r *toothReader) canal(node *yaml.Node, c *anatomy.CanalSpec) {
	path := canalPath(*c) + "."
	keys := append(r.spanKeys(path, canalSpans(c)),
		r.wordKey("towards", &c.Towards, "mesial", "distal"),
		r.wordKey("proximal-towards", &c.ProximalTowards, "buccal", "lingual"),
		r.wordKey("constriction", &c.Constriction, "single", "tapering", "multiple", "parallel"),
		key{name: "calcified", read: func(n *yaml.Node) {
			r.list(n, "calcified", 10, func(n *yaml.Node) { c.Calcified = append(c.Calcified, r.narrowing(n)) })
		}},
		key{name: "joins", read: func(n *yaml.Node) {
			r.places[path+"Joins"] = fieldPlace{n, "joins"}
			c.Joins, _ = r.text(n, "joins")
		}},
	)
	r.group(node, "canal "+shorten(c.Name), keys)
	if c.Narrow.Set && c.Wide.Set && c.Narrow.Low > c.Wide.High {
		r.note(r.places[path+"Narrow"].node, "range", "narrow is %s, more than wide, %s", show(c.Narrow.Low, "mm"), show(c.Wide.High, "mm"))
	}
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
		quantity("level", &n.Level, limits{"mm", 0, 25}, "mm"),
		quantity("length", &n.Length, limits{"mm", 0.2, 15}, "mm"),
		quantity("left", &n.Share, limits{"%", 10, 100}, "share"),
	})
	return n
}

// checkJoins checks that a canal joins another canal of the list that runs to the apex by itself.
func (r *toothReader) checkJoins() {
	for _, c := range r.spec.Canals {
		if c.Joins == "" {
			continue
		}
		var others []string
		beyond := ""
		for _, other := range r.spec.Canals {
			if other.Name != c.Name {
				others = append(others, other.Name)
			}
			if other.Name == c.Joins {
				beyond = other.Joins
			}
		}
		node := r.places[canalPath(c)+".Joins"].node
		switch {
		case !slices.Contains(others, c.Joins):
			r.note(node, "canal", "%s joins %q; %s", c.Name, shorten(c.Joins), choices(c.Joins, others))
		case beyond != "":
			r.note(node, "canal", "%s joins %s, which itself joins %s; name the canal that reaches the apex", c.Name, c.Joins, shorten(beyond))
		}
	}
}

// refused puts what anatomy refuses in a valid file at its place in the file.
func (c *content) refused(seed uint64, err error) error {
	r := reader{src: c.src}
	place := c.places[""]
	var fault *anatomy.SpecError
	if !errors.As(err, &fault) {
		r.note(place.node, "tooth", "no tooth can be grown from seed %d: %v", seed, err)
		return r.faults.err()
	}
	name := fault.Field
	if p, found := c.places[fault.Field]; found {
		place, name = p, p.name
	}
	r.note(place.node, "tooth", "%s is %s, allowed: %s (tooth of seed %d)", name, fault.Value, fault.Allowed, seed)
	return r.faults.err()
}
