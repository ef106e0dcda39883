// Package conventions holds the house rules of this repository as tests: who may import whom, how
// long a function or a file may be, what is documented, and what the engine may not use because
// it would not give the same bits on every target.
//
// The package itself names only the layers, so that the tests and the gate read one list. Begin
// reading at imports_test.go; DEVELOPERS.md chapters 2 and 5 give the reasons.
package conventions

// Layers returns the packages under internal from the top layer downwards. A package may import
// only packages named before it. Packages that do not exist yet keep their place. Checked by
// TestImportsPointUpwards.
func Layers() []string {
	return []string{
		"detmath", "geom", "mechanics", "anatomy", "treatment", "marking",
		"quiz", "scenario", "attempt", "exam", "specimen", "psychometrics", "picture", "store", "trial", "comment", "cohort", "handin", "bench", "rehearsal", "desk",
		"web", "author", "ui", "server", "class", "cli",
	}
}

// Engine returns the packages under internal that must give the same bits on every target: the
// first six layers. Checked by TestEngineUsesOnlyPortableParts and TestNoFusedProducts.
func Engine() []string {
	return Layers()[:6]
}
