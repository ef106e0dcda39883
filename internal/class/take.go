package class

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
)

// Take gives everything of a paper as files, one after the other: the hand-ins that stand, byte for byte, with
// the sealed paper under instructor, as gradebook reads them; under refused and unjudged the others; under
// receipts each one's receipt and all verdicts; under logs the lines that came while they were sat. That
// somebody took them is noted. Names are made of names that were checked when they came. ErrNone when
// there is no such paper. Checked by TestTake.
func (c *Class) Take(ctx context.Context, by, paper string, put func(name string, data []byte) error) error {
	sealed, err := texts(ctx, c.db, `SELECT sealed FROM paper WHERE id = $1`, paper)
	switch {
	case err != nil:
		return err
	case len(sealed) == 0:
		return ErrNone
	}
	if err := c.note(ctx, by, "hand-ins of "+paper+" taken"); err != nil {
		return err
	}
	verdicts := []Sitting{}
	err = c.Sittings(ctx, paper, "", func(s Sitting) error {
		name := s.Candidate + "." + s.Attempt + "." + s.Digest[:12]
		err := errors.Join(put(standing(s.Verdict)+name+".json", s.Data), put("receipts/"+name+".receipt.json", s.Receipt))
		s.Data = nil
		verdicts = append(verdicts, s)
		return err
	})
	if err != nil {
		return err
	}
	text, err := json.MarshalIndent(verdicts, "", "  ")
	if err == nil {
		err = put("receipts/verdicts.json", text)
	}
	if err == nil && sealed[0] != "" {
		err = put("instructor/paper.json", []byte(sealed[0]))
	}
	if err != nil {
		return err
	}
	return c.takeLogs(ctx, paper, put)
}

// standing returns the folder in which a hand-in lies by its verdict.
func standing(verdict string) string {
	switch verdict {
	case Verified:
		return ""
	case "":
		return "unjudged/"
	}
	return "refused/"
}

// takeLogs gives the logs of a paper.
func (c *Class) takeLogs(ctx context.Context, paper string, put func(name string, data []byte) error) error {
	candidates, err := texts(ctx, c.db, `SELECT DISTINCT candidate FROM progress WHERE paper = $1 ORDER BY candidate`, paper)
	if err != nil {
		return err
	}
	for _, id := range candidates {
		attempts, err := texts(ctx, c.db, `SELECT attempt FROM progress WHERE paper = $1 AND candidate = $2 ORDER BY attempt`, paper, id)
		if err != nil {
			return err
		}
		for _, name := range attempts {
			lines, err := texts(ctx, c.db, `SELECT data FROM line WHERE paper = $1 AND candidate = $2 AND attempt = $3 ORDER BY seq`, paper, id, name)
			if err == nil {
				err = put("logs/"+id+"."+name+".log.jsonl", []byte(strings.Join(append(lines, ""), "\n")))
			}
			if err != nil {
				return err
			}
		}
	}
	return nil
}
