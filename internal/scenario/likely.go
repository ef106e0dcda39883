package scenario

import (
	"fmt"
	"slices"
	"strings"

	"tugback/internal/marking"
	"tugback/internal/treatment"
)

// listLimit is how many allowed words a message lists.
const listLimit = 45

// choices returns the end of a message about an unknown word: the likely one and the allowed ones.
// A long list is cut.
func choices(word string, allowed []string) string {
	list := strings.Join(allowed, ", ")
	if len(allowed) > listLimit {
		list = fmt.Sprintf("%s and %d more", strings.Join(allowed[:listLimit], ", "), len(allowed)-listLimit)
	}
	if meant := likely(word, allowed); meant != "" {
		return fmt.Sprintf("did you mean %q? allowed: %s", meant, list)
	}
	return "allowed: " + list
}

// likely returns the word that was probably meant: one of which the written word is the end or the beginning
// (an irreversible-pulpitis is symptomatic-irreversible-pulpitis sooner than reversible-pulpitis, and
// degrees are deg), else the nearest by letters, "" when none is near.
func likely(word string, allowed []string) string {
	if len(word) >= 3 {
		for _, w := range allowed {
			if strings.HasSuffix(w, "-"+word) || strings.HasPrefix(w, word+"-") || len(w) >= 3 && strings.HasPrefix(word, w) {
				return w
			}
		}
	}
	return marking.Likely(word, allowed)
}

// likelyItem returns the end of a message about an id that is not in the catalogue: the likely id, or
// when none is near the families there are.
func likelyItem(id string) string {
	var ids, families []string
	for _, entry := range treatment.Catalogue() {
		ids = append(ids, entry.ID)
		if !slices.Contains(families, entry.Family) {
			families = append(families, entry.Family)
		}
	}
	if meant := marking.Likely(id, ids); meant != "" {
		return fmt.Sprintf("; did you mean %q?", meant)
	}
	return fmt.Sprintf("; it has %s, written such as %s", strings.Join(families, ", "), ids[0])
}
