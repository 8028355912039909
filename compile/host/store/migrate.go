package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/database"

	"matchmark/procedure/say"
)

// The steps by which tables come to this program's form, in the order of their numbers: of a class in SQLite, of a workshop in PostgreSQL, and of what the
// workshops there share. One that has gone out with a release is never changed, and none goes back.
//
//go:embed migrations
var stepFiles embed.FS

// forms are tables that are brought forward together.
type forms struct {
	steps fs.FS
	// own are steps that SQL alone cannot say; they are made in the place of the file of their number.
	own  map[int64]func(ctx context.Context, tx *sql.Tx, step string, now int64) error
	last int64
}

// formsOf reads the steps in a folder.
func formsOf(folder string, own map[int64]func(context.Context, *sql.Tx, string, int64) error) *forms {
	steps, err := fs.Sub(stepFiles, "migrations/"+folder)
	if err != nil {
		panic(err) // they are in the program
	}
	names, err := fs.Glob(steps, "*.sql")
	if err != nil {
		panic(err)
	}
	return &forms{steps: steps, own: own, last: int64(len(names))}
}

var (
	classForms    = formsOf("sqlite", map[int64]func(context.Context, *sql.Tx, string, int64) error{4: takeNamesOut})
	workshopForms = formsOf("postgres", nil)
	schoolForms   = formsOf("school", nil)
)

// text is the SQL of a step.
func (f *forms) text(step int64) (string, error) {
	names, err := fs.Glob(f.steps, fmt.Sprintf("%05d_*.sql", step))
	if err != nil || len(names) != 1 {
		return "", errors.Join(err, fmt.Errorf("step %d has %d files", step, len(names)))
	}
	text, err := fs.ReadFile(f.steps, names[0])
	return string(text), err
}

// forward brings tables to this program's form, each step in a transaction of its own. No two may do it at once.
func (f *forms) forward(ctx context.Context, db *sql.DB, now time.Time) error {
	options := []goose.ProviderOption{goose.WithStore(versions{now.UnixMilli()}), goose.WithDisableGlobalRegistry(true)}
	for number, do := range f.own {
		text, err := f.text(number)
		if err != nil {
			return err
		}
		options = append(options, goose.WithExcludeVersions([]int64{number}), goose.WithGoMigrations(goose.NewGoMigration(number,
			&goose.GoFunc{RunTx: func(ctx context.Context, tx *sql.Tx) error { return do(ctx, tx, text, now.UnixMilli()) }}, nil)))
	}
	provider, err := goose.NewProvider(goose.DialectCustom, db, f.steps, options...)
	if err != nil {
		return say.Because(say.That("bringing the database up to date"), err)
	}
	if _, err := provider.Up(ctx); err != nil {
		return say.Because(say.That("bringing the database up to date"), err)
	}
	return nil
}

// newer reports whether a later version of this program has been at tables.
func (f *forms) newer(ctx context.Context, db queryer) (bool, error) {
	version, err := schemaVersion(ctx, db)
	return version > f.last, err
}

func schemaVersion(ctx context.Context, db queryer) (version int64, err error) {
	if err := db.QueryRowContext(ctx, "SELECT coalesce(max(version), 0) FROM migration").Scan(&version); err != nil {
		return 0, say.Because(say.That("reading the database's version"), err)
	}
	return version, nil
}

// versionTable notes which steps were made.
const versionTable = "CREATE TABLE IF NOT EXISTS migration (version BIGINT PRIMARY KEY, at BIGINT NOT NULL)"

// versions tells goose which steps were made, by the table that each class has had since the first version.
type versions struct{ now int64 }

func (versions) Tablename() string { return "migration" }

func (versions) TableExists(ctx context.Context, db database.DBTxConn) (bool, error) {
	_, err := schemaVersion(ctx, db)
	return err == nil, err
}

func (versions) CreateVersionTable(ctx context.Context, db database.DBTxConn) error {
	_, err := db.ExecContext(ctx, versionTable)
	return err
}

func (v versions) Insert(ctx context.Context, db database.DBTxConn, step database.InsertRequest) error {
	_, err := db.ExecContext(ctx, fmt.Sprintf("INSERT INTO migration VALUES (%d, %d)", step.Version, v.now))
	return err
}

// Delete never happens: no step goes back.
func (versions) Delete(context.Context, database.DBTxConn, int64) error {
	return errors.New("no step goes back")
}

func (v versions) GetMigration(ctx context.Context, db database.DBTxConn, version int64) (*database.GetMigrationResult, error) {
	made, err := v.ListMigrations(ctx, db)
	if err != nil {
		return nil, err
	}
	for _, m := range made {
		if m.Version == version {
			return &database.GetMigrationResult{IsApplied: true}, nil
		}
	}
	return nil, database.ErrVersionNotFound
}

func (versions) GetLatestVersion(ctx context.Context, db database.DBTxConn) (int64, error) {
	return schemaVersion(ctx, db)
}

func (versions) ListMigrations(ctx context.Context, db database.DBTxConn) ([]*database.ListMigrationsResult, error) {
	made, err := rows(ctx, db, "SELECT version FROM migration WHERE version > 0 ORDER BY version DESC", func(r *sql.Rows, m **database.ListMigrationsResult) error {
		*m = &database.ListMigrationsResult{IsApplied: true}
		return r.Scan(&(*m).Version)
	})
	if err != nil {
		return nil, say.Because(say.That("reading the database's version"), err)
	}
	return append(made, &database.ListMigrationsResult{IsApplied: true}), nil // the one before the first
}
