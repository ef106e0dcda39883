package class

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"strconv"

	"tugback/internal/attempt"
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

// JudgePending judges up to limit hand-ins that nobody has judged yet and returns how many. Several
// processes may do so at once: a verdict depends on nothing but what is kept. Checked by TestDryRun.
func (c *Class) JudgePending(ctx context.Context, limit int) (int, error) {
	if c.judge == nil {
		return 0, errors.New("this class has no judge")
	}
	type pending struct {
		paper, candidate, name, digest string
		packet, data                   []byte
	}
	rows, err := c.db.QueryContext(ctx, `SELECT s.paper, s.candidate, s.attempt, s.digest, s.data, c.packet FROM sitting s
		JOIN candidate c ON c.paper = s.paper AND c.id = s.candidate WHERE s.verdict = ''
		ORDER BY s.received, s.paper, s.candidate, s.attempt LIMIT $1`, limit)
	if err != nil {
		return 0, err
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	var list []pending
	for rows.Next() {
		var p pending
		if err := rows.Scan(&p.paper, &p.candidate, &p.name, &p.digest, &p.data, &p.packet); err != nil {
			return 0, err
		}
		list = append(list, p)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return 0, err
	}
	for _, p := range list {
		verdict := Verified
		total, err := c.judge.Judge(p.packet, p.data)
		if err != nil {
			verdict = err.Error()
		}
		if _, err := c.db.ExecContext(ctx, `UPDATE sitting SET verdict = $1, total = $2
			WHERE paper = $3 AND candidate = $4 AND attempt = $5 AND digest = $6`,
			verdict, total, p.paper, p.candidate, p.name, p.digest); err != nil {
			return 0, err
		}
	}
	return len(list), nil
}
