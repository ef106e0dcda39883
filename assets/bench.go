package assets

import _ "embed"

// BenchWords is the JSON text of everything the bench shows and says, keyed by where it stands;
// places for figures and names stand in braces. Checked by TestBenchWords of package bench.
//
//go:embed bench.en.json
var BenchWords []byte
