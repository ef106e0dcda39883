package class

import (
	"archive/zip"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"math"
	"net/http"
	"strconv"
	"strings"
	texttemplate "text/template"
	"time"

	"tugback/internal/picture"
)

//go:embed pages/*
var pageFiles embed.FS

// style is plain text for its template: its values are the program's own colours.
var style = texttemplate.Must(texttemplate.ParseFS(pageFiles, "pages/class.css.tmpl"))

var pages = template.Must(template.New("").Funcs(template.FuncMap{"left": left, "ago": ago, "short": short, "points": points}).ParseFS(pageFiles, "pages/*.html"))

// left says how much time is left.
func left(seconds int) string {
	if seconds < 0 {
		return "no limit"
	}
	return fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
}

// ago says how long ago something was.
func ago(now, at int64) string {
	if at == 0 {
		return ""
	}
	return (time.Duration(max(0, now-at)) * time.Second).String() + " ago"
}

// points writes points with two decimals at most.
func points(total string) string {
	x, err := strconv.ParseFloat(total, 64)
	if err != nil {
		return total
	}
	return strconv.FormatFloat(math.Round(100*x)/100, 'f', -1, 64)
}

// short returns the class of a verdict: what stands before the first colon.
func short(verdict string) string {
	head, _, _ := strings.Cut(verdict, ":")
	return head
}

const cookieName = "tugback-instructor"

func (w *site) registerInstructor(routes *http.ServeMux) {
	routes.HandleFunc("GET /class.css", w.getStyle)
	routes.HandleFunc("GET /instructor/sign-in", func(out http.ResponseWriter, _ *http.Request) { w.render(out, http.StatusOK, "signin.html", "") })
	routes.HandleFunc("POST /instructor/sign-in", w.postSignIn)
	routes.HandleFunc("POST /instructor/sign-out", w.signedIn(w.postSignOut))
	routes.HandleFunc("GET /instructor/{$}", w.signedIn(w.getPapers))
	routes.HandleFunc("POST /instructor/papers", w.signedIn(w.postPaper))
	routes.HandleFunc("GET /instructor/papers/{paper}", w.signedIn(w.getLive))
	routes.HandleFunc("GET /instructor/papers/{paper}/comments", w.signedIn(w.getComments))
	routes.HandleFunc("POST /instructor/papers/{paper}/comments", w.signedIn(w.postComments))
	routes.HandleFunc("GET /instructor/papers/{paper}/sittings.zip", w.signedIn(w.getSittings))
}

// getStyle sends the look of the pages, in the colours of the plates.
func (w *site) getStyle(out http.ResponseWriter, _ *http.Request) {
	out.Header().Set("Content-Type", "text/css; charset=utf-8")
	if err := style.Execute(out, picture.Light()); err != nil {
		w.log.Error("style not sent whole", "error", err)
	}
}

func (w *site) render(out http.ResponseWriter, status int, name string, data any) {
	out.Header().Set("Content-Type", "text/html; charset=utf-8")
	out.WriteHeader(status)
	if err := pages.ExecuteTemplate(out, name, data); err != nil {
		w.log.Error("page not sent whole", "page", name, "error", err)
	}
}

func (w *site) postSignIn(out http.ResponseWriter, r *http.Request) {
	if !w.signIns.allow(w.from(r)) {
		tooMany(out)
		return
	}
	r.Body = http.MaxBytesReader(out, r.Body, 8<<10)
	token, err := w.signIn(r.Context(), r.PostFormValue("name"), r.PostFormValue("password"))
	if errors.Is(err, ErrSignIn) {
		w.render(out, http.StatusUnauthorized, "signin.html", err.Error())
		return
	}
	if err != nil {
		w.fail(out, err)
		return
	}
	http.SetCookie(out, &http.Cookie{Name: cookieName, Value: token, Path: "/instructor", HttpOnly: true, Secure: w.secure,
		SameSite: http.SameSiteStrictMode, MaxAge: int(sessionTime / time.Second)})
	http.Redirect(out, r, "/instructor/", http.StatusSeeOther)
}

// signedIn lets through instructors only. Requests that change something come from this server's own
// pages: http.CrossOriginProtection refuses others, and the cookie is not sent with them.
func (w *site) signedIn(next func(http.ResponseWriter, *http.Request, string)) http.HandlerFunc {
	return func(out http.ResponseWriter, r *http.Request) {
		cookie, err := r.Cookie(cookieName)
		if err != nil {
			http.Redirect(out, r, "/instructor/sign-in", http.StatusSeeOther)
			return
		}
		name, err := w.instructor(r.Context(), cookie.Value)
		switch {
		case errors.Is(err, ErrSignIn):
			http.Redirect(out, r, "/instructor/sign-in", http.StatusSeeOther)
		case err != nil:
			w.fail(out, err)
		default:
			next(out, r, name)
		}
	}
}

func (w *site) postSignOut(out http.ResponseWriter, r *http.Request, _ string) {
	cookie, err := r.Cookie(cookieName)
	if err == nil {
		err = w.signOut(r.Context(), cookie.Value)
	}
	if err != nil {
		w.fail(out, err)
		return
	}
	http.Redirect(out, r, "/instructor/sign-in", http.StatusSeeOther)
}

type papersPage struct {
	Name   string
	Papers []PaperEntry
	Fault  string
}

func (w *site) getPapers(out http.ResponseWriter, r *http.Request, name string) {
	w.showPapers(out, r, http.StatusOK, papersPage{Name: name})
}

func (w *site) showPapers(out http.ResponseWriter, r *http.Request, status int, p papersPage) {
	var err error
	if p.Papers, err = w.Papers(r.Context()); err != nil {
		w.fail(out, err)
		return
	}
	w.render(out, status, "papers.html", p)
}

func (w *site) postPaper(out http.ResponseWriter, r *http.Request, name string) {
	r.Body = http.MaxBytesReader(out, r.Body, uploadLimit)
	u, err := uploaded(r)
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		http.Error(out, "more was sent than is taken", http.StatusRequestEntityTooLarge)
		return
	}
	if err == nil {
		err = w.AddPaper(r.Context(), name, u)
	}
	if err != nil {
		w.showPapers(out, r, http.StatusUnprocessableEntity, papersPage{Name: name, Fault: err.Error()})
		return
	}
	http.Redirect(out, r, "/instructor/papers/"+u.Paper, http.StatusSeeOther)
}

// uploaded reads the files of the form as a paper.
func uploaded(r *http.Request) (Upload, error) {
	if err := r.ParseMultipartForm(8 << 20); err != nil {
		return Upload{}, err
	}
	var files [][]byte
	for _, header := range r.MultipartForm.File["paper"] {
		file, err := header.Open()
		if err != nil {
			return Upload{}, err
		}
		text, err := io.ReadAll(file)
		if err := errors.Join(err, file.Close()); err != nil {
			return Upload{}, err
		}
		files = append(files, text)
	}
	u, err := ReadUpload(files...)
	u.Stepped = u.Stepped || r.PostFormValue("stepped") != ""
	return u, err
}

type livePage struct {
	Paper                          string
	Now                            int64
	Candidates                     []Live
	Begun, Handed, Refused, Unread int
}

func (w *site) getLive(out http.ResponseWriter, r *http.Request, _ string) {
	list, err := w.Live(r.Context(), r.PathValue("paper"))
	if err == nil && len(list) == 0 {
		err = ErrNone
	}
	if err != nil {
		w.fail(out, err)
		return
	}
	p := livePage{Paper: r.PathValue("paper"), Now: w.now().Unix(), Candidates: list}
	for _, l := range list {
		if l.Seen > 0 {
			p.Begun++
		}
		if l.Handed > 0 {
			p.Handed++
		}
		p.Refused += l.Refused
		p.Unread += l.Pending
	}
	out.Header().Set("Refresh", "5")
	w.render(out, http.StatusOK, "live.html", p)
}

// getSittings sends everything of a paper as an archive.
func (w *site) getSittings(out http.ResponseWriter, r *http.Request, name string) {
	paper := r.PathValue("paper")
	known, err := texts(r.Context(), w.db, `SELECT id FROM paper WHERE id = $1`, paper)
	if err == nil && len(known) == 0 {
		err = ErrNone
	}
	if err != nil {
		w.fail(out, err)
		return
	}
	out.Header().Set("Content-Type", "application/zip")
	out.Header().Set("Content-Disposition", `attachment; filename="`+paper+`-sittings.zip"`)
	archive := zip.NewWriter(out)
	err = w.Take(r.Context(), name, paper, func(name string, data []byte) error { return put(archive, name, data) })
	if err == nil {
		err = archive.Close()
	}
	if err != nil { // the archive has no end, so that nobody takes it for whole
		w.log.Error("hand-ins not sent whole", "paper", paper, "error", err)
		panic(http.ErrAbortHandler)
	}
}

func put(archive *zip.Writer, name string, data []byte) error {
	file, err := archive.Create(name)
	if err != nil {
		return err
	}
	_, err = file.Write(data)
	return err
}
