package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"syscall/js"
	"time"
)

// Names under which a page without a server keeps what it can in the browser.
const (
	listKey    = "tugback.practice"
	currentKey = "tugback.current"
	holderKey  = "tugback.holder"
)

// Store is practice kept by the local server that served the page or, when the page comes from
// elsewhere, by the browser: then a record is offered as a download, while the list and the run under
// way stay in the browser's memory for this page. Its methods wait and must not be called from within
// an event of the page.
type Store struct {
	server bool
	holder string // under which the run under way is held here, "" not
}

// DefaultPath returns "": a page names no file.
func DefaultPath() (string, error) { return "", nil }

// Open finds out whether the page has a server that keeps practice; path is ignored. The error is that of
// a server that has but cannot read it.
func Open(context.Context, string) (*Store, error) {
	answer, err := ask("GET", "practice", nil)
	if answer.status == 500 {
		return nil, doing("open practice", err)
	}
	var entries []Entry
	own := err == nil && json.Unmarshal(answer.text, &entries) == nil
	return &Store{server: own}, nil
}

// Close does nothing: nothing is open.
func (s *Store) Close() error { return nil }

// Add keeps a record, byte for byte, and returns its number. A server keeps the same record once. What
// is no record gives an *attempt.Refusal.
func (s *Store) Add(_ context.Context, data []byte) (id int64, added bool, err error) {
	entry, err := describe(data)
	if err != nil {
		return 0, false, err
	}
	if !s.server {
		return s.download(entry, data)
	}
	answer, err := ask("POST", "practice", data)
	if err != nil {
		return 0, false, doing("keep a record", err)
	}
	var kept struct {
		ID int64 `json:"id"`
	}
	if err := json.Unmarshal(answer.text, &kept); err != nil {
		return 0, false, doing("keep a record", err)
	}
	return kept.ID, answer.status == 201, nil
}

// List returns all kept records in the order in which they came.
func (s *Store) List(context.Context) ([]Entry, error) {
	entries := []Entry{}
	text, err := remembered(listKey)
	if s.server {
		var answer answer
		answer, err = ask("GET", "practice", nil)
		text = answer.text
	}
	if err == nil && len(text) > 0 {
		err = json.Unmarshal(text, &entries)
	}
	if err != nil {
		return nil, doing("list practice", err)
	}
	return entries, nil
}

// Record returns the bytes of a kept record; the error is fs.ErrNotExist when there is none of that
// number, or none here because it was offered as a download.
func (s *Store) Record(_ context.Context, id int64) ([]byte, error) {
	if !s.server {
		return nil, errNoRecord
	}
	answer, err := ask("GET", "practice/"+strconv.FormatInt(id, 10), nil)
	if answer.status == 404 {
		return nil, errNoRecord
	}
	if err != nil {
		return nil, doing(fmt.Sprintf("read record %d", id), err)
	}
	return answer.text, nil
}

// Take makes holder the one that goes on with the run under way.
func (s *Store) Take(_ context.Context, holder string) error {
	var err error
	if s.server {
		_, err = ask("PUT", "practice/holder", []byte(strconv.Quote(holder)))
	} else {
		err = remember(holderKey, []byte(holder))
	}
	if err != nil {
		return doing("take the run under way up", err)
	}
	return nil
}

// SaveCurrentFor does what SaveCurrent does for a tab that took the run up as holder, "" for one that did
// not.
func (s *Store) SaveCurrentFor(_ context.Context, holder string, data []byte) error {
	if err := checkCurrent(data); err != nil {
		return err
	}
	method := "PUT"
	if len(data) == 0 {
		method, data = "DELETE", nil
	}
	var err error
	if s.server {
		var answer answer
		answer, err = askAs(method, "practice/current", data, holder)
		if answer.status == 409 {
			return ErrElsewhere
		}
	} else {
		now, there := remembered(holderKey)
		if there == nil && holder != "" && string(now) != holder {
			return ErrElsewhere
		}
		err = remember(currentKey, data)
	}
	if err != nil {
		return doing("keep the run under way", err)
	}
	return nil
}

// Current returns the run under way, nil when there is none.
func (s *Store) Current(context.Context) ([]byte, error) {
	if !s.server {
		return remembered(currentKey)
	}
	answer, err := ask("GET", "practice/current", nil)
	if err != nil {
		return nil, doing("read the run under way", err)
	}
	return answer.text, nil
}

// SaveQuiz keeps what was practised in the quiz in place of what was kept before.
func (s *Store) SaveQuiz(_ context.Context, data []byte) error { return s.saveText(quizText, data) }

// Quiz returns what was practised in the quiz, nil when there is nothing.
func (s *Store) Quiz(context.Context) ([]byte, error) { return s.text(quizText) }

// SaveComfort keeps the settings of comfort in place of those before.
func (s *Store) SaveComfort(_ context.Context, data []byte) error {
	return s.saveText(comfortText, data)
}

// Comfort returns the settings of comfort, nil when none were made.
func (s *Store) Comfort(context.Context) ([]byte, error) { return s.text(comfortText) }

// saveText keeps a text of which there is one.
func (s *Store) saveText(kind textKind, data []byte) error {
	err := kind.check(data)
	switch {
	case err != nil:
		return err
	case s.server:
		_, err = ask("PUT", "practice/"+kind.name, data)
	default:
		err = remember("tugback."+kind.name, data)
	}
	if err != nil {
		return doing(fmt.Sprintf("keep the %s", kind.name), err)
	}
	return nil
}

// text returns a text of which there is one, nil when there is none.
func (s *Store) text(kind textKind) ([]byte, error) {
	if !s.server {
		return remembered("tugback." + kind.name)
	}
	answer, err := ask("GET", "practice/"+kind.name, nil)
	if err != nil {
		return nil, doing(fmt.Sprintf("read the %s", kind.name), err)
	}
	return answer.text, nil
}

// download offers a record as a file and remembers what the list shows of it.
func (s *Store) download(e Entry, data []byte) (id int64, added bool, err error) {
	entries, err := s.List(context.Background())
	if err != nil {
		return 0, false, err
	}
	e.ID, e.Saved = int64(len(entries)+1), time.Now().UTC().Truncate(time.Second)
	list, err := json.Marshal(append(entries, e))
	if err != nil {
		return 0, false, err
	}
	if err := remember(listKey, list); err != nil {
		return 0, false, doing("keep a record", err)
	}
	name := fmt.Sprintf("%s.%s.json", e.Scenario, e.Saved.Format("2006-01-02T150405"))
	return e.ID, true, Offer(name, data)
}

// Offer offers a text as a download under a name.
func Offer(name string, data []byte) error {
	return attempted(func() {
		content := js.Global().Get("Blob").New([]any{string(data)}, map[string]any{"type": "application/json"})
		link := js.Global().Get("document").Call("createElement", "a")
		link.Set("href", js.Global().Get("URL").Call("createObjectURL", content))
		link.Set("download", name)
		link.Call("click")
	})
}

// Remembered returns what the browser keeps under a name, nil when nothing. It does not wait.
func Remembered(name string) ([]byte, error) { return remembered(name) }

// Remember lets the browser keep a text under a name; empty: nothing. It does not wait.
func Remember(name string, text []byte) error { return remember(name, text) }

// Ask sends a request to the page's own server as whoever holds a token and waits for the answer; it must
// not be called from within an event of the page. A status that is no success is an error, and the answer
// comes all the same.
func Ask(method, path, token string, data []byte) (status int, text []byte, err error) {
	bearer := ""
	if token != "" {
		bearer = "Bearer " + token
	}
	got, err := request(method, path, "Authorization", bearer, data)
	return got.status, got.text, err
}

// remembered returns what the browser keeps under a name, nil when nothing.
func remembered(name string) (text []byte, err error) {
	err = attempted(func() {
		if item := js.Global().Get("localStorage").Call("getItem", name); item.Type() == js.TypeString {
			text = []byte(item.String())
		}
	})
	return text, err
}

// remember lets the browser keep a text under a name; empty: nothing.
func remember(name string, text []byte) error {
	return attempted(func() {
		storage := js.Global().Get("localStorage")
		if len(text) == 0 {
			storage.Call("removeItem", name)
			return
		}
		storage.Call("setItem", name, string(text))
	})
}

// attempted returns what the browser throws, for instance because it may keep nothing or no more.
func attempted(do func()) (err error) {
	defer func() {
		switch thrown := recover().(type) {
		case nil:
		case js.Error:
			err = thrown
		case *js.ValueError:
			err = thrown
		default:
			panic(thrown)
		}
	}()
	do()
	return nil
}

// answer is what the server said.
type answer struct {
	status int
	text   []byte
}

// ask sends a request to the page's server and waits for the whole answer; a status that is no success
// is an error, the answer comes all the same.
func ask(method, path string, data []byte) (answer, error) {
	return request(method, path, "", "", data)
}

// doing says what was tried, unless the server's own words do.
func doing(what string, err error) error {
	if strings.HasPrefix(err.Error(), what) {
		return err
	}
	return fmt.Errorf("%s: %w", what, err)
}

// askAs does what ask does for the holder of the run under way.
func askAs(method, path string, data []byte, holder string) (answer, error) {
	return request(method, path, "Tugback-Holder", holder, data)
}

// request is ask with one header more; an empty value leaves it out.
func request(method, path, name, value string, data []byte) (answer, error) {
	headers := map[string]any{}
	if value != "" {
		headers[name] = value
	}
	options := map[string]any{"method": method, "cache": "no-store", "redirect": "error"}
	if data != nil {
		options["body"] = string(data)
		headers["Content-Type"] = "application/json"
	}
	options["headers"] = headers
	response, err := await(js.Global().Call("fetch", path, options))
	if err != nil {
		return answer{}, doing("the program that serves this page does not answer", err)
	}
	text, err := await(response.Call("text"))
	if err != nil {
		return answer{}, doing("the program that serves this page does not answer", err)
	}
	got := answer{status: response.Get("status").Int(), text: []byte(text.String())}
	if !response.Get("ok").Bool() {
		said := strings.TrimSpace(string(got.text))
		if said == "" {
			said = "status " + strconv.Itoa(got.status)
		}
		return got, errors.New(said)
	}
	return got, nil
}

// await waits until a promise of the page is settled.
func await(promise js.Value) (js.Value, error) {
	type outcome struct {
		value js.Value
		err   error
	}
	settled := make(chan outcome, 1)
	good := js.FuncOf(func(_ js.Value, args []js.Value) any {
		settled <- outcome{value: args[0]}
		return nil
	})
	defer good.Release()
	bad := js.FuncOf(func(_ js.Value, args []js.Value) any {
		settled <- outcome{err: errors.New(args[0].Call("toString").String())}
		return nil
	})
	defer bad.Release()
	promise.Call("then", good, bad)
	result := <-settled
	return result.value, result.err
}
