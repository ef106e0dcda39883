package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// licenceFile matches the names of files that hold the terms of a module.
var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents|unlicense)([-._].*)?$`)

// part is something of others that a release contains.
type part struct{ name, folder string }

// licences returns the terms of everything a release contains: ours, those of Go, of the typefaces, and
// of each module in a program or in the page. A module without terms is an error.
func (r *release) licences() ([]byte, error) {
	parts := []part{{"tugback", r.t.root}}
	goroot, err := r.t.do(nil, "go", "env", "GOROOT")
	if err != nil {
		return nil, fmt.Errorf("%w\n%s", err, goroot)
	}
	parts = append(parts, part{"the Go standard library and runtime", strings.TrimSpace(goroot)},
		part{"typefaces", filepath.Join(r.t.root, "assets", "fonts")})
	modules, err := r.modules()
	if err != nil {
		return nil, err
	}
	var text strings.Builder
	text.WriteString("What tugback contains, and the terms under which each part is given.\n\n")
	parts = append(parts, modules...)
	for _, p := range parts {
		fmt.Fprintf(&text, "  %s\n", p.name)
	}
	var faults []error
	for _, p := range parts {
		faults = append(faults, p.write(&text))
	}
	return []byte(text.String()), errors.Join(faults...)
}

// modules returns the modules in the programs and in the page, by name.
func (r *release) modules() ([]part, error) {
	const form = `{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}` + "\t" + `{{.Dir}}{{end}}{{end}}`
	targets := [][3]string{{"js", "wasm", "./cmd/tugback-desk"}}
	for _, kind := range released {
		targets = append(targets, [3]string{kind[0], kind[1], "./cmd/tugback"})
	}
	var lines []string
	for _, target := range targets {
		env := []string{"GOOS=" + target[0], "GOARCH=" + target[1], "CGO_ENABLED=0"}
		out, err := r.t.do(env, "go", "list", "-deps", "-f", form, target[2])
		if err != nil {
			return nil, fmt.Errorf("%w\n%s", err, out)
		}
		for line := range strings.Lines(out) {
			if strings.Contains(line, "\t") { // the others tell of downloads
				lines = append(lines, strings.TrimSpace(line))
			}
		}
	}
	slices.Sort(lines)
	var parts []part
	for _, line := range slices.Compact(lines) {
		name, folder, _ := strings.Cut(line, "\t")
		parts = append(parts, part{name, folder})
	}
	return parts, nil
}

// write adds the terms of a part.
func (p part) write(text *strings.Builder) error {
	entries, err := os.ReadDir(p.folder)
	if err != nil {
		return err
	}
	found := false
	for _, entry := range entries {
		name := entry.Name()
		if entry.IsDir() || !licenceFile.MatchString(name) && !strings.HasPrefix(name, "OFL") {
			continue
		}
		content, err := os.ReadFile(filepath.Join(p.folder, name))
		if err != nil {
			return err
		}
		found = true
		fmt.Fprintf(text, "\n%s\n%s: %s\n\n%s\n", strings.Repeat("=", 80), p.name, name, strings.TrimSpace(string(content)))
	}
	if !found {
		return fmt.Errorf("%s: no licence is found in %s", p.name, p.folder)
	}
	return nil
}
