package class

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/gowebpki/jcs"

	"tugback/internal/exam"
)

// Upload is a paper as an instructor hands it to the server.
type Upload struct {
	Paper      string            `json:"paper"` // letters, digits, - and _
	Title      string            `json:"title"`
	Candidates []UploadCandidate `json:"candidates"`
	// Sealed is the paper as exam.Seal made it, by which hand-ins are verified. It never leaves the server.
	// Without it the class's own judge verifies, as records of practice.
	Sealed json.RawMessage `json:"sealed,omitempty"`
	// Stepped: sittings are stepped on the server, and no packet is handed out that holds a tooth.
	Stepped bool `json:"stepped,omitempty"`
}

// UploadCandidate is one pseudonym with a packet.
type UploadCandidate struct {
	ID     string          `json:"id"`               // letters, digits, - and _
	Token  string          `json:"token"`            // at least 16 characters, given to the candidate
	Opens  int64           `json:"opens,omitempty"`  // s since 1970; 0 open
	Closes int64           `json:"closes,omitempty"` // s since 1970; 0 open
	Packet json.RawMessage `json:"packet"`
}

// check returns the first fault of an upload.
func (u Upload) check() error {
	if !goodName.MatchString(u.Paper) {
		return fmt.Errorf("paper: %.80q is no name of 1 to 64 letters, digits, - and _", u.Paper)
	}
	if len(u.Candidates) == 0 {
		return errors.New("candidates: there are none")
	}
	ids, tokens := map[string]bool{}, map[string]bool{}
	for i, c := range u.Candidates {
		at := fmt.Sprintf("candidates[%d]: ", i)
		switch {
		case !goodName.MatchString(c.ID):
			return fmt.Errorf("%sid: %.80q is no name of 1 to 64 letters, digits, - and _", at, c.ID)
		case ids[c.ID]:
			return fmt.Errorf("%sid: %s comes twice", at, c.ID)
		case len(c.Token) < 16 || len(c.Token) > 200:
			return fmt.Errorf("%stoken: it has 16 to 200 characters", at)
		case tokens[c.Token]:
			return fmt.Errorf("%stoken: it is another candidate's too", at)
		case len(c.Packet) == 0:
			return fmt.Errorf("%spacket: it is missing", at)
		case c.Closes > 0 && c.Closes <= c.Opens:
			return fmt.Errorf("%scloses: not after opens", at)
		}
		ids[c.ID], tokens[c.Token] = true, true
	}
	return u.checkSealed()
}

// checkSealed returns the first fault of what the exam's own papers and packets ask for.
func (u Upload) checkSealed() error {
	if len(u.Sealed) == 0 {
		if u.Stepped {
			return errors.New("sealed: the sealed paper is missing; without it nothing can be stepped")
		}
		for i, c := range u.Candidates {
			if exam.SchemaOf(c.Packet) == exam.PacketSchema {
				return fmt.Errorf("candidates[%d]: packet: it is of a sealed paper, which is missing (instructor/paper.json); without it nothing can be verified", i)
			}
		}
		return nil
	}
	paper, err := exam.DecodePaper(u.Sealed)
	switch {
	case err != nil:
		return fmt.Errorf("sealed: %w", err)
	case paper.ID != u.Paper:
		return fmt.Errorf("sealed: it is the paper %s, not %s", paper.ID, u.Paper)
	}
	for i, c := range u.Candidates {
		packet, err := exam.DecodePacket(c.Packet)
		if err == nil {
			err = packet.Check(paper.PublicKey)
		}
		if err == nil && (packet.Candidate != c.ID || packet.Paper != paper.ID || packet.Commitment != paper.Commitment) {
			err = fmt.Errorf("it is of candidate %s of paper %s", packet.Candidate, packet.Paper)
		}
		if err != nil {
			return fmt.Errorf("candidates[%d]: packet: %w", i, err)
		}
	}
	return nil
}

// ReadUpload reads a paper from the files that hold it, in any order: one as Upload describes (class.json of a
// sealed paper's folder), and for a sealed paper that itself (paper.json), unless the first holds it. Checked
// by TestReadUpload.
func ReadUpload(files ...[]byte) (Upload, error) {
	var u Upload
	var sealed json.RawMessage
	found := false
	for i, text := range files {
		if exam.SchemaOf(text) == exam.PaperSchema {
			if sealed != nil {
				return u, errors.New("two of the files are sealed papers")
			}
			sealed = text
			continue
		}
		if found {
			return u, errors.New("two of the files hold candidates")
		}
		found = true
		decoder := json.NewDecoder(bytes.NewReader(text))
		decoder.DisallowUnknownFields()
		if err := decoder.Decode(&u); err != nil {
			return u, fmt.Errorf("file %d: %w", i+1, err)
		}
	}
	switch {
	case !found:
		return u, errors.New("the file with the candidates is missing (class.json)")
	case sealed != nil && len(u.Sealed) > 0:
		return u, errors.New("the sealed paper is there twice")
	case sealed != nil:
		u.Sealed = sealed
	}
	return u, nil
}

// canonical returns an upload whose sealed documents stand in the one form in which they are signed: a file
// that holds others may have set them with spaces.
func (u Upload) canonical() (Upload, error) {
	if len(u.Sealed) == 0 {
		return u, nil
	}
	var err error
	if u.Sealed, err = jcs.Transform(u.Sealed); err != nil {
		return u, fmt.Errorf("sealed: %w", err)
	}
	u.Candidates = append([]UploadCandidate(nil), u.Candidates...)
	for i := range u.Candidates {
		if len(u.Candidates[i].Packet) == 0 {
			continue // told by check
		}
		if u.Candidates[i].Packet, err = jcs.Transform(u.Candidates[i].Packet); err != nil {
			return u, fmt.Errorf("candidates[%d]: packet: %w", i, err)
		}
	}
	return u, nil
}

// AddPaper keeps a paper with its candidates, all or nothing. A paper is never replaced: what candidates
// have received must not change. Checked by TestInstructor.
func (c *Class) AddPaper(ctx context.Context, by string, u Upload) error {
	u, err := u.canonical()
	if err != nil {
		return err
	}
	if err := u.check(); err != nil {
		return err
	}
	if err := c.inOne(ctx, func(tx *sql.Tx) error { return c.addIn(ctx, tx, u) }); err != nil {
		return err
	}
	return c.note(ctx, by, fmt.Sprintf("paper %s added for %d candidates", u.Paper, len(u.Candidates)))
}

func (c *Class) addIn(ctx context.Context, tx *sql.Tx, u Upload) error {
	sealed, stepped := []byte(u.Sealed), 0
	if sealed == nil {
		sealed = []byte{}
	}
	if u.Stepped {
		stepped = 1
	}
	done, err := tx.ExecContext(ctx, `INSERT INTO paper (id, title, uploaded, sealed, stepped) VALUES ($1, $2, $3, $4, $5) ON CONFLICT (id) DO NOTHING`,
		u.Paper, u.Title, c.now().Unix(), sealed, stepped)
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return errors.Join(fmt.Errorf("a paper %s is here already; give this one another name", u.Paper), err)
	}
	for _, one := range u.Candidates {
		done, err := tx.ExecContext(ctx, `INSERT INTO candidate (paper, id, token, opens, closes, packet) VALUES ($1, $2, $3, $4, $5, $6)
			ON CONFLICT (token) DO NOTHING`, u.Paper, one.ID, sum(one.Token), one.Opens, one.Closes, []byte(one.Packet))
		if err != nil {
			return err
		}
		if n, err := done.RowsAffected(); err != nil || n == 0 {
			return errors.Join(fmt.Errorf("candidate %s: the token is in use for another paper", one.ID), err)
		}
	}
	return nil
}
