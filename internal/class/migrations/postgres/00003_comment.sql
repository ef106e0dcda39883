-- +goose Up
-- What instructors say about a candidate's sittings, as the candidate reads it: CSV of package comment.
CREATE TABLE comment (
	paper     TEXT NOT NULL,
	candidate TEXT NOT NULL,
	received  BIGINT NOT NULL, -- seconds since 1970, UTC
	data      BYTEA NOT NULL,
	PRIMARY KEY (paper, candidate),
	FOREIGN KEY (paper, candidate) REFERENCES candidate (paper, id) ON DELETE CASCADE
);

-- +goose Down
DROP TABLE comment;
