package store

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/pgtest"
)

func TestMain(m *testing.M) {
	code := m.Run()
	pgtest.End()
	os.Exit(code)
}

// both runs a test on each kind of store. at opens the one that the test has, again and again.
func both(t *testing.T, test func(t *testing.T, at func(Options) *Store)) {
	t.Run("file", func(t *testing.T) {
		dir := t.TempDir()
		test(t, func(o Options) *Store { t.Helper(); return open(t, dir, o) })
	})
	t.Run("PostgreSQL", func(t *testing.T) {
		pgtest.Shared(t) // or it is skipped
		dir, workshop := t.TempDir(), t.Name()
		test(t, func(o Options) *Store { t.Helper(); return openIn(t, dir, workshop, o) })
	})
}

// openIn opens a workshop of the database that the tests share.
func openIn(t *testing.T, dir, workshop string, o Options) *Store {
	t.Helper()
	o.Database, o.Workshop = pgtest.Shared(t).URL("postgres"), workshop
	s, err := Open(t.Context(), dir, o)
	assert.NilError(t, err)
	return s
}

// writeIn writes to a store beside what it does itself, by a statement in SQL that both kinds have.
func writeIn(t *testing.T, s *Store, query string, args ...any) {
	t.Helper()
	assert.NilError(t, s.do(context.Background(), func(tx *writer) error { return tx.exec(query, args...) }))
}

// counting is a statement in which n counts from one number to another.
func counting(from, to int, statement string) string {
	return fmt.Sprintf(strings.Replace(statement, "INSERT", "WITH RECURSIVE n(i) AS (SELECT %d UNION ALL SELECT i + 1 FROM n WHERE i < %d) INSERT", 1), from, to)
}

// copied copies what a store holds, as its keeper does. back puts the copy in its place once the store is closed.
func copied(t *testing.T, s *Store) (back func()) {
	t.Helper()
	switch db := s.db.(type) {
	case *file:
		_, err := Backup(t.Context(), db.dir, 0, time.Now())
		assert.NilError(t, err)
		return func() {
			t.Helper()
			_, _, err := Restore(t.Context(), db.dir, "", time.Now())
			assert.NilError(t, err)
		}
	case *workshop:
		return pgtest.Shared(t).Copy(t, "postgres", db.name)
	}
	t.Fatal("another kind of store")
	return nil
}
