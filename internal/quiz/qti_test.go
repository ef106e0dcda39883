package quiz_test

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"tugback/internal/quiz"
)

// mappable is an item of each kind that the standard can hold, with every field those kinds have.
func mappable() []quiz.Item {
	single := sound()
	single.Tags, single.Keep, single.Difficulty = []string{"ledge", "taper"}, true, "hard"
	single.Excuses = []quiz.Excuse{{Rule: "negative-stem", Why: "the word is meant"}}
	single.Stem = "Is 1 < 2 & 3 > 2? Which “file” is it?"
	all := []quiz.Item{single, several(), ordering(), matching(), numeric()}
	for n := 1; n < len(all); n++ {
		all[n].Step, all[n].Level, all[n].Difficulty = "fit", "apply", "easy"
	}
	all[4].Formula = &quiz.Call{Name: "file-ratio", Args: []float64{20, 23.1, 21}}
	return all
}

// TestQTIRoundTrip holds that a package gives back the items that went in, and tells what it left out.
func TestQTIRoundTrip(t *testing.T) {
	items := mappable()
	made, _ := quiz.GeneratorNamed("shape-diameter")
	for seed := range uint64(4) {
		items = append(items, made.Make(grounds(t, 1)[0], seed))
	}
	unmapped := []quiz.Item{place(), trial()}
	data, left, err := quiz.ExportQTI(append(unmapped, items...))
	if err != nil || len(left) != 2 || left[0].ID != "place" || left[0].Why == "" {
		t.Fatalf("left out %v, %v", left, err)
	}
	back, lost, err := quiz.ImportQTI(data)
	if err != nil || len(lost) != 0 {
		t.Fatalf("lost %v, %v", lost, err)
	}
	for n, item := range back {
		if !reflect.DeepEqual(item, items[n]) {
			t.Errorf("%s came back as\n%+v\nwant\n%+v", items[n].ID, item, items[n])
		}
	}
	again, _, err := quiz.ExportQTI(append(unmapped, items...))
	if err != nil || !bytes.Equal(data, again) {
		t.Errorf("the same items gave other bytes (%v)", err)
	}
	if _, _, err := quiz.ExportQTI([]quiz.Item{sound(), sound()}); err == nil {
		t.Error("two items of one id went into a package")
	}
}

// unzip returns the files of a package.
func unzip(t *testing.T, data []byte) map[string]string {
	t.Helper()
	reader, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, f := range reader.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		files[f.Name] = string(text)
	}
	return files
}

// TestQTIStructure holds what the standard asks of an item and a manifest: names, required attributes,
// order of parts, identifiers that do not begin with a digit. Source: the XSD of QTI 3.0 (tables of
// elements read; the files themselves are under their publisher's licence and not kept here).
func TestQTIStructure(t *testing.T) {
	data, _, err := quiz.ExportQTI(mappable())
	if err != nil {
		t.Fatal(err)
	}
	files := unzip(t, data)
	list := files["imsmanifest.xml"]
	for _, want := range []string{`<schema>QTI Package</schema>`, `<schemaversion>3.0.0</schemaversion>`, `type="imsqti_item_xmlv3p0"`, `<organizations>`} {
		if !strings.Contains(list, want) {
			t.Errorf("the manifest lacks %s", want)
		}
	}
	order := regexp.MustCompile(`(?s)<qti-response-declaration .*<qti-outcome-declaration .*<qti-item-body>.*</qti-item-body>.*<qti-response-processing>.*</qti-response-processing>.*<qti-modal-feedback `)
	names := regexp.MustCompile(`[^-]identifier="([^"]*)"`)
	interactions := map[string]string{"sound": "choice", "several": "choice", "ordering": "order", "matching": "match", "numeric": "text-entry"}
	for _, item := range mappable() {
		text := files["items/i-"+item.ID+".xml"]
		if !strings.Contains(list, `href="items/i-`+item.ID+`.xml"`) || !order.MatchString(text) {
			t.Errorf("%s: not listed, or its parts are not in order", item.ID)
		}
		for _, want := range []string{`xmlns="http://www.imsglobal.org/xsd/imsqtiasi_v3p0"`, `title="`, `time-dependent="false"`, `<qti-` + interactions[item.ID] + `-interaction `} {
			if !strings.Contains(text, want) {
				t.Errorf("%s lacks %s", item.ID, want)
			}
		}
		for _, name := range names.FindAllStringSubmatch(text, -1) {
			if !regexp.MustCompile(`^[A-Za-z_][\w.-]*$`).MatchString(name[1]) {
				t.Errorf("%s: identifier %q is no NCName", item.ID, name[1])
			}
		}
	}
}

// TestQTISchema validates a package with xmllint where the folder TUGBACK_QTI_XSD holds the publisher's
// schemas as items.xsd and imsqtiv3p0_imscpv1p2_v1p0.xsd; no package of a registry carries them.
func TestQTISchema(t *testing.T) {
	folder := os.Getenv("TUGBACK_QTI_XSD")
	if folder == "" {
		t.Skip("TUGBACK_QTI_XSD is not set")
	}
	data, _, err := quiz.ExportQTI(mappable())
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range unzip(t, data) {
		schema := "items.xsd"
		if name == "imsmanifest.xml" {
			schema = "imsqtiv3p0_imscpv1p2_v1p0.xsd"
		}
		cmd := exec.Command("xmllint", "--nonet", "--noout", "--schema", filepath.Join(folder, schema), "-")
		cmd.Stdin = strings.NewReader(text)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
	}
}

// repack changes one file of a package.
func repack(t *testing.T, data []byte, name string, change func(string) string) []byte {
	t.Helper()
	var buffer bytes.Buffer
	writer := zip.NewWriter(&buffer)
	for file, text := range unzip(t, data) {
		if file == name {
			text = change(text)
		}
		w, err := writer.Create(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, text); err != nil {
			t.Fatal(err)
		}
	}
	if err := writer.Close(); err != nil {
		t.Fatal(err)
	}
	return buffer.Bytes()
}

// TestQTIBroken holds that broken packages are refused with a reason and foreign items are told.
func TestQTIBroken(t *testing.T) {
	data, _, err := quiz.ExportQTI(mappable()[:1])
	if err != nil {
		t.Fatal(err)
	}
	const file = "items/i-sound.xml"
	swap := func(old, other string) func(string) string {
		return func(s string) string {
			if !strings.Contains(s, old) {
				t.Fatalf("the item does not hold %q", old)
			}
			return strings.Replace(s, old, other, 1)
		}
	}
	for name, broken := range map[string][]byte{
		"no zip":          []byte("no package"),
		"no item file":    repack(t, data, "imsmanifest.xml", swap(file, "items/other.xml")),
		"no XML":          repack(t, data, file, func(string) string { return "<qti" }),
		"no right answer": repack(t, data, file, swap("<qti-value>b</qti-value>", "<qti-value>z</qti-value>")),
		"no items":        repack(t, data, "imsmanifest.xml", swap("imsqti_item_xmlv3p0", "webcontent")),
		"unknown level":   repack(t, data, file, swap(`<li class="level">recall`, `<li class="level">divine`)),
		"broken formula":  repack(t, data, file, swap(`<li class="level">`, `<li class="formula">sum x</li><li class="level">`)),
	} {
		if _, _, err := quiz.ImportQTI(broken); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	foreign := repack(t, data, file, func(s string) string {
		return regexp.MustCompile(`(?s)<qti-rubric-block.*</qti-rubric-block>`).ReplaceAllString(s, "")
	})
	if items, left, err := quiz.ImportQTI(foreign); err != nil || len(items) != 0 || len(left) != 1 || left[0].Why == "" {
		t.Errorf("an item without step: %d read, left %v, %v", len(items), left, err)
	}
	other := repack(t, data, file, func(s string) string {
		return strings.ReplaceAll(s, "qti-choice-interaction", "qti-hottext-interaction")
	})
	if _, left, err := quiz.ImportQTI(other); err != nil || len(left) != 1 {
		t.Errorf("an item of another interaction: left %v, %v", left, err)
	}
}

// FuzzImportQTI holds that no bytes make the reader panic.
func FuzzImportQTI(f *testing.F) {
	data, _, err := quiz.ExportQTI(mappable())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte("PK"))
	f.Fuzz(func(t *testing.T, data []byte) {
		items, _, err := quiz.ImportQTI(data)
		if err == nil {
			for _, item := range items {
				if found := quiz.Check(item); len(found) > 0 {
					t.Errorf("an unfit item was read: %v", found)
				}
			}
		}
	})
}
