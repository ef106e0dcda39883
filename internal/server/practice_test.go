package server_test

import (
	"errors"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"tugback/internal/specimen"
)

// TestPractice does in turn what a page does, and what it should not.
func TestPractice(t *testing.T) {
	one, two := string(specimen.Record(t, 1)), string(specimen.Record(t, 2))
	longest := `"` + strings.Repeat("x", 1<<20-2) + `"`
	keep := &memory{}
	for i, tt := range []struct {
		method, path, body string
		status             int
		want               string // the answer; for a refusal, what is in it
	}{
		{"GET", "/practice", "", 200, `[]`},
		{"GET", "/practice/1", "", 404, "none"},
		{"GET", "/practice/current", "", 204, ""},
		{"POST", "/practice", one, 201, `{"id":1}`},
		{"POST", "/practice", one, 200, `{"id":1}`},
		{"POST", "/practice", two, 201, `{"id":2}`},
		{"POST", "/practice", one + " ", 422, "record refused (not-canonical)"},
		{"POST", "/practice", "", 422, "record refused (not-a-record)"},
		{"POST", "/practice", strings.Repeat("{", 8<<20+1), 413, "more than 8388608 bytes"},
		{"GET", "/practice", "", 200, `[{"id":1},{"id":2}]`},
		{"GET", "/practice/2", "", 200, two},
		{"GET", "/practice/3", "", 404, "none"},
		{"GET", "/practice/-1", "", 404, "none"},
		{"GET", "/practice/one", "", 404, "whole number"},
		{"GET", "/practice/quiz", "", 204, ""},
		{"PUT", "/practice/quiz", `{"format":1}`, 204, ""},
		{"GET", "/practice/quiz", "", 200, `{"format":1}`},
		{"PUT", "/practice/quiz", `{`, 400, "not JSON"},
		{"GET", "/practice/quiz", "", 200, `{"format":1}`},
		{"PUT", "/practice/current", `{"a":1}`, 204, ""},
		{"GET", "/practice/current", "", 200, `{"a":1}`},
		{"PUT", "/practice/current", `{"a":`, 400, "not JSON"},
		{"PUT", "/practice/current", "", 400, "not JSON"},
		{"PUT", "/practice/current", longest + " ", 413, "more than 1048576 bytes"},
		{"GET", "/practice/current", "", 200, `{"a":1}`},
		{"PUT", "/practice/current", longest, 204, ""},
		{"DELETE", "/practice/current", "", 204, ""},
		{"GET", "/practice/current", "", 204, ""},
		{"GET", "/practice/comfort", "", 204, ""},
		{"PUT", "/practice/comfort", `{"TextPercent":150}`, 204, ""},
		{"GET", "/practice/comfort", "", 200, `{"TextPercent":150}`},
		{"PUT", "/practice/comfort", `"` + strings.Repeat("x", 4<<10) + `"`, 413, "more than 4096 bytes"},
		{"PUT", "/practice/holder", `"one tab"`, 204, ""},
		{"PUT", "/practice/holder", `{`, 400, "not JSON"},
		{"DELETE", "/practice", "", 405, ""},
		{"PUT", "/practice", one, 405, ""},
		{"PUT", "/", "x", 405, ""},
		{"GET", "/practice/", "", 404, ""},
		{"GET", "/../go.mod", "", 307, ""},
		{"GET", "/page/index.html", "", 404, ""},
	} {
		got := send(t, keep, tt.method, tt.path, tt.body, nil)
		answer := text(t, got)
		same := answer == tt.want
		if tt.status >= 300 {
			same = strings.Contains(answer, tt.want)
		}
		if got.StatusCode != tt.status || !same {
			t.Errorf("%d: %s %s: status %d, %.80q; want %d, %.80q", i, tt.method, tt.path, got.StatusCode, answer, tt.status, tt.want)
		}
		if tt.status == 200 && (got.Header.Get("Cache-Control") != "no-store" || got.Header.Get("Content-Type") != "application/json") {
			t.Errorf("%d: %s %s: headers %v", i, tt.method, tt.path, got.Header)
		}
	}
}

// TestTwoTabs holds that a tab which took the run under way up is refused once another has, and is told why.
func TestTwoTabs(t *testing.T) {
	keep := &memory{}
	as := func(tab string) func(*http.Request) {
		return func(r *http.Request) { r.Header.Set("Tugback-Holder", tab) }
	}
	for i, tt := range []struct {
		method, path, body, tab string
		status                  int
	}{
		{"PUT", "/practice/holder", `"first"`, "", 204},
		{"PUT", "/practice/current", `1`, "first", 204},
		{"PUT", "/practice/holder", `"second"`, "", 204},
		{"PUT", "/practice/current", `2`, "first", 409},
		{"DELETE", "/practice/current", "", "first", 409},
		{"PUT", "/practice/current", `3`, "second", 204},
	} {
		got := send(t, keep, tt.method, tt.path, tt.body, as(tt.tab))
		if answer := text(t, got); got.StatusCode != tt.status || tt.status == 409 && !strings.Contains(answer, "another holds it") {
			t.Errorf("%d: status %d, %q; want %d", i, got.StatusCode, answer, tt.status)
		}
	}
	if string(keep.current) != "3" {
		t.Errorf("kept is %s, want what the second tab sent", keep.current)
	}
}

// TestPracticeThatFails holds that what can't be kept is said to be so.
func TestPracticeThatFails(t *testing.T) {
	keep := &memory{fault: errors.New("the disk is full")}
	for _, request := range []string{"GET /practice", "POST /practice", "PUT /practice/current", "GET /practice/current", "DELETE /practice/current"} {
		method, path, _ := strings.Cut(request, " ")
		got := send(t, keep, method, path, string(specimen.Record(t, 1)), nil)
		if answer := text(t, got); got.StatusCode != 500 || answer != fmt.Sprintln("the disk is full") {
			t.Errorf("%s: status %d, %q", request, got.StatusCode, answer)
		}
	}
}
