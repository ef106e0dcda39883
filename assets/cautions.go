package assets

import _ "embed"

// Cautions is the JSON text of emergencies and cautions, keyed "event.KIND" and "action.KIND" or
// "action.KIND.WORD", of what the model simplifies, "limit.STAGE", and of published figures that are
// context and no prediction, "cited.STAGE". Checked by TestCautions of package attempt.
//
//go:embed cautions.en.json
var Cautions []byte
