package class

import (
	"fmt"
	"testing"
)

// Limit lets the SQLite database grow to a number of pages only, as on a full disk, until it is undone.
func (c *Class) Limit(t *testing.T, pages int) (undo func()) {
	set := func(n int) {
		if _, err := c.db.ExecContext(t.Context(), fmt.Sprintf("PRAGMA max_page_count = %d", n)); err != nil {
			t.Fatal(err)
		}
	}
	set(pages)
	return func() { set(1 << 30) }
}
