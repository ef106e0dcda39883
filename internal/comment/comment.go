// Package comment reads and writes what instructors say about moments of treatments: the one format that
// the gradebook, the class server and the bench share.
//
// It is CSV (RFC 4180) with the head candidate,case,action,by,comment. case is the name of the case, or the
// first digits of a record's digest; action counts from 1 and is empty for the treatment as a whole. Begin
// reading at Parse.
package comment

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// Comment is what an instructor says about a moment of a treatment.
type Comment struct {
	Candidate string
	Case      string // name of the case, or the first 8 digits or more of the record's digest
	Action    int    // from 1; 0: the treatment as a whole
	By, Text  string
	Line      int // of the file it was read from, from 1
}

// Limits of a file of comments.
const (
	Limit = 1 << 20 // bytes
	Most  = 2000    // comments
)

// head is the first line of a file.
func head() []string { return []string{"candidate", "case", "action", "by", "comment"} }

// Parse reads comments. All faults are told at once with file and line. Checked by TestParse and FuzzParse.
func Parse(name string, data []byte) ([]Comment, error) {
	if len(data) > Limit {
		return nil, fmt.Errorf("%s: %d bytes, allowed %d", name, len(data), Limit)
	}
	rows := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	first, err := rows.Read()
	if err != nil || !slices.Equal(first, head()) {
		return nil, fmt.Errorf("%s:1: the head is not %s", name, strings.Join(head(), ","))
	}
	var out []Comment
	var faults []error
	for {
		cells, err := rows.Read()
		if errors.Is(err, io.EOF) {
			return out, errors.Join(faults...)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := rows.FieldPos(0)
		if len(out) == Most {
			return nil, fmt.Errorf("%s:%d: more than %d comments", name, line, Most)
		}
		one := Comment{cells[0], cells[1], 0, cells[3], cells[4], line}
		if fault := one.set(cells[2]); fault != nil {
			faults = append(faults, fmt.Errorf("%s:%d: %w", name, line, fault))
			continue
		}
		out = append(out, one)
	}
}

// set reads the action a comment is about, and refuses a comment that says nothing.
func (c *Comment) set(action string) (err error) {
	if action != "" {
		if c.Action, err = strconv.Atoi(action); err != nil || c.Action < 1 {
			return fmt.Errorf("action is %q; a number from 1, or nothing for the whole treatment, is allowed", action)
		}
	}
	if strings.TrimSpace(c.Text) == "" {
		return errors.New("the comment is empty")
	}
	return nil
}

// Encode writes comments so that Parse reads them again. Checked by TestParse.
func Encode(list []Comment) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	rows := [][]string{head()}
	for _, c := range list {
		action := ""
		if c.Action > 0 {
			action = strconv.Itoa(c.Action)
		}
		rows = append(rows, []string{c.Candidate, c.Case, action, c.By, c.Text})
	}
	if err := w.WriteAll(rows); err != nil {
		panic("comment: writing to memory failed: " + err.Error())
	}
	return out.Bytes()
}
