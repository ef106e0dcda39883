package cli

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"golang.org/x/term"
)

// face is what is spoken to by lines: a treatment, or an exam.
type face interface {
	Ask() string                   // what stands before the next line
	Line(line string) []string     // does what a line asks for and returns what is said
	Complete(line string) []string // how the last word may go on
	Done() bool                    // no more lines are wanted
}

// typed reads lines that a person types, with history and completion; after is called after each.
func (s *session) typed(in *os.File, said []string, f face, after func() error) error {
	if err := s.out.Flush(); err != nil {
		return fmt.Errorf("the output cannot be written: %w", err)
	}
	descriptor := int(in.Fd()) //nolint:gosec // a descriptor fits
	before, err := term.MakeRaw(descriptor)
	if err != nil {
		return fmt.Errorf("the terminal cannot be used: %w", err)
	}
	defer term.Restore(descriptor, before) //nolint:errcheck // nothing can be done about it
	t := term.NewTerminal(struct {
		io.Reader
		io.Writer
	}{in, os.Stdout}, "")
	t.AutoCompleteCallback = complete(t, f)
	tell(t, said)
	for !f.Done() {
		if w, h, err := term.GetSize(descriptor); err == nil && w > 0 && h > 0 {
			_ = t.SetSize(w, h)
		}
		t.SetPrompt(f.Ask())
		line, err := t.ReadLine()
		if err != nil {
			line = "quit" // the end of input, or Ctrl-C
		}
		tell(t, f.Line(line))
		if err := after(); err != nil {
			return err
		}
	}
	return nil
}

// tell prints lines wrapped to the terminal.
func tell(to io.Writer, lines []string) {
	out := bufio.NewWriter(to)
	p := page{out}
	for _, l := range lines {
		p.paragraph(indentOf(l), strings.TrimLeft(l, " "))
	}
	fmt.Fprintln(out)
	_ = out.Flush()
}

// complete completes the word before the cursor when Tab is pressed: as far as the possible words agree,
// and when that is no further, it lists them.
func complete(t *term.Terminal, f face) func(line string, pos int, key rune) (string, int, bool) {
	return func(line string, pos int, key rune) (string, int, bool) {
		if key != '\t' {
			return "", 0, false
		}
		head, tail := line[:pos], line[pos:]
		words := f.Complete(head)
		if len(words) == 0 {
			return line, pos, true
		}
		begin := strings.LastIndex(head, " ") + 1
		common := words[0]
		for _, w := range words[1:] {
			for !strings.HasPrefix(w, common) {
				common = common[:len(common)-1]
			}
		}
		if len(words) == 1 {
			common += " "
		}
		if len(words) > 1 && len(common) <= len(head)-begin {
			tell(t, []string{strings.Join(fewer(words), "  ")})
			return line, pos, true
		}
		done := head[:begin] + common
		return done + tail, len(done), true
	}
}

// mostWords is how many words are listed as they are.
const mostWords = 40

// fewer shortens a long list of words to what they have before their figures, each once.
func fewer(words []string) []string {
	if len(words) <= mostWords {
		return words
	}
	var out []string
	for _, w := range words {
		if at := strings.IndexAny(w, "0123456789"); at > 0 {
			w = w[:at] + "…"
		}
		if !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}
