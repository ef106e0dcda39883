package author

import (
	"fmt"
	"strings"

	"tugback/internal/treatment"
)

// metrics says of each metric in a line what it is, for the one that a rule names.
func metrics() map[string]string {
	said := map[string]string{}
	for _, d := range treatment.MetricTable() {
		said[d.Name] = fmt.Sprintf("%s (%s)", d.Text, strings.TrimSpace(fmt.Sprintf("%g to %g %s", d.Low, d.High, d.Unit)))
	}
	return said
}
