package server_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"tugback/internal/server"
)

// code stands for a page's program: it begins as WebAssembly does.
var code = append([]byte("\x00asm\x01\x00\x00\x00"), bytes.Repeat([]byte("bench "), 5000)...)

// packed returns data packed as a page's program is.
func packed(t testing.TB, data []byte) server.Packed {
	t.Helper()
	out, err := server.Pack(data)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// pageOf returns a page of code.
func pageOf(t testing.TB) *server.Page {
	t.Helper()
	page, err := server.NewPage(packed(t, code), []byte("// starter"))
	if err != nil {
		t.Fatal(err)
	}
	return page
}

// entry is what the list of memory says of a record.
type entry struct {
	ID int64 `json:"id"`
}

// memory is a practice without a disk.
type memory struct {
	mu      sync.Mutex
	records [][]byte
	current []byte
	quiz    []byte
	comfort []byte
	holder  string
	fault   error
}

func (m *memory) Add(_ context.Context, data []byte) (int64, bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for i, r := range m.records {
		if bytes.Equal(r, data) {
			return int64(i + 1), false, m.fault
		}
	}
	m.records = append(m.records, data)
	return int64(len(m.records)), true, m.fault
}

func (m *memory) List(context.Context) (list []entry, err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for i := range m.records {
		list = append(list, entry{int64(i + 1)})
	}
	return list, m.fault
}

func (m *memory) Record(_ context.Context, id int64) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if id < 1 || int(id) > len(m.records) {
		return nil, fmt.Errorf("none: %w", fs.ErrNotExist)
	}
	return m.records[id-1], m.fault
}

func (m *memory) Take(ctx context.Context, holder string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.holder = holder
	return errors.Join(m.fault, ctx.Err())
}

func (m *memory) SaveComfort(ctx context.Context, data []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.comfort = data
	return errors.Join(m.fault, ctx.Err())
}

func (m *memory) Comfort(context.Context) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.comfort, m.fault
}

func (m *memory) SaveCurrentFor(ctx context.Context, holder string, data []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if holder != "" && holder != m.holder {
		return fmt.Errorf("another holds it: %w", fs.ErrPermission)
	}
	m.current = data
	return errors.Join(m.fault, ctx.Err())
}

func (m *memory) SaveQuiz(ctx context.Context, data []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.quiz = data
	return errors.Join(m.fault, ctx.Err())
}

func (m *memory) Quiz(context.Context) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.quiz, m.fault
}

func (m *memory) Current(context.Context) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.current, m.fault
}

const (
	addr   = "127.0.0.1:7654"
	origin = "http://" + addr
)

// send sends a request, as the page does unless change says otherwise, and returns the answer.
func send(t testing.TB, keep *memory, method, path, body string, change func(*http.Request)) *http.Response {
	t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(body))
	r.Host = addr
	if method != http.MethodGet {
		r.Header.Set("Origin", origin)
	}
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	server.Handler(addr, pageOf(t), keep).ServeHTTP(w, r)
	return w.Result()
}

// text returns the body of an answer.
func text(t testing.TB, r *http.Response) string {
	t.Helper()
	data, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// TestHeaders holds that every answer, refusals included, forbids whatever the page does not need.
func TestHeaders(t *testing.T) {
	for _, path := range []string{"/", "/page.js", "/tugback.wasm", "/practice", "/practice/current", "/no/such/file"} {
		h := send(t, &memory{}, "GET", path, "", nil).Header
		policy := h.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval';", "connect-src 'self'", "frame-ancestors 'none'"} {
			if !strings.Contains(policy, want) {
				t.Errorf("%s: the policy %q lacks %q", path, policy, want)
			}
		}
		if strings.Contains(policy, "unsafe-inline") || strings.Contains(policy, "'unsafe-eval'") || strings.Contains(policy, "http") {
			t.Errorf("%s: the policy %q allows too much", path, policy)
		}
		for name, want := range map[string]string{
			"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "Cross-Origin-Opener-Policy": "same-origin",
			"Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Embedder-Policy": "require-corp", "X-Frame-Options": "DENY",
			"Access-Control-Allow-Origin": "",
		} {
			if got := h.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
	}
}

// TestForeignHost holds that a foreign name that was pointed at this computer reaches nothing.
func TestForeignHost(t *testing.T) {
	for host, want := range map[string]int{
		addr: 200, "localhost:7654": 200,
		"evil.example:7654": 421, "127.0.0.1": 421, "127.0.0.1:80": 421, "127.0.0.1.evil.example:7654": 421, "": 421, "[::1]:7654": 421,
	} {
		for _, path := range []string{"/", "/practice"} {
			got := send(t, &memory{}, "GET", path, "", func(r *http.Request) { r.Host = host })
			if got.StatusCode != want {
				t.Errorf("host %q, %s: status %d, want %d", host, path, got.StatusCode, want)
			}
		}
	}
}

// TestForeignOrigin holds that changes come from the page alone, and that another site cannot read.
func TestForeignOrigin(t *testing.T) {
	tests := []struct {
		name, method, path, header, value string
		want                              int
	}{
		{"own page", "PUT", "/practice/current", "Origin", origin, 204},
		{"no origin", "PUT", "/practice/current", "Origin", "", 403},
		{"another site", "PUT", "/practice/current", "Origin", "http://evil.example", 403},
		{"another port", "PUT", "/practice/current", "Origin", "http://127.0.0.1:1", 403},
		{"a hidden origin", "POST", "/practice", "Origin", "null", 403},
		{"another site clears", "DELETE", "/practice/current", "Origin", "http://evil.example", 403},
		{"another site reads", "GET", "/practice", "Sec-Fetch-Site", "cross-site", 403},
		{"own page reads", "GET", "/practice", "Sec-Fetch-Site", "same-origin", 200},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			keep := &memory{current: []byte("before")}
			got := send(t, keep, tt.method, tt.path, "{}", func(r *http.Request) { r.Header.Set(tt.header, tt.value) })
			if got.StatusCode != tt.want {
				t.Errorf("status %d, want %d", got.StatusCode, tt.want)
			}
			if tt.want == 403 && string(keep.current) != "before" {
				t.Error("the run under way was changed")
			}
		})
	}
}

// TestListen holds that the bench is served on this computer only, on any free port when none is named.
func TestListen(t *testing.T) {
	for _, name := range []string{"", ":0", "127.0.0.1:0", "localhost:0"} {
		l, err := server.Listen(name)
		if err != nil {
			t.Fatal(err)
		}
		host, port, err := net.SplitHostPort(l.Addr().String())
		if err != nil || host != "127.0.0.1" || port == "0" || server.URL(l) != "http://127.0.0.1:"+port+"/" {
			t.Errorf("%q: listens on %s, address %s", name, l.Addr(), server.URL(l))
		}
		if _, err := server.Listen(l.Addr().String()); err == nil || errors.Is(err, server.ErrAddress) {
			t.Errorf("%s can be taken twice, or is called wrong: %v", l.Addr(), err)
		}
		l.Close()
	}
	for _, name := range []string{"0.0.0.0:0", "192.168.1.4:80", "example.org:80", "[::]:80", "8080", "127.0.0.1:-1", "127.0.0.1:99999", "127.0.0.1:x"} {
		if l, err := server.Listen(name); err == nil {
			l.Close()
			t.Errorf("%q is accepted", name)
		} else if !strings.Contains(err.Error(), name) || !errors.Is(err, server.ErrAddress) {
			t.Errorf("%q: the message %q does not name it, or what is expected", name, err)
		}
	}
}

// TestServeEndsGracefully holds that a change that has arrived is kept though the server is told to end
// meanwhile, and that a request that never ends does not hold it up for ever.
func TestServeEndsGracefully(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := &pipes{connections: make(chan net.Conn), closed: make(chan struct{})}
		keep := &memory{}
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan error, 1)
		go func() { ended <- server.Serve(ctx, l, pageOf(t), keep) }()
		client, end := net.Pipe()
		l.connections <- end
		head := "PUT /practice/current HTTP/1.1\r\nHost: " + addr + "\r\nOrigin: " + origin + "\r\nContent-Length: 7\r\n\r\n"
		io.WriteString(client, head+`{"a"`)
		synctest.Wait()
		cancel()
		time.Sleep(time.Second)
		go io.WriteString(client, ":1}")
		answer := make([]byte, 12)
		if _, err := io.ReadFull(client, answer); err != nil || string(answer) != "HTTP/1.1 204" {
			t.Errorf("answered %q, error %v", answer, err)
		}
		go io.Copy(io.Discard, client)
		if err := <-ended; err != nil {
			t.Error(err)
		}
		if string(keep.current) != `{"a":1}` {
			t.Errorf("kept %q", keep.current)
		}
	})
}

// pipes is a listener whose connections are made by a test.
type pipes struct {
	connections chan net.Conn
	closed      chan struct{}
	once        sync.Once
}

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case c := <-p.connections:
		return c, nil
	case <-p.closed:
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error {
	p.once.Do(func() { close(p.closed) })
	return nil
}

func (p *pipes) Addr() net.Addr { return &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 7654} }
