package cli_test

import (
	"bytes"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tugback/internal/anatomy"
	"tugback/internal/cli"
	"tugback/internal/marking"
	"tugback/internal/scenario"
	"tugback/internal/treatment"
	"tugback/scenarios"
)

var update = flag.Bool("update", false, "rewrite the golden texts of the scripts and the reference in scenarios/reference.md")

const (
	readme    = "../../README.md"
	reference = "../../scenarios/reference.md"
)

// TestReference holds that the tables of scenarios/reference.md are those of the program.
func TestReference(t *testing.T) {
	raw, err := os.ReadFile(reference)
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	for _, part := range []struct {
		name    string
		content string
	}{
		{"teeth", teeth()},
		{"actions", actions()},
		{"instruments", instruments()},
		{"events", events()},
		{"metrics", metrics()},
		{"functions", functions()},
		{"keys", keys()},
	} {
		begin := fmt.Sprintf("<!-- %s: written by go test ./internal/cli -update -->\n", part.name)
		end := fmt.Sprintf("<!-- end of %s -->", part.name)
		before, rest, found := strings.Cut(text, begin)
		got, after, closed := strings.Cut(rest, end)
		if !found || !closed {
			t.Fatalf("the reference lacks the lines %q and %q", begin, end)
		}
		if got != part.content && !*update {
			t.Errorf("the %s in scenarios/reference.md differ from the program's; run go test ./internal/cli -update", part.name)
		}
		text = before + begin + part.content + end + after
	}
	if *update && text != string(raw) {
		if err := os.WriteFile(reference, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// teeth lists the kinds of tooth and the names their canals may have.
func teeth() string {
	var b strings.Builder
	b.WriteString("| kind | canals it may have |\n| --- | --- |\n")
	for _, kind := range anatomy.Kinds() {
		fmt.Fprintf(&b, "| `%s` | %s |\n", kind, strings.Join(anatomy.CanalNames(kind), ", "))
	}
	return b.String()
}

// actions lists every kind of action with its fields.
func actions() string {
	var b strings.Builder
	for _, kind := range treatment.Kinds() {
		fmt.Fprintf(&b, "**%s** (stage: %s)\n\n", kind, kind.Stage())
		b.WriteString("| field | value | needed | meaning |\n| --- | --- | --- | --- |\n")
		for _, f := range treatment.Fields(kind) {
			needed := ""
			if f.Needed {
				needed = "yes"
			}
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", f.Key, allowed(f), needed, f.Text)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// allowed says what a field may hold.
func allowed(f treatment.Field) string {
	switch f.Form {
	case treatment.Word:
		return strings.Join(f.Words, ", ")
	case treatment.Name:
		if f.Key == "canal" {
			return "a canal of the tooth"
		}
		return "an instrument"
	case treatment.Flag:
		return "yes, no"
	default:
		return rounded(f, f.Min) + " to " + rounded(f, f.Max)
	}
}

// rounded writes a stored limit in the field's unit as a plan does.
func rounded(f treatment.Field, stored int) string {
	return strings.TrimSpace(strconv.FormatFloat(float64(stored)/f.Scale, 'g', 5, 64) + " " + f.Unit)
}

// instruments lists the catalogue by kind and taper.
func instruments() string {
	type row struct {
		name, written string
		taper         int
		sizes         []string
	}
	var rows []row
	for _, i := range treatment.Catalogue() {
		at := slices.IndexFunc(rows, func(r row) bool { return r.taper == i.Taper && r.name == kindOf(i) })
		if at < 0 {
			rows = append(rows, row{name: kindOf(i), written: "`" + i.ID + "`", taper: i.Taper})
			at = len(rows) - 1
		}
		rows[at].sizes = append(rows[at].sizes, strconv.Itoa(i.Size))
	}
	var b strings.Builder
	b.WriteString("| what | taper, mm/mm | first one is written | sizes |\n| --- | --- | --- | --- |\n")
	for _, r := range rows {
		taper := ""
		if r.taper > 0 {
			taper = fmt.Sprintf("%.2f", float64(r.taper)/100)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s |\n", r.name, taper, r.written, strings.Join(r.sizes, " "))
	}
	return b.String()
}

// kindOf returns the words for an instrument's family.
func kindOf(i treatment.Instrument) string {
	name, _, _ := strings.Cut(i.Name, " size")
	return name
}

// events lists every kind of event.
func events() string {
	var b strings.Builder
	b.WriteString("| event | value | unit | mishap | meaning |\n| --- | --- | --- | --- | --- |\n")
	for _, e := range treatment.EventKinds() {
		fault := ""
		if e.Fault {
			fault = "yes"
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", e.Kind, e.Value, e.Unit, fault, e.Text)
	}
	return b.String()
}

// metrics lists every metric with its range and source.
func metrics() string {
	var b strings.Builder
	b.WriteString("| metric | of | range | unit | meaning | source |\n| --- | --- | --- | --- | --- | --- |\n")
	for _, d := range treatment.MetricTable() {
		of := "tooth"
		if d.PerCanal {
			of = "canal"
		}
		fmt.Fprintf(&b, "| `%s` | %s | %g to %g | %s | %s | %s |\n", d.Name, of, d.Low, d.High, d.Unit, d.Text, d.Source)
	}
	return b.String()
}

// functions lists what an expression of a rule may call.
func functions() string {
	var b strings.Builder
	b.WriteString("| function | gives | example |\n| --- | --- | --- |\n")
	for _, f := range marking.Functions() {
		fmt.Fprintf(&b, "| `%s` | %s | `%s` |\n", f.Form, f.Text, f.Example)
	}
	return b.String()
}

// keys lists every key of every kind of file.
func keys() string {
	var b strings.Builder
	for _, g := range scenario.Reference() {
		fmt.Fprintf(&b, "**%s**: %s\n\n| key | value | needed | meaning | example |\n| --- | --- | --- | --- | --- |\n", g.Name, g.Text)
		for _, e := range g.Entries {
			needed := ""
			if e.Needed {
				needed = "yes"
			}
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s | `%s` |\n", e.Key, e.Value, needed, e.Text, e.Example)
		}
		b.WriteString("\n")
	}
	return b.String()
}

// TestReadmeExamples checks the exam, the scenario, the drill, the plan, a step that uses a technique, and the technique shown in
// README.md as a person would.
func TestReadmeExamples(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	blocks := regexp.MustCompile("(?s)```yaml\n(.*?)```").FindAllSubmatch(text, -1)
	if len(blocks) != 6 {
		t.Fatalf("README.md shows %d pieces of YAML, want an exam, a scenario, a drill, a plan, a step and a technique", len(blocks))
	}
	folder := t.TempDir()
	rules, err := fs.ReadFile(scenarios.Files, "rules/formative.yaml")
	if err != nil {
		t.Fatal(err)
	}
	whole, err := fs.ReadFile(scenarios.Files, "plans/lower-first-molar.careful.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"rules", "plans"} {
		if err := os.Mkdir(filepath.Join(folder, name), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	tooth := []byte("format: 1\ntooth: {kind: lower-first-molar, canals: {MB: , ML: , D: }}\n")
	for name, content := range map[string][]byte{"exam.yaml": blocks[0][1], "my-case.yaml": blocks[1][1], "plan.yaml": blocks[3][1],
		"drill.yaml": slices.Concat(tooth, blocks[2][1]), "plans/my-molar.yaml": whole,
		"use.yaml": slices.Concat([]byte("format: 1\nname: use\nsteps:\n"), blocks[4][1]), "technique.yaml": blocks[5][1], "rules/formative.yaml": rules} {
		if err := os.WriteFile(filepath.Join(folder, name), content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var out, complaints bytes.Buffer
	args := []string{"check"}
	for _, name := range []string{"exam.yaml", "my-case.yaml", "drill.yaml", "plan.yaml", "use.yaml", "technique.yaml", "rules/formative.yaml"} {
		args = append(args, filepath.Join(folder, name))
	}
	if code := cli.Main(args, cli.Streams{Out: &out, Err: &complaints, Shipped: scenarios.Files}); code != 0 {
		t.Errorf("exit code %d, want 0\n%s", code, complaints.String())
	}
}

// TestReadmeCommands runs the commands that README.md shows, one after the other in one folder, as a newcomer would:
// each ends well and writes what it names. What serves a page or takes minutes is left out.
func TestReadmeCommands(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	ran := 0
	for line := range strings.Lines(string(text)) {
		command, ours := strings.CutPrefix(strings.TrimSpace(line), "go run ./cmd/tugback ")
		if !ours || strings.HasPrefix(command, "preview") || strings.HasPrefix(command, "trial") || strings.Contains(command, "`") {
			continue
		}
		var out, complaints bytes.Buffer
		args := shellWords(command)
		ran++
		if code := cli.Main(args, cli.Streams{Out: &out, Err: &complaints, Shipped: scenarios.Files}); code != 0 || out.Len() == 0 || complaints.Len() > 0 {
			t.Errorf("%s: exit code %d, printed %d bytes, complained %q", command, code, out.Len(), complaints.String())
		}
		for i, flag := range args[:len(args)-1] {
			if !slices.Contains([]string{"--svg", "--png", "--record"}, flag) {
				continue
			}
			if info, err := os.Stat(args[i+1]); err != nil || info.Size() == 0 {
				t.Errorf("%s: wrote no %s", command, args[i+1])
			}
		}
	}
	if ran < 8 {
		t.Errorf("README.md shows %d commands to run, want 8 or more", ran)
	}
}

// shellWords parts a command line at blanks outside of double quotes.
func shellWords(line string) []string {
	var words []string
	for _, found := range regexp.MustCompile(`"([^"]*)"|(\S+)`).FindAllStringSubmatch(line, -1) {
		words = append(words, found[1]+found[2])
	}
	return words
}
