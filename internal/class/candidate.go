package class

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"time"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/handin"
)

// Limits of what one candidate may send.
const (
	lineLimit    = 64 << 10 // bytes of a line
	linesLimit   = 20_000   // lines of an attempt
	sessionLimit = 4 << 10  // bytes
	attemptLimit = 20       // attempts of a candidate in a paper, and hand-ins over all of them
)

// Faults of what a candidate asks; the server turns each into a status.
var (
	ErrToken    = errors.New("this token is not known")
	ErrClosed   = errors.New("the paper is not open")
	ErrName     = errors.New("an attempt is named by 1 to 64 letters, digits, - and _")
	ErrConflict = errors.New("the lines do not follow those that are kept")
	ErrLimit    = errors.New("more was sent than one candidate may send")
	ErrNone     = errors.New("there is nothing of that name")
	ErrStepped  = errors.New("this paper is sat step by step on the server, which keeps the log and hands in by itself")
)

var goodName = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)

// Candidate is who a token speaks for.
type Candidate struct {
	Paper, ID     string
	Title         string
	Opens, Closes int64 // seconds since 1970; 0: open
	Stepped       bool  // sat step by step on the server
}

// ByToken returns whose token it is, or ErrToken. Checked by TestOwnOnly.
func (c *Class) ByToken(ctx context.Context, token string) (Candidate, error) {
	var who Candidate
	stepped := 0
	err := c.db.QueryRowContext(ctx, `SELECT c.paper, c.id, c.opens, c.closes, p.title, p.stepped
		FROM candidate c JOIN paper p ON p.id = c.paper WHERE c.token = $1`, sum(token)).
		Scan(&who.Paper, &who.ID, &who.Opens, &who.Closes, &who.Title, &stepped)
	who.Stepped = stepped != 0
	if errors.Is(err, sql.ErrNoRows) {
		return Candidate{}, ErrToken
	}
	return who, err
}

// open returns ErrClosed, with the reason, when a paper cannot be sat at this moment.
func (c *Class) open(who Candidate) error {
	now := c.now().Unix()
	switch {
	case who.Opens > 0 && now < who.Opens:
		return fmt.Errorf("%w: it opens at %s", ErrClosed, stamp(who.Opens))
	case who.Closes > 0 && now > who.Closes:
		return fmt.Errorf("%w: it closed at %s", ErrClosed, stamp(who.Closes))
	}
	return nil
}

func stamp(at int64) string { return time.Unix(at, 0).UTC().Format("2006-01-02 15:04:05 UTC") }

// Packet returns the candidate's packet, while the paper is open and, to look back at what was handed in, when
// it has closed: as it was sealed, or, when it is stepped here, without tooth and key.
func (c *Class) Packet(ctx context.Context, who Candidate) ([]byte, error) {
	if closed := c.open(who); closed != nil {
		handed, err := texts(ctx, c.db, `SELECT digest FROM sitting WHERE paper = $1 AND candidate = $2`, who.Paper, who.ID)
		if err != nil || len(handed) == 0 {
			return nil, errors.Join(err, closed)
		}
	}
	packet, err := c.packet(ctx, who)
	if err != nil || !who.Stepped {
		return packet, err
	}
	whole, err := exam.DecodePacket(packet)
	if err != nil {
		return nil, err
	}
	return whole.Outside().Encode()
}

// packet returns the packet as it was sealed.
func (c *Class) packet(ctx context.Context, who Candidate) ([]byte, error) {
	var packet []byte
	err := c.db.QueryRowContext(ctx, `SELECT packet FROM candidate WHERE paper = $1 AND id = $2`, who.Paper, who.ID).Scan(&packet)
	return packet, err
}

// Append keeps lines of an attempt's log from number from on. Lines that are kept already must be the
// same, so sending twice does no harm; a gap or another line is ErrConflict. Checked by TestAppend.
func (c *Class) Append(ctx context.Context, who Candidate, name string, a handin.Append) error {
	if who.Stepped {
		return ErrStepped
	}
	if err := c.checkAppend(who, name, a); err != nil {
		return err
	}
	return c.inOne(ctx, func(tx *sql.Tx) error { return c.appendIn(ctx, tx, who, name, a) })
}

func (c *Class) appendIn(ctx context.Context, tx *sql.Tx, who Candidate, name string, a handin.Append) error {
	if err := c.progress(ctx, tx, who, name, a); err != nil {
		return err
	}
	kept := 0
	if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM line WHERE paper = $1 AND candidate = $2 AND attempt = $3`,
		who.Paper, who.ID, name).Scan(&kept); err != nil {
		return err
	}
	if a.From > kept {
		return fmt.Errorf("%w: %d are kept, the first one sent is number %d", ErrConflict, kept, a.From)
	}
	for i, line := range a.Lines {
		if err := putLine(ctx, tx, who, name, a.From+i, kept, line); err != nil {
			return err
		}
	}
	return nil
}

// checkAppend refuses what is not to be kept.
func (c *Class) checkAppend(who Candidate, name string, a handin.Append) error {
	if !goodName.MatchString(name) {
		return ErrName
	}
	if a.From < 0 || a.From+len(a.Lines) > linesLimit || len(a.Session) > sessionLimit || len(a.Step) > 100 {
		return ErrLimit
	}
	for _, line := range a.Lines {
		if len(line) > lineLimit {
			return ErrLimit
		}
	}
	return c.open(who)
}

// progress keeps how far an attempt is, and locks it until the transaction ends.
func (c *Class) progress(ctx context.Context, tx *sql.Tx, who Candidate, name string, a handin.Append) error {
	begun := 0
	if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM progress WHERE paper = $1 AND candidate = $2 AND attempt <> $3`,
		who.Paper, who.ID, name).Scan(&begun); err != nil {
		return err
	}
	if begun >= attemptLimit {
		return ErrLimit
	}
	session := []byte(a.Session)
	if session == nil {
		session = []byte{}
	}
	now := c.now().Unix()
	_, err := tx.ExecContext(ctx, `INSERT INTO progress (paper, candidate, attempt, begun, seen, step, left_s, session)
		VALUES ($1, $2, $3, $4, $4, $5, $6, $7) ON CONFLICT (paper, candidate, attempt) DO UPDATE
		SET seen = excluded.seen, step = excluded.step, left_s = excluded.left_s,
		session = CASE WHEN LENGTH(excluded.session) > 0 THEN excluded.session ELSE progress.session END`,
		who.Paper, who.ID, name, now, a.Step, a.LeftS, session)
	return err
}

// putLine keeps a line, or compares it with the one that is kept.
func putLine(ctx context.Context, tx *sql.Tx, who Candidate, name string, seq, kept int, line string) error {
	if seq >= kept {
		_, err := tx.ExecContext(ctx, `INSERT INTO line (paper, candidate, attempt, seq, data) VALUES ($1, $2, $3, $4, $5)`,
			who.Paper, who.ID, name, seq, []byte(line))
		return err
	}
	var have []byte
	err := tx.QueryRowContext(ctx, `SELECT data FROM line WHERE paper = $1 AND candidate = $2 AND attempt = $3 AND seq = $4`,
		who.Paper, who.ID, name, seq).Scan(&have)
	if err == nil && !bytes.Equal(have, []byte(line)) {
		err = fmt.Errorf("%w: line %d is another", ErrConflict, seq)
	}
	return err
}

// Log returns an attempt of the candidate's own to go on with: its session and all lines.
func (c *Class) Log(ctx context.Context, who Candidate, name string) (handin.Append, error) {
	var log handin.Append
	var session []byte
	err := c.db.QueryRowContext(ctx, `SELECT step, left_s, session FROM progress WHERE paper = $1 AND candidate = $2 AND attempt = $3`,
		who.Paper, who.ID, name).Scan(&log.Step, &log.LeftS, &session)
	if errors.Is(err, sql.ErrNoRows) {
		return log, ErrNone
	}
	if err != nil {
		return log, err
	}
	log.Session = string(session)
	log.Lines, err = texts(ctx, c.db, `SELECT data FROM line WHERE paper = $1 AND candidate = $2 AND attempt = $3 ORDER BY seq`,
		who.Paper, who.ID, name)
	return log, err
}

// texts returns the first column of a query.
func texts(ctx context.Context, db *sql.DB, query string, args ...any) ([]string, error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	list := []string{}
	for rows.Next() {
		var text []byte
		if err := rows.Scan(&text); err != nil {
			return nil, err
		}
		list = append(list, string(text))
	}
	return list, rows.Err()
}

// Submit keeps a hand-in, byte for byte, and returns its receipt, signed by the class; the same bytes
// again give the same receipt. After the paper has closed only an attempt that was begun in time is
// taken, and is marked late. Checked by TestSubmit and TestDryRun.
func (c *Class) Submit(ctx context.Context, who Candidate, name string, data []byte) ([]byte, error) {
	if !goodName.MatchString(name) {
		return nil, ErrName
	}
	if who.Stepped {
		return nil, ErrStepped
	}
	return c.take(ctx, who, name, data)
}

// take keeps a hand-in of whoever it comes from.
func (c *Class) take(ctx context.Context, who Candidate, name string, data []byte) ([]byte, error) {
	if len(data) > exam.MostBytes {
		return nil, ErrLimit
	}
	s := sha256.Sum256(data)
	digest := hex.EncodeToString(s[:])
	if receipt, err := c.receipt(ctx, who, name, digest); err == nil || !errors.Is(err, ErrNone) {
		return receipt, err
	}
	closed := c.open(who)
	var begun, handed int
	err := c.db.QueryRowContext(ctx, `SELECT (SELECT COUNT(*) FROM progress WHERE paper = $1 AND candidate = $2 AND attempt = $3),
		(SELECT COUNT(*) FROM sitting WHERE paper = $1 AND candidate = $2)`, who.Paper, who.ID, name).Scan(&begun, &handed)
	switch {
	case err != nil:
		return nil, err
	case closed != nil && begun == 0:
		return nil, closed
	case handed >= attemptLimit:
		return nil, ErrLimit
	}
	return c.keep(ctx, who, handin.Receipt{Paper: who.Paper, Candidate: who.ID, Attempt: name, Digest: digest,
		Received: c.now().Unix(), Late: closed != nil}, data)
}

// keep signs and keeps a hand-in; of two at once the first one's receipt counts.
func (c *Class) keep(ctx context.Context, who Candidate, r handin.Receipt, data []byte) ([]byte, error) {
	r.Key = hex.EncodeToString(c.key.Public().(ed25519.PublicKey)) //nolint:forcetypeassert // by its type
	text, err := json.Marshal(r)
	if err != nil {
		return nil, err
	}
	r.Signature = hex.EncodeToString(ed25519.Sign(c.key, text))
	if text, err = json.Marshal(r); err != nil {
		return nil, err
	}
	late := 0
	if r.Late {
		late = 1
	}
	_, err = c.db.ExecContext(ctx, `INSERT INTO sitting (paper, candidate, attempt, digest, received, late, verdict, total, receipt, data)
		VALUES ($1, $2, $3, $4, $5, $6, '', '', $7, $8) ON CONFLICT (paper, candidate, attempt, digest) DO NOTHING`,
		r.Paper, r.Candidate, r.Attempt, r.Digest, r.Received, late, text, data)
	if err != nil {
		return nil, err
	}
	return c.receipt(ctx, who, r.Attempt, r.Digest)
}

func (c *Class) receipt(ctx context.Context, who Candidate, name, digest string) ([]byte, error) {
	var receipt []byte
	err := c.db.QueryRowContext(ctx, `SELECT receipt FROM sitting WHERE paper = $1 AND candidate = $2 AND attempt = $3 AND digest = $4`,
		who.Paper, who.ID, name, digest).Scan(&receipt)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, ErrNone
	}
	return receipt, err
}

// Practise keeps a practice record of the candidate's own, once.
func (c *Class) Practise(ctx context.Context, who Candidate, data []byte) error {
	if len(data) > attempt.MostBytes {
		return ErrLimit
	}
	s := sha256.Sum256(data)
	var kept int
	if err := c.db.QueryRowContext(ctx, `SELECT COUNT(*) FROM practice WHERE paper = $1 AND candidate = $2`, who.Paper, who.ID).Scan(&kept); err != nil {
		return err
	}
	if kept >= 50*attemptLimit {
		return ErrLimit
	}
	_, err := c.db.ExecContext(ctx, `INSERT INTO practice (paper, candidate, digest, received, data) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (paper, candidate, digest) DO NOTHING`, who.Paper, who.ID, hex.EncodeToString(s[:]), c.now().Unix(), data)
	return err
}

// Status returns what the candidate's own attempts and receipts are.
func (c *Class) Status(ctx context.Context, who Candidate) (handin.Status, error) {
	s := handin.Status{Paper: who.Paper, Title: who.Title, Candidate: who.ID, Opens: who.Opens, Closes: who.Closes, Stepped: who.Stepped}
	var err error
	if s.Attempts, err = texts(ctx, c.db, `SELECT attempt FROM progress WHERE paper = $1 AND candidate = $2 ORDER BY begun, attempt`,
		who.Paper, who.ID); err != nil {
		return s, err
	}
	receipts, err := texts(ctx, c.db, `SELECT receipt FROM sitting WHERE paper = $1 AND candidate = $2 ORDER BY received, attempt`,
		who.Paper, who.ID)
	for _, r := range receipts {
		s.Receipts = append(s.Receipts, json.RawMessage(r))
	}
	return s, err
}
