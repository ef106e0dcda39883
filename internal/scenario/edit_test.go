package scenario_test

import (
	"bytes"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
	"pgregory.net/rapid"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

func text(s string) scenario.Value { return scenario.Value{Text: s} }

func path(s string) scenario.Path { return strings.Split(s, "/") }

const edited = `# head
format: 1   # version
name: one
summary: >   # told
  A patient
  comes.

tooth:
  kind: lower-first-molar   # which
  canals:
    MB:
      angle: 20 deg         # of the bend
    ML:
    D: {joins: MB, radius: "8 mm"}
  # after the canals
tray: [hand-steel-10.02, cone-25.04]
rules:
  # the first
  - id: a
    # inside
    points: 3

  - {id: b, points: 4}   # second
  - id: c   # third
# the end
`

// TestEdit holds what an edit writes, and that it writes nothing else.
func TestEdit(t *testing.T) {
	type edit func(*scenario.Document) (*scenario.Document, error)
	set := func(at, value string) edit {
		return func(d *scenario.Document) (*scenario.Document, error) { return d.Set(path(at), text(value)) }
	}
	add := func(at, value string) edit {
		return func(d *scenario.Document) (*scenario.Document, error) { return d.Add(path(at), text(value)) }
	}
	remove := func(at string) edit {
		return func(d *scenario.Document) (*scenario.Document, error) { return d.Remove(path(at)) }
	}
	move := func(at string, by int) edit {
		return func(d *scenario.Document) (*scenario.Document, error) { return d.Move(path(at), by) }
	}
	for _, c := range []struct {
		name     string
		do       edit
		old, new string // stretch of the text before and after
	}{
		{"a value", set("tooth/canals/MB/angle", "24..28 deg"), "20 deg  ", "24..28 deg  "},
		{"a value in quotes keeps them", set("tooth/canals/D/radius", "9 mm"), `"8 mm"`, `"9 mm"`},
		{"a value that needs quotes", set("name", "a: b"), "name: one", `name: "a: b"`},
		{"a value that holds quotes", set("name", `# "x"`), "name: one", `name: '# "x"'`},
		{"a folded text", set("summary", "Another patient\ncomes."), ">   # told\n  A patient\n  comes.\n", ">   # told\n  Another patient\n\n  comes.\n"},
		{"a key in the order of the reference", set("title", "Two"), "name: one\n", "name: one\ntitle: Two\n"},
		{"a key behind nothing", set("tooth/canals/ML/angle", "5 deg"), "    ML:\n", "    ML:\n      angle: 5 deg\n"},
		{"a key in brackets", set("tooth/canals/D/length", "12 mm"), `{joins: MB, radius: "8 mm"}`, `{joins: MB, radius: "8 mm", length: 12 mm}`},
		{"a canal in its place", func(d *scenario.Document) (*scenario.Document, error) {
			return d.Set(path("tooth/canals/DB"), scenario.Value{Null: true})
		}, `8 mm"}` + "\n", `8 mm"}` + "\n    DB:\n"},
		{"a key in a group that is not there", set("settings/ledge-step", "0.1 mm"), "tray: [hand-steel-10.02, cone-25.04]\n",
			"tray: [hand-steel-10.02, cone-25.04]\nsettings:\n  ledge-step: 0.1 mm\n"},
		{"an item in brackets", add("tray", "needle-30-side"), "cone-25.04]", "cone-25.04, needle-30-side]"},
		{"an item behind the last", func(d *scenario.Document) (*scenario.Document, error) {
			return d.Add(path("rules"), scenario.Value{Keys: []scenario.KeyValue{{Key: "id", Value: text("d")}, {Key: "points", Value: text("5")}}})
		}, "- id: c   # third\n", "- id: c   # third\n  - id: d\n    points: 5\n"},
		{"a list that is not there", add("quiz", "one"), "tray: [hand-steel-10.02, cone-25.04]\n", "tray: [hand-steel-10.02, cone-25.04]\nquiz:\n  - one\n"},
		{"a key removed", remove("tooth/kind"), "  kind: lower-first-molar   # which\n", ""},
		{"the last key of a canal removed", remove("tooth/canals/MB/angle"), "    MB:\n      angle: 20 deg         # of the bend\n", "    MB:\n"},
		{"a canal removed", remove("tooth/canals/ML"), "    ML:\n", ""},
		{"the first key of an item removed", remove("rules/1/id"), "{id: b, points: 4}", "{points: 4}"},
		{"the last key in brackets removed", remove("rules/1/points"), "{id: b, points: 4}", "{id: b}"},
		{"a key on the line of a dash removed", remove("rules/0/id"), "  - id: a\n    # inside\n", "  - \n    # inside\n"},
		{"an item removed", remove("rules/1"), "  - {id: b, points: 4}   # second\n", ""},
		{"an item with its only key removed", remove("rules/2/id"), "  - id: c   # third\n", ""},
		{"an item moved down with its comments", move("rules/0", 1),
			"  # the first\n  - id: a\n    # inside\n    points: 3\n\n  - {id: b, points: 4}   # second\n",
			"  - {id: b, points: 4}   # second\n\n  # the first\n  - id: a\n    # inside\n    points: 3\n"},
		{"an item in brackets moved up", move("tray/1", -1), "[hand-steel-10.02, cone-25.04]", "[cone-25.04, hand-steel-10.02]"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := scenario.NewDocument("x.yaml", []byte(edited))
			if err != nil {
				t.Fatal(err)
			}
			if strings.Count(edited, c.old) != 1 {
				t.Fatalf("%q does not stand once in the text", c.old)
			}
			next, err := c.do(d)
			if err != nil {
				t.Fatal(err)
			}
			if got, want := string(next.Text()), strings.Replace(edited, c.old, c.new, 1); got != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
			if string(d.Text()) != edited {
				t.Error("the old document changed")
			}
		})
	}
}

// TestEditRefuses holds what is refused rather than written wrong.
func TestEditRefuses(t *testing.T) {
	d, err := scenario.NewDocument("x.yaml", []byte(edited))
	if err != nil {
		t.Fatal(err)
	}
	for name, do := range map[string]func() (*scenario.Document, error){
		"a text over a group":      func() (*scenario.Document, error) { return d.Set(path("tooth"), text("x")) },
		"a key in a text":          func() (*scenario.Document, error) { return d.Set(path("name/x"), text("y")) },
		"nothing to remove":        func() (*scenario.Document, error) { return d.Remove(path("settings")) },
		"the whole file":           func() (*scenario.Document, error) { return d.Set(nil, text("x")) },
		"a control character":      func() (*scenario.Document, error) { return d.Set(path("name"), text("a\x00")) },
		"an item past the last":    func() (*scenario.Document, error) { return d.Move(path("rules/2"), 1) },
		"an item of a group":       func() (*scenario.Document, error) { return d.Add(path("tooth"), text("x")) },
		"nothing to add to":        func() (*scenario.Document, error) { return d.AddChoice(path("name"), "text", "x", "") },
		"a key of a file's nobody": func() (*scenario.Document, error) { return d.Set(path("rules/7/id"), text("x")) },
	} {
		if next, err := do(); err == nil {
			t.Errorf("%s: not refused, got\n%s", name, next.Text())
		}
	}
}

// shippedTexts returns the files that come with the program and can be edited, by name.
func shippedTexts(t testing.TB) (names []string, files map[string][]byte) {
	t.Helper()
	files = map[string][]byte{}
	for _, pattern := range []string{"*.yaml", "plans/*.careful.yaml", "rules/*.yaml", "trays/*.yaml", "techniques/*.yaml", "operators/*.yaml"} {
		found, err := fs.Glob(scenarios.Files, pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range found {
			content, err := fs.ReadFile(scenarios.Files, name)
			if err != nil {
				t.Fatal(err)
			}
			files[name] = content
			names = append(names, name)
		}
	}
	return names, files
}

// TestRoundTrip holds that a file that is not changed keeps its bytes, and one that is changed back as well.
func TestRoundTrip(t *testing.T) {
	names, files := shippedTexts(t)
	for _, name := range names {
		d, err := scenario.NewDocument(name, files[name])
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(d.Text(), files[name]) {
			t.Errorf("%s: not the same bytes", name)
		}
		for _, key := range []string{"name", "title", "seed"} {
			old, given := d.Get(path(key))
			if !given {
				continue
			}
			there, err := d.Set(path(key), text("77"))
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			back, err := there.Set(path(key), text(old))
			if err != nil || !bytes.Equal(back.Text(), files[name]) {
				t.Errorf("%s: %s changed and back differs (%v)", name, key, err)
			}
		}
	}
}

// leaves returns the paths of all single texts, and of all lists.
func leaves(node *yaml.Node, at scenario.Path) (single, lists []scenario.Path) {
	switch node.Kind {
	case yaml.ScalarNode:
		return []scenario.Path{at}, nil
	case yaml.SequenceNode:
		lists = append(lists, at)
		for i, n := range node.Content {
			s, l := leaves(n, append(slices.Clone(at), strconv.Itoa(i)))
			single, lists = append(single, s...), append(lists, l...)
		}
	case yaml.MappingNode:
		for i := 0; i+1 < len(node.Content); i += 2 {
			s, l := leaves(node.Content[i+1], append(slices.Clone(at), node.Content[i].Value))
			single, lists = append(single, s...), append(lists, l...)
		}
	default:
	}
	return single, lists
}

// comments returns the comments of a text that stand on lines of their own.
func comments(text []byte) map[string]int {
	found := map[string]int{}
	for line := range strings.Lines(string(text)) {
		if line = strings.TrimSpace(line); strings.HasPrefix(line, "#") {
			found[line]++
		}
	}
	return found
}

// TestEditProperties changes random places of shipped files to random texts one after the other: every
// result can be read, says what was set, has all comments on lines of their own, and differs from the text
// before in no more lines than the value has.
func TestEditProperties(t *testing.T) {
	names, files := shippedTexts(t)
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "file")
		d, err := scenario.NewDocument(name, files[name])
		if err != nil {
			t.Fatal(err)
		}
		kept := comments(files[name]) // later texts may hold values that look like comments
		for range 4 {
			var document yaml.Node
			if err := yaml.Unmarshal(d.Text(), &document); err != nil {
				t.Fatalf("cannot be read: %v\n%s", err, d.Text())
			}
			single, _ := leaves(document.Content[0], nil)
			at := rapid.SampledFrom(single).Draw(t, "place")
			value := rapid.OneOf(
				rapid.SampledFrom([]string{"24..28 deg", "no", "0.5 mm", "a: b # c", "- x", "it's \"so\"", "null", "", "~", "{a}", "x\ny", "ä µ °"}),
				rapid.StringMatching(`[ -~]{0,120}`)).Draw(t, "value")
			next, err := d.Set(at, text(value))
			if err != nil {
				t.Fatalf("%s to %q: %v", at, value, err)
			}
			got, _ := next.Get(at)
			if strings.Join(strings.Fields(got), " ") != strings.Join(strings.Fields(value), " ") {
				t.Fatalf("%s: got %q, want %q", at, got, value)
			}
			after := comments(next.Text())
			for line, n := range kept {
				if after[line] < n {
					t.Fatalf("%s to %q: the comment %q is lost", at, value, line)
				}
			}
			if changed := changedLines(d.Text(), next.Text()); changed > 12 {
				t.Fatalf("%s to %q: %d lines differ", at, value, changed)
			}
			d = next
		}
	})
}

// changedLines returns how many lines of the longer text lie between the common head and the common tail.
func changedLines(a, b []byte) int {
	x, y := bytes.Split(a, []byte("\n")), bytes.Split(b, []byte("\n"))
	head := 0
	for head < min(len(x), len(y)) && bytes.Equal(x[head], y[head]) {
		head++
	}
	tail := 0
	for tail < min(len(x), len(y))-head && bytes.Equal(x[len(x)-1-tail], y[len(y)-1-tail]) {
		tail++
	}
	return max(len(x), len(y)) - head - tail
}

// TestListProperties adds, removes and moves random items of shipped files: what is moved there and back
// and what is added and removed leaves the same bytes.
func TestListProperties(t *testing.T) {
	names, files := shippedTexts(t)
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "file")
		d, err := scenario.NewDocument(name, files[name])
		if err != nil {
			t.Fatal(err)
		}
		var document yaml.Node
		if err := yaml.Unmarshal(d.Text(), &document); err != nil {
			t.Fatal(err)
		}
		_, lists := leaves(document.Content[0], nil)
		if len(lists) == 0 {
			t.Skip("no list")
		}
		at := rapid.SampledFrom(lists).Draw(t, "list")
		list := document.Content[0]
		for _, step := range at {
			list = childOf(list, step)
		}
		last := len(list.Content)
		added, err := d.Add(at, text("an item: more"))
		if err != nil {
			t.Fatalf("add to %s: %v", at, err)
		}
		back, err := added.Remove(append(slices.Clone(at), strconv.Itoa(last)))
		if err != nil || !bytes.Equal(back.Text(), d.Text()) {
			t.Fatalf("%s: added and removed differs (%v)\n%s", at, err, back.Text())
		}
		if last < 2 {
			return
		}
		i := rapid.IntRange(0, last-2).Draw(t, "item")
		down, err := d.Move(append(slices.Clone(at), strconv.Itoa(i)), 1)
		if err != nil {
			t.Fatalf("move %s/%d: %v", at, i, err)
		}
		up, err := down.Move(append(slices.Clone(at), strconv.Itoa(i+1)), -1)
		if err != nil || !bytes.Equal(up.Text(), d.Text()) {
			t.Fatalf("%s: item %d moved down and up differs (%v)", at, i, err)
		}
		less, err := d.Remove(append(slices.Clone(at), strconv.Itoa(i)))
		if err != nil {
			t.Fatalf("remove %s/%d: %v", at, i, err)
		}
		kept, after := comments(d.Text()), comments(less.Text())
		lost := 0
		for line, n := range kept {
			lost += n - after[line]
		}
		if lost > len(comments([]byte(cutOut(d.Text(), less.Text())))) {
			t.Fatalf("remove %s/%d: %d comments are lost", at, i, lost)
		}
	})
}

// cutOut returns the lines that a removal took.
func cutOut(before, after []byte) string {
	n := len(before) - len(after)
	for i := range after {
		if before[i] != after[i] {
			return string(before[i : i+n])
		}
	}
	return string(before[len(after):])
}

func childOf(node *yaml.Node, step string) *yaml.Node {
	for i, n := range node.Content {
		if node.Kind == yaml.SequenceNode && strconv.Itoa(i) == step || node.Kind == yaml.MappingNode && i%2 == 1 && node.Content[i-1].Value == step {
			return n
		}
	}
	return nil
}

// FuzzEdit changes any place of any text: it never panics, and what comes out is a document again in which
// the place holds what was set.
func FuzzEdit(f *testing.F) {
	_, files := shippedTexts(f)
	for _, content := range files {
		f.Add(content, "tooth/canals/MB/angle", "20 deg")
	}
	f.Add([]byte(edited), "rules/1/id", "x")
	f.Add([]byte("a: {b: [1, {c: d}], e: }\n"), "a/b/1/c", "z")
	f.Add([]byte("- a\n- - b\n  - c\n"), "1/0", "x y")
	f.Add([]byte("? a\n: b\n"), "a", "x")
	f.Fuzz(func(t *testing.T, content []byte, at, value string) {
		d, err := scenario.NewDocument("x.yaml", content)
		if err != nil {
			return
		}
		d.Form(anatomy.Kind("lower-first-molar"))
		d.Notices(scenario.Faults{{File: "x.yaml", Line: 2, Column: 3, Message: "a rule lacks id"}}, false)
		for _, do := range []func() (*scenario.Document, error){
			func() (*scenario.Document, error) { return d.Set(path(at), text(value)) },
			func() (*scenario.Document, error) { return d.Remove(path(at)) },
			func() (*scenario.Document, error) { return d.Add(path(at), text(value)) },
			func() (*scenario.Document, error) { return d.Move(path(at), 1) },
			func() (*scenario.Document, error) { return d.AddChoice(path(at), value, value, "") },
		} {
			if next, err := do(); err == nil && len(next.Text()) == 0 {
				t.Error("nothing is left")
			}
		}
		if next, err := d.Set(path(at), text(value)); err == nil {
			if got, _ := next.Get(path(at)); strings.Join(strings.Fields(got), " ") != strings.Join(strings.Fields(value), " ") {
				t.Errorf("got %q, want %q", got, value)
			}
		}
	})
}

// TestRename holds that a key gets its new name and nothing else changes, and what is refused.
func TestRename(t *testing.T) {
	d := opened(t, edited)
	for at, c := range map[string][3]string{
		"name":                      {"title", "name: one", "title: one"},
		"tooth/canals/MB":           {"MB2", "    MB:\n", "    MB2:\n"},
		"tooth/canals/MB/angle":     {"second-angle", "      angle: 20", "      second-angle: 20"},
		"tooth/canals/D/radius":     {"length", `radius: "8 mm"`, `length: "8 mm"`},
		"rules/0/points":            {"deduct", "    points: 3", "    deduct: 3"},
		"rules/1/points":            {"a: b", "points: 4", `"a: b": 4`},
		"tooth/canals/MB/angle/nix": {"a", "", ""},
		"rules/0":                   {"a", "", ""},
		"rules/2/id":                {"x\x00", "", ""},
		"tooth/kind":                {"canals", "", ""}, // there already
	} {
		next, err := d.Rename(path(at), c[0])
		switch {
		case c[1] == "" && err == nil:
			t.Errorf("%s to %q: not refused", at, c[0])
		case c[1] != "" && err != nil:
			t.Errorf("%s to %q: %v", at, c[0], err)
		case c[1] != "" && string(next.Text()) != strings.Replace(edited, c[1], c[2], 1):
			t.Errorf("%s to %q: got\n%s", at, c[0], next.Text())
		}
	}
}
