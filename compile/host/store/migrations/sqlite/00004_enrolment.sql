-- +goose Up
-- Whoever has a name here. Everywhere else stands the id, a pseudonym that the name fits with its salt.
CREATE TABLE person (
	id TEXT PRIMARY KEY,
	name TEXT NOT NULL,
	salt TEXT NOT NULL,
	folded TEXT NOT NULL,      -- the name as it is compared
	team TEXT NOT NULL,        -- the group in the class list
	own TEXT NOT NULL,         -- the school's own id
	listed INTEGER NOT NULL,   -- 1 when the trainer put the name on the class list
	trainer INTEGER NOT NULL,
	at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX person_by_name ON person (folded);
CREATE TABLE tablet (
	number INTEGER PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL UNIQUE,
	secret BLOB NOT NULL,      -- its hash
	person TEXT NOT NULL,
	machine TEXT NOT NULL,
	state TEXT NOT NULL,       -- in, asks (until the trainer lets it in), out
	enrolled INTEGER NOT NULL,
	seen INTEGER NOT NULL
) STRICT;
-- Which tablet writes on which job, and which would like to.
CREATE TABLE access (job TEXT NOT NULL REFERENCES job ON DELETE CASCADE, tablet TEXT NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (job, tablet)) STRICT, WITHOUT ROWID;
CREATE TABLE ask (job TEXT NOT NULL REFERENCES job ON DELETE CASCADE, tablet TEXT NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (job, tablet)) STRICT, WITHOUT ROWID;
-- All that was ever written down of a job, in the order in which it came.
CREATE TABLE entry (
	seq INTEGER PRIMARY KEY AUTOINCREMENT,
	job TEXT NOT NULL REFERENCES job ON DELETE CASCADE,
	part TEXT NOT NULL,        -- the record's map
	key TEXT NOT NULL,
	tablet TEXT NOT NULL,
	person TEXT NOT NULL,
	claimed INTEGER NOT NULL,  -- the tablet's time
	stood INTEGER NOT NULL,    -- the same, set right
	at INTEGER NOT NULL,       -- the host's time at which it came
	body BLOB NOT NULL         -- JSON
) STRICT;
CREATE INDEX entry_by_key ON entry (job, part, key, tablet);
CREATE INDEX entry_by_person ON entry (person);
ALTER TABLE summary ADD COLUMN written INTEGER NOT NULL DEFAULT 0; -- bytes of all entries
-- +goose StatementBegin
CREATE TRIGGER entry_is_counted AFTER INSERT ON entry BEGIN UPDATE summary SET written = written + length(NEW.body) WHERE job = NEW.job; END;
-- +goose StatementEnd
CREATE TABLE seal (
	seq INTEGER PRIMARY KEY AUTOINCREMENT,
	job TEXT NOT NULL REFERENCES job ON DELETE CASCADE,
	row TEXT NOT NULL,
	body BLOB NOT NULL         -- JSON without name and salt
) STRICT;
CREATE INDEX seal_by_job ON seal (job);
-- Who did what when.
CREATE TABLE trail (
	seq INTEGER PRIMARY KEY AUTOINCREMENT,
	at INTEGER NOT NULL,
	person TEXT NOT NULL,
	tablet TEXT NOT NULL,
	what TEXT NOT NULL,
	job TEXT NOT NULL,
	about TEXT NOT NULL        -- names nobody
) STRICT;
-- Jobs that the trainer deleted: what a tablet still has does not bring them back.
CREATE TABLE gone (job TEXT PRIMARY KEY, at INTEGER NOT NULL) STRICT, WITHOUT ROWID;
ALTER TABLE job ADD COLUMN void INTEGER NOT NULL DEFAULT 0;
ALTER TABLE photo ADD COLUMN tablet TEXT NOT NULL DEFAULT '';
ALTER TABLE result ADD COLUMN tablet TEXT NOT NULL DEFAULT '';
ALTER TABLE result ADD COLUMN person TEXT NOT NULL DEFAULT '';
ALTER TABLE result ADD COLUMN typed TEXT NOT NULL DEFAULT ''; -- whoever's name was typed, when it is another's
