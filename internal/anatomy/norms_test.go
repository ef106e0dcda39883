package anatomy_test

import (
	"math"
	"slices"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/detmath"
)

// sample is a list of values.
type sample []float64

func (s sample) mean() float64 {
	sum := 0.0
	for _, v := range s {
		sum += v
	}
	return sum / float64(len(s))
}

func (s sample) sd() float64 {
	mean, sum := s.mean(), 0.0
	for _, v := range s {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(s)-1))
}

func (s sample) median() float64 {
	sorted := slices.Clone(s)
	slices.Sort(sorted)
	return sorted[len(sorted)/2]
}

// share returns the share of values for which keep holds.
func (s sample) share(keep func(float64) bool) float64 {
	count := 0.0
	for _, v := range s {
		if keep(v) {
			count++
		}
	}
	return count / float64(len(s))
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s: got %.3f, want %.3f ± %.3f", what, got, want, tolerance)
	}
}

func within(t *testing.T, what string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Errorf("%s: got %.3f, want %.3f to %.3f", what, got, low, high)
	}
}

// crop grows a number of teeth of a kind from seeds 1, 2, ….
func crop(t *testing.T, kind anatomy.Kind, n int, spec anatomy.Spec) []*anatomy.Tooth {
	t.Helper()
	spec.Kind = kind
	teeth := make([]*anatomy.Tooth, n)
	for i := range teeth {
		teeth[i] = grow(t, spec, uint64(i+1))
	}
	return teeth
}

// eachCanal calls visit for the canals of a name that run to a foramen of their own.
func eachCanal(teeth []*anatomy.Tooth, name string, visit func(tooth *anatomy.Tooth, i int, c anatomy.Canal)) {
	for _, tooth := range teeth {
		for i, c := range tooth.Canals {
			if (name == "" || c.Name == name) && c.Joins < 0 {
				visit(tooth, i, c)
			}
		}
	}
}

func listed(names ...string) anatomy.Spec {
	var spec anatomy.Spec
	for _, name := range names {
		spec.Canals = append(spec.Canals, anatomy.CanalSpec{Name: name})
	}
	return spec
}

// Every line has a source and a standing of the list, and numbers that make sense.
func TestNormsHaveSources(t *testing.T) {
	standings := []string{"confirmed", "memory", "common practice", "derived"}
	for _, n := range anatomy.Norms() {
		line := n.Tooth + " " + n.Canal + " " + n.Quantity
		if n.Source == "" || !slices.Contains(standings, n.Standing) || n.Unit == "" {
			t.Errorf("%s: source %q, standing %q, unit %q", line, n.Source, n.Standing, n.Unit)
		}
		if n.SD < 0 || n.Low > n.High || ((n.Low != 0 || n.High != 0) && (n.Mean < n.Low || n.Mean > n.High)) {
			t.Errorf("%s: mean %g, SD %g, %g to %g", line, n.Mean, n.SD, n.Low, n.High)
		}
		if n.Tooth != "any" && !slices.Contains(anatomy.Kinds(), anatomy.Kind(n.Tooth)) {
			t.Errorf("%s: no such tooth", line)
		}
	}
	if len(anatomy.Kinds()) != 14 {
		t.Errorf("%d kinds, want 14", len(anatomy.Kinds()))
	}
}

// All teeth, equal numbers of each kind. Curved: more than 5° (above Schneider's "easy") in either view.
// Source: Schäfer 2002 J Endod, 700 teeth, 1163 canals, facial and proximal films: 84 % curved, 9 %
// above 35°, extreme 75°, radius at most 13 mm above 35° and 40 mm below. Tolerances 6 and 4 points as
// its three shares do not add up to 84 %. With 35 teeth a kind the error of a share is 1.3 points.
func TestShareCurved(t *testing.T) {
	var curved, sharp sample
	for _, kind := range anatomy.Kinds() {
		eachCanal(crop(t, kind, 35, anatomy.Spec{}), "", func(tooth *anatomy.Tooth, i int, _ anatomy.Canal) {
			m := anatomy.Measure(tooth, i)
			curved = append(curved, math.Max(m.Schneider, m.ProximalSchneider))
			sharp = append(sharp, m.Pruett.Angle)
			if m.Pruett.Angle > 75*degree || (m.Pruett.Angle > 35*degree && m.Pruett.Radius > 13) {
				t.Errorf("%s seed %d: %.0f° with a radius of %.1f mm", kind, tooth.Seed, m.Pruett.Angle/degree, m.Pruett.Radius)
			}
		})
	}
	near(t, "share curved", curved.share(func(v float64) bool { return v > 5*degree }), 0.84, 0.06)
	near(t, "share above 35°", sharp.share(func(v float64) bool { return v > 35*degree }), 0.09, 0.04)
}

// Mean Schneider angles in the clinical view. Sources: lower first molar Gu 2010 (micro-CT, n = 45);
// upper first molar mesiobuccal: CBCT, asdj.journals.ekb.eg article 358389. Tolerances cover the error of 150 teeth
// (0.7°) and the fit of the reading.
func TestMeanCurvature(t *testing.T) {
	lower := crop(t, "lower-first-molar", 150, listed("MB", "ML", "D"))
	for _, c := range []struct {
		canal string
		want  float64
	}{{"MB", 24.3}, {"ML", 22.4}, {"D", 13.7}} {
		near(t, "lower first molar "+c.canal, schneiders(lower, c.canal).mean(), c.want, 3)
	}
	upper := schneiders(crop(t, "upper-first-molar", 150, anatomy.Spec{}), "MB")
	near(t, "upper first molar MB mean", upper.mean(), 22.8, 2.5)
	near(t, "upper first molar MB SD", upper.sd(), 9.8, 2.5)
	near(t, "upper first molar MB share of 10–30°", upper.share(func(v float64) bool { return v >= 10 && v <= 30 }), 0.69, 0.08)
}

// schneiders returns the Schneider angles of a canal, in degrees.
func schneiders(teeth []*anatomy.Tooth, canal string) sample {
	var angles sample
	eachCanal(teeth, canal, func(tooth *anatomy.Tooth, i int, _ anatomy.Canal) {
		angles = append(angles, anatomy.Measure(tooth, i).Schneider/degree)
	})
	return angles
}

// Directions in upper first molars (187 teeth): of curved MB canals 95 % distally, of curved palatal
// canals 92.5 % buccally. Source: AJOHS abstract. Curved here: above 5°.
func TestDirections(t *testing.T) {
	teeth := crop(t, "upper-first-molar", 400, anatomy.Spec{})
	var distally, buccally sample
	eachCanal(teeth, "MB", func(tooth *anatomy.Tooth, i int, c anatomy.Canal) {
		if anatomy.Measure(tooth, i).Schneider > 5*degree {
			distally = append(distally, c.Axis[len(c.Axis)-1].Heading-c.Axis[0].Heading)
		}
	})
	eachCanal(teeth, "P", func(tooth *anatomy.Tooth, i int, c anatomy.Canal) {
		if anatomy.Measure(tooth, i).ProximalSchneider > 5*degree {
			buccally = append(buccally, c.Proximal[0].Heading-c.Proximal[len(c.Proximal)-1].Heading)
		}
	})
	positive := func(v float64) bool { return v > 0 }
	near(t, "MB distally", distally.share(positive), 0.95, 0.05)
	near(t, "P buccally", buccally.share(positive), 0.925, 0.06)
}

// Median diameters of the mesiobuccal canal of lower molars at 1–4 mm. Source: Villas-Boas 2011 J Endod,
// 60 lower molars; ± 20 %.
func TestApicalDiameters(t *testing.T) {
	teeth := crop(t, "lower-first-molar", 250, listed("MB", "ML"))
	for level, want := range map[int][2]float64{1: {0.22, 0.37}, 2: {0.27, 0.55}, 3: {0.30, 0.54}, 4: {0.36, 0.54}} {
		for plane := range 2 {
			var widths sample
			eachCanal(teeth, "MB", func(_ *anatomy.Tooth, _ int, c anatomy.Canal) {
				widths = append(widths, widthAt(c, plane, float64(level)))
			})
			near(t, "MB "+[2]string{"mesiodistal", "buccolingual"}[plane]+" median at level "+string(rune('0'+level)), widths.median(), want[plane], 0.2*want[plane])
		}
	}
}

// widthAt returns the diameter of a canal in a plane at a level, mm.
func widthAt(c anatomy.Canal, plane int, level float64) float64 {
	j := len(c.Axis) - 1 - int(math.Round(level/c.Step))
	return c.Wall[2*plane][j] + c.Wall[2*plane+1][j]
}

// Constriction diameters. Source: Wolf 2017 Int J Oral Sci, roots with one foramen. Means ± 0.03 and
// 0.05 mm, SD ± 30 %.
func TestConstrictions(t *testing.T) {
	for _, c := range []struct {
		kind                        anatomy.Kind
		canal                       string
		narrow, narrowSD, wide, wSD float64
	}{
		{"upper-first-molar", "MB", 0.24, 0.08, 0.33, 0.14}, {"upper-first-molar", "DB", 0.22, 0.06, 0.31, 0.12},
		{"upper-first-molar", "P", 0.33, 0.10, 0.42, 0.14}, {"upper-second-molar", "MB", 0.24, 0.07, 0.41, 0.21},
		{"upper-second-molar", "DB", 0.22, 0.07, 0.33, 0.14}, {"upper-second-molar", "P", 0.33, 0.11, 0.44, 0.15},
		{"lower-first-molar", "M", 0.24, 0.07, 0.39, 0.22}, {"lower-first-molar", "D", 0.30, 0.11, 0.46, 0.18},
		{"lower-second-molar", "M", 0.25, 0.09, 0.47, 0.23}, {"lower-second-molar", "D", 0.31, 0.09, 0.47, 0.16},
	} {
		spec := anatomy.Spec{}
		if c.kind == "lower-first-molar" || c.kind == "lower-second-molar" {
			spec = listed("M", "D")
		}
		var narrow, wide sample
		eachCanal(crop(t, c.kind, 150, spec), c.canal, func(_ *anatomy.Tooth, _ int, canal anatomy.Canal) {
			narrow, wide = append(narrow, canal.Constriction.Narrow), append(wide, canal.Constriction.Wide)
		})
		name := string(c.kind) + " " + c.canal
		near(t, name+" narrow", narrow.mean(), c.narrow, 0.03)
		near(t, name+" narrow SD", narrow.sd(), c.narrowSD, 0.3*c.narrowSD)
		near(t, name+" wide", wide.mean(), c.wide, 0.05)
		near(t, name+" wide SD", wide.sd(), c.wSD, 0.3*c.wSD)
	}
}

// The constriction is where and as narrow as it says, whatever its type.
func TestConstrictionIsInTheWall(t *testing.T) {
	for _, kind := range []string{"single", "tapering", "multiple", "parallel"} {
		spec := anatomy.Spec{Noise: fixed(0), Canals: []anatomy.CanalSpec{{Name: "canal", Constriction: kind, Narrow: fixed(0.25), Wide: fixed(0.3), ConstrictionLevel: fixed(0.5)}}}
		for _, tooth := range crop(t, "upper-canine", 20, spec) {
			c := tooth.Canals[0]
			least, deepest := math.Inf(1), 0.0
			for level := 0.0; level < 4; level += c.Step {
				if w := math.Min(widthAt(c, 0, level), widthAt(c, 1, level)); w < least-1e-6 {
					least, deepest = w, level
				}
			}
			near(t, kind+" narrowest diameter", least, 0.25, 0.01)
			within(t, kind+" level", deepest, 0.2, 0.61)
		}
	}
}

// B9, B10, B11: foramen and radiographic apex. Means 0.59 (Burch & Hulen 1972, 877 teeth) and 0.69 mm (Martos 2009, 1331
// roots): 0.45–0.85; off the apex in 60 % (Martos) to 92.4 % (Burch & Hulen). Ageing: Kuttler 1955,
// n = 268: foramen diameter × 1.36, foramen to junction × 1.26, over 55 to 18–25 years.
func TestForamen(t *testing.T) {
	var offsets, off sample
	for _, kind := range anatomy.Kinds() {
		eachCanal(crop(t, kind, 40, anatomy.Spec{}), "", func(_ *anatomy.Tooth, _ int, c anatomy.Canal) {
			offsets, off = append(offsets, c.Foramen.Offset), append(off, float64(c.Foramen.Side))
		})
	}
	within(t, "mean distance to the apex", offsets.mean(), 0.45, 0.85)
	within(t, "share off the apex", off.share(func(v float64) bool { return v >= 0 }), 0.60, 0.924)
	var sizes, levels [2]sample
	for i, age := range []float64{21.5, 62} {
		eachCanal(crop(t, "upper-canine", 150, anatomy.Spec{Age: fixed(age), Canals: []anatomy.CanalSpec{{Name: "canal", Constriction: "single"}}}), "", func(_ *anatomy.Tooth, _ int, c anatomy.Canal) {
			sizes[i], levels[i] = append(sizes[i], c.Foramen.Diameter), append(levels[i], c.Constriction.Level)
		})
	}
	near(t, "foramen diameter, old to young", sizes[1].mean()/sizes[0].mean(), 1.36, 0.15)
	near(t, "foramen to constriction, old to young", levels[1].mean()/levels[0].mean(), 1.26, 0.15)
}

// Long oval sections, ratio 2 and more, in the apical 5 mm: 25 % of 1181 sections of 180 teeth, fewer
// towards the apex. Source: Wu 2000 Oral Surg; ± 10 points, as his mix of canals is not known.
func TestLongOval(t *testing.T) {
	var ratios [5]sample
	var all sample
	for _, kind := range anatomy.Kinds() {
		eachCanal(crop(t, kind, 30, anatomy.Spec{}), "", func(_ *anatomy.Tooth, _ int, c anatomy.Canal) {
			for level := 1; level <= 5; level++ {
				md, bl := widthAt(c, 0, float64(level)), widthAt(c, 1, float64(level))
				ratio := math.Max(md, bl) / math.Min(md, bl)
				ratios[level-1], all = append(ratios[level-1], ratio), append(all, ratio)
			}
		})
	}
	long := func(v float64) bool { return v >= 2 }
	near(t, "share of long ovals", all.share(long), 0.25, 0.10)
	if one, five := ratios[0].share(long), ratios[4].share(long); one >= five {
		t.Errorf("long ovals at 1 mm %.2f, at 5 mm %.2f: want fewer towards the apex", one, five)
	}
}

// P27: chamber depths of molars, 100 + 100 teeth. Source: Deutsch & Musikant 2004 J Endod. Means ± 0.2 mm,
// SD ± 30 %; distances from the buccal cusp, which is the first. They add up by construction; the
// published means do so to 0.05.
func TestChamberDepths(t *testing.T) {
	for kind, want := range map[anatomy.Kind][6][2]float64{
		"upper-first-molar": {{3.05, 0.79}, {4.91, 1.06}, {11.15, 1.21}, {8.08, 0.88}, {6.24, 0.88}, {1.88, 0.69}},
		"lower-first-molar": {{2.96, 0.78}, {4.55, 0.91}, {10.90, 1.21}, {7.95, 0.79}, {6.36, 0.93}, {1.57, 0.68}},
	} {
		var got [6]sample
		for _, tooth := range crop(t, kind, 500, anatomy.Spec{}) {
			cusp, ch, furcation := tooth.Crown.Cusps[0].Point.Y, tooth.Chamber, tooth.Furcation.Y
			for i, v := range []float64{ch.Floor - furcation, ch.Roof - furcation, cusp - furcation, cusp - ch.Floor, cusp - ch.Roof, ch.Roof - ch.Floor} {
				got[i] = append(got[i], v)
			}
		}
		for i, name := range []string{"floor to furcation", "roof to furcation", "cusp to furcation", "cusp to floor", "cusp to roof", "chamber height"} {
			near(t, string(kind)+" "+name, got[i].mean(), want[i][0], 0.2)
			near(t, string(kind)+" "+name+" SD", got[i].sd(), want[i][1], 0.3*want[i][1])
		}
		near(t, string(kind)+" roof and height", got[4].mean()+got[5].mean(), got[3].mean(), 0.05)
	}
}

// B14: drilling to roof, floor and furcation of the mean lower molar: 6.4, 8.0 and 10.9 mm from the cusp.
// Source: Deutsch & Musikant 2004; ± 0.3.
func TestDrillingDepths(t *testing.T) {
	var roof, floor, furcation sample
	for _, tooth := range crop(t, "lower-second-molar", 300, anatomy.Spec{}) {
		cusp := tooth.Crown.Cusps[0].Point.Y
		roof, floor, furcation = append(roof, cusp-tooth.Chamber.Roof), append(floor, cusp-tooth.Chamber.Floor), append(furcation, cusp-tooth.Furcation.Y)
	}
	near(t, "roof", roof.mean(), 6.36, 0.3)
	near(t, "floor", floor.mean(), 7.95, 0.3)
	near(t, "furcation", furcation.mean(), 10.90, 0.3)
}

// Danger zone of mesial canals before treatment: 1.13 ± 0.21 mm (0.67–1.93) MB, 1.10 ± 0.21 (0.77–1.89)
// ML. Source: De-Deus 2019 J Endod, 50 roots; mean ± 0.15. Level: 3–4 mm below the furcation, Zhou 2020,
// 1792 teeth; ± 1 mm on the median.
func TestDangerZone(t *testing.T) {
	teeth := crop(t, "lower-first-molar", 200, listed("MB", "ML"))
	for _, c := range []struct {
		canal           string
		mean, low, high float64
	}{{"MB", 1.13, 0.67, 1.93}, {"ML", 1.10, 0.77, 1.89}} {
		var thickness, level sample
		eachCanal(teeth, c.canal, func(tooth *anatomy.Tooth, i int, _ anatomy.Canal) {
			m := anatomy.Measure(tooth, i)
			thickness, level = append(thickness, m.DangerThickness), append(level, m.DangerLevel)
		})
		near(t, c.canal+" thinnest", thickness.mean(), c.mean, 0.15)
		within(t, c.canal+" smallest", slices.Min(thickness), c.low-0.06, c.high) // irregular walls: 0.06 mm
		within(t, c.canal+" largest", slices.Max(thickness), c.low, c.high)
		within(t, c.canal+" median level", level.median(), 2, 5)
	}
}

// Widest pulp of a lower second premolar shrinks by 0.0097 mm a year from 22 to 52 years. Source: JPDA,
// n = 200, slope derived; −0.005 to −0.02.
func TestPulpAges(t *testing.T) {
	widest := func(age float64) float64 {
		var widths sample
		for _, tooth := range crop(t, "lower-second-premolar", 60, anatomy.Spec{Age: fixed(age), Canals: []anatomy.CanalSpec{{Name: "canal"}}}) {
			c := tooth.Canals[0]
			most := tooth.Chamber.Wall[0] + tooth.Chamber.Wall[1]
			for j := range c.Axis {
				most = math.Max(most, c.Wall[0][j]+c.Wall[1][j])
			}
			widths = append(widths, most)
		}
		return widths.mean()
	}
	within(t, "slope", (widest(52)-widest(22))/30, -0.02, -0.005)
	near(t, "width at 37 years", widest(37), 1.03, 0.15)
}

// Canal configurations by root. Source: Vertucci 1984 Oral Surg, 2400 teeth (from memory); ± 2 points at
// N = 6000 (error of a share at most 0.65 points). Lower first molar mesial adds up to 101 as printed and
// is scaled.
func TestConfigurationShares(t *testing.T) {
	const n = 6000
	printed := map[anatomy.Kind]map[string]map[string]float64{
		"upper-central-incisor": {"root": {"I": 100}}, "upper-lateral-incisor": {"root": {"I": 100}}, "upper-canine": {"root": {"I": 100}},
		"upper-first-premolar":  {"root": {"I": 8, "II": 18, "IV": 62, "V": 7, "VIII": 5}},
		"upper-second-premolar": {"root": {"I": 48, "II": 22, "III": 5, "IV": 11, "V": 6, "VI": 5, "VII": 2, "VIII": 1}},
		"upper-first-molar":     {"MB": {"I": 45, "II": 37, "IV": 18}, "DB": {"I": 100}, "P": {"I": 100}},
		"upper-second-molar":    {"MB": {"I": 71, "II": 17, "IV": 12}, "DB": {"I": 100}, "P": {"I": 100}},
		"lower-central-incisor": {"root": {"I": 70, "II": 5, "III": 22, "IV": 3}},
		"lower-lateral-incisor": {"root": {"I": 75, "II": 5, "III": 18, "IV": 2}},
		"lower-canine":          {"root": {"I": 78, "II": 14, "III": 2, "IV": 6}},
		"lower-first-premolar":  {"root": {"I": 70, "III": 4, "IV": 1.5, "V": 24, "VIII": 0.5}},
		"lower-second-premolar": {"root": {"I": 97.5, "V": 2.5}},
		"lower-first-molar":     {"M": {"I": 12, "II": 28, "IV": 43, "V": 8, "VI": 10}, "D": {"I": 70, "II": 15, "IV": 5, "V": 8, "VI": 2}},
		"lower-second-molar":    {"M": {"I": 27, "II": 38, "IV": 26, "V": 9}, "D": {"I": 92, "II": 3, "IV": 4, "V": 1}},
	}
	for _, kind := range anatomy.Kinds() {
		count := map[[2]string]float64{}
		for seed := range uint64(n) {
			for _, c := range anatomy.Configurations(kind, seed) {
				count[[2]string{c.Root, c.Config}]++
			}
		}
		for root, shares := range printed[kind] {
			for _, config := range []string{"I", "II", "III", "IV", "V", "VI", "VII", "VIII"} {
				near(t, string(kind)+" "+root+" "+config, 100*count[[2]string{root, config}]/n, shares[config], 2)
			}
		}
	}
}

// A grown tooth has the configuration that Configurations names, and the canals that belong to it.
func TestConfigurationIsGrown(t *testing.T) {
	canals := map[string]int{"I": 1, "VIII": 3}
	for _, kind := range anatomy.Kinds() {
		for _, tooth := range crop(t, kind, 60, anatomy.Spec{}) {
			drawn := anatomy.Configurations(kind, tooth.Seed)
			total := 0
			for n, root := range tooth.Roots {
				want := drawn[min(n, len(drawn)-1)].Config
				if root.Config != want {
					t.Fatalf("%s seed %d root %s: type %s, want %s", kind, tooth.Seed, root.Name, root.Config, want)
				}
				total += len(root.Canals)
				joins := 0
				for _, c := range root.Canals {
					if tooth.Canals[c].Joins >= 0 {
						joins++
					}
				}
				if joined := want == "II" || want == "III"; joined != (joins == 1) {
					t.Fatalf("%s seed %d root %s: type %s with %d joining canals", kind, tooth.Seed, root.Name, want, joins)
				}
			}
			sum := 0
			for _, c := range drawn {
				if n, ok := canals[c.Config]; ok {
					sum += n
				} else {
					sum += 2
				}
			}
			if total != sum {
				t.Fatalf("%s seed %d: %d canals, want %d", kind, tooth.Seed, total, sum)
			}
		}
	}
}

// Mesiobuccal and mesiolingual canals of a lower molar share a root but not a path.
func TestMesialCanalsDiffer(t *testing.T) {
	for _, tooth := range crop(t, "lower-first-molar", 30, listed("MB", "ML", "D")) {
		a, b := tooth.Canals[0], tooth.Canals[1]
		if a.Root != b.Root || detmath.Digest(a.Axis) == detmath.Digest(b.Axis) {
			t.Fatalf("seed %d: roots %d and %d, or one clinical axis", tooth.Seed, a.Root, b.Root)
		}
		end := a.Axis[len(a.Axis)-1].Point.Sub(b.Axis[len(b.Axis)-1].Point).Norm()
		within(t, "foramina apart in the clinical plane", end, 0, 2.5)
	}
}
