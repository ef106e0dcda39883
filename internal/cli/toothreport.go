package cli

import (
	"math"
	"strings"

	"tugback/internal/anatomy"
	"tugback/internal/geom"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
)

// toothReport is every measurement of a tooth in the units of the trade.
type toothReport struct {
	Scenario       string        `json:"scenario"`
	ScenarioDigest string        `json:"scenario_digest"`
	Seed           uint64        `json:"seed"`
	Engine         string        `json:"engine"`
	Kind           string        `json:"kind"`
	Number         int           `json:"number"`
	Upper          bool          `json:"upper"`
	Age            float64       `json:"age_years"`
	Difficulty     string        `json:"difficulty"`
	Length         float64       `json:"length_mm"`
	Crown          crownReport   `json:"crown"`
	Chamber        chamberReport `json:"chamber"`
	Canals         []canalReport `json:"canals"`
}

// crownReport is the crown.
type crownReport struct {
	Height       float64  `json:"height_mm"`
	Mesiodistal  float64  `json:"mesiodistal_mm"`
	Buccolingual float64  `json:"buccolingual_mm"`
	Cusps        []string `json:"cusps"` // the highest first
}

// chamberReport is the pulp chamber; depths are from the highest cusp.
type chamberReport struct {
	Roof      float64  `json:"roof_depth_mm"`
	Floor     float64  `json:"floor_depth_mm"`
	Height    float64  `json:"height_mm"`
	Furcation *float64 `json:"floor_to_furcation_mm"` // null: the roots do not part
}

// canalReport is one canal.
type canalReport struct {
	Name            string             `json:"name"`
	Root            string             `json:"root"`
	Configuration   string             `json:"configuration"`
	Joins           string             `json:"joins,omitempty"`
	JoinLevel       *float64           `json:"join_level_mm,omitempty"` // of this canal's own length
	Cusp            string             `json:"reference_cusp"`
	Length          float64            `json:"length_mm"`
	ToOrifice       float64            `json:"reference_to_orifice_mm"`
	ToConstriction  float64            `json:"reference_to_constriction_mm"`
	ToForamen       float64            `json:"reference_to_foramen_mm"`
	Schneider       float64            `json:"schneider_deg"`
	SchneiderClass  string             `json:"schneider_class"`
	Weine           float64            `json:"weine_deg"`
	Pruett          float64            `json:"pruett_deg"`
	Radius          *float64           `json:"radius_mm"` // null: straight
	EstrelaRadius   *float64           `json:"estrela_radius_mm"`
	EstrelaClass    string             `json:"estrela_class"`
	AccessAngle     float64            `json:"access_angle_deg"`
	AccessX         float64            `json:"access_x_mm"`
	AccessY         float64            `json:"access_y_mm"`
	Proximal        float64            `json:"proximal_schneider_deg"`
	TightestRadius  *float64           `json:"tightest_radius_mm"`
	TightestLevel   float64            `json:"tightest_level_mm"`
	Constriction    constrictionReport `json:"constriction"`
	Foramen         foramenReport      `json:"foramen"`
	DangerThickness *float64           `json:"danger_thickness_mm"` // null: no furcal side
	DangerBelow     *float64           `json:"danger_below_furcation_mm"`
	Widths          []widthReport      `json:"widths"`
}

// constrictionReport is the narrowest part of a canal.
type constrictionReport struct {
	Type   string  `json:"type"`
	Level  float64 `json:"level_mm"`
	Narrow float64 `json:"narrow_mm"`
	Wide   float64 `json:"wide_mm"`
}

// foramenReport is the opening of a canal.
type foramenReport struct {
	Diameter float64 `json:"diameter_mm"`
	Offset   float64 `json:"offset_mm"` // from the anatomical apex
	Side     string  `json:"side"`      // towards which it opens, "tip" at the tip
}

// widthReport is a canal's section at one level.
type widthReport struct {
	Level        float64 `json:"level_mm"`
	Mesiodistal  float64 `json:"mesiodistal_mm"`
	Buccolingual float64 `json:"buccolingual_mm"`
	Dentine      float64 `json:"thinnest_dentine_mm"`
}

// reportedLevels are the levels at which sections are given, mm from the foramen.
func reportedLevels() []float64 { return []float64{1, 2, 3, 5, 8} }

// newToothReport measures a case.
func newToothReport(from scenario.Scenario, c *treatment.Case) toothReport {
	t := c.Tooth
	top := t.Crown.Cusps[0].Point.Y
	r := toothReport{
		Scenario: c.Scenario, ScenarioDigest: c.Digest, Seed: c.Seed, Engine: treatment.Engine,
		Kind: string(t.Kind), Number: c.Number, Upper: t.Upper, Age: tidy(t.Age), Difficulty: from.Difficulty(), Length: tidy(t.Length),
		Crown: crownReport{Height: tidy(t.Crown.Height), Mesiodistal: tidy(t.Crown.Table[0]), Buccolingual: tidy(t.Crown.Table[1]), Cusps: []string{}},
		Chamber: chamberReport{
			Roof: tidy(top - t.Chamber.Roof), Floor: tidy(top - t.Chamber.Floor), Height: tidy(t.Chamber.Roof - t.Chamber.Floor),
		},
		Canals: []canalReport{},
	}
	if t.Furcated {
		r.Chamber.Furcation = finite(t.Chamber.Floor - t.Furcation.Y)
	}
	for _, cusp := range t.Crown.Cusps {
		r.Crown.Cusps = append(r.Crown.Cusps, cusp.Name)
	}
	start := treatment.Start(c)
	for i := range t.Canals {
		r.Canals = append(r.Canals, newCanalReport(t, &start, i))
	}
	return r
}

// newCanalReport measures one canal.
func newCanalReport(t *anatomy.Tooth, start *treatment.State, i int) canalReport {
	c, m, now := &t.Canals[i], anatomy.Measure(t, i), &start.Canals[i]
	r := canalReport{
		Name: c.Name, Root: t.Roots[c.Root].Name, Configuration: t.Roots[c.Root].Config, Cusp: t.Crown.Cusps[c.Cusp].Name,
		Length: tidy(c.Length), ToOrifice: tidy(now.Orifice()), ToConstriction: tidy(start.Target(i)), ToForamen: tidy(now.Foramen()),
		Schneider: degrees(m.Schneider), SchneiderClass: geom.SchneiderClass(m.Schneider), Weine: degrees(m.Weine),
		Pruett: degrees(m.Pruett.Angle), Radius: finite(m.Pruett.Radius),
		EstrelaRadius: finite(m.EstrelaRadius), EstrelaClass: geom.EstrelaClass(m.EstrelaRadius),
		AccessAngle: degrees(m.Access.Angle), AccessX: tidy(m.Access.X), AccessY: tidy(m.Access.Y),
		Proximal: degrees(m.ProximalSchneider), TightestRadius: finite(1 / m.LargestCurvature), TightestLevel: tidy(m.LargestCurvatureLevel),
		Constriction: constrictionReport{c.Constriction.Type, tidy(c.Constriction.Level), tidy(c.Constriction.Narrow), tidy(c.Constriction.Wide)},
		Foramen:      foramenReport{tidy(c.Foramen.Diameter), tidy(c.Foramen.Offset), side(c.Foramen.Side)},
		Widths:       []widthReport{},
	}
	if c.Joins >= 0 {
		r.Joins, r.JoinLevel = t.Canals[c.Joins].Name, finite(c.Length-c.JoinS)
	}
	if m.DangerThickness > 0 {
		r.DangerThickness, r.DangerBelow = finite(m.DangerThickness), finite(m.DangerLevel)
	}
	for _, level := range reportedLevels() {
		if level < c.Length {
			r.Widths = append(r.Widths, newWidthReport(c, level))
		}
	}
	return r
}

// newWidthReport measures a canal's section at a level.
func newWidthReport(c *anatomy.Canal, level float64) widthReport {
	i := min(max(int(math.RoundToEven((c.Length-level)/c.Step)), 0), len(c.Axis)-1)
	thinnest := math.Inf(1)
	for side := range c.Wall {
		thinnest = math.Min(thinnest, c.Surface[side][i]-c.Wall[side][i])
	}
	return widthReport{level, tidy(c.Wall[0][i] + c.Wall[1][i]), tidy(c.Wall[2][i] + c.Wall[3][i]), tidy(thinnest)}
}

// side returns the word for the side of a wall.
func side(index int) string {
	if index < 0 {
		return "tip"
	}
	return [4]string{"mesial", "distal", "buccal", "lingual"}[index]
}

// degrees turns radians into degrees, tidied.
func degrees(rad float64) float64 { return tidy(rad * 180 / math.Pi) }

// tidy rounds to a millionth, far below what can be measured, and gives no negative zero.
func tidy(v float64) float64 { return math.RoundToEven(v*1e6)/1e6 + 0 }

// finite returns a tidied value, or null where there is none.
func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	v = tidy(v)
	return &v
}

// print lays the report out for a terminal.
func (r toothReport) print(p page, from scenario.Scenario) {
	heading(p, from)
	p.paragraph("", strings.Join([]string{
		r.Scenario, strings.ReplaceAll(r.Kind, "-", " "), "tooth " + number(float64(r.Number), ""), "difficulty " + r.Difficulty,
		"seed " + whole(r.Seed), "engine " + r.Engine,
	}, " · "))
	p.section("Tooth", "depths from the highest cusp")
	rows := [][]string{
		{"age", number(r.Age, "years"), "years", ""},
		{"length", number(r.Length, "mm"), "mm", "highest cusp to the radiographic apex of the longest root"},
		{"crown height", number(r.Crown.Height, "mm"), "mm", ""},
		{"crown width", number(r.Crown.Mesiodistal, "mm"), "mm", "mesial to distal"},
		{"", number(r.Crown.Buccolingual, "mm"), "mm", "buccal to lingual"},
		{"chamber roof", number(r.Chamber.Roof, "mm"), "mm", ""},
		{"chamber floor", number(r.Chamber.Floor, "mm"), "mm", ""},
		{"chamber height", number(r.Chamber.Height, "mm"), "mm", ""},
	}
	if r.Chamber.Furcation != nil {
		rows = append(rows, []string{"floor to furcation", number(*r.Chamber.Furcation, "mm"), "mm", ""})
	}
	p.table("lrll", rows)
	p.section("Canals", "level: from the foramen")
	r.printCanals(p)
	p.section("Widths", "mesiodistal × buccolingual, thinnest dentine beside it; mm")
	r.printWidths(p)
}

// line is one measurement of every canal.
type line struct {
	label, unit string
	value       func(c *canalReport) string
}

// inMM is a line of lengths in mm.
func inMM(label string, at func(c *canalReport) float64) line {
	return line{label, "mm", func(c *canalReport) string { return number(at(c), "mm") }}
}

// inDegrees is a line of angles.
func inDegrees(label string, at func(c *canalReport) float64) line {
	return line{label, "deg", func(c *canalReport) string { return number(at(c), "deg") }}
}

// perhaps is a line of lengths that not every canal has; none is the word for that, and for a radius of a
// metre or more.
func perhaps(label, none string, at func(c *canalReport) *float64) line {
	return line{label, "mm", func(c *canalReport) string {
		if v := at(c); v != nil && *v < 1000 {
			return number(*v, "mm")
		}
		return none
	}}
}

// words is a line of words.
func words(label string, at func(c *canalReport) string) line { return line{label, "", at} }

// canalLines are the measurements in the order they are printed.
func canalLines() []line {
	return []line{
		words("root", func(c *canalReport) string { return c.Root }),
		words("canal configuration", func(c *canalReport) string { return c.Configuration }),
		words("joins", func(c *canalReport) string { return orDash(c.Joins) }),
		words("reference cusp", func(c *canalReport) string { return c.Cusp }),
		inMM("length, orifice to foramen", func(c *canalReport) float64 { return c.Length }),
		inMM("reference to orifice", func(c *canalReport) float64 { return c.ToOrifice }),
		inMM("reference to constriction", func(c *canalReport) float64 { return c.ToConstriction }),
		inMM("reference to foramen", func(c *canalReport) float64 { return c.ToForamen }),
		inDegrees("Schneider angle", func(c *canalReport) float64 { return c.Schneider }),
		words("  class", func(c *canalReport) string { return c.SchneiderClass }),
		inDegrees("Weine angle", func(c *canalReport) float64 { return c.Weine }),
		inDegrees("Pruett angle", func(c *canalReport) float64 { return c.Pruett }),
		perhaps("  radius", "straight", func(c *canalReport) *float64 { return c.Radius }),
		perhaps("Estrela radius", "straight", func(c *canalReport) *float64 { return c.EstrelaRadius }),
		words("  class", func(c *canalReport) string { return c.EstrelaClass }),
		inDegrees("canal access angle", func(c *canalReport) float64 { return c.AccessAngle }),
		inMM("  x, off the chord", func(c *canalReport) float64 { return c.AccessX }),
		inMM("  y, along the chord", func(c *canalReport) float64 { return c.AccessY }),
		inDegrees("Schneider angle, proximal", func(c *canalReport) float64 { return c.Proximal }),
		perhaps("tightest radius", "straight", func(c *canalReport) *float64 { return c.TightestRadius }),
		inMM("  level", func(c *canalReport) float64 { return c.TightestLevel }),
		words("constriction", func(c *canalReport) string { return c.Constriction.Type }),
		inMM("  level", func(c *canalReport) float64 { return c.Constriction.Level }),
		inMM("  narrow diameter", func(c *canalReport) float64 { return c.Constriction.Narrow }),
		inMM("  wide diameter", func(c *canalReport) float64 { return c.Constriction.Wide }),
		inMM("foramen, diameter", func(c *canalReport) float64 { return c.Foramen.Diameter }),
		inMM("  from the apex", func(c *canalReport) float64 { return c.Foramen.Offset }),
		words("  opens towards", func(c *canalReport) string { return c.Foramen.Side }),
		perhaps("thinnest furcal dentine", "–", func(c *canalReport) *float64 { return c.DangerThickness }),
		perhaps("  below the furcation", "–", func(c *canalReport) *float64 { return c.DangerBelow }),
	}
}

// printCanals prints the measurements with one column a canal; what no canal has is left out.
func (r toothReport) printCanals(p page) {
	head := []string{""}
	for _, c := range r.Canals {
		head = append(head, c.Name)
	}
	rows := [][]string{append(head, "")}
	for _, l := range canalLines() {
		row, empty := []string{l.label}, true
		for i := range r.Canals {
			row = append(row, l.value(&r.Canals[i]))
			empty = empty && row[i+1] == "–"
		}
		if !empty {
			rows = append(rows, append(row, l.unit))
		}
	}
	p.table("l"+strings.Repeat("r", len(r.Canals))+"l", rows)
}

// printWidths prints the sections with one column a canal.
func (r toothReport) printWidths(p page) {
	head := []string{"level"}
	for _, c := range r.Canals {
		head = append(head, c.Name, "")
	}
	rows := [][]string{head}
	for i, level := range reportedLevels() {
		row := []string{number(level, "") + " mm"}
		for _, c := range r.Canals {
			if i >= len(c.Widths) {
				row = append(row, "–", "")
				continue
			}
			w := c.Widths[i]
			row = append(row, number(w.Mesiodistal, "mm")+" × "+number(w.Buccolingual, "mm"), number(w.Dentine, "mm"))
		}
		rows = append(rows, row)
	}
	p.table("l"+strings.Repeat("rr", len(r.Canals)), rows)
}

// orDash returns a text, or a dash for none.
func orDash(text string) string {
	if text == "" {
		return "–"
	}
	return text
}
