//go:build release

package server

import _ "embed"

// What a release holds inside. The files are no part of the sources: the release check of cmd/gate puts
// them there with the -overlay option of the go command.
var (
	//go:embed embedded/tugback.wasm.gz
	embeddedProgram []byte

	//go:embed embedded/tugback.wasm.br
	embeddedSmaller []byte

	//go:embed embedded/wasm_exec.js
	embeddedStarter []byte
)

// embedded returns the page inside this program.
func embedded() (*Page, error) {
	return NewPage(Packed{Brotli: embeddedSmaller, Gzip: embeddedProgram}, embeddedStarter)
}
