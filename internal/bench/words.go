package bench

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"tugback/assets"
)

// texts reads the bench's words once; the result is a table that nothing changes.
var texts = sync.OnceValue(func() map[string]string {
	words := map[string]string{}
	if err := json.Unmarshal(assets.BenchWords, &words); err != nil {
		panic(fmt.Sprintf("bench: words: %v", err))
	}
	return words
})

// say returns the text of a key with its places filled: pairs of name and value. It panics on a key
// that is not there, since keys are fixed in this package and a test goes through them.
func say(key string, pairs ...string) string {
	text, ok := texts()[key]
	if !ok {
		panic("bench: no text for " + key)
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		text = strings.ReplaceAll(text, "{"+pairs[i]+"}", pairs[i+1])
	}
	return text
}

// sayOr returns the text of a key, or the plain word where the key has none.
func sayOr(key, plain string) string {
	if text, ok := texts()[key]; ok {
		return text
	}
	return plain
}

// paragraphs returns the texts prefix1, prefix2 … as far as there are any.
func paragraphs(prefix string) []string {
	var out []string
	for i := 1; ; i++ {
		text, ok := texts()[prefix+strconv.Itoa(i)]
		if !ok {
			return out
		}
		out = append(out, text)
	}
}

// figure writes a number with a fixed count of decimals.
func figure(v float64, decimals int) string { return strconv.FormatFloat(v, 'f', decimals, 64) }

// clock writes a time of treatment as minutes and seconds.
func clock(ms int) string {
	s := ms / 1000
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// Word returns a text of the bench by its key, for what is lettered inside a panel; it panics on a key
// that is not there.
func Word(key string) string { return say(key) }
