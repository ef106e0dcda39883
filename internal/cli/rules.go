package cli

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
)

// hostName is the file name of the scenario that a rule set is checked in.
const hostName = "a scenario with these rules.yaml"

// checkRules checks a rule set by using it in a bare scenario. Rules may name canals, and which there
// are depends on the tooth: it is enough that the rules fit one kind.
func checkRules(name string) error { return checkUsed(name, bareScenario) }

// bareTray is the text of a scenario that uses a tray.
func bareTray(kind anatomy.Kind, tray string) string {
	return fmt.Sprintf("format: 1\nname: bare\ntooth: {kind: %s}\ntray:\n  - use: %q\n", kind, tray)
}

// checkUsed checks a file that scenarios use, in a bare scenario of each kind of tooth.
func checkUsed(name string, bare func(anatomy.Kind, string) string) error {
	root, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return scenario.Faults{{File: name, Rule: "file", Message: "its folder cannot be read: " + cause(err).Error()}}
	}
	defer root.Close() //nolint:errcheck // only read
	var fewest scenario.Faults
	for _, kind := range anatomy.Kinds() {
		_, err := scenario.LoadFS(host{root.FS(), bare(kind, filepath.Base(name))}, hostName)
		var faults scenario.Faults
		switch {
		case err == nil:
			return nil
		case !errors.As(err, &faults):
			return err
		case fewest == nil || len(faults) < len(fewest):
			fewest = faults
		}
	}
	for i, f := range fewest {
		fewest[i].File = strings.TrimPrefix(filepath.Join(filepath.Dir(name), f.File), "./")
	}
	return fewest
}

// bareScenario is the text of a scenario that has no more than it must and uses a rule set.
func bareScenario(kind anatomy.Kind, rules string) string {
	return fmt.Sprintf("format: 1\nname: bare\ntooth: {kind: %s}\npulp: vital\ndifficulty: low\nrules:\n  - use: %q\n", kind, rules)
}

// host is a folder with the bare scenario in it.
type host struct {
	fs.FS
	text string
}

// Open opens a file of the folder, or the bare scenario.
func (h host) Open(name string) (fs.File, error) {
	if name == hostName {
		return written{strings.NewReader(h.text)}, nil
	}
	return h.FS.Open(name)
}

// written is a text as a file; it is its own description.
type written struct{ *strings.Reader }

func (w written) Stat() (fs.FileInfo, error) { return w, nil }
func (w written) Close() error               { return nil }
func (w written) Name() string               { return hostName }
func (w written) Mode() fs.FileMode          { return 0o444 }
func (w written) ModTime() time.Time         { return time.Time{} }
func (w written) IsDir() bool                { return false }
func (w written) Sys() any                   { return nil }

// isText reports whether bytes are text as the readers take it.
func isText(text []byte) bool {
	return utf8.Valid(text) && bytes.IndexByte(text, 0) < 0 && len(bytes.TrimSpace(text)) > 0
}
