package class

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"tugback/internal/handin"
)

// Person is everything that is kept of one candidate id, in all papers.
type Person struct {
	Candidate string        `json:"candidate"`
	Papers    []PersonPaper `json:"papers"`
	Sittings  []Sitting     `json:"sittings"`
}

// PersonPaper is what is kept of a person in one paper beside the hand-ins.
type PersonPaper struct {
	Paper    string                   `json:"paper"`
	Packet   string                   `json:"packet"`
	Logs     map[string]handin.Append `json:"logs"` // by attempt
	Practice []string                 `json:"practice"`
	Comments string                   `json:"comments"` // of instructors, CSV
}

// ExportPerson returns everything that is kept of a candidate id, or ErrNone. Checked by TestPerson.
func (c *Class) ExportPerson(ctx context.Context, id string) (Person, error) {
	p := Person{Candidate: id, Papers: []PersonPaper{}, Sittings: []Sitting{}}
	papers, err := texts(ctx, c.db, `SELECT paper FROM candidate WHERE id = $1 ORDER BY paper`, id)
	if err != nil {
		return p, err
	}
	if len(papers) == 0 {
		return p, fmt.Errorf("candidate %.80q: %w", id, ErrNone)
	}
	for _, paper := range papers {
		one, err := c.personPaper(ctx, Candidate{Paper: paper, ID: id})
		if err != nil {
			return p, err
		}
		p.Papers = append(p.Papers, one)
	}
	err = c.Sittings(ctx, "", id, func(s Sitting) error {
		p.Sittings = append(p.Sittings, s)
		return nil
	})
	return p, err
}

func (c *Class) personPaper(ctx context.Context, who Candidate) (PersonPaper, error) {
	one := PersonPaper{Paper: who.Paper, Logs: map[string]handin.Append{}}
	packets, err := texts(ctx, c.db, `SELECT packet FROM candidate WHERE paper = $1 AND id = $2`, who.Paper, who.ID)
	if err != nil {
		return one, err
	}
	for _, packet := range packets {
		one.Packet = packet
	}
	status, err := c.Status(ctx, who)
	if err != nil {
		return one, err
	}
	for _, name := range status.Attempts {
		if one.Logs[name], err = c.Log(ctx, who, name); err != nil {
			return one, err
		}
	}
	said, err := c.Comments(ctx, who)
	if err != nil {
		return one, err
	}
	one.Comments = string(said)
	one.Practice, err = texts(ctx, c.db, `SELECT data FROM practice WHERE paper = $1 AND candidate = $2 ORDER BY received, digest`, who.Paper, who.ID)
	return one, err
}

// DeletePerson removes everything that is kept of a candidate id in all papers, all or nothing, and notes
// that somebody was removed, not who. It returns the sealed papers that the candidate was of: each is signed as
// a whole and so keeps the id with the seeds of its teeth and its extra time. ErrNone when there is nobody. Checked
// by TestPerson and TestPersonInSealedPaper.
func (c *Class) DeletePerson(ctx context.Context, by, id string) (sealed []string, err error) {
	if sealed, err = texts(ctx, c.db, `SELECT c.paper FROM candidate c JOIN paper p ON p.id = c.paper
		WHERE c.id = $1 AND LENGTH(p.sealed) > 0 ORDER BY c.paper`, id); err != nil {
		return nil, err
	}
	if err := c.inOne(ctx, func(tx *sql.Tx) error { return deleteIn(ctx, tx, id) }); err != nil {
		return nil, err
	}
	return sealed, c.note(ctx, by, "one person's data deleted")
}

func deleteIn(ctx context.Context, tx *sql.Tx, id string) error {
	for _, statement := range []string{
		`DELETE FROM line WHERE candidate = $1`, `DELETE FROM progress WHERE candidate = $1`,
		`DELETE FROM sitting WHERE candidate = $1`, `DELETE FROM practice WHERE candidate = $1`,
		`DELETE FROM comment WHERE candidate = $1`,
	} {
		if _, err := tx.ExecContext(ctx, statement, id); err != nil {
			return err
		}
	}
	done, err := tx.ExecContext(ctx, `DELETE FROM candidate WHERE id = $1`, id)
	if err != nil {
		return err
	}
	if n, err := done.RowsAffected(); err != nil || n == 0 {
		return errors.Join(fmt.Errorf("candidate %.80q: %w", id, ErrNone), err)
	}
	return nil
}
