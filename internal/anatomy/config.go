package anatomy

import (
	"slices"
	"sort"
	"strconv"
	"strings"

	"tugback/internal/detmath"
)

// canalPlan is a canal before it is grown.
type canalPlan struct {
	name  string
	root  int // index of its root
	first int // index of the canal that leads its root: the first that joins no other
	spec  CanalSpec
	joins int // index of the canal it joins, or −1
	// close: it begins beside the first canal of its root, as one orifice (types III, V, VII).
	close bool
	// meets: it nears the first canal half way without joining it (types VI, VII).
	meets bool
	alone bool // the only canal of its root
}

// rootPlan is a root before it is grown.
type rootPlan struct {
	layout rootLayout
	config string
	canals []int
}

// configurations are Vertucci's types in order.
func configurations() []string {
	return []string{"I", "II", "III", "IV", "V", "VI", "VII", "VIII"}
}

// Configuration is the canal configuration of one root as drawn.
type Configuration struct {
	Root   string // "root", "M", "D", "MB", "DB", "P"
	Config string // Vertucci's type "I" … "VIII"
}

// Configurations returns the configuration that a seed draws for each root of a kind, without growing
// the tooth; nil for an unknown kind. The one root of an upper premolar that is then divided in two
// still counts as one, as in the published shares.
//
// Source: Vertucci 1984, Oral Surgery 58:589 (from memory). Checked by TestConfigurationShares.
func Configurations(kind Kind, seed uint64) []Configuration {
	l, ok := layoutOf(kind)
	if !ok {
		return nil
	}
	drawn := make([]Configuration, len(l.roots))
	for n, root := range l.roots {
		drawn[n] = Configuration{root.name, drawConfig(kind, root.name, seed)}
	}
	return drawn
}

func drawConfig(kind Kind, root string, seed uint64) string {
	types := configurations()
	weights := make([]float64, len(types))
	for i, t := range types {
		if share, ok := findNorm(kind, root, "vertucci_"+t); ok {
			weights[i] = share.Mean
		}
	}
	stream := detmath.NewStream(seed, "anatomy/"+string(kind)+"/configuration/"+root)
	return types[stream.Pick(weights)]
}

// planTooth settles roots and canals: those a spec lists, and by the published shares those of roots
// it leaves out.
func planTooth(l layout, spec Spec, seed uint64) ([]rootPlan, []canalPlan, error) {
	rest := append([]CanalSpec(nil), spec.Canals...)
	roots := l.roots
	if l.split != nil && isDivided(l, rest, seed) {
		roots = l.split
	}
	var planned []rootPlan
	var canals []canalPlan
	for _, root := range roots {
		var mine []CanalSpec
		mine, rest = claim(root, rest)
		plan := rootPlan{layout: root, config: drawConfig(l.kind, l.roots[0].name, seed)}
		if len(l.roots) > 1 {
			plan.config = drawConfig(l.kind, root.name, seed)
		}
		set, err := chooseSet(root, mine, &plan.config, len(roots) != len(l.roots))
		if err != nil {
			return nil, nil, err
		}
		index := len(planned)
		canals = appendCanals(canals, &plan, index, set, mine)
		planned = append(planned, plan)
	}
	return planned, canals, settleJoins(canals)
}

// isDivided reports whether the root of an upper premolar is divided.
func isDivided(l layout, listed []CanalSpec, seed uint64) bool {
	config := drawConfig(l.kind, l.roots[0].name, seed)
	names := make([]string, 0, 3)
	for _, c := range listed {
		if c.Name == "canal" || c.Joins != "" {
			return false
		}
		names = append(names, c.Name)
	}
	if len(names) > 0 {
		config = "IV"
	}
	if config != "IV" && config != "VIII" {
		return false
	}
	stream := detmath.NewStream(seed, "anatomy/"+string(l.kind)+"/divided/")
	return stream.Float64() < norm(l.kind, "root", "split").Mean
}

// claim parts the listed canals into those of a root and the others.
func claim(root rootLayout, listed []CanalSpec) (mine, others []CanalSpec) {
	for _, c := range listed {
		belongs := false
		for _, set := range root.sets {
			belongs = belongs || slices.Contains(set, c.Name)
		}
		if belongs {
			mine = append(mine, c)
		} else {
			others = append(others, c)
		}
	}
	return mine, others
}

// chooseSet returns the canal names of a root: the set of its drawn configuration, or the smallest
// set that holds all listed names; config is then rewritten to the type that was asked for.
func chooseSet(root rootLayout, listed []CanalSpec, config *string, divided bool) ([]string, error) {
	count := map[string]int{"I": 1, "VIII": 3}[*config]
	if count == 0 {
		count = 2
	}
	if divided { // one canal in each root but for the buccal one of three canals
		count = map[bool]int{true: 2, false: 1}[*config == "VIII" && len(root.sets) > 1]
	}
	if len(listed) == 0 {
		return root.sets[min(count, len(root.sets))-1], nil
	}
	for n, set := range root.sets {
		if !holdsAll(set, listed) || n+1 < len(listed) {
			continue
		}
		*config = map[int]string{1: "I", 2: "IV", 3: "VIII"}[len(set)]
		for _, c := range listed {
			if c.Joins != "" {
				*config = "II"
			}
		}
		return set, nil
	}
	names := make([]string, len(listed))
	for i, c := range listed {
		names[i] = c.Name
	}
	sets := make([]string, len(root.sets))
	for i, set := range root.sets {
		sets[i] = strings.Join(set, " and ")
	}
	return nil, &SpecError{"Canals", strings.Join(names, ", ") + " in one root", strings.Join(sets, "; or ")}
}

func holdsAll(set []string, listed []CanalSpec) bool {
	for _, c := range listed {
		if !slices.Contains(set, c.Name) {
			return false
		}
	}
	return true
}

// appendCanals adds a root's canals. Types are represented so: II and III join, III from one common
// orifice; IV and V run apart, V from one common orifice; VI and VII run apart and meet half way, VII
// from one common orifice; VIII is three apart.
func appendCanals(canals []canalPlan, plan *rootPlan, root int, set []string, listed []CanalSpec) []canalPlan {
	first := len(canals)
	for i, name := range set {
		c := canalPlan{name: name, root: root, first: first, joins: -1, alone: len(set) == 1}
		c.spec.Name = name
		for _, l := range listed {
			if l.Name == name {
				c.spec = l
			}
		}
		c.close = len(set) == 2 && slices.Contains([]string{"III", "V", "VII"}, plan.config)
		if i > 0 && len(set) == 2 {
			c.meets = plan.config == "VI" || plan.config == "VII"
			if len(listed) == 0 && (plan.config == "II" || plan.config == "III") {
				c.joins = first
			}
		}
		plan.canals = append(plan.canals, len(canals))
		canals = append(canals, c)
	}
	return canals
}

// settleJoins turns the names that a spec joins into indices.
func settleJoins(canals []canalPlan) error {
	for i := range canals {
		c := &canals[i]
		if c.spec.Joins == "" {
			continue
		}
		var allowed []string
		for j, other := range canals {
			if j == i || other.root != c.root || other.spec.Joins != "" {
				continue
			}
			allowed = append(allowed, other.name)
			if other.name == c.spec.Joins {
				c.joins = j
			}
		}
		if c.joins < 0 {
			sort.Strings(allowed)
			if len(allowed) == 0 {
				allowed = []string{"no canal, none other runs in this root"}
			}
			return &SpecError{"Canals[" + c.name + "].Joins", strconv.Quote(c.spec.Joins), strings.Join(allowed, ", ")}
		}
		if err := refuseOwnShape(*c); err != nil {
			return err
		}
	}
	for i := range canals {
		if lead := canals[canals[i].first].joins; lead >= 0 {
			canals[i].first = lead
		}
	}
	return nil
}

// refuseOwnShape refuses a shape for a canal that takes it from the one it joins.
func refuseOwnShape(c canalPlan) error {
	for _, f := range []fieldRange{
		{name: "Length", value: c.spec.Length}, {name: "Angle", value: c.spec.Angle}, {name: "Radius", value: c.spec.Radius},
		{name: "ApicalStraight", value: c.spec.ApicalStraight}, {name: "SecondAngle", value: c.spec.SecondAngle},
		{name: "ProximalAngle", value: c.spec.ProximalAngle}, {name: "OrificeTilt", value: c.spec.OrificeTilt},
	} {
		if f.value.Set {
			return &SpecError{"Canals[" + c.name + "]." + f.name, "given", "not with Joins: the canal follows the one it joins"}
		}
	}
	return nil
}
