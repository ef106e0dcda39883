package assets

import "embed"

// Fonts holds the four faces of every sheet and their licences (SIL Open Font License 1.1): the
// old-style serif EB Garamond, upright and italic, for titles and captions, and the sans Inter,
// regular and semibold, for what is read as a number. The files are subsets (Latin, some Greek,
// punctuation, signs) made with pyftsubset from the Debian packages fonts-ebgaramond and
// fonts-inter; no licence reserves their names. Checked by TestFacesHaveEveryGlyph.
//
//go:embed fonts
var Fonts embed.FS

// PlateWords is the JSON text of the plate's captions, keyed by what they caption; places for
// figures stand in braces. Checked by TestPlateWords.
//
//go:embed plate.en.json
var PlateWords []byte
