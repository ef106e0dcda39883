package store

import (
	"context"
	"crypto/rand"
	"fmt"
	"io/fs"
)

// ErrElsewhere is in the error of SaveCurrent when the run under way has been taken up by another window or
// tab since: what is done here is kept no more, so that two never mix. It is an fs.ErrPermission.
var ErrElsewhere = fmt.Errorf("the bench was opened in another window or tab, which goes on with the treatment: %w", fs.ErrPermission)

// Hold takes the run under way up for this window or tab: whoever held it before is told so when it keeps
// the next action. A store that never held keeps regardless of who does. Checked by TestHold.
func (s *Store) Hold(ctx context.Context) error {
	holder := rand.Text()
	if err := s.Take(ctx, holder); err != nil {
		return err
	}
	s.holder = holder
	return nil
}

// SaveCurrent keeps the run under way in place of the one before; nil or an empty text says that none is
// under way. The error is ErrElsewhere when another window or tab holds it now. Checked by TestCurrent.
func (s *Store) SaveCurrent(ctx context.Context, data []byte) error {
	return s.SaveCurrentFor(ctx, s.holder, data)
}
