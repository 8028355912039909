-- +goose Up
CREATE TABLE wording (
	quiz TEXT NOT NULL,
	edition TEXT NOT NULL,
	key BLOB NOT NULL,        -- JSON
	PRIMARY KEY (quiz, edition)
) STRICT, WITHOUT ROWID;
