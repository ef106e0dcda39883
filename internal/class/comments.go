package class

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/http"

	"tugback/internal/comment"
)

// SetComments keeps what instructors say about the sittings of a paper, in place of what was kept before; text
// is the file that gradebook takes as well. All faults are told with file and line, and then nothing is
// changed; ErrNone when there is no such paper. Checked by TestComments.
func (c *Class) SetComments(ctx context.Context, by, paper, name string, text []byte) (int, error) {
	list, err := comment.Parse(name, text)
	if err != nil {
		return 0, err
	}
	candidates, err := texts(ctx, c.db, `SELECT id FROM candidate WHERE paper = $1 ORDER BY id`, paper)
	switch {
	case err != nil:
		return 0, err
	case len(candidates) == 0:
		return 0, ErrNone
	}
	own := map[string][]comment.Comment{}
	for _, id := range candidates {
		own[id] = nil
	}
	var faults []error
	for _, one := range list {
		if _, known := own[one.Candidate]; !known {
			faults = append(faults, fmt.Errorf("%s:%d: the paper has no candidate %.80q", name, one.Line, one.Candidate))
		}
		own[one.Candidate] = append(own[one.Candidate], one)
	}
	if len(faults) > 0 {
		return 0, errors.Join(faults...)
	}
	err = c.inOne(ctx, func(tx *sql.Tx) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM comment WHERE paper = $1`, paper); err != nil {
			return err
		}
		for _, id := range candidates {
			if len(own[id]) == 0 {
				continue
			}
			if _, err := tx.ExecContext(ctx, `INSERT INTO comment (paper, candidate, received, data) VALUES ($1, $2, $3, $4)`,
				paper, id, c.now().Unix(), comment.Encode(own[id])); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return 0, err
	}
	return len(list), c.note(ctx, by, fmt.Sprintf("%d comments on %s", len(list), paper))
}

// Comments returns what instructors say about the candidate's own sittings, CSV of package comment; the head
// alone where they said nothing. Checked by TestComments.
func (c *Class) Comments(ctx context.Context, who Candidate) ([]byte, error) {
	list, err := texts(ctx, c.db, `SELECT data FROM comment WHERE paper = $1 AND candidate = $2`, who.Paper, who.ID)
	if err != nil || len(list) == 0 {
		return comment.Encode(nil), err
	}
	return []byte(list[0]), nil
}

// comments sends a candidate what is said about them.
func (w *site) comments(out http.ResponseWriter, r *http.Request, who Candidate) {
	text, err := w.Comments(r.Context(), who)
	if err != nil {
		w.fail(out, err)
		return
	}
	out.Header().Set("Content-Type", "text/csv; charset=utf-8")
	out.Write(text) //nolint:errcheck // whoever asked has gone
}

// commentsPage is the instructor's page for comments on a paper.
type commentsPage struct {
	Paper, Fault string
	Kept         int // comments that were just kept, −1 none
}

func (w *site) getComments(out http.ResponseWriter, r *http.Request, _ string) {
	w.render(out, http.StatusOK, "comments.html", commentsPage{r.PathValue("paper"), "", -1})
}

// postComments keeps a file of comments.
func (w *site) postComments(out http.ResponseWriter, r *http.Request, name string) {
	page := commentsPage{r.PathValue("paper"), "", -1}
	r.Body = http.MaxBytesReader(out, r.Body, comment.Limit+64<<10) // and what the form adds
	file, header, err := r.FormFile("comments")
	if err == nil {
		var text []byte
		text, err = io.ReadAll(file)
		if err = errors.Join(err, file.Close()); err == nil {
			page.Kept, err = w.SetComments(r.Context(), name, page.Paper, header.Filename, text)
		}
	}
	status := http.StatusOK
	if err != nil {
		status, page.Kept, page.Fault = http.StatusUnprocessableEntity, -1, err.Error()
	}
	w.render(out, status, "comments.html", page)
}
