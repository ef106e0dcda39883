// Package scenarios holds the cases that come with the program, as files inside it: scenarios at the
// top, plans, rule sets, trays, techniques, operators and quiz items in folders of their own. They are ordinary
// files of package internal/scenario, where reading begins; this package has no code.
package scenarios

import "embed"

// Files are the scenarios with their plans, rule sets, techniques, operators, exams and quiz items.
//
//go:embed *.yaml plans rules trays quiz techniques operators exams
var Files embed.FS
