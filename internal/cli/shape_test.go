package cli_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tugback/internal/cli"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

// shapes runs "tugback shape" with arguments and returns its exit code and what it printed and complained of.
func shapes(args ...string) (code int, out, complaint string) {
	var printed, complaints bytes.Buffer
	code = cli.Main(append([]string{"shape"}, args...), cli.Streams{Out: &printed, Err: &complaints, Shipped: scenarios.Files})
	return code, printed.String(), complaints.String()
}

// measured is what of a report the tests look at.
type measured struct {
	Straightening float64 `json:"straightening_deg"`
	Length        float64 `json:"length_change_mm"`
	Levels        []struct {
		Inner     float64    `json:"inner_mm"`
		Outer     float64    `json:"outer_mm"`
		Transport float64    `json:"transport_mm"`
		Centring  float64    `json:"centring"`
		Before    [2]float64 `json:"before_mm"`
		After     [2]float64 `json:"after_mm"`
	} `json:"levels"`
}

// TestShapeArguments: whatever stands in the arguments, the command ends: with a report whose figures are finite
// and fit each other, or with a complaint and the code of a fault in the input or of usage; it never panics and
// never does both (property).
func TestShapeArguments(t *testing.T) {
	names := []string{"arc", "schneider", "radius", "length", "coronal straight", "apical straight", "width", "taper", "second arc", "second radius", "between", "wall", "radios", ""}
	numbers := []string{"0", "-1", "3", "6.5", "40", "1e9", "NaN", "Inf", "0.2", ".02", "", "400", "--", "٣"}
	units := []string{" mm", " deg", " rad", "", "°", " N", " mm mm", "%"}
	files := []string{"15/.02 steel", "20/.04 niti", "25/.06 rotary", "25/.06 reciprocating", "40/.02 h", "15/.02 brass", "7/.02", "/", "15/.005", "rotary-25.06", "needle-30-side", "cone-25.04", "20/.08 opener"}
	rapid.Check(t, func(t *rapid.T) {
		var words []string
		for range rapid.IntRange(0, 4).Draw(t, "words") {
			words = append(words, rapid.SampledFrom(names).Draw(t, "name")+" "+rapid.SampledFrom(numbers).Draw(t, "number")+rapid.SampledFrom(units).Draw(t, "unit"))
		}
		canal := strings.Join(words, rapid.SampledFrom([]string{", ", ",", " ", ";"}).Draw(t, "between"))
		if rapid.Bool().Draw(t, "sound") {
			canal = "arc " + strconv.Itoa(rapid.IntRange(0, 60).Draw(t, "angle")) + " deg, radius " + strconv.Itoa(rapid.IntRange(2, 9).Draw(t, "radius")) + " mm"
		}
		args := []string{"--json", "--strokes", rapid.SampledFrom([]string{"1", "2", "0", "-1", "99999", "x"}).Draw(t, "strokes"), "--canal", canal,
			"--files", rapid.SampledFrom(files).Draw(t, "file") + rapid.SampledFrom([]string{"", ",", ", 15/.02 flex"}).Draw(t, "more")}
		for _, flag := range []string{"--push", "--press", "--short", "--pre-curve", "--motion", "--forward", "--speed"} {
			if rapid.IntRange(0, 9).Draw(t, flag) == 0 {
				args = append(args, flag, rapid.SampledFrom(append(numbers, "2 N", "3 mm", "90 deg", "push-pull", "pecking")).Draw(t, "value"))
			}
		}
		code, out, complaint := shapes(args...)
		if code != 0 {
			if out != "" || complaint == "" || code > 2 {
				t.Fatalf("%q: code %d, printed %q, complained %q", args, code, out, complaint)
			}
			return
		}
		var m measured
		if err := json.Unmarshal([]byte(out), &m); err != nil || complaint != "" {
			t.Fatalf("%q: %v, complained %q", args, err, complaint)
		}
		for i, l := range m.Levels {
			sum := l.Inner + l.Outer
			if math.Abs(l.Outer-l.Inner-l.Transport) > 1e-5 || l.Inner < 0 || l.Outer < 0 || l.Centring < 0 || l.Centring > 1 || math.Abs(l.After[0]-l.Before[0]-sum) > 1e-5 {
				t.Fatalf("%q: level %d: %+v", args, i, l)
			}
		}
	})
}

// TestShapeComplaints: a fault is told with the word or the unit that was meant, or with what is allowed, and
// nothing is printed.
func TestShapeComplaints(t *testing.T) {
	const sound = "arc 40 deg, radius 6 mm"
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"--canal", "arc 40, radius 6 mm", "--files", "15/.02"}, "write for example 40 deg"},
		{[]string{"--canal", "arc 40 deg radius 6 mm", "--files", "15/.02"}, `a comma goes before "radius"`},
		{[]string{"--canal", "arc 40 deg, schneider 20 deg", "--files", "15/.02"}, "both arc and schneider"},
		{[]string{"--canal", "arc 40 deg, radius -6 mm", "--files", "15/.02"}, "allowed 1.5 to 60"},
		{[]string{"--canal", "arc 40 deg, radius NaN mm", "--files", "15/.02"}, "has no number"},
		{[]string{"--canal", "arc 95 deg, radius 12 mm", "--files", "15/.02"}, "but the canal is 16.00 mm long"},
		{[]string{"--canal", "arc 40 deg, secnd arc 10 deg", "--files", "15/.02"}, "did you mean second arc"},
		{[]string{"--canal", "arc 40 deg, wall 0 mm", "--files", "15/.02"}, "wall (mm) is 0"},
		{[]string{"--canal", "angle 40 deg", "--files", "15/.02"}, "may be two angles"},
		{[]string{"--canal", "straight", "--files", "15/.02"}, "arc 0 deg"},
		{[]string{"--canal", sound, "--files", "25/.04 rotary", "--speed", "0"}, "allowed 1 to 2000"},
		{[]string{"--canal", sound, "--files", "15/.02", "--forward", "0 deg"}, "allowed 1 to 360 deg"},
		{[]string{"--canal", sound, "--files", ""}, "no file"},
		{[]string{"--canal", sound, "--files", "25/.03 niti"}, "tapers .02, .04, .06"},
		{[]string{"--canal", sound, "--files", "25/.06 heat-traeted"}, "did you mean heat-treated"},
		{[]string{"--canal", sound, "--files", "15/.02", "--push", "0 N"}, "allowed 0.01 to 30 N"},
		{[]string{"--canal", sound, "--files", "15/.02", "--strokes", "0"}, "allowed 1 to 400"},
		{[]string{"--canal", sound, "--files", "15/.02", "--motion", "rotation"}, "needs a motor"},
		{[]string{"--canal", sound, "--files", "25/.06 rotary", "--motion", "push-pull"}, "all files are driven"},
		{[]string{"--canal", sound, "--technique", "step-back", "--push", "2 N"}, "go with --files"},
	} {
		code, out, complaint := shapes(c.args...)
		if code != 2 || out != "" || !strings.Contains(complaint, c.want) {
			t.Errorf("%q: code %d, printed %q, complained %q, want %q", c.args, code, out, complaint, c.want)
		}
	}
}

// TestShapeSpellings: what means the same does the same.
func TestShapeSpellings(t *testing.T) {
	_, plain, _ := shapes("--canal", "arc 20 deg, radius 6 mm", "--files", "15/.02 steel, 20/.04 niti", "--strokes", "2", "--json")
	_, other, complaint := shapes("--canal", "Pruett=20°; Radius: 0.6 cm", "--files", "hand-steel-15.02; 20/4 % Nickel-Titanium", "--strokes", "2", "--json")
	if plain == "" || plain != other {
		t.Errorf("spelled otherwise it prints\n%s\nand not\n%s\n%s", other, plain, complaint)
	}
}

// TestShapeTaper: a taper in per cent is that in mm/mm.
func TestShapeTaper(t *testing.T) {
	_, plain, _ := shapes("--canal", "arc 20 deg, taper 0.02", "--files", "15/.02 steel", "--strokes", "2", "--json")
	_, share, _ := shapes("--canal", "arc 20 deg, taper 2 %", "--files", "15/.02 steel", "--strokes", "2", "--json")
	if plain == "" || plain != share {
		t.Errorf("taper 0.02 and 2 %% print\n%s\nand\n%s", plain, share)
	}
}

// TestShapeDefaults: the help names the defaults that a bare canal has (treatment.DefaultBlock).
func TestShapeDefaults(t *testing.T) {
	_, help, _ := shapes("--help")
	help = strings.Join(strings.Fields(help), " ")
	b := treatment.DefaultBlock()
	for word, v := range map[string]float64{"length (%g mm)": b.Length, "apical straight (%g mm)": b.Tail, "width at the foramen (%g mm)": b.Width,
		"taper (%g)": b.Taper, "second radius (%g mm)": b.SecondRadius, "between the two (%g mm)": b.Between, "wall (%g mm)": b.Wall} {
		if want := fmt.Sprintf(word, v); !strings.Contains(help, want) {
			t.Errorf("the help does not say %q", want)
		}
	}
}

// TestShapeLength: in a longer canal, of which only the coronal straight is longer, the same files do the same: shafts
// find room above their flutes, longer files are taken, and one that is not made long enough is refused (property).
func TestShapeLength(t *testing.T) {
	files := []string{"--files", "15/.02 steel, 20/.02 steel, 25/.02 steel", "--strokes", "20", "--json"}
	var first measured
	for i, length := range []string{"17", "20", "25"} {
		_, out, complaint := shapes(append(files, "--canal", "arc 40 deg, radius 6 mm, length "+length+" mm")...)
		var m measured
		if err := json.Unmarshal([]byte(out), &m); err != nil {
			t.Fatalf("length %s mm: %v, complained %q", length, err, complaint)
		}
		if i == 0 {
			first = m
		}
		for k, l := range m.Levels {
			if math.Abs(l.Transport-first.Levels[k].Transport) > 0.02 {
				t.Errorf("length %s mm, level %d: transportation %.3f mm, in a shorter canal %.3f mm", length, k, l.Transport, first.Levels[k].Transport)
			}
		}
	}
	if code, _, complaint := shapes(append(files, "--canal", "arc 40 deg, length 30 mm")...); code != 2 || !strings.Contains(complaint, "31 mm long at most") {
		t.Errorf("a canal of 30 mm: code %d, complained %q", code, complaint)
	}
}

// TestPreCurve: a pre-curved file, which is not turned far, cuts less on the outer wall at the apex than a straight one
// (Weine 1975 and common teaching; direction only).
func TestPreCurve(t *testing.T) {
	var transport [2]float64
	for i, curve := range [][]string{nil, {"--pre-curve", "8 mm"}} {
		_, out, complaint := shapes(append(curve, "--canal", "arc 40 deg, radius 6 mm", "--files", "15/.02 steel, 20/.02 steel, 25/.02 steel", "--json")...)
		var m measured
		if err := json.Unmarshal([]byte(out), &m); err != nil {
			t.Fatalf("%v, complained %q", err, complaint)
		}
		transport[i] = m.Levels[1].Transport
	}
	if transport[1] > transport[0]/2 {
		t.Errorf("transportation 1 mm from the foramen: straight %.3f mm, pre-curved %.3f mm", transport[0], transport[1])
	}
}
