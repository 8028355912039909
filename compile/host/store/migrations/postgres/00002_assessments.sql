-- +goose Up
-- What observers saw of a learner's work.
CREATE TABLE assessment (
	hash TEXT COLLATE "C" PRIMARY KEY,
	procedure TEXT COLLATE "C" NOT NULL,
	received BIGINT NOT NULL,
	body BYTEA NOT NULL,         -- JSON without names
	person TEXT COLLATE "C" NOT NULL,
	observer TEXT COLLATE "C" NOT NULL -- the trainer whose session it came by; empty once that name was deleted
);
CREATE INDEX assessment_by_person ON assessment (person);
CREATE INDEX assessment_by_time ON assessment (received, hash);
