//go:build !js

package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"tugback/internal/bench"
	"tugback/internal/store"
)

// practicePath returns where practice is kept: the usual place, or what -practice names.
func practicePath() (string, error) {
	named := flag.String("practice", "", "file in which practice is kept (default: in your folder of settings)")
	flag.StringVar(&classAt, "class", "", "address of the class server from which a paper is taken and to which it is handed in")
	flag.StringVar(&classToken, "token", "", "the candidate's token there")
	flag.BoolVar(&say, "say", false, "print what the bench says, one line each, for a speech program")
	flag.Parse()
	if *named != "" {
		return *named, nil
	}
	return store.DefaultPath()
}

// classAt and classToken name the class server and the candidate.
var classAt, classToken string

// say is whether what the bench says is printed: a window has no mirror that screen readers read.
var say bool

// announce prints what the bench says.
func announce(text string) {
	if say {
		fmt.Println(text)
	}
}

// comfortPath is the file of the settings of comfort.
func comfortPath() (string, error) {
	folder, err := os.UserConfigDir()
	return filepath.Join(folder, "tugback", "comfort.json"), err
}

// loadComfort reads the settings of comfort of the last time.
func loadComfort() (bench.Settings, bool) {
	var s bench.Settings
	path, err := comfortPath()
	if err != nil {
		return s, false
	}
	data, err := os.ReadFile(path)
	return s, err == nil && json.Unmarshal(data, &s) == nil
}

// saveComfort keeps them; where they cannot be kept they last as long as the window.
func saveComfort(s bench.Settings) {
	path, err := comfortPath()
	if err != nil {
		return
	}
	data, err := json.Marshal(s)
	if err != nil || os.MkdirAll(filepath.Dir(path), 0o700) != nil {
		return
	}
	os.WriteFile(path, data, 0o600) //nolint:errcheck // see above
}
