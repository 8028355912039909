-- +goose Up
CREATE TABLE summary (
	job TEXT PRIMARY KEY REFERENCES job ON DELETE CASCADE,
	machine TEXT NOT NULL,
	tablets INTEGER NOT NULL  -- how many work on it
) STRICT, WITHOUT ROWID;
CREATE TABLE named (          -- the photos that a job's record names
	job TEXT NOT NULL REFERENCES job ON DELETE CASCADE,
	photo TEXT NOT NULL,
	PRIMARY KEY (job, photo)
) STRICT, WITHOUT ROWID;
INSERT INTO summary SELECT name, coalesce(json_extract(CAST(record AS TEXT), '$.machine.value'), ''),
	(SELECT count(*) FROM json_each(CAST(record AS TEXT), '$.tablets')) FROM job;
INSERT INTO named SELECT job.name, p.key FROM job, json_each(CAST(job.record AS TEXT), '$.photos') AS p;
