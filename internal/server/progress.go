package server

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress reads what the go command says while it builds, shows how far it is, and keeps what is said
// of faults.
type progress struct {
	mu       sync.Mutex
	packages map[string]bool
	line     []byte // not ended yet
	other    strings.Builder
	bar      *progressbar.ProgressBar // nil: nobody watches
	tell     io.Writer
	begin    time.Time
}

// newProgress begins to show the building of packages on tell: a bar on a terminal, lines elsewhere.
func newProgress(tell io.Writer, packages map[string]bool) *progress {
	p := &progress{packages: packages, tell: tell, begin: time.Now()}
	if file, ok := tell.(*os.File); ok && term.IsTerminal(int(file.Fd())) {
		p.bar = progressbar.NewOptions(len(packages)+1, progressbar.OptionSetWriter(tell),
			progressbar.OptionSetDescription("building the bench's page"), progressbar.OptionSetWidth(30),
			progressbar.OptionSetElapsedTime(true), progressbar.OptionSetPredictTime(false),
			progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish())
		return p
	}
	fmt.Fprintln(tell, "building the bench's page, which takes about a minute the first time …")
	return p
}

// Write takes output of the go command: the name of a package that is being compiled moves the bar,
// anything else is kept.
func (p *progress) Write(data []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.line = append(p.line, data...)
	for {
		line, rest, ended := bytes.Cut(p.line, []byte("\n"))
		if !ended {
			return len(data), nil
		}
		p.line = rest
		p.take(string(line))
	}
}

// take judges one line of the go command.
func (p *progress) take(line string) {
	switch {
	case p.packages[line]:
		if p.bar != nil {
			p.bar.Add(1) //nolint:errcheck // a bar that can't be drawn stops nothing
		}
	case strings.HasPrefix(line, "go: downloading "):
		p.describe(strings.TrimPrefix(line, "go: "))
	default:
		p.other.WriteString(line + "\n")
	}
}

// stage says what is done now.
func (p *progress) stage(what string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.describe(what)
}

func (p *progress) describe(what string) {
	if p.bar != nil {
		p.bar.Describe(what)
	}
}

// end stops showing; done says that the page has been built.
func (p *progress) end(done bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.bar != nil {
		p.bar.Finish() //nolint:errcheck // a bar that can't be drawn stops nothing
	}
	if done {
		fmt.Fprintf(p.tell, "built the bench's page in %.0f s\n", time.Since(p.begin).Seconds())
	}
}

// faults returns what the go command said that is not progress.
func (p *progress) faults() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return strings.TrimSpace(p.other.String() + string(p.line))
}
