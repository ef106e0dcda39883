package cli

// ServeOptions is what is to be done with the server of a class.
type ServeOptions struct {
	Class           string // folder or postgres://…
	Addr            string // HOST:PORT
	Cert, Key       string // TLS files, "" none
	Proxy           string // address or range of a proxy in front, "" none
	NoPage          bool   // the bench is not served
	AddInstructor   string // name; then nothing is served
	AddPaper        string // folder of a sealed paper, or file of a paper; then nothing is served
	Stepped         bool   // the paper added is sat step by step on the server
	Take            string // paper whose hand-ins are taken; then nothing is served
	Out             string // new folder for them
	ExportPerson    string // candidate id; then nothing is served
	DeletePerson    string // candidate id; then nothing is served
	FirstInstructor string // name of the instructor who is made when there is none
}

// serveCommand serves a class, or looks after what is kept of it.
type serveCommand struct {
	Class           string `required:"" placeholder:"PLACE" help:"Folder of the class, or postgres://USER@HOST/DATABASE for several server processes."`
	Addr            string `default:"127.0.0.1:8480" placeholder:"HOST:PORT" help:"Address to serve on (default 127.0.0.1:8480; :8480 for the whole network)."`
	TLSCert         string `placeholder:"FILE" help:"Certificate, PEM; without one, what is sent can be read on the way."`
	TLSKey          string `placeholder:"FILE" help:"Key of the certificate, PEM."`
	Proxy           string `placeholder:"ADDRESS" help:"Address (10.0.0.5) or range (10.0.0.0/24) of a proxy in front of the server, which names the candidates' own in X-Forwarded-For."`
	NoPage          bool   `help:"Serve the class without the bench."`
	FirstInstructor string `default:"instructor" placeholder:"NAME" help:"Name of the instructor who is made, with a password shown once, when there is none."`
	AddInstructor   string `xor:"care" placeholder:"NAME" help:"Add an instructor, or give one a new password, shown once; serve nothing."`
	AddPaper        string `xor:"care" placeholder:"PATH" help:"Add the paper in a folder that paper seal has written, or in a file; serve nothing."`
	Stepped         bool   `help:"With --add-paper: it is sat step by step on the server, so that no candidate's machine knows the teeth."`
	Take            string `xor:"care" placeholder:"PAPER" help:"Write the hand-ins of a paper, as gradebook reads them, with receipts, verdicts and logs to a new folder --out; serve nothing."`
	Out             string `placeholder:"DIR" help:"With --take: new or empty folder to write to."`
	ExportPerson    string `xor:"care" placeholder:"ID" help:"Print all that is kept of a candidate, JSON; serve nothing."`
	DeletePerson    string `xor:"care" placeholder:"ID" help:"Delete all that is kept of a candidate; serve nothing."`
}

// Run hands over to whoever has the class server.
func (c *serveCommand) Run(s *session) error {
	if (c.TLSCert == "") != (c.TLSKey == "") {
		return usage("--tls-cert and --tls-key go together")
	}
	if c.Stepped && c.AddPaper == "" {
		return usage("--stepped goes with --add-paper")
	}
	if (c.Take == "") != (c.Out == "") {
		return usage("--take and --out go together")
	}
	return s.serve(ServeOptions{Class: c.Class, Addr: c.Addr, Cert: c.TLSCert, Key: c.TLSKey, Proxy: c.Proxy, NoPage: c.NoPage,
		FirstInstructor: c.FirstInstructor, AddInstructor: c.AddInstructor, AddPaper: c.AddPaper, Stepped: c.Stepped, Take: c.Take, Out: c.Out, ExportPerson: c.ExportPerson, DeletePerson: c.DeletePerson})
}
