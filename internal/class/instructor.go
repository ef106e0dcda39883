package class

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/alexedwards/argon2id"
)

// sessionTime is how long a sign-in of an instructor lasts.
const sessionTime = 12 * time.Hour

// passwordLeast is the fewest characters of a password.
const passwordLeast = 12

// ErrSignIn does not say whether it was the name or the password.
var ErrSignIn = errors.New("name or password is wrong")

// AddInstructor adds an instructor or replaces the password; of at least 12 characters only an argon2id
// hash is kept.
func (c *Class) AddInstructor(ctx context.Context, name, password string) error {
	if !goodName.MatchString(name) {
		return errors.New("an instructor's name has 1 to 64 letters, digits, - and _")
	}
	if len(password) < passwordLeast || len(password) > 1000 {
		return fmt.Errorf("a password has at least %d characters", passwordLeast)
	}
	hash, err := argon2id.CreateHash(password, argon2id.DefaultParams)
	if err != nil {
		return err
	}
	if _, err := c.db.ExecContext(ctx, `INSERT INTO instructor (name, hash, created) VALUES ($1, $2, $3)
		ON CONFLICT (name) DO UPDATE SET hash = excluded.hash`, name, hash, c.now().Unix()); err != nil {
		return err
	}
	if _, err := c.db.ExecContext(ctx, `DELETE FROM session WHERE instructor = $1`, name); err != nil {
		return err
	}
	return c.note(ctx, name, "password set")
}

// Instructors returns how many there are.
func (c *Class) Instructors(ctx context.Context) (n int, err error) {
	err = c.db.QueryRowContext(ctx, `SELECT COUNT(*) FROM instructor`).Scan(&n)
	return n, err
}

// nobody is compared with when there is no such name, so that both take equally long.
const nobody = "$argon2id$v=19$m=65536,t=1,p=2$c29tZXNhbHRzb21lc2FsdA$MTIzNDU2Nzg5MDEyMzQ1Njc4OTAxMjM0NTY3ODkwMTI"

// signIn returns a new session's token, or ErrSignIn. Checked by TestInstructor.
func (c *Class) signIn(ctx context.Context, name, password string) (string, error) {
	hash := nobody
	err := c.db.QueryRowContext(ctx, `SELECT hash FROM instructor WHERE name = $1`, name).Scan(&hash)
	if err != nil && !errors.Is(err, sql.ErrNoRows) {
		return "", err
	}
	known := err == nil
	same, err := argon2id.ComparePasswordAndHash(password, hash)
	if err != nil {
		return "", err
	}
	if !same || !known {
		return "", ErrSignIn
	}
	token := rand.Text()
	now := c.now()
	if _, err := c.db.ExecContext(ctx, `DELETE FROM session WHERE expires < $1`, now.Unix()); err != nil {
		return "", err
	}
	_, err = c.db.ExecContext(ctx, `INSERT INTO session (token, instructor, expires) VALUES ($1, $2, $3)`,
		sum(token), name, now.Add(sessionTime).Unix())
	return token, errors.Join(err, c.note(ctx, name, "signed in"))
}

// instructor returns who is signed in by a session's token, or ErrSignIn.
func (c *Class) instructor(ctx context.Context, token string) (string, error) {
	var name string
	err := c.db.QueryRowContext(ctx, `SELECT instructor FROM session WHERE token = $1 AND expires >= $2`,
		sum(token), c.now().Unix()).Scan(&name)
	if errors.Is(err, sql.ErrNoRows) {
		return "", ErrSignIn
	}
	return name, err
}

func (c *Class) signOut(ctx context.Context, token string) error {
	_, err := c.db.ExecContext(ctx, `DELETE FROM session WHERE token = $1`, sum(token))
	return err
}

// PaperEntry is a paper in the instructor's list.
type PaperEntry struct {
	ID, Title         string
	Candidates, Taken int // Taken: candidates who have handed in
}

// Papers returns all papers, the newest first.
func (c *Class) Papers(ctx context.Context) ([]PaperEntry, error) {
	rows, err := c.db.QueryContext(ctx, `SELECT p.id, p.title, (SELECT COUNT(*) FROM candidate c WHERE c.paper = p.id),
		(SELECT COUNT(DISTINCT s.candidate) FROM sitting s WHERE s.paper = p.id) FROM paper p ORDER BY p.uploaded DESC, p.id`)
	if err != nil {
		return nil, err
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	var list []PaperEntry
	for rows.Next() {
		var p PaperEntry
		if err := rows.Scan(&p.ID, &p.Title, &p.Candidates, &p.Taken); err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, rows.Err()
}

// Live is a candidate in the instructor's live list.
type Live struct {
	Candidate string
	Step      string // of the newest attempt under way
	LeftS     int    // s; -1 no limit
	Seen      int64  // s since 1970; 0 has not begun
	Lines     int
	Handed    int    // hand-ins
	Refused   int    // of them refused by verification
	Pending   int    // of them not judged yet
	Verdict   string // on the newest hand-in
	Total     string // its points, where it stands
}

// State says in a word where the candidate is.
func (l Live) State() string {
	switch {
	case l.Handed > 0:
		return "handed in"
	case l.Seen > 0:
		return "under way"
	}
	return "not begun"
}

// Live returns every candidate of a paper by id.
func (c *Class) Live(ctx context.Context, paper string) ([]Live, error) {
	rows, err := c.db.QueryContext(ctx, `SELECT c.id,
		COALESCE((SELECT p.step FROM progress p WHERE p.paper = c.paper AND p.candidate = c.id ORDER BY p.seen DESC, p.attempt LIMIT 1), ''),
		COALESCE((SELECT p.left_s FROM progress p WHERE p.paper = c.paper AND p.candidate = c.id ORDER BY p.seen DESC, p.attempt LIMIT 1), -1),
		COALESCE((SELECT MAX(p.seen) FROM progress p WHERE p.paper = c.paper AND p.candidate = c.id), 0),
		(SELECT COUNT(*) FROM line l WHERE l.paper = c.paper AND l.candidate = c.id),
		(SELECT COUNT(*) FROM sitting s WHERE s.paper = c.paper AND s.candidate = c.id),
		(SELECT COUNT(*) FROM sitting s WHERE s.paper = c.paper AND s.candidate = c.id AND s.verdict NOT IN ('', 'verified')),
		(SELECT COUNT(*) FROM sitting s WHERE s.paper = c.paper AND s.candidate = c.id AND s.verdict = ''),
		COALESCE((SELECT s.verdict FROM sitting s WHERE s.paper = c.paper AND s.candidate = c.id ORDER BY s.received DESC, s.digest DESC LIMIT 1), ''),
		COALESCE((SELECT s.total FROM sitting s WHERE s.paper = c.paper AND s.candidate = c.id ORDER BY s.received DESC, s.digest DESC LIMIT 1), '')
		FROM candidate c WHERE c.paper = $1 ORDER BY c.id`, paper)
	if err != nil {
		return nil, err
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	var list []Live
	for rows.Next() {
		var l Live
		if err := rows.Scan(&l.Candidate, &l.Step, &l.LeftS, &l.Seen, &l.Lines, &l.Handed, &l.Refused, &l.Pending, &l.Verdict, &l.Total); err != nil {
			return nil, err
		}
		list = append(list, l)
	}
	return list, rows.Err()
}

// Sitting is one hand-in.
type Sitting struct {
	Paper     string          `json:"paper"`
	Candidate string          `json:"candidate"`
	Attempt   string          `json:"attempt"`
	Digest    string          `json:"digest"`
	Received  int64           `json:"received"`
	Late      bool            `json:"late"`
	Verdict   string          `json:"verdict"` // "" not judged yet, Verified, or why refused
	Total     string          `json:"total"`   // points that verification found
	Receipt   json.RawMessage `json:"receipt"`
	Data      []byte          `json:"data"` // as received; base64 in JSON
}

// Sittings gives every hand-in of a paper, or of one candidate in all papers when paper is "", in the
// order of their names, one after the other. Between two the database is free, so that whoever takes them
// slowly keeps nobody waiting. Checked by TestDryRun.
func (c *Class) Sittings(ctx context.Context, paper, candidate string, give func(Sitting) error) error {
	list, err := c.sittingNames(ctx, paper, candidate)
	if err != nil {
		return err
	}
	for _, s := range list {
		late := 0
		err := c.db.QueryRowContext(ctx, `SELECT received, late, verdict, total, receipt, data FROM sitting
			WHERE paper = $1 AND candidate = $2 AND attempt = $3 AND digest = $4`, s.Paper, s.Candidate, s.Attempt, s.Digest).
			Scan(&s.Received, &late, &s.Verdict, &s.Total, (*[]byte)(&s.Receipt), &s.Data)
		if errors.Is(err, sql.ErrNoRows) {
			continue // the person was deleted meanwhile
		}
		if err != nil {
			return err
		}
		s.Late = late != 0
		if err := give(s); err != nil {
			return err
		}
	}
	return nil
}

// sittingNames returns which hand-ins there are.
func (c *Class) sittingNames(ctx context.Context, paper, candidate string) ([]Sitting, error) {
	rows, err := c.db.QueryContext(ctx, `SELECT paper, candidate, attempt, digest FROM sitting
		WHERE ($1 = '' OR paper = $1) AND ($2 = '' OR candidate = $2) ORDER BY paper, candidate, attempt, digest`, paper, candidate)
	if err != nil {
		return nil, err
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	var list []Sitting
	for rows.Next() {
		var s Sitting
		if err := rows.Scan(&s.Paper, &s.Candidate, &s.Attempt, &s.Digest); err != nil {
			return nil, err
		}
		list = append(list, s)
	}
	return list, rows.Err()
}
