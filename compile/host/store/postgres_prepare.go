package store

import (
	"context"
	"database/sql/driver"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"

	"matchmark/procedure/record"
	"matchmark/procedure/say"
)

// errBad is what a pool calls a connection that is of no use.
var errBad = driver.ErrBadConn

// commonSchema is that of what the workshops share; those of the workshops are called so with a number behind.
const commonSchema = "matchmark"

// preparing is the lock that one host at a time holds while it looks at the tables of a database and brings them forward: "mmcl" in ASCII.
const preparing = applicationID

// configOf reads the address of a database.
func configOf(address string) (*pgx.ConnConfig, error) {
	if !strings.HasPrefix(address, "postgres://") && !strings.HasPrefix(address, "postgresql://") {
		return nil, &AddressError{Detail: "it does not begin with postgres://"}
	}
	config, err := pgx.ParseConfig(address)
	if err != nil {
		return nil, &AddressError{Detail: err.Error()} // the password is not in it
	}
	config.ConnectTimeout = dialTime
	config.RuntimeParams["application_name"] = "matchmark"
	return config, nil
}

// AddressError says that the address of a database cannot be read.
type AddressError struct{ Detail string }

// Error says why.
func (e *AddressError) Error() string { return e.Says().String() }

// Says says why.
func (e *AddressError) Says() say.Text {
	return say.That("the database's address cannot be read: %cause", say.Foreign(e.Detail))
}

// place names a database without who opens it, and by which password.
func place(c *pgx.ConnConfig) string {
	if strings.HasPrefix(c.Host, "/") {
		return c.Host + "/" + c.Database
	}
	return net.JoinHostPort(c.Host, strconv.Itoa(int(c.Port))) + "/" + c.Database
}

// prepare brings the tables of a database forward, and makes those of a workshop that it does not have. It returns the workshop's schema.
func prepare(ctx context.Context, config *pgx.ConnConfig, name string, now time.Time) (schema string, err error) {
	at := place(config)
	if n := utf8.RuneCountInString(plain(name)); n == 0 || n > record.LongestName {
		return "", say.Behind(ErrName, say.Error(say.That("a workshop's name has between 1 and %count characters", say.Count(record.LongestName))))
	}
	conn, err := pgx.ConnectConfig(ctx, config)
	if err != nil {
		return "", &RefusedError{File: at, Remote: true, Why: Unreached, Detail: withoutAddress(err)}
	}
	defer conn.Close(context.WithoutCancel(ctx))
	var encoding, commits string
	var standby bool
	if err := conn.QueryRow(ctx, "SELECT current_setting('server_encoding'), current_setting('synchronous_commit'), pg_is_in_recovery()").Scan(&encoding, &commits, &standby); err != nil {
		return "", say.Because(say.That("looking at the database %place", say.Name(at)), err)
	}
	if commits == "off" { // an acknowledgement means the disk, however the database is set up otherwise
		config.RuntimeParams["synchronous_commit"] = "on"
	}
	switch {
	case encoding != "UTF8":
		return "", &RefusedError{File: at, Remote: true, Why: Foreign, Detail: "its encoding is " + encoding + ", and matchmark needs UTF8"}
	case standby:
		return "", &RefusedError{File: at, Remote: true, Why: Unwritable, Detail: "it is a standby"}
	}
	if _, err := conn.Exec(ctx, "SELECT pg_advisory_lock($1)", int64(preparing)); err != nil {
		return "", say.Because(say.That("waiting for another host that prepares the database"), err)
	}
	schema, err = prepared(ctx, conn, config, plain(name), now)
	var said *pgconn.PgError
	switch {
	case errors.As(err, &said) && said.Code == "42501": // insufficient_privilege
		return "", &RefusedError{File: at, Remote: true, Why: Unwritable, Detail: said.Message}
	case err != nil:
		return "", refusedAt(err, at)
	}
	return schema, nil
}

// refusedAt names the database in a refusal.
func refusedAt(err error, at string) error {
	var refused *RefusedError
	if errors.As(err, &refused) {
		refused.File, refused.Remote = at, true
		return refused
	}
	return say.Because(say.That("preparing the database %place", say.Name(at)), err)
}

// withoutAddress is why there is no connection, without the user that wanted one.
func withoutAddress(err error) string {
	var said *pgconn.PgError
	if errors.As(err, &said) {
		return said.Message
	}
	var network *net.OpError
	if errors.As(err, &network) {
		return network.Error()
	}
	return "no connection"
}

func prepared(ctx context.Context, conn *pgx.Conn, config *pgx.ConnConfig, name string, now time.Time) (schema string, err error) {
	if err := bring(ctx, conn, config, commonSchema, schoolForms, now); err != nil {
		return "", err
	}
	var id int64
	err = conn.QueryRow(ctx, "SELECT id FROM "+commonSchema+".workshop WHERE folded = $1", folded(name)).Scan(&id)
	if errors.Is(err, pgx.ErrNoRows) {
		err = conn.QueryRow(ctx, "INSERT INTO "+commonSchema+".workshop (name, folded, seen) VALUES ($1, $2, 0) RETURNING id", name, folded(name)).Scan(&id)
	}
	if err != nil {
		return "", err
	}
	schema = fmt.Sprintf("%s_%d", commonSchema, id)
	return schema, bring(ctx, conn, config, schema, workshopForms, now)
}

// bring brings the tables of one schema forward.
func bring(ctx context.Context, conn *pgx.Conn, config *pgx.ConnConfig, schema string, f *forms, now time.Time) error {
	var there bool
	if err := conn.QueryRow(ctx, "SELECT to_regnamespace($1) IS NOT NULL", schema).Scan(&there); err != nil {
		return err
	}
	if !there { // to ask for one that is there would need more rights
		if _, err := conn.Exec(ctx, "CREATE SCHEMA "+schema); err != nil {
			return err
		}
	}
	c := config.Copy()
	c.RuntimeParams["search_path"] = schema
	db := stdlib.OpenDB(*c)
	defer db.Close()
	if err := db.QueryRowContext(ctx, "SELECT to_regclass('migration') IS NOT NULL").Scan(&there); err != nil {
		return err
	}
	if !there {
		if _, err := db.ExecContext(ctx, versionTable); err != nil {
			return err
		}
	}
	switch newer, err := f.newer(ctx, db); {
	case err != nil:
		return err
	case newer:
		return &RefusedError{Why: Newer}
	}
	return f.forward(ctx, db, now)
}
