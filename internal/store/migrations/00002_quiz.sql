-- +goose Up
-- What was practised in the quiz: no row, or one.
CREATE TABLE quiz (
	id    INTEGER PRIMARY KEY CHECK (id = 1),
	saved INTEGER NOT NULL,
	data  BLOB    NOT NULL
) STRICT;

-- +goose Down
DROP TABLE quiz;
