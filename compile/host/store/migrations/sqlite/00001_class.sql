-- +goose Up
CREATE TABLE setting (name TEXT PRIMARY KEY, value BLOB NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE job (
	name TEXT PRIMARY KEY,
	procedure TEXT NOT NULL,
	variant TEXT NOT NULL,
	began INTEGER NOT NULL,   -- milliseconds since 1970 by the host's clock, as all times here
	changed INTEGER NOT NULL,
	record BLOB NOT NULL      -- JSON without the data of photos, and without signatures
) STRICT;
CREATE INDEX job_by_change ON job (changed);
CREATE TABLE signature (
	job TEXT NOT NULL REFERENCES job ON DELETE CASCADE,
	row TEXT NOT NULL,
	who TEXT NOT NULL,
	at INTEGER NOT NULL,
	content TEXT NOT NULL,
	key TEXT NOT NULL,
	seal TEXT NOT NULL,
	PRIMARY KEY (job, row)
) STRICT, WITHOUT ROWID;
CREATE TABLE photo (
	job TEXT NOT NULL REFERENCES job ON DELETE CASCADE,
	hash TEXT NOT NULL,
	data BLOB NOT NULL,
	PRIMARY KEY (job, hash)
) STRICT;
CREATE TABLE result (
	hash TEXT PRIMARY KEY,
	quiz TEXT NOT NULL,
	learner TEXT NOT NULL,    -- the name as it is compared
	received INTEGER NOT NULL,
	body BLOB NOT NULL        -- JSON
) STRICT;
CREATE INDEX result_by_quiz ON result (quiz, received);
-- Whoever was deleted: a keyed hash of the name, so that what a tablet still has does not bring the name back.
CREATE TABLE forgotten (hash BLOB PRIMARY KEY, at INTEGER NOT NULL) STRICT, WITHOUT ROWID;
