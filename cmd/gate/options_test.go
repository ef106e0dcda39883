package main

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestReadOptions(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "out")
	tests := []struct {
		args  []string
		names []string
		out   string
	}{
		{nil, nil, ""},
		{[]string{"vet", "lint"}, []string{"vet", "lint"}, ""},
		{[]string{"--only", "page,browser", "--out", folder, "vet"}, []string{"page", "browser", "vet"}, folder},
		{[]string{"-only=release", "-out=" + folder}, []string{"release"}, folder},
	}
	for _, tt := range tests {
		o, err := readOptions(tt.args)
		if err != nil || !slices.Equal(o.names, tt.names) || o.out != tt.out {
			t.Errorf("%v: got %+v and error %v", tt.args, o, err)
		}
	}
	for _, args := range [][]string{{"--max", "vet"}, {"--out"}, {"--help"}} {
		if _, err := readOptions(args); err == nil {
			t.Errorf("%v: no error", args)
		}
	}
}

// TestReleaseRefuses holds that a release is made only in a new folder outside the repository.
func TestReleaseRefuses(t *testing.T) {
	root, full := t.TempDir(), t.TempDir()
	for name, tt := range map[string]struct{ out, want string }{
		"no folder":      {"", "--out FOLDER"},
		"the repository": {root, "outside"},
		"inside":         {filepath.Join(root, "dist"), "outside"},
		"not empty":      {filepath.Dir(full), "not empty"},
	} {
		v, detail := checkRelease(&tree{root: root, out: tt.out})
		if v != failed || !strings.Contains(detail, tt.want) {
			t.Errorf("%s: %s, %q", name, v, detail)
		}
	}
}

// TestLicenceFiles holds which files are taken for the terms of a module.
func TestLicenceFiles(t *testing.T) {
	for name, want := range map[string]bool{
		"LICENSE": true, "LICENCE.md": true, "license.txt": true, "COPYING": true, "NOTICE": true, "LICENSE-3RD-PARTY.md": true,
		"PATENTS": true, "licenses.go": false, "README.md": false, "noticeboard.go": false,
	} {
		if licenceFile.MatchString(name) != want {
			t.Errorf("%s: got %v", name, !want)
		}
	}
}
