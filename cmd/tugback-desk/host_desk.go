//go:build !js

package main

import (
	"flag"
	"fmt"

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

// inWords is nil: a window has no place beside it where a page in words could stand; F4 has it said.
var inWords func(page []bench.Sentence)

// ownComfort returns the settings as they are: a window does not know those of the system.
func ownComfort(c bench.Settings) bench.Settings { return c }

// showFault does nothing: a window that cannot be opened has nothing to show it in.
func showFault(error) {}
