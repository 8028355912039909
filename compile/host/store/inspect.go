package store

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"matchmark/procedure/say"
)

// Why says why a database was refused.
type Why string

// The reasons.
const (
	// Damaged: its content does not hold together.
	Damaged Why = "damaged"
	// Foreign: it is no database, or that of another program.
	Foreign Why = "foreign"
	// Newer: a later version of this program made it.
	Newer Why = "newer"
	// Missing: it is gone, and there are backups.
	Missing Why = "missing"
	// Unwritable: it can be read and not written, as on a disk that is mounted for reading.
	Unwritable Why = "unwritable"
	// Unreached: there is no connection to it.
	Unreached Why = "unreached"
)

// RefusedError says that a database must not be used as it is.
type RefusedError struct {
	// File is the database's file, or the place of one that is reached over a network.
	File string
	Why  Why
	// Detail is what the database says; may be empty.
	Detail string
	// Remote is true for a database that is reached over a network.
	Remote bool
	// Backup is the file of the newest backup that is sound; empty when there is none.
	Backup string
}

// Error says what is wrong.
func (e *RefusedError) Error() string { return e.Says().String() }

// Says says what is wrong.
func (e *RefusedError) Says() say.Text {
	says := e.Why.of(say.Name(e.File))
	if e.Detail != "" {
		says = say.That("%what (%detail)", says, say.Foreign(e.Detail))
	}
	return says
}

// of says it of a database.
func (w Why) of(file say.Name) say.Text {
	switch w {
	case Foreign:
		return say.That("the class's database %file is not a database of a class", file)
	case Newer:
		return say.That("the class's database %file was made by a later version of matchmark", file)
	case Missing:
		return say.That("the class's database %file is gone", file)
	case Unwritable:
		return say.That("the class's database %file cannot be written", file)
	case Unreached:
		return say.That("the class's database %file cannot be reached", file)
	}
	return say.That("the class's database %file is damaged", file)
}

// inspect refuses a database that is damaged or not a class's. It looks at all of it.
func inspect(ctx context.Context, dir, file string) error {
	err := sound(ctx, file)
	var refused *RefusedError
	if errors.As(err, &refused) {
		refused.Backup = newestSound(ctx, dir)
	}
	return err
}

// sound checks one file from its header to its last page.
func sound(ctx context.Context, file string) error {
	if err := checkHeader(file); err != nil {
		return err
	}
	damaged := func(detail string) error { return &RefusedError{File: file, Why: Damaged, Detail: detail} }
	db, err := sql.Open("sqlite", address(file))
	if err != nil {
		return err
	}
	defer db.Close()
	unread := func(err error) error {
		if isDamage(err) {
			return damaged(err.Error())
		}
		return say.Because(say.That("looking at the class's database %file", say.Name(file)), outOfRoom(err))
	}
	faults, err := column(ctx, db, "PRAGMA integrity_check(3)")
	if err != nil {
		return unread(err)
	}
	if len(faults) != 1 || faults[0] != "ok" {
		return damaged(strings.Join(strings.Fields(strings.Join(faults, "; ")), " "))
	}
	orphans, err := column(ctx, db, `SELECT "table" FROM pragma_foreign_key_check LIMIT 1`)
	switch {
	case err != nil:
		return unread(err)
	case len(orphans) > 0:
		return damaged("rows that belong to nothing")
	}
	newer, err := classForms.newer(ctx, db)
	if err != nil {
		return unread(err)
	}
	if newer {
		return &RefusedError{File: file, Why: Newer}
	}
	return nil
}

// checkHeader looks at the first bytes of a file.
// Source: SQLite, "Database File Format", 1.3.
func checkHeader(file string) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	var header [100]byte
	if n, err := io.ReadFull(f, header[:]); err != nil {
		return &RefusedError{File: file, Why: Damaged, Detail: fmt.Sprintf("it has %d bytes", n)}
	}
	switch {
	case string(header[:16]) != "SQLite format 3\x00":
		return &RefusedError{File: file, Why: Foreign}
	case binary.BigEndian.Uint32(header[68:]) != applicationID:
		return &RefusedError{File: file, Why: Foreign}
	}
	return nil
}

// column reads the one text column that a query gives.
func column(ctx context.Context, db queryer, query string, args ...any) ([]string, error) {
	rows, err := db.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, rows.Err()
}
