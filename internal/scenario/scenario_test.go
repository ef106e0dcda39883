package scenario_test

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// least is the shortest scenario; a %s takes further keys of the tooth, another further keys.
const least = "format: 1\nname: least\npulp: vital\ndifficulty: low\ntooth:\n  kind: lower-first-molar\n%s%s"

func parse(t *testing.T, text string) scenario.Scenario {
	t.Helper()
	s, err := scenario.Parse("test.yaml", []byte(text))
	if err != nil {
		t.Fatalf("%s\n%v", text, err)
	}
	return s
}

// faultsOf returns the faults of a text, and ends the test when there are none.
func faultsOf(t *testing.T, text string) scenario.Faults {
	t.Helper()
	_, err := scenario.Parse("test.yaml", []byte(text))
	var faults scenario.Faults
	if !errors.As(err, &faults) || len(faults) == 0 {
		t.Fatalf("no faults in\n%s\n%v", text, err)
	}
	return faults
}

// TestEveryKey checks that every key of a canal and a tooth arrives in the Spec in the engine's
// units: mm, rad, years, shares. The expected numbers are unit definitions.
func TestEveryKey(t *testing.T) {
	s, err := scenario.Load(filepath.Join(testdata, "ok", "every-key.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	fixed := func(v float64) anatomy.Range { return anatomy.Range{Set: true, Low: v, High: v} }
	between := func(a, b float64) anatomy.Range { return anatomy.Range{Set: true, Low: a, High: b} }
	deg := math.Pi / 180
	want := anatomy.Spec{
		Kind: "lower-first-molar", Age: between(30, 40), Length: fixed(21), Crown: fixed(7.5),
		ChamberHeight: fixed(1.6), RoofDepth: fixed(6.3), Noise: between(0.5, 1),
		Canals: []anatomy.CanalSpec{{
			Name: "MB", Angle: between(20*deg, 25*deg), Radius: fixed(10), Towards: "distal",
			ApicalStraight: fixed(1), SecondAngle: fixed(5 * deg), SecondRadius: fixed(15),
			ProximalAngle: fixed(10 * deg), ProximalRadius: fixed(15), ProximalTowards: "buccal",
			OrificeTilt: between(-2*deg, 3*deg), Constriction: "single", Narrow: fixed(0.24), Wide: fixed(0.39),
			ConstrictionLevel: fixed(0.5), ForamenOffset: fixed(0.5), Taper: fixed(0.04),
			Calcified: []anatomy.Narrowing{{Level: 9, Length: 2, Share: 0.6}},
		}, {Name: "ML", Joins: "MB", JoinLevel: fixed(3)}, {Name: "D"}},
	}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-15*math.Abs(a+b) })
	if diff := cmp.Diff(want, scenario.SpecOf(s), near); diff != "" {
		t.Errorf("Spec (-want +got):\n%s", diff)
	}
	long, err := scenario.Load(filepath.Join(testdata, "ok", "canal-length.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(between(13, 13.5), scenario.SpecOf(long).Canals[0].Length); diff != "" {
		t.Errorf("canal length (-want +got):\n%s", diff)
	}
	if got := s.Seed(); got != math.MaxUint64 {
		t.Errorf("Seed = %d, want the largest of 64 bits", got)
	}
	if got, want := s.Summary(), "All keys,\neach once."; got != want {
		t.Errorf("Summary = %q, want %q", got, want)
	}
}

// TestSettings checks that settings arrive in the case, converted, and that those not given keep the
// engine's defaults.
func TestSettings(t *testing.T) {
	s := parse(t, fmt.Sprintf(least, "", "settings: {ledge-step: 70 µm, extrusion-limit: 6 mmHg, breakage-drawn: no, loose-share: 7 %}\nlesion: yes\n"))
	c, err := s.Case(3)
	if err != nil {
		t.Fatal(err)
	}
	want := treatment.DefaultSettings()
	want.LedgeStep, want.ExtrusionLimit, want.BreakageDrawn, want.LooseShare = 0.07, 799.934324490, false, 0.07 // 133.322387415 Pa = 1 mmHg
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-15*math.Abs(a+b) })
	if diff := cmp.Diff(want, c.Settings, near); diff != "" {
		t.Errorf("Settings (-want +got):\n%s", diff)
	}
	if !c.Vital || !c.Lesion || c.Number != 46 || c.Difficulty != "low" || c.Digest != s.Digest() || c.Seed != 3 || c.Scenario != "least" {
		t.Errorf("case does not carry the scenario's findings: %+v", c)
	}
}

// TestDigest checks what changes a digest and what does not.
func TestDigest(t *testing.T) {
	base := fmt.Sprintf(least, "  age: 30 years\n", "title: A title\n")
	same := []string{
		"# a comment\n" + base,
		strings.ReplaceAll(base, "name: least", "name:   'least'   # quoted"),
		strings.ReplaceAll(base, "\n", "\r\n"),
		"title: A\n  title\n" + strings.ReplaceAll(base, "title: A title\n", ""),
		base + "rules: []\n",
	}
	other := []string{
		strings.ReplaceAll(base, "30 years", "31 years"),
		strings.ReplaceAll(base, "vital", "necrotic"),
		strings.ReplaceAll(base, "A title", "Another title"),
		base + "seed: 2\n",
		base + "rules: [{id: a, points: 1, metric: barrier_mm, full: '>= 2 mm'}]\n",
		base + "rules: [{id: a, points: 2, metric: barrier_mm, full: '>= 2 mm'}]\n",
	}
	digest := parse(t, base).Digest()
	if !regexp.MustCompile(`^[0-9a-f]{64}$`).MatchString(digest) {
		t.Errorf("digest %q is no SHA-256 in hexadecimal", digest)
	}
	for _, text := range same {
		if got := parse(t, text).Digest(); got != digest {
			t.Errorf("digest changed by layout:\n%s", text)
		}
	}
	seen := map[string]bool{digest: true}
	for _, text := range other {
		if got := parse(t, text).Digest(); seen[got] {
			t.Errorf("digest did not change with the content:\n%s", text)
		} else {
			seen[got] = true
		}
	}
}

// TestDigestKnowsUsedRules checks that the digest covers the rules of used files, but not their
// comments, nor whether a rule stands in the file itself.
func TestDigestKnowsUsedRules(t *testing.T) {
	rule := "- {id: a, points: 1, metric: barrier_mm, full: '>= 2 mm'}\n"
	head := fmt.Sprintf(least, "", "rules:\n")
	digest := func(main, set string) string {
		t.Helper()
		files := fstest.MapFS{"cases/main.yaml": {Data: []byte(head + main)}, "cases/sets/a.yaml": {Data: []byte(set)}}
		s, err := scenario.LoadFS(files, "cases/main.yaml")
		if err != nil {
			t.Fatal(err)
		}
		return s.Digest()
	}
	used := digest("- use: sets/a.yaml\n", "format: 1\nrules:\n"+rule)
	if got := digest("- use: sets/a.yaml\n", "# note\nformat: 1\nrules:\n"+rule); got != used {
		t.Error("a comment in a rule set changed the digest")
	}
	if got := digest(rule, ""); got != used {
		t.Error("the digest differs between a rule used and the same rule written out")
	}
	if got := digest("- use: sets/a.yaml\n", "format: 1\nrules:\n"+strings.Replace(rule, "1,", "2,", 1)); got == used {
		t.Error("a changed rule in a used set did not change the digest")
	}
}

// TestUsedRules checks the order of rules from files that use each other.
func TestUsedRules(t *testing.T) {
	s, err := scenario.Load(filepath.Join(testdata, "ok", "uses.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, r := range s.Rules() {
		ids = append(ids, r.ID)
	}
	if diff := cmp.Diff([]string{"inner", "outer", "own"}, ids); diff != "" {
		t.Errorf("rules (-want +got):\n%s", diff)
	}
	if got := s.Rules()[2].Full.Value; got != 365.25 {
		t.Errorf("a year is %g d, want 365.25 d (Julian year)", got)
	}
	if s.Marker() == nil {
		t.Error("no marker")
	}
}

// TestUseStaysInside checks that a link in the folder does not lead out of it.
func TestUseStaysInside(t *testing.T) {
	folder := t.TempDir()
	outside := filepath.Join(t.TempDir(), "set.yaml")
	write(t, outside, "format: 1\nrules: []\n")
	if err := os.Symlink(outside, filepath.Join(folder, "set.yaml")); err != nil {
		t.Skip("no links here:", err)
	}
	main := filepath.Join(folder, "main.yaml")
	write(t, main, fmt.Sprintf(least, "", "rules: [{use: set.yaml}]\n"))
	if _, err := scenario.Load(main); err == nil {
		t.Error("a rule set outside the folder was read through a link")
	}
}

func write(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

// TestUnreadableFiles checks what is said of files that cannot be read as scenarios at all.
func TestUnreadableFiles(t *testing.T) {
	folder := t.TempDir()
	large := filepath.Join(folder, "large.yaml")
	write(t, large, "")
	if err := os.Truncate(large, 100<<20); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		filepath.Join(folder, "missing.yaml"): "no such file",
		folder:                                "is a folder",
		large:                                 "is too large: 102400 KiB or more, allowed 1024 KiB",
	} {
		for what, load := range map[string]func(string) error{
			"scenario": func(n string) error { _, err := scenario.Load(n); return err },
			"plan":     func(n string) error { _, err := scenario.LoadPlan(n); return err },
		} {
			err := load(name)
			if err == nil || !strings.HasPrefix(err.Error(), name+": "+want) {
				t.Errorf("%s %s: got %v, want %q", what, name, err, want)
			}
		}
	}
	if _, err := scenario.Parse("text", make([]byte, 2<<20)); err == nil {
		t.Error("a text of 2 MiB was read")
	}
}

// TestShippedScenarios checks that the scenarios of the program are without fault, read from disk
// and from inside the program alike, that their teeth grow from many seeds, and that their points
// add up to 100.
func TestShippedScenarios(t *testing.T) {
	names, err := filepath.Glob("../../scenarios/*.yaml")
	if err != nil || len(names) < 3 {
		t.Fatalf("scenarios %v, %v", names, err)
	}
	for _, name := range names {
		onDisk, err := scenario.Load(name)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		inside, err := scenario.LoadFS(scenarios.Files, filepath.Base(name))
		if err != nil || inside.Digest() != onDisk.Digest() {
			t.Errorf("%s differs inside the program: %v", name, err)
		}
		if got, want := onDisk.Name()+".yaml", filepath.Base(name); got != want {
			t.Errorf("%s is named %s", name, onDisk.Name())
		}
		for seed := range uint64(20) {
			if _, err := onDisk.Case(seed); err != nil {
				t.Errorf("seed %d: %v", seed, err)
			}
		}
		points := 0.0
		_, drill := onDisk.Drill()
		for _, r := range onDisk.Rules() {
			if drill || r.ID != "time" && !strings.HasPrefix(r.ID, "protocol-") { // of whole cases these come on top, and the total says so
				points += r.Points
			}
		}
		if points != 100 {
			t.Errorf("%s: the rules give %g points, want 100", name, points)
		}
	}
}

// TestLimits compares the limits of every quantity of a tooth with those of anatomy: what is just
// outside here is refused there. The tooth is asked for with one value only, so nothing else can be
// the reason.
func TestLimits(t *testing.T) {
	limit := regexp.MustCompile(`(\S+) is (-?\d+) (\S+), allowed (-?[0-9.]+) \S+ to (-?[0-9.]+) `)
	inTooth := []string{"age: %g years", "length: %g mm", "crown-height: %g mm", "chamber-height: %g mm", "roof-depth: %g mm", "irregularity: %g %%"}
	inCanal := []string{"length: %g mm", "angle: %g deg", "radius: %g mm", "apical-straight: %g mm", "second-angle: %g deg",
		"second-radius: %g mm", "proximal-angle: %g deg", "proximal-radius: %g mm", "orifice-tilt: %g deg", "narrow: %g mm", "wide: %g mm",
		"constriction-level: %g mm", "foramen-offset: %g mm", "taper: %g %%", "join-level: %g mm"}
	var formats []string
	for _, f := range inTooth {
		formats = append(formats, "  "+f+"\n")
	}
	for _, f := range inCanal {
		formats = append(formats, "  canals: {MB: {"+f+"}}\n")
	}
	for _, f := range formats {
		faults := faultsOf(t, fmt.Sprintf(least, fmt.Sprintf(f, 1000.0), ""))
		found := limit.FindStringSubmatch(faults[0].Message)
		if found == nil || faults[0].Rule != "range" {
			t.Errorf("%s: %s", f, faults[0].Message)
			continue
		}
		for i, step := range map[int]float64{4: -1e-6, 5: 1e-6} {
			var end float64
			if _, err := fmt.Sscan(found[i], &end); err != nil {
				t.Fatal(err)
			}
			text := fmt.Sprintf(least, fmt.Sprintf(strings.Replace(f, "%g", "%.7f", 1), end+step), "")
			if got := faultsOf(t, text)[0].Rule; got != "range" {
				t.Errorf("%s at %g: fault %q, want range", f, end+step, got)
			}
			if spec := specWith(f, end+step); spec != nil {
				if _, err := anatomy.Grow(*spec, 1); err == nil {
					t.Errorf("%s: anatomy takes %g, which is outside the limits here", f, end+step)
				}
			}
		}
	}
}

// specWith returns a Spec with only the value set that a line of a scenario gives.
func specWith(format string, value float64) *anatomy.Spec {
	key := strings.Trim(strings.SplitN(strings.TrimPrefix(strings.TrimSpace(format), "canals: {MB: {"), ":", 2)[0], " ")
	r := anatomy.Range{Set: true, Low: value, High: value}
	if strings.Contains(format, "deg") {
		r.Low, r.High = value*math.Pi/180, value*math.Pi/180
	}
	if strings.Contains(format, "%%") {
		r.Low, r.High = value/100, value/100
	}
	spec := anatomy.Spec{Kind: "lower-first-molar"}
	if !strings.Contains(format, "canals") {
		at := map[string]*anatomy.Range{"age": &spec.Age, "length": &spec.Length, "crown-height": &spec.Crown,
			"chamber-height": &spec.ChamberHeight, "roof-depth": &spec.RoofDepth, "irregularity": &spec.Noise}[key]
		*at = r
		return &spec
	}
	spec.Canals = []anatomy.CanalSpec{{Name: "MB"}}
	c := &spec.Canals[0]
	at := map[string]*anatomy.Range{"length": &c.Length, "angle": &c.Angle, "radius": &c.Radius, "apical-straight": &c.ApicalStraight,
		"second-angle": &c.SecondAngle, "second-radius": &c.SecondRadius, "proximal-angle": &c.ProximalAngle,
		"proximal-radius": &c.ProximalRadius, "orifice-tilt": &c.OrificeTilt, "narrow": &c.Narrow, "wide": &c.Wide,
		"constriction-level": &c.ConstrictionLevel, "foramen-offset": &c.ForamenOffset, "taper": &c.Taper, "join-level": &c.JoinLevel}[key]
	*at = r
	return &spec
}

// TestKinds checks that the kinds a scenario may name are those that anatomy grows, each with two
// numbers (ISO 3950).
func TestKinds(t *testing.T) {
	for _, kind := range anatomy.Kinds() {
		text := strings.Replace(fmt.Sprintf(least, "", ""), "lower-first-molar", string(kind), 1)
		s := parse(t, text)
		if s.Kind() != kind || s.Number() < 11 || s.Number() > 47 {
			t.Errorf("%s: kind %s, number %d", kind, s.Kind(), s.Number())
		}
	}
	for number, kind := range map[int]string{11: "upper-central-incisor", 22: "upper-lateral-incisor", 33: "lower-canine",
		44: "lower-first-premolar", 15: "upper-second-premolar", 26: "upper-first-molar", 37: "lower-second-molar"} {
		text := strings.Replace(fmt.Sprintf(least, fmt.Sprintf("  number: %d\n", number), ""), "lower-first-molar", kind, 1)
		if got := parse(t, text).Number(); got != number {
			t.Errorf("%s: number %d, want %d", kind, got, number)
		}
	}
}

// TestPositions checks that a fault points at the character that is wrong, in every way a text can
// be written.
func TestPositions(t *testing.T) {
	for _, test := range []struct{ rule, at string }{
		{`{id: a, points: 1, when: nonsense > 1}`, "13:30"},
		{`{id: a, points: 1, when: 'nonsense > 1'}`, "13:31"},
		{`{id: a, points: 1, when: "did('work') and nonsense > 1"}`, "13:47"},
		{"id: a\n    points: 1\n    when: |\n      did('work')\n      and nonsense > 1", "17:11"},
		{"id: a\n    points: 1\n    when: >-\n      did('work')\n      and nonsense > 1", "17:11"},
		{`{id: a, points: 1, metric: barrier_mm, full: ">= 2 cl"}`, "13:56"},
		{`{id: ä, title: "\"", points: 1, when: 'a''b'}`, "13:43"}, // escapes: the beginning of the value
	} {
		text := fmt.Sprintf(least, "", "\n\n\n\n\nrules:\n  - ") + test.rule + "\n"
		faults := faultsOf(t, text)
		if got := fmt.Sprintf("%d:%d", faults[0].Line, faults[0].Column); got != test.at {
			t.Errorf("%s: fault at %s, want %s\n%v", test.rule, got, test.at, faults)
		}
		for _, f := range faults {
			if lines := strings.Split(text, "\n"); f.Line > 0 && f.Source != lines[f.Line-1] {
				t.Errorf("line %d is quoted as %q, want %q", f.Line, f.Source, lines[f.Line-1])
			}
		}
	}
}

// FuzzParse holds that no text makes reading panic, that every fault has a place in the text, and
// that what is read without fault has a digest.
func FuzzParse(f *testing.F) {
	for _, folder := range []string{"ok", "bad"} {
		names, err := filepath.Glob(filepath.Join(testdata, folder, "*.yaml"))
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range names {
			text, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := scenario.Parse("fuzz.yaml", text)
		checkFaults(t, text, err)
		if err == nil && len(s.Digest()) != 64 {
			t.Errorf("digest %q", s.Digest())
		}
	})
}

// checkFaults checks that an error is a Faults with places inside the text, and can be printed.
func checkFaults(t *testing.T, text []byte, err error) {
	t.Helper()
	var faults scenario.Faults
	if err == nil {
		return
	}
	if !errors.As(err, &faults) || len(faults) == 0 || faults.Error() == "" {
		t.Fatalf("error %v is no list of faults", err)
	}
	for _, fault := range faults {
		if fault.Message == "" || fault.Rule == "" || fault.Line < 0 || fault.Line > len(text)+1 || fault.Line > 0 && fault.Column < 1 {
			t.Errorf("fault %+v", fault)
		}
	}
}
