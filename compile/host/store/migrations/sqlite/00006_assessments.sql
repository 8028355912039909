-- +goose Up
-- What observers saw of a learner's work.
CREATE TABLE assessment (
	hash TEXT PRIMARY KEY,
	procedure TEXT NOT NULL,
	received INTEGER NOT NULL,
	body BLOB NOT NULL,        -- JSON without names
	person TEXT NOT NULL,
	observer TEXT NOT NULL     -- the trainer whose session it came by; empty once that name was deleted
) STRICT;
CREATE INDEX assessment_by_person ON assessment (person);
CREATE INDEX assessment_by_time ON assessment (received, hash);
