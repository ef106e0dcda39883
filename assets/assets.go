// Package assets holds what people see that is not computed: texts and typefaces, as files inside the
// program. It has no code; the packages that show a text fill it in.
package assets

import _ "embed"

// Words is the JSON text of the sentences about events and actions, keyed "event.KIND",
// "event.KIND.DETAIL" and "action.KIND". Values stand in braces; a stretch in square brackets is left
// out when a value in it is not set. Checked by TestEveryEventHasASentence of package attempt.
//
//go:embed words.en.json
var Words []byte
