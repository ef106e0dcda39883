-- +goose Up
-- Values that hold for the whole class: the key that signs receipts.
CREATE TABLE setting (
	name  TEXT PRIMARY KEY,
	value BYTEA NOT NULL
);

CREATE TABLE instructor (
	name    TEXT PRIMARY KEY,
	hash    TEXT NOT NULL, -- argon2id, with its salt and cost
	created BIGINT NOT NULL
);

CREATE TABLE session (
	token      BYTEA PRIMARY KEY, -- SHA-256 of the cookie
	instructor TEXT NOT NULL REFERENCES instructor (name) ON DELETE CASCADE,
	expires    BIGINT NOT NULL -- seconds since 1970, UTC, as all times here
);

CREATE TABLE paper (
	id       TEXT PRIMARY KEY,
	title    TEXT NOT NULL,
	uploaded BIGINT NOT NULL
);

CREATE TABLE candidate (
	paper  TEXT NOT NULL REFERENCES paper (id),
	id     TEXT NOT NULL, -- pseudonym: no name is ever stored
	token  BYTEA NOT NULL UNIQUE, -- SHA-256 of the token
	opens  BIGINT NOT NULL,
	closes BIGINT NOT NULL,
	packet BYTEA NOT NULL,
	PRIMARY KEY (paper, id)
);

-- A sitting under way: what the instructor sees, and what another machine needs to go on.
CREATE TABLE progress (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	attempt   TEXT NOT NULL,
	begun     BIGINT NOT NULL,
	seen      BIGINT NOT NULL,
	step      TEXT NOT NULL,
	left_s    BIGINT NOT NULL, -- -1: no limit
	session   BYTEA NOT NULL,
	PRIMARY KEY (paper, candidate, attempt),
	FOREIGN KEY (paper, candidate) REFERENCES candidate (paper, id) ON DELETE CASCADE
);

CREATE TABLE line (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	attempt   TEXT NOT NULL,
	seq       BIGINT NOT NULL, -- from 0, without gap
	data      BYTEA NOT NULL,
	PRIMARY KEY (paper, candidate, attempt, seq),
	FOREIGN KEY (paper, candidate, attempt) REFERENCES progress (paper, candidate, attempt) ON DELETE CASCADE
);

CREATE TABLE sitting (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	attempt   TEXT NOT NULL,
	digest    TEXT NOT NULL, -- SHA-256 of data
	received  BIGINT NOT NULL,
	late      BIGINT NOT NULL,
	verdict   TEXT NOT NULL, -- "" not judged yet, "verified", or why refused
	total     TEXT NOT NULL, -- points found by verification
	receipt   BYTEA NOT NULL,
	data      BYTEA NOT NULL, -- byte for byte as received
	PRIMARY KEY (paper, candidate, attempt, digest),
	FOREIGN KEY (paper, candidate) REFERENCES candidate (paper, id) ON DELETE CASCADE
);

CREATE INDEX sitting_unjudged ON sitting (verdict);

CREATE TABLE practice (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	digest    TEXT NOT NULL,
	received  BIGINT NOT NULL,
	data      BYTEA NOT NULL,
	PRIMARY KEY (paper, candidate, digest),
	FOREIGN KEY (paper, candidate) REFERENCES candidate (paper, id) ON DELETE CASCADE
);

-- Who did what to the class; never what a candidate did in a case.
CREATE TABLE note (
	at   BIGINT NOT NULL,
	who  TEXT NOT NULL,
	text TEXT NOT NULL
);

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
