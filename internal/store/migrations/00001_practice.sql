-- +goose Up
CREATE TABLE record (
	id         INTEGER PRIMARY KEY AUTOINCREMENT,
	saved      INTEGER NOT NULL, -- seconds since 1970, UTC
	scenario   TEXT    NOT NULL,
	content    TEXT    NOT NULL, -- digest of the scenario's content
	engine     TEXT    NOT NULL,
	seed       TEXT    NOT NULL, -- SQLite's integers have a sign, a seed needs all 64 bits
	actions    INTEGER NOT NULL,
	elapsed_ms INTEGER NOT NULL,
	total      REAL    NOT NULL,
	available  REAL    NOT NULL,
	failed     INTEGER NOT NULL,
	digest     TEXT    NOT NULL,
	sha256     BLOB    NOT NULL UNIQUE, -- of data: a record that is sent twice is kept once
	data       BLOB    NOT NULL  -- the record, byte for byte as it came
) STRICT;

CREATE INDEX record_scenario ON record (scenario, id);

-- The run under way: no row, or one.
CREATE TABLE current (
	id    INTEGER PRIMARY KEY CHECK (id = 1),
	saved INTEGER NOT NULL,
	data  BLOB    NOT NULL
) STRICT;

-- +goose Down
DROP TABLE current;
DROP TABLE record;
