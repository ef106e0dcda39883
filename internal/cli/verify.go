package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/scenario"
)

// recordLimit is above the size of any record and any sitting, in bytes.
const recordLimit = exam.MostBytes

// verifyCommand carries records and sittings out again.
type verifyCommand struct {
	Files     []string `arg:"" name:"file" help:"Records written by treat, sittings of a paper, or folders of them."`
	Scenario  string   `placeholder:"FILE" help:"Scenario of a record (default: the one of its name that comes with the program)."`
	Paper     []string `placeholder:"FILE" help:"Papers that sittings are of (default: instructor/paper.json beside the folder or in it)."`
	ServerLog string   `placeholder:"FILE" help:"Lines that a server kept of one sitting while it was sat; the sitting must be what they say."`
	Receipt   string   `placeholder:"FILE" help:"Receipt that a class server gave for one sitting; the sitting must be the one it is for."`
	ServerKey string   `placeholder:"KEY" help:"The class server's public key, 64 hexadecimal digits; without it the receipt's own is taken."`
	Progress  string   `enum:"auto,yes,no" default:"auto" help:"Show a progress bar: auto (on a terminal), yes or no."`
}

// Run carries everything out again and says what differs.
func (c *verifyCommand) Run(s *session) error {
	if info, err := os.Stat(c.Files[0]); len(c.Files) > 1 || err == nil && info.IsDir() {
		return c.many(s)
	}
	name := c.Files[0]
	data, err := readRecord(name)
	if err != nil {
		return refusal(name, err)
	}
	h, err := openHall(filepath.Dir(name), c.Paper)
	if err != nil {
		return err
	}
	switch h.kindOf(name, data) {
	case exam.ExportSchema:
		return c.sitting(s, name, data, h)
	case exam.PaperSchema, exam.PacketSchema:
		return (&paperShow{File: name}).Run(s)
	}
	return c.record(s, name, data)
}

// record carries a record out again and says what differs.
func (c *verifyCommand) record(s *session, file string, data []byte) error {
	record, err := attempt.Decode(data)
	if err != nil {
		return refusal(file, err)
	}
	name := c.Scenario
	if name == "" {
		name = record.Scenario.Name
	}
	from, err := s.recordScenario(name, c.Scenario == "")
	if err != nil {
		return err
	}
	grown, err := from.Case(record.Seed)
	if err != nil {
		return err
	}
	if refused := attempt.Verify(record, attempt.Paper{Case: grown, Marker: from.Marker()}); refused != nil {
		return refusal(file, refused)
	}
	fmt.Fprintf(s.out, "verified: %s\n", file)
	rows := [][]string{
		{"scenario", record.Scenario.Name},
		{"seed", whole(record.Seed)},
		{"engine", record.Engine},
		{"actions", whole(uint64(len(record.Actions)))},
		{"marks", points(record.Marks.Total) + " of " + points(record.Marks.Available)},
		{"digest", record.Digest},
	}
	if text := noteCounts(record.Notes); text != "" {
		rows = append(rows, []string{"notes", text})
	}
	page{s.out}.table("ll", rows)
	return nil
}

// noteCounts tells how often each kind of note was made, in the order of the kinds.
func noteCounts(notes []attempt.Note) string {
	var parts []string
	for _, kind := range attempt.NoteKinds() {
		n := 0
		for _, note := range notes {
			if note.Kind == kind {
				n++
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", kind, n))
		}
	}
	return strings.Join(parts, ", ")
}

// recordScenario reads the scenario of a record: the file asked for, or the shipped one of its name.
func (s *session) recordScenario(name string, shipped bool) (scenario.Scenario, error) {
	if !shipped {
		return s.loadScenario(name)
	}
	names := s.shippedNames("*.yaml")
	for _, known := range names {
		if name == known {
			return scenario.LoadFS(s.shipped, known+".yaml")
		}
	}
	return scenario.Scenario{}, &ending{exitRefused,
		fmt.Sprintf("the record is about the scenario %.80q, which does not come with the program; name its file with --scenario", name)}
}

// readRecord reads a record's bytes; of a file that is far too large only its size is told.
func readRecord(name string) ([]byte, error) {
	file, err := os.Open(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, errors.New("no such file")
	case err != nil:
		return nil, cause(err)
	}
	defer file.Close() //nolint:errcheck // only read
	info, err := file.Stat()
	switch {
	case err != nil:
		return nil, cause(err)
	case info.IsDir():
		return nil, errors.New("is a folder; name a file in it")
	case info.Size() > recordLimit:
		return nil, &attempt.Refusal{Class: attempt.TooLarge, Reason: fmt.Sprintf("%d bytes, far more than any record has", info.Size()), Action: -1}
	}
	data, err := io.ReadAll(io.LimitReader(file, recordLimit))
	if err != nil {
		return nil, cause(err)
	}
	return data, nil
}

// refusal says why a record was not accepted, and ends with the exit code of the reason.
func refusal(name string, err error) error {
	if r := exam.AsRefusal(err); r != nil {
		return &ending{r.Code.ExitCode(), name + ": refused: " + strings.Join(r.Lines(), "\n  ")}
	}
	var refused *attempt.Refusal
	if !errors.As(err, &refused) {
		return fmt.Errorf("%s: %w", name, err)
	}
	return &ending{refused.Class.ExitCode(), name + ": " + strings.Join(refused.Lines(), "\n  ")}
}
