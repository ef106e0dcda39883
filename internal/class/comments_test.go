package class_test

import (
	"bytes"
	"errors"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"tugback/internal/class"
	"tugback/internal/handin"
)

// TestComments holds that a candidate reads what is said about them and nothing else, that a file replaces the
// one before, that one with a fault changes nothing, and that a paper which has closed can be fetched again by
// whoever handed in.
func TestComments(t *testing.T) {
	onBoth(t, func(t *testing.T, place string) {
		c, at, server := begin(t, place)
		ann, bo := client(server, "ann"), client(server, "bo")
		const head = "candidate,case,action,by,comment\n"
		reads := func(who handin.Client, want string) {
			t.Helper()
			if got, err := who.Comments(t.Context()); err != nil || string(got) != head+want {
				t.Errorf("read %q, error %v, want %q", got, err, want)
			}
		}
		reads(ann, "")
		if n, err := c.SetComments(t.Context(), "test", "p", "k.csv", []byte(head+"ann,molar,2,E,Well seen.\nbo,molar,,E,Too fast.\nann,molar,,E,\"Good, all in all.\"\n")); n != 3 || err != nil {
			t.Fatalf("%d comments are kept, error %v", n, err)
		}
		reads(ann, "ann,molar,2,E,Well seen.\nann,molar,,E,\"Good, all in all.\"\n")
		reads(bo, "bo,molar,,E,Too fast.\n")
		_, err := c.SetComments(t.Context(), "test", "p", "k.csv", []byte(head+"ann,molar,1,E,x\neve,molar,1,E,x\n"))
		if err == nil || !strings.Contains(err.Error(), `k.csv:3: the paper has no candidate "eve"`) {
			t.Errorf("a stranger: %v", err)
		}
		reads(bo, "bo,molar,,E,Too fast.\n")
		if _, err := c.SetComments(t.Context(), "test", "q", "k.csv", []byte(head)); !errors.Is(err, class.ErrNone) {
			t.Errorf("no such paper: %v", err)
		}
		if _, err := c.SetComments(t.Context(), "test", "p", "k.csv", []byte(head+"ann,molar,1,E,Again.\n")); err != nil {
			t.Fatal(err)
		}
		reads(ann, "ann,molar,1,E,Again.\n")
		reads(bo, "")
		if p, err := c.ExportPerson(t.Context(), "ann"); err != nil || !strings.Contains(p.Papers[0].Comments, "Again.") {
			t.Errorf("all that is kept of ann: %+v, %v", p, err)
		}
		if _, err := ann.Submit(t.Context(), "one", []byte("a sitting")); err != nil {
			t.Fatal(err)
		}
		at.at.Store(3000)
		if _, err := ann.Packet(t.Context()); err != nil {
			t.Errorf("who handed in cannot look back: %v", err)
		}
		if _, err := bo.Packet(t.Context()); status(err) != http.StatusForbidden {
			t.Errorf("who did not hand in gets a closed paper: %v", err)
		}
		if _, err := c.DeletePerson(t.Context(), "test", "ann"); err != nil {
			t.Error(err)
		}
	})
}

// TestCommentsPage sends a file of comments as an instructor's browser does; nobody else can.
func TestCommentsPage(t *testing.T) {
	c, _, server := begin(t, t.TempDir())
	if err := c.AddInstructor(t.Context(), "eve", password); err != nil {
		t.Fatal(err)
	}
	b := browser(t)
	if text := sendComments(t, server, b, "x"); !strings.Contains(text, "password") {
		t.Errorf("who is not signed in sees %.200s", text)
	}
	r, err := b.PostForm(server.URL+"/instructor/sign-in", url.Values{"name": {"eve"}, "password": {password}})
	read(t, r, err)
	for text, want := range map[string]string{
		"candidate,case,action,by,comment\nann,molar,2,E,Well <seen>.\n": "1 comments are kept",
		"candidate,case,action,by,comment\nann,molar,none,E,x\n":         "k.csv:2: action is",
	} {
		if page := sendComments(t, server, b, text); !strings.Contains(page, want) {
			t.Errorf("%q gives %.600s, want %q", text, page, want)
		}
	}
	if got, err := client(server, "ann").Comments(t.Context()); err != nil || !strings.Contains(string(got), "Well <seen>.") && !strings.HasSuffix(string(got), "comment\n") {
		t.Errorf("ann reads %q, error %v", got, err)
	}
}

// sendComments sends a file by the form and returns the page that answers.
func sendComments(t *testing.T, server *httptest.Server, b *http.Client, text string) string {
	t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	part, err := form.CreateFormFile("comments", "k.csv")
	if err == nil {
		_, err = part.Write([]byte(text))
	}
	if err = errors.Join(err, form.Close()); err != nil {
		t.Fatal(err)
	}
	r, err := b.Post(server.URL+"/instructor/papers/p/comments", form.FormDataContentType(), &body)
	_, page := read(t, r, err)
	return page
}
