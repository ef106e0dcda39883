package scenario

import (
	"fmt"
	"strings"

	"tugback/internal/marking"
)

// listLimit is how many allowed words a message lists.
const listLimit = 30

// choices returns the end of a message about an unknown word: the likely one and the allowed ones.
// A long list is cut.
func choices(word string, allowed []string) string {
	list := strings.Join(allowed, ", ")
	if len(allowed) > listLimit {
		list = fmt.Sprintf("%s and %d more", strings.Join(allowed[:listLimit], ", "), len(allowed)-listLimit)
	}
	if meant := marking.Likely(word, allowed); meant != "" {
		return fmt.Sprintf("did you mean %q? allowed: %s", meant, list)
	}
	return "allowed: " + list
}

// instrument returns the end of a message about an unknown instrument. The catalogue is long, so
// only the likely id or that of the same family are named.
func instrument(id string, catalogue []string) string {
	if meant := marking.Likely(id, catalogue); meant != "" {
		return fmt.Sprintf("did you mean %q?", meant)
	}
	var families []string
	for _, entry := range catalogue {
		family, _, _ := strings.Cut(entry, "-")
		if last := len(families) - 1; last < 0 || families[last] != family {
			families = append(families, family)
		}
	}
	return "the catalogue has " + strings.Join(families, ", ") + "; an id looks like " + catalogue[0]
}
