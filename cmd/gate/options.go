package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"path/filepath"
	"strings"
)

// options is what the arguments ask for.
type options struct {
	names []string // of checks; none: all
	out   string   // full path of the folder for what is made, "" none
}

// readArguments returns the checks that the arguments ask for and the folder for what they make.
func readArguments(args []string) ([]check, string, error) {
	o, err := readOptions(args)
	if err != nil {
		return nil, "", err
	}
	all := checks()
	if len(o.names) > 0 {
		all = append(all, onRequest()...)
	}
	chosen, err := choose(all, o.names)
	return chosen, o.out, err
}

// readOptions reads the arguments: names of checks, --only NAME[,NAME], --out FOLDER.
func readOptions(args []string) (options, error) {
	var o options
	flags := flag.NewFlagSet("gate", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	flags.Func("only", "names of the checks to run, with commas between them", func(names string) error {
		o.names = append(o.names, strings.Split(names, ",")...)
		return nil
	})
	flags.StringVar(&o.out, "out", "", "folder for what a check makes to be handed out")
	err := flags.Parse(args)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return options{}, errors.New("usage: go run ./cmd/gate [--only NAME[,NAME]] [--out FOLDER] [NAME…]")
	case err != nil:
		return options{}, fmt.Errorf("%w; see go run ./cmd/gate --help", err)
	}
	o.names = append(o.names, flags.Args()...)
	if o.out != "" {
		if o.out, err = filepath.Abs(o.out); err != nil {
			return options{}, err
		}
	}
	return o, nil
}
