package cli

import "fmt"

// PreviewOptions is how an instructor wants a case to be opened in the browser.
type PreviewOptions struct {
	File      string // scenario, "" asked for in the page
	New       string // kind of tooth of a new scenario, "" the file is there
	Plan      string // plan to be marked by, "" none
	Addr      string // HOST:PORT on this computer, "" any free port
	NoBrowser bool   // do not open it in the browser
}

// previewCommand opens a case in the browser: a form, its text, the tooth and the marks.
type previewCommand struct {
	Scenario  string `arg:"" optional:"" help:"Scenario file (default: chosen in the page)."`
	New       string `placeholder:"KIND" help:"Begin a new scenario of a kind of tooth, such as upper-first-molar, or a drill; it is written when you save."`
	Plan      string `placeholder:"PLAN" help:"Plan file to mark by, changed in the same page (default: a scripted operator treats)."`
	Port      uint16 `placeholder:"N" help:"Port to serve it on, on this computer only (default: any free one)."`
	NoBrowser bool   `help:"Print the address, do not open it in the browser."`
}

// Run hands over to whoever serves the page. Checked by TestScripts.
func (c *previewCommand) Run(s *session) error {
	o := PreviewOptions{File: c.Scenario, New: c.New, Plan: c.Plan, NoBrowser: c.NoBrowser}
	if c.Port > 0 {
		o.Addr = fmt.Sprintf("127.0.0.1:%d", c.Port)
	}
	return s.preview(o)
}
