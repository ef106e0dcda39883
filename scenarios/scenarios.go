// Package scenarios holds the cases that come with the program, as files inside it: scenarios at the
// top, plans and rule sets in folders of their own. They are ordinary files of package
// internal/scenario, where reading begins; this package has no code.
package scenarios

import "embed"

// Files are the scenarios with their plans and rule sets, and the items of the quiz.
//
//go:embed *.yaml plans rules quiz
var Files embed.FS
