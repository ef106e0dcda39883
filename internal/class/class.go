// Package class is the server of a class: it hands each candidate their own packet, keeps the log of a
// sitting under way so that it can go on at another machine, takes what is handed in against a signed
// receipt, and shows the instructor how far everyone is.
//
// The main idea: what arrives is evidence and is kept byte for byte before anything is said about it;
// judging comes afterwards, from what is kept (Judge, JudgePending). The same hand-in twice gives the
// same receipt. A paper may be stepped here (Step in step.go): then its sittings are logs in the database,
// which any process of the class carries out again when it is asked for the next act.
//
// Candidates are pseudonyms known by a token, of which only the SHA-256 is stored; a token opens its own
// packet, log, receipts and nothing else. Instructors sign in with a password, stored as argon2id.
//
// One class lives in embedded SQLite in a folder, or in PostgreSQL, where several server processes may
// share it; both hold the same tables and pass the same tests. Retention: everything stays until
// DeletePerson or until the folder or database is removed; nothing is sent anywhere. Begin reading at
// Open, then Handler in http.go, then Step.
package class

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/netip"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx" of database/sql
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
	_ "modernc.org/sqlite" // the driver "sqlite" of database/sql

	"tugback/internal/exam"
)

//go:embed migrations/*/*.sql
var migrations embed.FS

// postgresConnections is how many connections one process holds at most: several processes fit into the
// 100 that a server allows unless told otherwise.
const postgresConnections = 16

// Class is a class in its database. Its methods may be called from several goroutines.
type Class struct {
	db     *sql.DB
	now    func() time.Time
	judge  Judge
	proxy  netip.Prefix // zero: none
	key    ed25519.PrivateKey
	begun  time.Time // when it was opened, to count time from
	papers struct {
		sync.Mutex
		by map[string]*exam.Examiner
	}
	seats seats
}

// Options are what a class is given from outside; zero values take the machine's clock and a judge that
// refuses everything.
type Options struct {
	Now   func() time.Time
	Judge Judge
	// Proxy holds the addresses of a proxy in front of the server: what comes from there is counted by the
	// last address of X-Forwarded-For, which the proxy itself has written. Zero: there is none, and the
	// header, which anybody can write, is passed over.
	Proxy netip.Prefix
}

// Open opens the class at a place: postgres://… or a folder, which is made when there is none, readable by
// its owner alone. Tables are brought up to date. The error names the place without the password.
// Checked by TestDryRun and TestDamaged.
func Open(ctx context.Context, place string, o Options) (*Class, error) {
	db, dialect, err := connect(place)
	if err != nil {
		return nil, fmt.Errorf("class %s: %w", Shown(place), err)
	}
	c := &Class{db: db, now: o.Now, judge: o.Judge, proxy: o.Proxy}
	if c.now == nil {
		c.now = time.Now
	}
	c.begun, c.papers.by, c.seats.by = c.now(), map[string]*exam.Examiner{}, map[seatName]*seat{}
	if err = migrate(ctx, db, dialect); err == nil {
		c.key, err = c.signingKey(ctx)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("class %s cannot be used: %w", Shown(place), err), db.Close())
	}
	return c, nil
}

// Shown returns a place as it may be printed: without a password.
func Shown(place string) string {
	if !isPostgres(place) {
		return place
	}
	address, err := url.Parse(place)
	if err != nil {
		return "postgres://…"
	}
	return address.Redacted()
}

func isPostgres(place string) bool {
	return strings.HasPrefix(place, "postgres://") || strings.HasPrefix(place, "postgresql://")
}

// connect names the database of a place and its dialect.
func connect(place string) (*sql.DB, goose.Dialect, error) {
	if isPostgres(place) {
		db, err := sql.Open("pgx", place)
		if err != nil {
			return nil, "", err
		}
		db.SetMaxOpenConns(postgresConnections)
		return db, goose.DialectPostgres, nil
	}
	folder, err := filepath.Abs(place)
	if err != nil {
		return nil, "", err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, "", err
	}
	path := filepath.Join(folder, "class.db")
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, "", err
	}
	if err := file.Close(); err != nil {
		return nil, "", err
	}
	if path = filepath.ToSlash(path); !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	query := url.Values{
		"_pragma": {"busy_timeout(10000)", "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)"},
		"_txlock": {"immediate"},
	}
	db, err := sql.Open("sqlite", (&url.URL{Scheme: "file", Path: path, RawQuery: query.Encode()}).String())
	if err != nil {
		return nil, "", err
	}
	db.SetMaxOpenConns(1) // waiting in turn beats being told that the file is busy
	return db, goose.DialectSQLite3, nil
}

// migrate brings the tables up to date; of several processes on one PostgreSQL one does it.
func migrate(ctx context.Context, db *sql.DB, dialect goose.Dialect) error {
	folder, options := "migrations/sqlite", []goose.ProviderOption{goose.WithLogger(goose.NopLogger())}
	if dialect == goose.DialectPostgres {
		locker, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 30))
		if err != nil {
			return err
		}
		folder, options = "migrations/postgres", append(options, goose.WithSessionLocker(locker))
	}
	steps, err := fs.Sub(migrations, folder)
	if err != nil {
		return err
	}
	provider, err := goose.NewProvider(dialect, db, steps, options...)
	if err != nil {
		return err
	}
	if _, err := provider.Up(ctx); err != nil {
		return err
	}
	have, known, err := provider.GetVersions(ctx)
	if err == nil && have > known {
		err = fmt.Errorf("it was made by a newer program (tables %d, this one knows %d)", have, known)
	}
	return err
}

// signingKey returns the key of the receipts, which the first process to come makes.
func (c *Class) signingKey(ctx context.Context) (ed25519.PrivateKey, error) {
	seed := make([]byte, ed25519.SeedSize)
	if _, err := rand.Read(seed); err != nil {
		return nil, err
	}
	_, err := c.db.ExecContext(ctx, `INSERT INTO setting (name, value) VALUES ('receipt-key', $1) ON CONFLICT (name) DO NOTHING`, seed)
	if err != nil {
		return nil, err
	}
	if err := c.db.QueryRowContext(ctx, `SELECT value FROM setting WHERE name = 'receipt-key'`).Scan(&seed); err != nil {
		return nil, err
	}
	if len(seed) != ed25519.SeedSize {
		return nil, errors.New("the key of the receipts is damaged")
	}
	return ed25519.NewKeyFromSeed(seed), nil
}

// Close closes the database.
func (c *Class) Close() error { return c.db.Close() }

// sum returns what is stored of a token.
func sum(token string) []byte {
	s := sha256.Sum256([]byte(token))
	return s[:]
}

// inOne does something all or nothing: in one transaction, which an error takes back.
func (c *Class) inOne(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := c.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := do(tx); err != nil {
		return errors.Join(err, tx.Rollback())
	}
	return tx.Commit()
}

// note keeps who did what.
func (c *Class) note(ctx context.Context, who, text string) error {
	_, err := c.db.ExecContext(ctx, `INSERT INTO note (at, who, text) VALUES ($1, $2, $3)`, c.now().Unix(), who, text)
	return err
}
