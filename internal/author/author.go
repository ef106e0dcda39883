// Package author serves the page in which an instructor makes and changes a case: the file as a form with
// its text beside it, faults at their fields, the tooth drawn and a treatment marked as it changes.
//
// The main idea: the page holds the texts, the server only computes. Every request carries the texts as
// they stand in the page; the answers are made from them and nothing is kept. The files on the disk are
// read when the page asks, watched for changes by others, and written only by an explicit save: whole or
// not at all, and never over a file that changed since the page read it. What a form asks for comes from
// the reference of package scenario, what a change writes from scenario.Document.
//
//	GET  /            the page, /author.js, /author.css, /icon.svg, /fonts/…
//	GET  /begin       what is open, and what may be begun
//	POST /open        begin a new case, or open one of the folder
//	GET  /file?id=    a file as it stands on the disk
//	GET  /watch       server-sent events: the digests of the files, whenever they change
//	POST /look        the form of a file with its faults, after a change if one is sent
//	POST /tooth       the tooth as a plate, with its measures
//	POST /gallery     the teeth of some seeds
//	POST /marks       a treatment by a plan or an operator, marked
//	POST /save        write a file
//
// Every request but those for the page itself carries a token that only the page knows; what guards the
// address against other sites is the server's (package server). Texts of cases never leave this computer.
// Begin reading at Open, then http.go.
package author

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"tugback/internal/anatomy"
	"tugback/internal/scenario"
)

// Options say what is opened.
type Options struct {
	File    string // scenario to change or to make; "" asks in the page
	New     string // kind of tooth of a new scenario, "" the file is there
	Plan    string // plan to be marked by, "" none
	Shipped fs.FS  // files that come with the program
}

// Site is what the page works on. It is safe for use by several requests at once.
type Site struct {
	shipped fs.FS
	token   string
	work    chan struct{} // one long computation at a time

	mu     sync.Mutex
	folder string // of the case
	name   string // of the case's file in the folder, "" none is open
	fresh  string // text of a case that was never saved
	plan   string // path of the plan, "" none
}

// Open finds the files. The error says what cannot be opened; a scenario with faults can. Checked by
// TestOpen.
func Open(o Options) (*Site, error) {
	s := &Site{shipped: o.Shipped, token: rand.Text(), work: make(chan struct{}, 1), folder: "."}
	if o.Plan != "" {
		if _, err := os.Stat(o.Plan); err != nil {
			return nil, fmt.Errorf("%s: %s", o.Plan, reason(err))
		}
		s.plan = o.Plan
	}
	switch {
	case o.File == "" && o.New == "":
		return s, nil
	case o.File == "":
		return nil, errors.New("name the new file, such as my-case.yaml")
	case o.New != "":
		return s, s.begin(o.File, o.New)
	}
	return s, s.take(o.File)
}

// begin opens a new case of a kind of tooth in a file that is not there yet.
func (s *Site) begin(file, kind string) error {
	text := scenario.Starter(anatomy.Kind(kind))
	if text == "" {
		return fmt.Errorf("no case of the kind %q; there are: %s", kind, strings.Join(scenario.StarterKinds(), ", "))
	}
	if filepath.Ext(file) != ".yaml" {
		return fmt.Errorf("%s: a file of a case ends in .yaml, such as my-case.yaml", file)
	}
	if _, err := os.Stat(file); err == nil {
		return fmt.Errorf("%s is there already; open it without a kind, or choose another name", file)
	}
	if info, err := os.Stat(filepath.Dir(file)); err != nil || !info.IsDir() {
		return fmt.Errorf("%s: there is no folder %s", file, filepath.Dir(file))
	}
	name := strings.TrimSuffix(filepath.Base(file), ".yaml")
	if own, err := named(text, name); err == nil {
		text = own
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.folder, s.name, s.fresh = filepath.Dir(file), filepath.Base(file), text
	return nil
}

// named gives a new case the name of its file.
func named(text, name string) (string, error) {
	d, err := scenario.NewDocument("new", []byte(text))
	if err != nil {
		return "", err
	}
	if d, err = d.Set(scenario.Path{"name"}, scenario.Value{Text: name}); err != nil {
		return "", err
	}
	if _, err := scenario.Parse("new", d.Text()); err != nil {
		return "", err
	}
	return string(d.Text()), nil
}

// take opens a case that is there. A link is followed, so that saving changes what it leads to.
func (s *Site) take(file string) error {
	path, err := filepath.EvalSymlinks(file)
	if err != nil {
		if _, shipped := fs.Stat(s.shipped, file+".yaml"); shipped == nil {
			return fmt.Errorf("%s comes with the program and cannot be changed; begin with: tugback preview --new KIND my-case.yaml, or copy scenarios/%s.yaml", file, file)
		}
		return fmt.Errorf("%s: %s; to begin a new one: tugback preview --new KIND %s", file, reason(err), file)
	}
	if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() {
		return fmt.Errorf("%s is no file", file)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.folder, s.name, s.fresh = filepath.Dir(path), filepath.Base(path), ""
	return nil
}

// reason returns what went wrong without the path.
func reason(err error) string {
	var path *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such file"
	case errors.As(err, &path):
		return path.Err.Error()
	}
	return err.Error()
}
