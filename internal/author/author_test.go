package author_test

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"tugback/internal/author"
	"tugback/internal/scenario"
	"tugback/scenarios"
)

// site is a site as its page sees it.
type site struct {
	t      *testing.T
	url    string
	token  string
	folder string
}

// serve opens a site in a folder that holds some files.
func serve(t *testing.T, files map[string]string, o author.Options) *site {
	t.Helper()
	folder := t.TempDir()
	for name, text := range files {
		path := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o750); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(folder)
	o.Shipped = scenarios.Files
	open, err := author.Open(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(t.Context())
	server := httptest.NewServer(open.Handler(ctx))
	t.Cleanup(func() { end(); server.Close() })
	s := &site{t: t, url: server.URL, folder: folder}
	page, _ := s.send(http.MethodGet, "/", nil)
	s.token = regexp.MustCompile(`name="token" content="([A-Z2-7]{26})"`).FindStringSubmatch(string(page))[1]
	return s
}

// send sends a request and returns what is answered.
func (s *site) send(method, path string, body any) ([]byte, int) {
	s.t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		s.t.Fatal(err)
	}
	request, err := http.NewRequestWithContext(s.t.Context(), method, s.url+path, bytes.NewReader(text))
	if err != nil {
		s.t.Fatal(err)
	}
	request.Header.Set("Tugback-Token", s.token)
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		s.t.Fatal(err)
	}
	defer response.Body.Close()
	var answer bytes.Buffer
	if _, err := answer.ReadFrom(response.Body); err != nil {
		s.t.Fatal(err)
	}
	return answer.Bytes(), response.StatusCode
}

// ask sends a request that must be answered with a status, and reads the answer.
func (s *site) ask(path string, status int, body, into any) {
	s.t.Helper()
	method := http.MethodPost
	if body == nil {
		method = http.MethodGet
	}
	answer, got := s.send(method, path, body)
	if got != status {
		s.t.Fatalf("%s: %d %s, want %d", path, got, answer, status)
	}
	if err := json.Unmarshal(answer, into); err != nil {
		s.t.Fatalf("%s: %v in %s", path, err, answer)
	}
}

const small = "format: 1   # the first\nname: small\ntooth:\n  kind: lower-canine\n  # the canal\n  canals: {canal: {angle: 5 deg}}\nrules:\n  - use: rules/a.yaml\n"

const rules = "format: 1\nrules:\n  - {id: dam, points: 100, when: 'did(\"isolate\")'}\n"

type file struct{ Text, Digest, Error string }

type view struct {
	Text    string
	Form    *scenario.Form
	Notices []scenario.Notice
	Counts  map[string]int
	Files   []string
	Used    []scenario.Used
}

type edit map[string]any

// TestOpen holds what is opened and what is refused, and that nothing is written by it.
func TestOpen(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	if err := os.WriteFile("there.yaml", []byte(small), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		o    author.Options
		want string
	}{
		{author.Options{File: "there.yaml"}, ""},
		{author.Options{}, ""},
		{author.Options{File: "new.yaml", New: "upper-first-molar"}, ""},
		{author.Options{File: "there.yaml", New: "upper-first-molar"}, "there already"},
		{author.Options{File: "new.yaml", New: "upper-first-mollar"}, "no case of the kind"},
		{author.Options{File: "new.txt", New: "upper-first-molar"}, "ends in .yaml"},
		{author.Options{File: "away/new.yaml", New: "upper-first-molar"}, "no folder away"},
		{author.Options{New: "upper-first-molar"}, "name the new file"},
		{author.Options{File: "gone.yaml"}, "no such file"},
		{author.Options{File: "lower-first-molar"}, "comes with the program"},
		{author.Options{File: "there.yaml", Plan: "gone.yaml"}, "no such file"},
		{author.Options{File: "."}, "no file"},
	} {
		c.o.Shipped = scenarios.Files
		_, err := author.Open(c.o)
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: got %v, want %q", c.o.File, err, c.want)
		}
	}
	if left, _ := filepath.Glob("*"); len(left) != 1 {
		t.Errorf("the folder holds %v", left)
	}
}

// TestHandler holds that nothing is answered without the page's token but the page itself.
func TestHandler(t *testing.T) {
	s := serve(t, map[string]string{"small.yaml": small}, author.Options{File: "small.yaml"})
	for _, name := range []string{"/", "/author.js", "/author.css", "/icon.svg", "/fonts/Inter-Regular.otf"} {
		if answer, status := s.send(http.MethodGet, name, nil); status != http.StatusOK || len(answer) == 0 || bytes.Contains(answer, []byte("http://")) && name != "/icon.svg" {
			t.Errorf("%s: %d", name, status)
		}
	}
	s.token = "wrong"
	for _, path := range []string{"/begin", "/file?id=small.yaml", "/watch?token=wrong"} {
		if _, status := s.send(http.MethodGet, path, nil); status != http.StatusForbidden {
			t.Errorf("%s: %d", path, status)
		}
	}
	for _, path := range []string{"/look", "/tooth", "/marks", "/gallery", "/save", "/open"} {
		if _, status := s.send(http.MethodPost, path, edit{}); status != http.StatusForbidden {
			t.Errorf("%s: %d", path, status)
		}
	}
}

// TestLook holds that a change comes back as text, with the form and every fault at its field, also those of
// used files as the page has them.
func TestLook(t *testing.T) {
	s := serve(t, map[string]string{"small.yaml": small, "rules/a.yaml": rules}, author.Options{File: "small.yaml"})
	var v view
	s.ask("/look", http.StatusOK, edit{"file": "small.yaml", "texts": edit{"small.yaml": small}, "edit": edit{"do": "set", "path": []string{"tooth", "canals", "canal", "angle"}, "text": "12 deg"}}, &v)
	if v.Text != strings.Replace(small, "5 deg", "12 deg", 1) || len(v.Notices) != 0 || v.Form == nil || len(v.Used) != 1 || v.Files[0] != "rules/a.yaml" {
		t.Errorf("got %+v", v)
	}
	s.ask("/look", http.StatusOK, edit{"file": "small.yaml", "texts": edit{"small.yaml": small, "rules/a.yaml": strings.Replace(rules, "100", "90", 1) + "  - {id: dam, points: 10, when: 'did(\"isolat\")'}\n"}}, &v)
	if len(v.Notices) != 2 || v.Counts["rules/a.yaml"] != 2 || v.Notices[0].Path != nil {
		t.Errorf("got %+v", v.Notices)
	}
	s.ask("/look", http.StatusOK, edit{"file": "small.yaml", "texts": edit{"small.yaml": strings.Replace(small, "lower-canine", "lower-canin", 1)}}, &v)
	if n := v.Notices[0]; n.Path.String() != "tooth/kind" || n.Likely != "lower-canine" || n.Doubt {
		t.Errorf("got %+v", v.Notices)
	}
	s.ask("/look", http.StatusOK, edit{"file": "small.yaml", "texts": edit{"small.yaml": "a: [b\n"}}, &v)
	if n := v.Notices[0]; n.Line != 1 || v.Form != nil && v.Form.Sort != "" {
		t.Errorf("got %+v", v.Notices)
	}
	var refused file
	s.ask("/look", http.StatusUnprocessableEntity, edit{"file": "small.yaml", "texts": edit{"small.yaml": small}, "edit": edit{"do": "set", "path": []string{"tooth"}, "text": "x"}}, &refused)
	if !strings.Contains(refused.Error, "a group of keys") {
		t.Errorf("got %q", refused.Error)
	}
}

// TestBorrow holds that a file that comes with the program is put into the folder when it is used, and not
// over one that is there.
func TestBorrow(t *testing.T) {
	s := serve(t, map[string]string{"small.yaml": small, "rules/strict.yaml": rules}, author.Options{File: "small.yaml"})
	var v view
	for name, kept := range map[string]bool{"rules/formative.yaml": false, "rules/strict.yaml": true} {
		s.ask("/look", http.StatusOK, edit{"file": "small.yaml", "texts": edit{"small.yaml": "format: 1\ntooth: {kind: lower-canine}\n"},
			"edit": edit{"do": "add", "path": []string{"rules"}, "choice": "use", "text": name}}, &v)
		text, err := os.ReadFile(name)
		if err != nil || (string(text) == rules) != kept || !strings.Contains(v.Text, "  - use: "+name) {
			t.Errorf("%s: %v, %q", name, err, v.Text)
		}
	}
}

// TestPictures holds that tooth, gallery and marks come from the texts of the page, by seed.
func TestPictures(t *testing.T) {
	plan := "format: 1\nname: p\nsteps:\n  - isolate: {tooth: 43}\n"
	s := serve(t, map[string]string{"small.yaml": small, "rules/a.yaml": rules, "p.yaml": plan}, author.Options{File: "small.yaml", Plan: "p.yaml"})
	var one, other struct {
		SVG, Seed string
		Canals    [][]string
	}
	request := edit{"texts": edit{"small.yaml": small, "plan:": plan}, "seed": "1", "width": 600}
	s.ask("/tooth", http.StatusOK, request, &one)
	request["seed"] = "2"
	s.ask("/tooth", http.StatusOK, request, &other)
	if one.SVG == other.SVG || !strings.HasPrefix(one.SVG, "<svg") || one.Canals[0][0] != "canal" || other.Seed != "2" {
		t.Errorf("got %v and %v", one.Canals, other.Canals)
	}
	request["count"] = 3
	s.ask("/gallery", http.StatusOK, request, &other)
	if !strings.Contains(other.SVG, "seed") {
		t.Error("the gallery names no seed")
	}
	var m struct {
		Marks struct {
			Total float64
			Rules []struct{ ID, Evidence string }
		}
		Passed bool
		Steps  []string
	}
	request["who"] = "plan:"
	s.ask("/marks", http.StatusOK, request, &m)
	if m.Marks.Total != 100 || !m.Passed || len(m.Steps) != 1 || m.Marks.Rules[0].Evidence == "" {
		t.Errorf("got %+v", m)
	}
	request["texts"] = edit{"small.yaml": small, "plan:": "format: 1\nname: p\nsteps:\n  - isolate: {tooth: 43}\n  - find: {canal: X}\n"}
	var refused struct {
		Error   string
		Notices []scenario.Notice
	}
	s.ask("/marks", http.StatusUnprocessableEntity, request, &refused)
	if len(refused.Notices) != 1 || refused.Notices[0].Line != 5 {
		t.Errorf("got %+v", refused)
	}
}

// TestSave holds that a file is written whole, never over a change by another, and keeps its mode.
func TestSave(t *testing.T) {
	s := serve(t, map[string]string{"small.yaml": small}, author.Options{File: "small.yaml"})
	var f file
	s.ask("/file?id=small.yaml", http.StatusOK, nil, &f)
	if f.Text != small || f.Digest == "" {
		t.Fatalf("got %+v", f)
	}
	base := f.Digest
	s.ask("/save", http.StatusOK, edit{"File": "small.yaml", "Base": base, "Text": small + "# mine\n"}, &f)
	if text, err := os.ReadFile("small.yaml"); err != nil || string(text) != small+"# mine\n" {
		t.Errorf("got %q, %v", text, err)
	}
	if info, err := os.Stat("small.yaml"); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("got mode %v, %v", info.Mode(), err)
	}
	if err := os.WriteFile("small.yaml", []byte("theirs\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s.ask("/save", http.StatusConflict, edit{"File": "small.yaml", "Base": f.Digest, "Text": "mine\n"}, &f)
	if text, _ := os.ReadFile("small.yaml"); string(text) != "theirs\n" || f.Text != "theirs\n" {
		t.Errorf("got %q and the answer %q", text, f.Text)
	}
	for _, name := range []string{"../small.yaml", "small.txt", "/etc/passwd", ""} {
		if _, status := s.send(http.MethodPost, "/save", edit{"File": name, "Base": "", "Text": "x"}); status != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", name, status)
		}
	}
	if left, _ := filepath.Glob(".*"); len(left) > 0 {
		t.Errorf("left over: %v", left)
	}
	if err := os.Symlink(os.DevNull, "link.yaml"); err == nil {
		if _, status := s.send(http.MethodPost, "/save", edit{"File": "link.yaml", "Base": "", "Text": "x"}); status == http.StatusOK {
			t.Error("a link out of the folder was followed")
		}
	}
}

// TestNewCase holds that a new case is there in the page and on the disk only when it was saved.
func TestNewCase(t *testing.T) {
	s := serve(t, nil, author.Options{})
	var b struct {
		File  string
		Kinds []string
	}
	s.ask("/begin", http.StatusOK, nil, &b)
	if b.File != "" || len(b.Kinds) != 15 {
		t.Fatalf("got %+v", b)
	}
	var f file
	s.ask("/open", http.StatusUnprocessableEntity, edit{"File": "../case.yaml", "Kind": "upper-canine"}, &f)
	s.ask("/open", http.StatusOK, edit{"File": "case-one.yaml", "Kind": "upper-canine"}, &b)
	s.ask("/file?id=case-one.yaml", http.StatusOK, nil, &f)
	if b.File != "case-one.yaml" || f.Digest != "" || !strings.Contains(f.Text, "\nname: case-one\n") {
		t.Fatalf("got %+v, %.80s", b, f.Text)
	}
	if _, err := os.Stat("case-one.yaml"); err == nil {
		t.Error("it is on the disk before it was saved")
	}
	s.ask("/save", http.StatusOK, edit{"File": "case-one.yaml", "Base": "", "Text": f.Text}, &f)
	if _, err := scenario.Load("case-one.yaml"); err != nil {
		t.Error(err)
	}
}

// TestWatch holds that a change by another program is told.
func TestWatch(t *testing.T) {
	s := serve(t, map[string]string{"small.yaml": small}, author.Options{File: "small.yaml"})
	ctx, end := context.WithTimeout(t.Context(), 10*time.Second)
	defer end()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, s.url+"/watch?id=small.yaml&token="+s.token, nil)
	if err != nil {
		t.Fatal(err)
	}
	response, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	told := func() string {
		t.Helper()
		line := make([]byte, 200)
		n, err := response.Body.Read(line)
		if err != nil {
			t.Fatal(err)
		}
		return string(line[:n])
	}
	first := told()
	if !strings.HasPrefix(first, "event: disk\ndata: {\"small.yaml\":\"") {
		t.Fatalf("got %q", first)
	}
	if err := os.WriteFile("small.yaml", []byte(small+"# other\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if second := told(); second == first || !strings.HasPrefix(second, "event: disk\n") {
		t.Errorf("got %q", second)
	}
}

// TestTicks holds that ticking a family puts every instrument of it into the tray once, and that unticking takes
// them out again.
func TestTicks(t *testing.T) {
	s := serve(t, nil, author.Options{})
	var b struct{ File string }
	s.ask("/open", http.StatusOK, edit{"File": "case-two.yaml", "Kind": "upper-canine"}, &b)
	text := "format: 1\ntooth: {kind: lower-canine}\ntray: [cone-25.04, hand-steel-10.02]  # mine\n"
	look := func(do string, words ...string) string {
		var v view
		s.ask("/look", http.StatusOK, edit{"file": "case-two.yaml", "texts": edit{"case-two.yaml": text}, "edit": edit{"do": do, "path": []string{"tray"}, "words": words}}, &v)
		return v.Text
	}
	text = look("tick", "hand-steel-08.02", "hand-steel-10.02", "hand-steel-15.02")
	if want := "tray: [cone-25.04, hand-steel-10.02, hand-steel-08.02, hand-steel-15.02]  # mine\n"; !strings.HasSuffix(text, want) {
		t.Errorf("got %s", text)
	}
	text = look("untick", "hand-steel-08.02", "hand-steel-10.02", "hand-steel-15.02")
	if !strings.HasSuffix(text, "tray: [cone-25.04]  # mine\n") {
		t.Errorf("got %s", text)
	}
	if text = look("untick", "cone-25.04"); strings.Contains(text, "tray") {
		t.Errorf("got %s", text)
	}
}
