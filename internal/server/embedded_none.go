//go:build !release

package server

// embedded returns nil: this program was built from its sources, and so can its page be.
func embedded() (*Page, error) { return nil, nil }
