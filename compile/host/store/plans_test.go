package store

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/pgtest"
)

// busiest are the questions that a class asks most, with what is put in.
var busiest = []struct {
	query string
	args  []any
}{
	{"SELECT " + tabletColumns + ", secret FROM tablet WHERE name = ? AND state != ?", []any{"t77", "out"}},
	{"SELECT EXISTS (SELECT 1 FROM job WHERE name = ?)", []any{"j77"}},
	{"SELECT record FROM job WHERE name = ?", []any{"j77"}},
	{"SELECT EXISTS (SELECT 1 FROM access WHERE job = ? AND tablet = ?)", []any{"j77", "t77"}},
	{"SELECT EXISTS (SELECT 1 FROM entry WHERE job = ? AND part = ? AND key = ? AND tablet = ? AND ? IN (claimed, stood))", []any{"j77", "ticks", "k1", "t77", 5}},
	{"SELECT row, body FROM seal WHERE job = ? ORDER BY seq", []any{"j77"}},
	{"SELECT hash FROM photo WHERE job = ?", []any{"j77"}},
	{listed + "WHERE changed >= ? ORDER BY changed DESC, name", []any{999_900}},
	{"SELECT hash, received, body, person, typed FROM result WHERE received >= ? ORDER BY received DESC, hash LIMIT ?", []any{0, 500}},
	{"SELECT count(*) FROM result WHERE tablet = ?", []any{"t77"}},
	{"SELECT seq, at, person, tablet, what, job, about FROM trail ORDER BY seq DESC LIMIT ?", []any{300}},
	{"SELECT (SELECT count(DISTINCT job) FROM entry WHERE person = ?1), (SELECT count(*) FROM result WHERE person = ?1 OR typed = ?1) + (SELECT count(*) FROM assessment WHERE person = ?1)", []any{"p77"}},
}

// No question that a class asks again and again reads a table from end to end, when years of work lie in it. MATCHMARK_ENTRIES says how
// many entries are there; 20,000 when not set.
func TestPlansOfTheBusiestQuestions(t *testing.T) {
	entries := 20_000
	if stated := os.Getenv("MATCHMARK_ENTRIES"); stated != "" {
		_, err := fmt.Sscan(stated, &entries)
		assert.NilError(t, err)
	}
	server := pgtest.Shared(t)
	address := server.Database(t, "years")
	if entries < 500_000 {
		// A small table is read as a whole though it has an index: here only what has none is.
		server.Do(t, "years", "ALTER DATABASE years SET enable_seqscan = off")
	}
	s, err := Open(t.Context(), t.TempDir(), Options{Database: address, Workshop: "w"})
	assert.NilError(t, err)
	defer closeIt(t, s)
	jobs := entries / 50
	series := func(n int, into string) string {
		return "INSERT INTO matchmark_1." + into + fmt.Sprintf(" FROM generate_series(1, %d) AS n", n)
	}
	server.Do(t, "years",
		"ALTER TABLE matchmark_1.entry DISABLE TRIGGER USER",
		series(jobs/4, "person SELECT 'p' || n, 'P' || n, '', 'p' || n, '', '', FALSE, FALSE, n"),
		series(jobs/4, "tablet (name, secret, person, machine, state, enrolled, seen) SELECT 't' || n, ''::bytea, 'p' || n, '', 'in', n, n"),
		series(jobs, "job SELECT 'j' || n, 'p', '', n, n * 1000000::bigint / "+fmt.Sprint(jobs)+", '{}'::bytea, FALSE"),
		series(jobs, "summary SELECT 'j' || n, 'No. 4', 1, 0"),
		series(jobs, "access SELECT 'j' || n, 't' || (n % "+fmt.Sprint(jobs/4)+"), n"),
		series(jobs, "seal (job, row, body) SELECT 'j' || n, 'r', '{}'::bytea"),
		series(jobs, "photo SELECT 'j' || n, 'h' || n, 'x'::bytea, ''"),
		series(entries, "entry (job, part, key, tablet, person, claimed, stood, at, body) SELECT 'j' || (1 + n % "+fmt.Sprint(jobs)+"), 'ticks', 'k' || n, 't' || (n % "+fmt.Sprint(jobs/4)+"), 'p' || (n % "+fmt.Sprint(jobs/4)+"), n, n, n, '{}'::bytea"),
		series(entries/10, "result SELECT 'h' || n, 'q' || (n % 5), '', n, '{}'::bytea, 't' || (n % "+fmt.Sprint(jobs/4)+"), 'p' || (n % "+fmt.Sprint(jobs/4)+"), ''"),
		series(entries/10, "assessment SELECT 'h' || n, 'p', n, '{}'::bytea, 'p' || (n % "+fmt.Sprint(jobs/4)+"), ''"),
		series(entries/10, "trail (at, person, tablet, what, job, about) SELECT n, '', '', 'joined', '', ''"),
		"ANALYZE",
	)
	for _, q := range busiest {
		plan, err := column(t.Context(), s.reading, "EXPLAIN (ANALYZE, COSTS OFF, TIMING OFF) "+q.query, q.args...)
		if err != nil {
			t.Errorf("%s: %v", q.query, err)
			continue
		}
		text := strings.Join(plan, "\n")
		if strings.Contains(text, "Seq Scan") {
			t.Errorf("%s reads a whole table:\n%s", q.query, text)
		}
		if entries > 100_000 {
			t.Logf("%s\n%s", q.query, text)
		}
	}
}
