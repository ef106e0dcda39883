-- +goose Up
-- Values that hold for the whole class: the key that signs receipts.
CREATE TABLE setting (
	name  TEXT PRIMARY KEY,
	value BLOB NOT NULL
) STRICT;

CREATE TABLE instructor (
	name    TEXT PRIMARY KEY,
	hash    TEXT NOT NULL, -- argon2id, with its salt and cost
	created INTEGER NOT NULL
) STRICT;

CREATE TABLE session (
	token      BLOB PRIMARY KEY, -- SHA-256 of the cookie
	instructor TEXT NOT NULL REFERENCES instructor (name) ON DELETE CASCADE,
	expires    INTEGER NOT NULL -- seconds since 1970, UTC, as all times here
) STRICT;

CREATE TABLE paper (
	id       TEXT PRIMARY KEY,
	title    TEXT NOT NULL,
	uploaded INTEGER NOT NULL
) STRICT;

CREATE TABLE candidate (
	paper  TEXT NOT NULL REFERENCES paper (id),
	id     TEXT NOT NULL, -- pseudonym: no name is ever stored
	token  BLOB NOT NULL UNIQUE, -- SHA-256 of the token
	opens  INTEGER NOT NULL,
	closes INTEGER NOT NULL,
	packet BLOB NOT NULL,
	PRIMARY KEY (paper, id)
) STRICT;

-- A sitting under way: what the instructor sees, and what another machine needs to go on.
CREATE TABLE progress (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	attempt   TEXT NOT NULL,
	begun     INTEGER NOT NULL,
	seen      INTEGER NOT NULL,
	step      TEXT NOT NULL,
	left_s    INTEGER NOT NULL, -- -1: no limit
	session   BLOB NOT NULL,
	PRIMARY KEY (paper, candidate, attempt),
	FOREIGN KEY (paper, candidate) REFERENCES candidate (paper, id) ON DELETE CASCADE
) STRICT;

CREATE TABLE line (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	attempt   TEXT NOT NULL,
	seq       INTEGER NOT NULL, -- from 0, without gap
	data      BLOB NOT NULL,
	PRIMARY KEY (paper, candidate, attempt, seq),
	FOREIGN KEY (paper, candidate, attempt) REFERENCES progress (paper, candidate, attempt) ON DELETE CASCADE
) STRICT;

CREATE TABLE sitting (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	attempt   TEXT NOT NULL,
	digest    TEXT NOT NULL, -- SHA-256 of data
	received  INTEGER NOT NULL,
	late      INTEGER NOT NULL,
	verdict   TEXT NOT NULL, -- "" not judged yet, "verified", or why refused
	total     TEXT NOT NULL, -- points found by verification
	receipt   BLOB NOT NULL,
	data      BLOB NOT NULL, -- byte for byte as received
	PRIMARY KEY (paper, candidate, attempt, digest),
	FOREIGN KEY (paper, candidate) REFERENCES candidate (paper, id) ON DELETE CASCADE
) STRICT;

CREATE INDEX sitting_unjudged ON sitting (verdict);

CREATE TABLE practice (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	digest    TEXT NOT NULL,
	received  INTEGER NOT NULL,
	data      BLOB NOT NULL,
	PRIMARY KEY (paper, candidate, digest),
	FOREIGN KEY (paper, candidate) REFERENCES candidate (paper, id) ON DELETE CASCADE
) STRICT;

-- Who did what to the class; never what a candidate did in a case.
CREATE TABLE note (
	at   INTEGER NOT NULL,
	who  TEXT NOT NULL,
	text TEXT NOT NULL
) STRICT;

-- +goose Down
DROP TABLE note;
DROP TABLE practice;
DROP TABLE sitting;
DROP TABLE line;
DROP TABLE progress;
DROP TABLE candidate;
DROP TABLE paper;
DROP TABLE session;
DROP TABLE instructor;
DROP TABLE setting;
