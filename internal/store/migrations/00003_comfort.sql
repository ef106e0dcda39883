-- +goose Up
-- The settings of comfort: no row, or one.
CREATE TABLE comfort (
	id    INTEGER PRIMARY KEY CHECK (id = 1),
	saved INTEGER NOT NULL,
	data  BLOB    NOT NULL
) STRICT;

-- Who goes on with the run under way: no row, or one.
CREATE TABLE holder (
	id    INTEGER PRIMARY KEY CHECK (id = 1),
	token TEXT    NOT NULL -- what the window or tab that took it up last made up
) STRICT;

-- +goose Down
DROP TABLE holder;
DROP TABLE comfort;
