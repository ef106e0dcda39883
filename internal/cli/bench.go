package cli

// BenchOptions is how a person wants the bench to be served.
type BenchOptions struct {
	Addr      string // HOST:PORT on this computer, "" any free port
	Data      string // file in which practice is kept, "" the usual one
	NoBrowser bool   // do not open it in the browser
}

// benchCommand serves the bench; it is what the program does without a command.
type benchCommand struct {
	Addr      string `placeholder:"ADDR" help:"Address to serve it on, 127.0.0.1:PORT (default: any free port)."`
	Data      string `placeholder:"FILE" help:"File in which practice is kept (default: practice.db in the folder TUGBACK_DATA, else in that of the user's configuration)."`
	NoBrowser bool   `help:"Print the address, do not open it in the browser."`
}

// Run hands over to whoever serves the bench. Checked by TestScripts.
func (c *benchCommand) Run(s *session) error {
	return s.bench(BenchOptions{Addr: c.Addr, Data: c.Data, NoBrowser: c.NoBrowser})
}

// pageCommand writes the page of the bench as files.
type pageCommand struct {
	Folder string `arg:"" help:"New or empty folder for the files."`
}

// Run hands over to whoever has the page. Checked by TestScripts.
func (c *pageCommand) Run(s *session) error { return s.page(c.Folder) }

// Usage returns err as a fault of the command line, for a Streams.Bench that finds one in its options.
func Usage(err error) error { return usage("%s", err) }
