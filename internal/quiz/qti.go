package quiz

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
)

// Names of QTI 3.0 (1EdTech Question and Test Interoperability).
const (
	qtiItems    = "http://www.imsglobal.org/xsd/imsqtiasi_v3p0"
	qtiPackage  = "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1"
	qtiResource = "imsqti_item_xmlv3p0"
)

// Unmapped is an item that is not in a package, and why.
type Unmapped struct {
	ID  string
	Why string
}

// unmappable says why items of a kind have no counterpart among the standard's interactions.
func unmappable(kind Kind) string {
	switch kind {
	case Place, Measure:
		return "its picture is drawn by the engine from a seed; the standard wants an image file and pixel coordinates"
	case Predict:
		return "the standard cannot run a treatment; as a plain choice it would lose what it is for"
	case Single, Several, Ordering, Matching, Numeric:
		return ""
	}
	return "unknown kind " + string(kind)
}

// ExportQTI returns a package with the items that the standard can hold, and those left out.
//
// Kinds map to
//
//	single     choice interaction, at most one choice
//	several    choice interaction, any number; credit as Mark gives it
//	ordering   order interaction; full credit for the right order only
//	matching   match interaction
//	numeric    text entry with a tolerance
//
// Feedback on options is inline feedback of the choice, or modal feedback; what the standard has no place
// for (step, level, tags, source …) stands in a rubric block for authors, from which ImportQTI reads it.
// The same items give the same bytes. Checked by TestQTIRoundTrip, TestQTISchema and TestQTIStructure.
func ExportQTI(items []Item) ([]byte, []Unmapped, error) {
	var left []Unmapped
	files := map[string][]byte{}
	var names []string
	for _, item := range items {
		if why := unmappable(item.Kind); why != "" {
			left = append(left, Unmapped{item.ID, why})
			continue
		}
		name := "items/" + identifier(item.ID) + ".xml"
		if files[name] != nil {
			return nil, nil, fmt.Errorf("two items have the id %s", item.ID)
		}
		text, err := marshal(newQTIItem(item))
		if err != nil {
			return nil, nil, fmt.Errorf("item %s: %w", item.ID, err)
		}
		names, files[name] = append(names, name), text
	}
	manifest, err := marshal(newManifest(names))
	if err != nil {
		return nil, nil, fmt.Errorf("manifest: %w", err)
	}
	files["imsmanifest.xml"] = manifest
	data, err := zipped(append([]string{"imsmanifest.xml"}, names...), files)
	return data, left, err
}

// marshal writes XML with its head.
func marshal(value any) ([]byte, error) {
	text, err := xml.MarshalIndent(value, "", " ")
	if err != nil {
		return nil, err
	}
	return append([]byte(xml.Header), append(text, '\n')...), nil
}

// zipped packs files in the order of their names, with a fixed date.
func zipped(names []string, files map[string][]byte) ([]byte, error) {
	var buffer bytes.Buffer
	writer := zip.NewWriter(&buffer)
	for _, name := range names {
		w, err := writer.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)})
		if err != nil {
			return nil, fmt.Errorf("pack %s: %w", name, err)
		}
		if _, err := w.Write(files[name]); err != nil {
			return nil, fmt.Errorf("pack %s: %w", name, err)
		}
	}
	if err := writer.Close(); err != nil {
		return nil, fmt.Errorf("pack: %w", err)
	}
	return buffer.Bytes(), nil
}

// identifier turns an id into an NCName, which does not begin with a digit.
func identifier(id string) string {
	return "i-" + id
}

// Limits of a package that is read.
const (
	packageFiles = 2000
	packageBytes = 1 << 20 // of one file, unpacked
)

// ImportQTI reads the items of a package. Items of a kind that we do not have are told, with the reason.
// It is an error when the bytes are no package, a file of it is too large, or an item is broken. Checked
// by TestQTIRoundTrip, TestQTIBroken and FuzzImportQTI.
func ImportQTI(data []byte) ([]Item, []Unmapped, error) {
	reader, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, nil, fmt.Errorf("no package: %w", err)
	}
	if len(reader.File) > packageFiles {
		return nil, nil, fmt.Errorf("the package has %d files, allowed %d", len(reader.File), packageFiles)
	}
	var list manifest
	if err := unpack(reader, "imsmanifest.xml", &list); err != nil {
		return nil, nil, err
	}
	var items []Item
	var left []Unmapped
	for _, r := range list.Resources.Resource {
		if !strings.HasPrefix(r.Type, "imsqti_item_xmlv3p") {
			continue
		}
		var q qtiItem
		if err := unpack(reader, r.Href, &q); err != nil {
			return nil, nil, err
		}
		item, why, err := q.item()
		switch {
		case err != nil:
			return nil, nil, fmt.Errorf("%s: %w", r.Href, err)
		case why != "":
			left = append(left, Unmapped{q.Identifier, why})
		default:
			items = append(items, item)
		}
	}
	if len(items)+len(left) == 0 {
		return nil, nil, fmt.Errorf("the package lists no items of QTI 3")
	}
	return items, left, nil
}

// unpack reads one XML file of a package.
func unpack(reader *zip.Reader, name string, into any) error {
	at := slices.IndexFunc(reader.File, func(f *zip.File) bool { return f.Name == name })
	if at < 0 {
		return fmt.Errorf("the package has no %s", name)
	}
	file, err := reader.File[at].Open()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	defer file.Close() //nolint:errcheck // only read
	text, err := io.ReadAll(io.LimitReader(file, packageBytes+1))
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if len(text) > packageBytes {
		return fmt.Errorf("%s is too large, allowed %d KiB", name, packageBytes>>10)
	}
	if err := xml.Unmarshal(text, into); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// manifest is the list of a package.
type manifest struct {
	XMLName    xml.Name `xml:"manifest"`
	Namespace  string   `xml:"xmlns,attr"`
	Identifier string   `xml:"identifier,attr"`
	Metadata   struct {
		Schema        string `xml:"schema"`
		SchemaVersion string `xml:"schemaversion"`
	} `xml:"metadata"`
	Organizations struct{} `xml:"organizations"`
	Resources     struct {
		Resource []resource `xml:"resource"`
	} `xml:"resources"`
}

type resource struct {
	Identifier string   `xml:"identifier,attr"`
	Type       string   `xml:"type,attr"`
	Href       string   `xml:"href,attr"`
	File       []qtiRef `xml:"file"`
}

type qtiRef struct {
	Href string `xml:"href,attr"`
}

// newManifest lists item files.
func newManifest(names []string) manifest {
	m := manifest{Namespace: qtiPackage, Identifier: "MANIFEST-TUGBACK"}
	m.Metadata.Schema, m.Metadata.SchemaVersion = "QTI Package", "3.0.0"
	for n, name := range names {
		m.Resources.Resource = append(m.Resources.Resource, resource{
			Identifier: fmt.Sprintf("RES-%d", n+1), Type: qtiResource, Href: name, File: []qtiRef{{name}},
		})
	}
	return m
}
