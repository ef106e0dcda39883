package author

import (
	"context"
	"crypto/subtle"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"path"
	"slices"
	"strings"
	"text/template"
	"time"

	"tugback/assets"
	"tugback/internal/picture"
	"tugback/internal/scenario"
	"tugback/internal/web"
)

//go:embed page
var pageFiles embed.FS

// style is plain text for its template: its values are the program's own colours.
var style = template.Must(template.ParseFS(pageFiles, "page/author.css.tmpl"))

// bodyLimit is above the texts of a case with all the files it uses, in bytes.
const bodyLimit = 8 << 20

// How often the files are looked at, and how often a silent connection is kept open.
const (
	lookTime = 400 * time.Millisecond
	keepTime = 15 * time.Second
)

// Handler returns what answers the page, until ctx ends. Whoever serves it guards the address. Checked by
// TestHandler.
func (s *Site) Handler(ctx context.Context) http.Handler {
	routes := http.NewServeMux()
	routes.HandleFunc("GET /{$}", s.getPage)
	routes.HandleFunc("GET /author.js", func(w http.ResponseWriter, _ *http.Request) {
		send(w, "text/javascript", file(pageFiles, "page/author.js"))
	})
	routes.HandleFunc("GET /author.css", getStyle)
	routes.HandleFunc("GET /icon.svg", func(w http.ResponseWriter, _ *http.Request) {
		send(w, "image/svg+xml", file(assets.Page, "page/icon.svg"))
	})
	routes.HandleFunc("GET /fonts/{name}", getFont)
	routes.HandleFunc("GET /begin", s.known(s.getBegin))
	routes.HandleFunc("POST /open", s.known(s.postOpen))
	routes.HandleFunc("GET /file", s.known(s.getFile))
	routes.HandleFunc("GET /watch", s.known(func(w http.ResponseWriter, r *http.Request) { s.getWatch(ctx, w, r) }))
	routes.HandleFunc("POST /look", s.known(s.postLook))
	routes.HandleFunc("POST /tooth", s.known(s.computed(func(_ context.Context, o opened, r request) (any, error) { return o.tooth(r) })))
	routes.HandleFunc("POST /gallery", s.known(s.computed(func(_ context.Context, o opened, r request) (any, error) { return o.gallery(r) })))
	routes.HandleFunc("POST /marks", s.known(s.computed(func(ctx context.Context, o opened, r request) (any, error) { return s.marks(ctx, o, r) })))
	routes.HandleFunc("POST /save", s.known(s.postSave))
	return routes
}

// file returns a file that is inside the program.
func file(files fs.FS, name string) []byte {
	text, err := fs.ReadFile(files, name)
	if err != nil {
		panic("author: a file of the page is not inside the program: " + err.Error())
	}
	return text
}

func send(w http.ResponseWriter, kind string, content []byte) {
	w.Header().Set("Content-Type", kind+"; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.Write(content) //nolint:errcheck // whoever asked has gone
}

// getPage sends the page with the token in it, which no other site can read.
func (s *Site) getPage(w http.ResponseWriter, _ *http.Request) {
	text := strings.Replace(string(file(pageFiles, "page/index.html")), "TOKEN", s.token, 1)
	send(w, "text/html", []byte(text))
}

// getStyle sends the look of the page, in the colours of the plates.
func getStyle(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	colours := map[string]picture.Palette{"Light": picture.Light(), "Night": picture.Night(), "High": picture.HighContrast()}
	style.Execute(w, colours) //nolint:errcheck // whoever asked has gone
}

// getFont sends one of the program's typefaces.
func getFont(w http.ResponseWriter, r *http.Request) {
	text, err := fs.ReadFile(assets.Fonts, "fonts/"+path.Base(r.PathValue("name")))
	if err != nil || path.Ext(r.PathValue("name")) != ".otf" {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "font/otf")
	w.Header().Set("Cache-Control", "max-age=3600")
	w.Write(text) //nolint:errcheck // whoever asked has gone
}

// known lets through what carries the page's token.
func (s *Site) known(next http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		token := r.Header.Get("Tugback-Token")
		if r.URL.Path == "/watch" { // an EventSource sends no headers
			token = r.URL.Query().Get("token")
		}
		if subtle.ConstantTimeCompare([]byte(token), []byte(s.token)) != 1 {
			http.Error(w, "only the page of this server may ask this; load it again", http.StatusForbidden)
			return
		}
		next(w, r)
	}
}

// answer sends a value as JSON.
func answer(w http.ResponseWriter, status int, value any) {
	text, err := json.Marshal(value)
	if err != nil {
		panic("author: an answer is not encoded: " + err.Error())
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(text) //nolint:errcheck // whoever asked has gone
}

// refuse says why something is not done; faults of files go with their places.
func refuse(w http.ResponseWriter, o opened, err error) {
	out := struct {
		Error   string            `json:"error"`
		Notices []scenario.Notice `json:"notices"`
	}{err.Error(), nil}
	var faults scenario.Faults
	if errors.As(err, &faults) {
		out.Error = faults[0].Message
		out.Notices = notices(nil, faults, false)
	}
	answer(w, http.StatusUnprocessableEntity, out)
}

// read reads what the page sends.
func read(w http.ResponseWriter, r *http.Request, into any) bool {
	data, ok := web.Body(w, r, bodyLimit)
	if !ok {
		return false
	}
	if err := json.Unmarshal(data, into); err != nil {
		http.Error(w, "what was sent is not understood: "+err.Error(), http.StatusBadRequest)
		return false
	}
	return true
}

// begun is what the page is told first.
type begun struct {
	File      string   `json:"file"` // id of the case, "" none is open
	Shown     string   `json:"shown"`
	Plan      string   `json:"plan"` // shown name of the plan, "" none
	Kinds     []string `json:"kinds"`
	Cases     []string `json:"cases"`
	Operators []string `json:"operators"`
	Rules     []string `json:"rules"`
	Trays     []string `json:"trays"`
	Plans     []string `json:"plans"` // of the folder
	Metrics   any      `json:"metrics"`
}

func (s *Site) getBegin(w http.ResponseWriter, _ *http.Request) {
	o := s.opened()
	b := begun{File: o.name, Shown: o.shown(o.name), Kinds: scenario.StarterKinds(), Operators: s.operators(), Rules: s.usable(o, "rules"), Trays: s.usable(o, "trays"), Metrics: metrics()}
	b.Plans = filesOf(o.folder, "plan", "*.yaml", "plans/*.yaml")
	if o.plan != "" {
		b.Plan = o.shown(planID)
	}
	if o.name == "" {
		b.Cases = filesOf(o.folder, "scenario", "*.yaml")
	}
	answer(w, http.StatusOK, b)
}

func (s *Site) postOpen(w http.ResponseWriter, r *http.Request) {
	var ask struct{ File, Kind string }
	if !read(w, r, &ask) {
		return
	}
	o := s.opened()
	if o.name != "" {
		refuse(w, o, errors.New("a case is open; start the program again for another"))
		return
	}
	if name := path.Base(ask.File); name != ask.File || strings.HasPrefix(name, ".") || strings.Contains(name, `\`) {
		refuse(w, o, fmt.Errorf("%q is no name of a file in this folder, such as my-case.yaml", ask.File))
		return
	}
	err := s.take(ask.File)
	if ask.Kind != "" {
		err = s.begin(ask.File, ask.Kind)
	}
	if err != nil {
		refuse(w, o, err)
		return
	}
	s.getBegin(w, r)
}

func (s *Site) getFile(w http.ResponseWriter, r *http.Request) {
	o := s.opened()
	text, sum, err := o.read(r.URL.Query().Get("id"))
	if err != nil {
		refuse(w, o, err)
		return
	}
	answer(w, http.StatusOK, map[string]string{"text": string(text), "digest": sum, "shown": o.shown(r.URL.Query().Get("id"))})
}

// getWatch tells the digests of the files that the page has open, first as they are and then whenever one
// changes.
func (s *Site) getWatch(ctx context.Context, w http.ResponseWriter, r *http.Request) {
	out := http.NewResponseController(w)
	out.SetWriteDeadline(time.Time{}) //nolint:errcheck // then it ends early and the page asks again
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	ids := r.URL.Query()["id"]
	var last map[string]string
	for quiet := time.Duration(0); ; quiet += lookTime {
		now := map[string]string{}
		o := s.opened()
		for _, id := range ids {
			if _, sum, err := o.read(id); err == nil {
				now[id] = sum
			}
		}
		switch {
		case !maps.Equal(now, last):
			text, err := json.Marshal(now)
			if err != nil {
				panic("author: digests are not encoded: " + err.Error())
			}
			fmt.Fprintf(w, "event: disk\ndata: %s\n\n", text)
			last, quiet = now, 0
		case quiet >= keepTime:
			fmt.Fprint(w, ": still here\n\n")
			quiet = 0
		}
		if out.Flush() != nil {
			return
		}
		select {
		case <-ctx.Done():
			return
		case <-r.Context().Done():
			return
		case <-time.After(lookTime):
		}
	}
}

func (s *Site) postLook(w http.ResponseWriter, r *http.Request) {
	var ask request
	if !read(w, r, &ask) {
		return
	}
	o := s.opened()
	if ask.Texts == nil {
		ask.Texts = texts{}
	}
	if e := ask.Edit; e != nil && e.Do == "add" && e.Choice == "use" && slices.Contains(append(s.usable(o, "rules"), s.usable(o, "trays")...), e.Text) {
		if err := s.borrow(e.Text); err != nil {
			refuse(w, o, err)
			return
		}
	}
	v, err := o.look(ask)
	if err != nil {
		refuse(w, o, err)
		return
	}
	answer(w, http.StatusOK, v)
}

// computed answers with what takes a while; one after the other, and not at all when the page has gone on.
func (s *Site) computed(do func(context.Context, opened, request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var ask request
		if !read(w, r, &ask) {
			return
		}
		select {
		case s.work <- struct{}{}:
			defer func() { <-s.work }()
		case <-r.Context().Done():
			return
		}
		o := s.opened()
		made, err := do(r.Context(), o, ask)
		switch {
		case r.Context().Err() != nil:
		case err != nil:
			refuse(w, o, err)
		default:
			answer(w, http.StatusOK, made)
		}
	}
}

func (s *Site) postSave(w http.ResponseWriter, r *http.Request) {
	var ask struct{ File, Base, Text string }
	if !read(w, r, &ask) {
		return
	}
	sum, err := s.save(ask.File, ask.Base, []byte(ask.Text))
	var other *conflict
	switch {
	case errors.As(err, &other):
		answer(w, http.StatusConflict, map[string]string{"error": err.Error(), "text": string(other.text), "digest": other.sum})
	case err != nil:
		refuse(w, s.opened(), err)
	default:
		answer(w, http.StatusOK, map[string]string{"digest": sum})
	}
}
