package class

import (
	"fmt"
	"net/http"
	"net/netip"
	"testing"
)

// From returns the address for which a request counts behind a proxy.
func From(proxy netip.Prefix, r *http.Request) string {
	return (&site{Class: &Class{proxy: proxy}}).from(r)
}

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

// Spoil makes the log of a candidate's sittings one that nobody can go on with.
func (c *Class) Spoil(t *testing.T, candidate string) {
	if _, err := c.db.ExecContext(t.Context(), `UPDATE line SET data = $1 WHERE candidate = $2`, []byte("{}"), candidate); err != nil {
		t.Fatal(err)
	}
	c.seats.by = map[seatName]*seat{}
}
