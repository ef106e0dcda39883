package picture

import (
	"encoding/json"
	"fmt"
	"strings"
	"sync"

	"tugback/assets"
)

// texts reads the captions once; the result is a table that nothing changes.
var texts = sync.OnceValue(func() map[string]string {
	words := map[string]string{}
	if err := json.Unmarshal(assets.PlateWords, &words); err != nil {
		panic(fmt.Sprintf("picture: plate words: %v", err))
	}
	return words
})

// say returns the text of a key with its places filled: pairs of name and value. It panics on a key
// that is not there, since keys are fixed in this package and a test goes through them.
func say(key string, pairs ...string) string {
	text, ok := texts()[key]
	if !ok {
		panic("picture: no text for " + key)
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		text = strings.ReplaceAll(text, "{"+pairs[i]+"}", pairs[i+1])
	}
	return text
}

// known reports whether a key has a text.
func known(key string) bool {
	_, ok := texts()[key]
	return ok
}
