package class

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"strconv"

	"tugback/internal/attempt"
	"tugback/internal/exam"
	"tugback/internal/scenario"
)

// Judge verifies what was handed in against the packet it answers.
type Judge interface {
	// Judge returns the points it finds, as text, or why it refuses: an error that a person understands.
	Judge(packet, export []byte) (total string, err error)
}

// Verified is the verdict on a hand-in that stood verification; any other is a reason for refusal.
const Verified = "verified"

// RecordPacket is a packet that asks for the record of one scenario among Files, grown from a seed.
type RecordPacket struct {
	Cases []RecordCase `json:"cases"`
}

// RecordCase is one case of a RecordPacket.
type RecordCase struct {
	Name string `json:"name"`
	Seed string `json:"seed"` // decimal
}

// Records is a Judge of records (attempt.Record): it carries every action out again on the tooth that
// the packet gave this candidate. Files holds the scenarios.
type Records struct{ Files fs.FS }

// Judge returns the points of a record. A record about a tooth that the packet does not give is refused
// as "not-in-packet", others as attempt.Verify does. Checked by TestDryRun.
func (j Records) Judge(packet, export []byte) (string, error) {
	record, err := attempt.Decode(export)
	if err != nil {
		return "", reason(err)
	}
	var asked RecordPacket
	if err := json.Unmarshal(packet, &asked); err != nil {
		return "", fmt.Errorf("packet: %w", err)
	}
	seed := strconv.FormatUint(record.Seed, 10)
	given := false
	for _, c := range asked.Cases {
		given = given || c.Name == record.Scenario.Name && c.Seed == seed
	}
	if !given {
		return "", fmt.Errorf("not-in-packet: the tooth %.60s of seed %s was not given to this candidate", record.Scenario.Name, seed)
	}
	s, err := scenario.LoadFS(j.Files, record.Scenario.Name+".yaml")
	if err != nil {
		return "", err
	}
	grown, err := s.Case(record.Seed)
	if err != nil {
		return "", err
	}
	if refused := attempt.Verify(record, attempt.Paper{Case: grown, Marker: s.Marker()}); refused != nil {
		return "", reason(refused)
	}
	return strconv.FormatFloat(record.Marks.Total, 'g', -1, 64), nil
}

// reason puts the class of a refusal first, so that lists can be sorted by it.
func reason(err error) error {
	var refused *attempt.Refusal
	if errors.As(err, &refused) {
		return fmt.Errorf("%s: %s", refused.Class, refused.Reason)
	}
	return err
}

// judgeOf returns who verifies the hand-ins of a paper: an examiner where the paper was sealed, the class's own
// judge where it was not. The error is an *exam.Refusal when this program cannot read the paper.
func (c *Class) judgeOf(ctx context.Context, paper string) (Judge, error) {
	c.papers.Lock()
	defer c.papers.Unlock()
	if known := c.papers.by[paper]; known != nil {
		return known, nil
	}
	var sealed []byte
	if err := c.db.QueryRowContext(ctx, `SELECT sealed FROM paper WHERE id = $1`, paper).Scan(&sealed); err != nil {
		return nil, err
	}
	if len(sealed) == 0 {
		if c.judge == nil {
			return nil, errors.New("this class has no judge")
		}
		return c.judge, nil
	}
	read, err := exam.DecodePaper(sealed)
	if err != nil {
		return nil, err
	}
	examiner, err := exam.NewExaminer(read)
	if err != nil {
		return nil, fmt.Errorf("paper %s: %w", paper, err)
	}
	c.papers.by[paper] = examiner
	return examiner, nil
}

// pending is a hand-in that nobody has judged yet.
type pending struct {
	paper, candidate, name, digest string
	packet, data                   []byte
}

// verdict judges a hand-in. A sealed paper's is also held against the lines that came to the server while
// it was sat: what a candidate's machine signed afterwards cannot contradict them.
func (c *Class) verdict(ctx context.Context, p pending) (verdict, total string, err error) {
	judge, err := c.judgeOf(ctx, p.paper)
	if refused := exam.AsRefusal(err); refused != nil {
		return refused.Error(), "", nil
	}
	if err != nil {
		return "", "", err
	}
	total, refused := judge.Judge(p.packet, p.data)
	if refused != nil {
		return refused.Error(), "", nil
	}
	if _, sealed := judge.(*exam.Examiner); !sealed {
		return Verified, total, nil
	}
	lines, err := texts(ctx, c.db, `SELECT data FROM line WHERE paper = $1 AND candidate = $2 AND attempt = $3 ORDER BY seq`,
		p.paper, p.candidate, p.name)
	if err != nil {
		return "", "", err
	}
	if refused := follows(p, lines); refused != nil {
		return refused.Error(), "", nil
	}
	return c.unlessTwice(ctx, p, total)
}

// unlessTwice refuses a second hand-in of one attempt whose first one stands: both are kept, and which of them
// counts is for people to say. While the first is not judged the second waits: the verdict is "".
func (c *Class) unlessTwice(ctx context.Context, p pending, total string) (verdict, points string, err error) {
	var stand, wait int
	err = c.db.QueryRowContext(ctx, `SELECT COUNT(CASE WHEN e.verdict = 'verified' THEN 1 END), COUNT(CASE WHEN e.verdict = '' THEN 1 END)
		FROM sitting e JOIN sitting s ON e.paper = s.paper AND e.candidate = s.candidate AND e.attempt = s.attempt
		WHERE s.paper = $1 AND s.candidate = $2 AND s.attempt = $3 AND s.digest = $4
		AND (e.received < s.received OR e.received = s.received AND e.digest < s.digest)`,
		p.paper, p.candidate, p.name, p.digest).Scan(&stand, &wait)
	switch {
	case err != nil:
		return "", "", err
	case stand > 0:
		return string(exam.Duplicate) + ": another sitting of attempt " + p.name + " was handed in before and stands", "", nil
	case wait > 0:
		return "", "", nil
	}
	return Verified, total, nil
}

// follows refuses a verified export that is of another attempt than it was handed in as, or not what came to
// the server line by line.
func follows(p pending, lines []string) error {
	export, err := exam.Decode(p.data)
	if err != nil {
		return err
	}
	if name := strconv.Itoa(export.Attempt); name != p.name {
		return fmt.Errorf("%s: it was handed in as attempt %s and is attempt %s", exam.ServerLog, p.name, name)
	}
	kept := make([][]byte, len(lines))
	for i, line := range lines {
		kept[i] = []byte(line)
	}
	if refused := export.Follows(kept); refused != nil {
		return refused
	}
	return nil
}

// judgeAmong is among how many of the oldest hand-ins a process chooses the one it judges: several processes
// then seldom judge the same.
const judgeAmong = 16

// JudgePending judges up to limit hand-ins that nobody has judged yet, of the oldest, and returns how many.
// Several processes may do so at once: a verdict depends on nothing but what is kept. Checked by
// TestDryRun.
func (c *Class) JudgePending(ctx context.Context, limit int) (int, error) {
	list, err := c.pendingNames(ctx, judgeAmong+limit)
	if err != nil {
		return 0, err
	}
	rand.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	list = list[:min(limit, len(list))]
	for _, p := range list {
		err := c.db.QueryRowContext(ctx, `SELECT s.data, c.packet FROM sitting s JOIN candidate c ON c.paper = s.paper AND c.id = s.candidate
			WHERE s.paper = $1 AND s.candidate = $2 AND s.attempt = $3 AND s.digest = $4 AND s.verdict = ''`,
			p.paper, p.candidate, p.name, p.digest).Scan(&p.data, &p.packet)
		if errors.Is(err, sql.ErrNoRows) {
			continue // judged elsewhere meanwhile, or the person was deleted
		}
		if err != nil {
			return 0, err
		}
		verdict, total, err := c.verdict(ctx, p)
		if err != nil {
			return 0, err
		}
		if _, err := c.db.ExecContext(ctx, `UPDATE sitting SET verdict = $1, total = $2
			WHERE paper = $3 AND candidate = $4 AND attempt = $5 AND digest = $6`,
			verdict, total, p.paper, p.candidate, p.name, p.digest); err != nil {
			return 0, err
		}
	}
	return len(list), nil
}

// pendingNames returns which hand-ins nobody has judged yet, the oldest first.
func (c *Class) pendingNames(ctx context.Context, limit int) ([]pending, error) {
	rows, err := c.db.QueryContext(ctx, `SELECT paper, candidate, attempt, digest FROM sitting WHERE verdict = ''
		ORDER BY received, digest, paper, candidate, attempt LIMIT $1`, limit)
	if err != nil {
		return nil, err
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	var list []pending
	for rows.Next() {
		var p pending
		if err := rows.Scan(&p.paper, &p.candidate, &p.name, &p.digest); err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, rows.Err()
}
