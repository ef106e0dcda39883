//go:build !js

package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the driver "sqlite" of database/sql
)

// migrations are the steps from an empty file to the present tables; each is done once and stays.
//
//go:embed migrations/*.sql
var migrations embed.FS

// migrateTries is how often the tables are brought up to date: two programs that make the same file
// at the same moment hinder each other once.
const migrateTries = 3

// Store is practice kept in a database file. Its methods may be called from several goroutines.
type Store struct {
	db     *sql.DB
	holder string // under which the run under way is held here, "" not
}

// DefaultPath returns the file in which practice is kept when none is named: practice.db in the folder
// that the variable TUGBACK_DATA names, else in the folder tugback of the user's configuration.
func DefaultPath() (string, error) {
	if folder := os.Getenv("TUGBACK_DATA"); folder != "" {
		return filepath.Join(folder, "practice.db"), nil
	}
	folder, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("find a place for practice: %w; name one in the variable TUGBACK_DATA", err)
	}
	return filepath.Join(folder, "tugback", "practice.db"), nil
}

// Open opens the practice in a file, which is made, with its folder and readable by its owner alone,
// when there is none. Every later change is on the disk when its method returns. An error names the
// file and leaves it as it was. Checked by TestKilledWhileWriting and TestOpenRefuses.
func Open(ctx context.Context, path string) (*Store, error) {
	full, err := prepare(path)
	if err != nil {
		return nil, fmt.Errorf("practice file %s: %w", path, err)
	}
	db, err := sql.Open("sqlite", dataSource(full))
	if err != nil {
		return nil, fmt.Errorf("practice file %s: %w", path, err)
	}
	db.SetMaxOpenConns(1) // one user: waiting in turn beats being told that the file is busy
	if err := migrate(ctx, db); err != nil {
		return nil, errors.Join(fmt.Errorf("practice file %s cannot be used: %w; move it away to begin with an empty one", path, err), db.Close())
	}
	return &Store{db: db}, nil
}

// prepare makes folder and file, so that nobody else may read them, and returns the full path.
func prepare(path string) (string, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(filepath.Dir(full), 0o700); err != nil {
		return "", err
	}
	file, err := os.OpenFile(full, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return "", err
	}
	return full, file.Close()
}

// dataSource names a file and how it is written. The log that is written ahead, forced to the disk with
// each change, survives the end of the process and of the machine.
func dataSource(full string) string {
	path := filepath.ToSlash(full)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	query := url.Values{
		"_pragma": {"busy_timeout(5000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)"},
		"_txlock": {"immediate"},
	}
	return (&url.URL{Scheme: "file", Path: path, RawQuery: query.Encode()}).String()
}

// migrate brings the tables up to date and refuses a file that a newer program has made.
func migrate(ctx context.Context, db *sql.DB) error {
	steps, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return err
	}
	provider, err := goose.NewProvider(goose.DialectSQLite3, db, steps, goose.WithLogger(goose.NopLogger()))
	if err != nil {
		return err
	}
	for try := range migrateTries {
		if _, err = provider.Up(ctx); err == nil {
			break
		}
		time.Sleep(time.Duration(try+1) * 50 * time.Millisecond)
	}
	if err != nil {
		return err
	}
	have, known, err := provider.GetVersions(ctx)
	if err == nil && have > known {
		err = fmt.Errorf("it was made by a newer program (tables %d, this one knows %d)", have, known)
	}
	return err
}

// Close closes the file.
func (s *Store) Close() error { return s.db.Close() }

// Add keeps a record, byte for byte, and returns its number. A record that is kept already is not kept
// twice: its number comes back, and added is false. What is no record gives an *attempt.Refusal.
// Checked by TestRecords.
func (s *Store) Add(ctx context.Context, data []byte) (id int64, added bool, err error) {
	e, err := describe(data)
	if err != nil {
		return 0, false, err
	}
	sum := sha256.Sum256(data)
	err = s.db.QueryRowContext(ctx, `INSERT INTO record
		(saved, scenario, content, engine, seed, actions, elapsed_ms, total, available, failed, digest, sha256, data)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (sha256) DO NOTHING RETURNING id`,
		time.Now().Unix(), e.Scenario, e.Content, e.Engine, strconv.FormatUint(e.Seed, 10), e.Actions, e.Elapsed,
		e.Total, e.Available, e.Failed, e.Digest, sum[:], data).Scan(&id)
	if err == nil {
		return id, true, nil
	}
	if errors.Is(err, sql.ErrNoRows) {
		err = s.db.QueryRowContext(ctx, `SELECT id FROM record WHERE sha256 = ?`, sum[:]).Scan(&id)
	}
	if err != nil {
		return 0, false, fmt.Errorf("keep a record: %w", err)
	}
	return id, false, nil
}

// List returns all kept records in the order in which they came. Checked by TestRecords.
func (s *Store) List(ctx context.Context) ([]Entry, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT id, saved, scenario, content, engine, seed, actions, elapsed_ms,
		total, available, failed, digest FROM record ORDER BY id`)
	if err != nil {
		return nil, fmt.Errorf("list practice: %w", err)
	}
	defer rows.Close() //nolint:errcheck // rows.Err tells of every fault
	entries := []Entry{}
	for rows.Next() {
		var e Entry
		var saved int64
		var seed string
		if err := rows.Scan(&e.ID, &saved, &e.Scenario, &e.Content, &e.Engine, &seed, &e.Actions, &e.Elapsed,
			&e.Total, &e.Available, &e.Failed, &e.Digest); err != nil {
			return nil, fmt.Errorf("list practice: %w", err)
		}
		e.Saved = time.Unix(saved, 0).UTC()
		if e.Seed, err = strconv.ParseUint(seed, 10, 64); err != nil {
			return nil, fmt.Errorf("list practice: record %d: %w", e.ID, err)
		}
		entries = append(entries, e)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("list practice: %w", err)
	}
	return entries, nil
}

// Record returns the bytes of a kept record; the error is fs.ErrNotExist when there is none of that
// number. Checked by TestRecords.
func (s *Store) Record(ctx context.Context, id int64) ([]byte, error) {
	var data []byte
	err := s.db.QueryRowContext(ctx, `SELECT data FROM record WHERE id = ?`, id).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, errNoRecord
	}
	if err != nil {
		return nil, fmt.Errorf("read record %d: %w", id, err)
	}
	return data, nil
}

// Take makes holder the one that goes on with the run under way. Checked by TestHold.
func (s *Store) Take(ctx context.Context, holder string) error {
	_, err := s.db.ExecContext(ctx, `INSERT INTO holder (id, token) VALUES (1, ?)
		ON CONFLICT (id) DO UPDATE SET token = excluded.token`, holder)
	if err != nil {
		return fmt.Errorf("take the run under way up: %w", err)
	}
	return nil
}

// SaveCurrentFor does what SaveCurrent does for a window or tab that took the run up as holder, "" for one
// that did not. Checked by TestHold.
func (s *Store) SaveCurrentFor(ctx context.Context, holder string, data []byte) error {
	if err := checkCurrent(data); err != nil {
		return err
	}
	change, err := s.db.BeginTx(ctx, nil) // for writing at once: nobody takes the run up in between
	if err != nil {
		return fmt.Errorf("keep the run under way: %w", err)
	}
	defer change.Rollback() //nolint:errcheck // after a commit there is nothing to take back
	var now string
	err = change.QueryRowContext(ctx, `SELECT token FROM holder`).Scan(&now)
	switch {
	case err != nil && !errors.Is(err, sql.ErrNoRows):
		return fmt.Errorf("keep the run under way: %w", err)
	case holder != "" && now != holder:
		return ErrElsewhere
	case len(data) == 0:
		_, err = change.ExecContext(ctx, `DELETE FROM current`)
	default:
		_, err = change.ExecContext(ctx, `INSERT INTO current (id, saved, data) VALUES (1, ?, ?)
			ON CONFLICT (id) DO UPDATE SET saved = excluded.saved, data = excluded.data`, time.Now().Unix(), data)
	}
	if err == nil {
		err = change.Commit()
	}
	if err != nil {
		return fmt.Errorf("keep the run under way: %w", err)
	}
	return nil
}

// Current returns the run under way, nil when there is none. Checked by TestCurrent.
func (s *Store) Current(ctx context.Context) ([]byte, error) {
	var data []byte
	err := s.db.QueryRowContext(ctx, `SELECT data FROM current`).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read the run under way: %w", err)
	}
	return data, nil
}

// SaveQuiz keeps what was practised in the quiz in place of what was kept before. Checked by TestQuiz.
func (s *Store) SaveQuiz(ctx context.Context, data []byte) error {
	return s.saveText(ctx, quizText, data)
}

// Quiz returns what was practised in the quiz, nil when there is nothing. Checked by TestQuiz.
func (s *Store) Quiz(ctx context.Context) ([]byte, error) { return s.text(ctx, quizText) }

// SaveComfort keeps the settings of comfort in place of those before. Checked by TestComfort.
func (s *Store) SaveComfort(ctx context.Context, data []byte) error {
	return s.saveText(ctx, comfortText, data)
}

// Comfort returns the settings of comfort, nil when none were made. Checked by TestComfort.
func (s *Store) Comfort(ctx context.Context) ([]byte, error) { return s.text(ctx, comfortText) }

// saveText keeps a text of which there is one.
func (s *Store) saveText(ctx context.Context, kind textKind, data []byte) error {
	if err := kind.check(data); err != nil {
		return err
	}
	_, err := s.db.ExecContext(ctx, `INSERT INTO `+kind.name+` (id, saved, data) VALUES (1, ?, ?)
		ON CONFLICT (id) DO UPDATE SET saved = excluded.saved, data = excluded.data`, time.Now().Unix(), data)
	if err != nil {
		return fmt.Errorf("keep the %s: %w", kind.name, err)
	}
	return nil
}

// text returns a text of which there is one, nil when there is none.
func (s *Store) text(ctx context.Context, kind textKind) ([]byte, error) {
	var data []byte
	err := s.db.QueryRowContext(ctx, `SELECT data FROM `+kind.name).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("read the %s: %w", kind.name, err)
	}
	return data, nil
}
