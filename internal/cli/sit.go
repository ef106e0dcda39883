package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/term"

	"tugback/internal/exam"
)

// paperSit sits a packet.
type paperSit struct {
	Packet     string   `arg:"" optional:"" help:"The packet you were given; with --server it comes from there."`
	Server     string   `placeholder:"URL" help:"The class server, such as https://exam.school.example:8480: the packet comes from there, the log goes there as it grows, and it is handed in there. A paper that is stepped there is sat there."`
	Token      string   `env:"TUGBACK_TOKEN" placeholder:"TOKEN" help:"Your token for the server (better in the variable TUGBACK_TOKEN, which others on the machine do not see)."`
	Folder     string   `placeholder:"DIR" help:"Where log and export are kept (default: beside the packet)."`
	Attempt    int      `placeholder:"N" help:"Which attempt (default: the one under way, else the first)."`
	Instructor string   `placeholder:"KEY" help:"The instructor's public key, 64 hexadecimal digits, when it was told; the packet must be signed by it."`
	Plan       []string `xor:"treat" placeholder:"PLAN" help:"Carry out a plan, one for each case in order, and submit; may be repeated."`
	Operator   string   `xor:"treat" placeholder:"OPERATOR" help:"Let a scripted operator treat every case, and submit: careful, steady, hurried, novice."`
	Hand       uint64   `placeholder:"N" help:"Seed of the operator's hand (default: 0)."`
	Answers    string   `xor:"answer" placeholder:"FILE" help:"Answers to the questions: CSV with item,answer, typed as for the quiz."`
	Guess      bool     `xor:"answer" help:"Guess the answers, by the seed --hand."`
	Open       bool     `help:"With --plan, --operator, --answers or --guess: do not submit."`

	sender *sender // to the server, nil none
}

// scripted reports whether nobody sits there.
func (c *paperSit) scripted() bool {
	return len(c.Plan) > 0 || c.Operator != "" || c.Answers != "" || c.Guess
}

// examRoom is a sitting with its files.
type examRoom struct {
	sitting *exam.Sitting
	file    *exam.File
	folder  string
	taken   bool // gone on with
	sender  *sender
}

// Run begins or goes on, and sits.
func (c *paperSit) Run(s *session) (err error) {
	switch {
	case c.Server != "" && c.Packet != "":
		return usage("with --server the packet comes from there; leave %s out", c.Packet)
	case c.Server == "" && c.Packet == "":
		return usage("name the packet, or --server and --token")
	case c.Server != "":
		if done, err := c.onServer(s); done || err != nil {
			return err
		}
	}
	data, err := readRecord(c.Packet)
	if err != nil {
		return refusal(c.Packet, err)
	}
	packet, err := exam.DecodePacket(data)
	if err != nil {
		return refusal(c.Packet, err)
	}
	room, err := c.enter(packet)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, room.file.Close()) }()
	if room.sitting.Submitted() {
		return room.handIn(s)
	}
	if c.scripted() {
		return c.script(s, room)
	}
	return s.talk(newExamFace(&hereSeat{room: room}, packet))
}

// enter opens the log of the attempt, or makes one.
func (c *paperSit) enter(packet exam.Packet) (*examRoom, error) {
	folder := c.Folder
	if folder == "" {
		folder = filepath.Dir(c.Packet)
	}
	number := c.Attempt
	for n := packet.Terms.Attempts; n > 0 && number == 0; n-- {
		if !missing(filepath.Join(folder, exam.LogFile(packet.Candidate, n))) {
			number = n
		}
	}
	number = max(number, 1)
	path := filepath.Join(folder, exam.LogFile(packet.Candidate, number))
	room := &examRoom{folder: folder, sender: c.sender}
	options := exam.Options{Instructor: c.Instructor}
	var lines [][]byte
	var err error
	room.file, lines, err = exam.OpenFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		if err := openNow(packet, number, c.Instructor); err != nil {
			return nil, examEnding(c.Packet, err)
		}
		room.file, err = exam.CreateFile(path)
	}
	if err != nil {
		return nil, fmt.Errorf("log %s: %w", path, cause(err))
	}
	options.Log = room.file
	if c.sender != nil {
		options.Log = c.sender
		if lines, err = c.sender.join(room.file, number, lines); err != nil {
			return nil, errors.Join(err, room.file.Close())
		}
	}
	if room.taken = len(lines) > 0; room.taken {
		room.sitting, err = exam.Resume(packet, lines, options)
	} else {
		room.sitting, err = exam.Begin(packet, number, options)
	}
	if err != nil {
		return nil, errors.Join(examEnding(path, err), room.file.Close())
	}
	if c.sender != nil {
		c.sender.left = room.sitting.LeftS
	}
	return room, nil
}

// openNow returns why a packet cannot be begun, before a file is made for it.
func openNow(packet exam.Packet, number int, instructor string) error {
	_, err := exam.Begin(packet, number, exam.Options{Instructor: instructor})
	return err
}

// examEnding gives a refusal its exit code.
func examEnding(name string, err error) error {
	if exam.AsRefusal(err) != nil {
		return refusal(name, err)
	}
	return fmt.Errorf("%s: %w", name, err)
}

// handIn submits, writes the export and tells the receipt.
func (r *examRoom) handIn(s *session) error {
	said, err := r.submit()
	for _, line := range said {
		fmt.Fprintln(s.out, line)
	}
	return err
}

// submit submits, writes the export and returns what is to be told.
func (r *examRoom) submit() ([]string, error) {
	export, err := r.sitting.Submit()
	if err != nil {
		return nil, err
	}
	path := filepath.Join(r.folder, exam.ExportFile(r.sitting.Packet().Candidate, r.sitting.Attempt()))
	have, err := os.ReadFile(path)
	if err != nil || string(have) != string(export) {
		var files outputs
		if err := files.add("the sitting", path, func(w io.Writer) error { _, err := w.Write(export); return err }); err != nil {
			return nil, err
		}
		if err := files.write(); err != nil {
			return nil, fmt.Errorf("it is submitted, but %w; nothing is lost: make room and give the same command again", err)
		}
	}
	said := []string{"Submitted. Hand in this file: " + path, "Receipt: " + exam.Spoken(export)}
	if r.sender != nil {
		more, err := r.sender.handIn(export)
		if err != nil {
			return nil, err
		}
		said = append([]string{"Submitted; a copy is " + path, "Receipt: " + exam.Spoken(export)}, more...)
	}
	if r.sitting.Packet().Terms.Sees(exam.SeeMarks) {
		for n := range r.sitting.Packet().Cases {
			marks := r.sitting.Run(n).Marks()
			said = append(said, fmt.Sprintf("Case %d: %s of %s", n+1, points(marks.Total), points(marks.Available)))
		}
	}
	return said, nil
}

// talk lets a person sit, by lines.
func (s *session) talk(f *examFace) error {
	file, is := s.in.(*os.File)
	if is && term.IsTerminal(int(file.Fd())) { //nolint:gosec // a descriptor fits
		return s.typed(file, f.welcome(), f, f.Failed)
	}
	return s.piped(f)
}

// piped reads lines that no person types: they are printed too, and one that is refused makes the end a
// fault.
func (s *session) piped(f *examFace) error {
	p := page{s.out}
	show := func(lines []string) {
		for _, l := range lines {
			p.paragraph(indentOf(l), strings.TrimLeft(l, " "))
		}
	}
	show(f.welcome())
	wrong := 0
	in := newLines(s.in)
	for !f.Done() && in.Scan() {
		fmt.Fprintf(p.to, "\n%s%s\n", f.Ask(), strings.TrimSpace(in.Text()))
		show(f.Line(in.Text()))
		if f.Wrong() {
			wrong++
		}
		if f.Failed() != nil {
			return f.Failed()
		}
	}
	if err := in.Err(); err != nil {
		return fmt.Errorf("the lines cannot be read: %w", err)
	}
	if wrong > 0 {
		return fmt.Errorf("lines refused: %d; what was wrong is told behind each", wrong)
	}
	return nil
}
