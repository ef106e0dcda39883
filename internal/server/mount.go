package server

import "net/http"

// Handler returns what answers for the page's own files, for a server that has a guard of its own.
func (p *Page) Handler() http.Handler {
	routes := http.NewServeMux()
	p.register(routes)
	return routes
}
