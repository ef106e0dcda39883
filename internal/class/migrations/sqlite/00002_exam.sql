-- +goose Up
-- The paper as it was sealed, by which hand-ins are verified; empty: the class's own judge verifies them.
ALTER TABLE paper ADD COLUMN sealed BLOB NOT NULL DEFAULT x'';
-- 1: sat step by step on the server, so that no packet with a tooth in it is handed out.
ALTER TABLE paper ADD COLUMN stepped INTEGER NOT NULL DEFAULT 0;

-- +goose Down
ALTER TABLE paper DROP COLUMN stepped;
ALTER TABLE paper DROP COLUMN sealed;
