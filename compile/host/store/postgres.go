package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// How long the database may take. Whatever takes longer is given up, and not acknowledged.
const (
	dialTime  = 5 * time.Second
	writeTime = 20 * time.Second
)

// workshop is a class in a schema of its own in a PostgreSQL database, beside those of other workshops.
type workshop struct {
	id      string // tells this host from others in what they tell one another
	school  *school
	name    string // of the schema
	reading *sql.DB
	writing *sql.DB
	lines   *lines
	witness string // the file that says how far the class had come
	config  *pgx.ConnConfig

	mu      sync.Mutex
	left    Found
	last    int64 // how far the class had come when it was last written to from here
	size    int64
	sized   time.Time
	gone    time.Time // since when the database is away
	untold  bool      // others have not been told of the last change
	stop    context.CancelFunc
	ended   sync.WaitGroup
	changed func(people bool)
}

// openWorkshop opens the class of a workshop, and makes it where there is none.
func openWorkshop(ctx context.Context, dir string, o Options) (*workshop, error) {
	config, err := configOf(o.Database)
	if err != nil {
		return nil, err
	}
	schema, err := prepare(ctx, config, o.Workshop, o.Now())
	if err != nil {
		return nil, err
	}
	w := &workshop{id: randomName(), name: schema, lines: &lines{}, witness: filepath.Join(dir, "witness-"+schema), config: config, stop: func() {}}
	w.reading = w.pool(config, map[string]string{"search_path": schema, "default_transaction_read_only": "on"}, 6)
	w.writing = w.pool(config, map[string]string{"search_path": schema}, 2)
	w.school = &school{own: o.Workshop, ownSchema: schema, reading: w.pool(config, map[string]string{"default_transaction_read_only": "on"}, 2)}
	if err := w.settle(ctx); err != nil {
		w.disconnect()
		return nil, err
	}
	return w, nil
}

func (w *workshop) start(changed func(people bool)) {
	w.changed = changed
	var ctx context.Context
	ctx, w.stop = context.WithCancel(context.Background())
	w.ended.Go(func() { w.listen(ctx) })
	w.ended.Go(func() { w.tellOthers(ctx) })
}

// pool are connections to the database, at most so many, with settings of their own.
func (w *workshop) pool(config *pgx.ConnConfig, settings map[string]string, most int) *sql.DB {
	c := config.Copy()
	for name, value := range settings {
		c.RuntimeParams[name] = value
	}
	c.DialFunc = w.lines.dial
	db := stdlib.OpenDB(*c)
	db.SetMaxOpenConns(most)
	db.SetMaxIdleConns(most)
	return db
}

// settle finds out whether the database is behind what this host has seen of it: then it was brought back from a copy, and takes another name,
// so that tablets send again what they have.
func (w *workshop) settle(ctx context.Context) error {
	kept, err := os.ReadFile(w.witness)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("looking how the class's database was left: %w", err)
	}
	w.last, _ = strconv.ParseInt(string(kept), 10, 64) // none at the first start
	tx, err := w.begin(ctx)
	if err != nil {
		return err
	}
	defer tx.rollback(ctx)
	return tx.commit(ctx, true, false)
}

// renewWorkshop is renewal for PostgreSQL.
const renewWorkshop = "INSERT INTO setting VALUES ('generation', decode(substr(md5(random()::text || clock_timestamp()::text), 1, 16), 'hex')) ON CONFLICT (name) DO UPDATE SET value = excluded.value"

func (w *workshop) reader() queryer     { return numbered{w.reading} }
func (w *workshop) several() *school    { return w.school }
func (w *workshop) copier() copier      { return nil }
func (w *workshop) fault(e error) error { return pgFault(e) }

func (w *workshop) found() Found {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.left
}

func (w *workshop) away() time.Time {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.gone
}

// among is a transaction beside which nobody writes to the class, from whichever host.
type among struct {
	numbered
	w    *workshop
	conn *sql.Conn
	ctx  context.Context
	stop context.CancelFunc
	at   int64 // how far the class comes by it
	over bool
}

func (w *workshop) begin(ctx context.Context) (transaction, error) {
	ctx, stop := context.WithTimeout(ctx, writeTime)
	conn, err := w.writing.Conn(ctx)
	if err != nil {
		stop()
		return nil, err
	}
	a := &among{numbered: numbered{conn}, w: w, conn: conn, ctx: ctx, stop: stop}
	if err := a.open(ctx); err != nil {
		a.rollback(ctx)
		return nil, err
	}
	return a, nil
}

// open takes the row that writers take one after another, and looks whether the database went back in time.
func (a *among) open(ctx context.Context) error {
	if _, err := a.conn.ExecContext(ctx, "BEGIN"); err != nil {
		return err
	}
	if err := a.conn.QueryRowContext(ctx, "UPDATE commits SET n = n + 1 RETURNING n").Scan(&a.at); err != nil {
		return err
	}
	a.w.mu.Lock()
	behind := a.at <= a.w.last
	a.w.mu.Unlock()
	if !behind {
		return nil
	}
	if _, err := a.conn.ExecContext(ctx, renewWorkshop); err != nil {
		return err
	}
	a.w.mu.Lock()
	defer a.w.mu.Unlock()
	a.w.left = Found{Unclean: true, Earlier: true}
	return nil
}

// commit has it on the disk. A transaction that wrote nothing is let go, which needs no disk.
func (a *among) commit(ctx context.Context, wrote, names bool) error {
	a.w.mu.Lock()
	behind := a.at <= a.w.last
	a.w.mu.Unlock()
	if !wrote && !behind {
		a.rollback(ctx)
		return nil
	}
	if names {
		if _, err := a.conn.ExecContext(ctx, "SELECT pg_notify($1, $2)", channel, a.w.message(namesChanged)); err != nil {
			return err
		}
	}
	if _, err := a.conn.ExecContext(ctx, "COMMIT"); err != nil {
		return err
	}
	a.over = true
	a.w.mu.Lock()
	a.w.last, a.w.untold = a.at, true
	a.w.mu.Unlock()
	a.stop()
	return a.conn.Close()
}

func (a *among) rollback(ctx context.Context) {
	if a.over {
		return
	}
	a.over = true
	if _, err := a.conn.ExecContext(ctx, "ROLLBACK"); err != nil {
		// It must not go back to the others with a transaction open.
		_ = a.conn.Raw(func(any) error { return errBroken })
	}
	a.conn.Close()
	a.stop()
}

// errBroken makes the pool throw a connection away.
var errBroken = fmt.Errorf("the connection is in no known state: %w", errBad)

// sizeTime is how long the class's size is believed: it takes the database longer to say than to write something.
const sizeTime = 5 * time.Second

func (a *among) within() context.Context { return a.ctx }

func (a *among) used(ctx context.Context) (int64, error) { return a.w.usedBy(ctx, a) }

func (w *workshop) used(ctx context.Context) (int64, error) { return w.usedBy(ctx, w.reading) }

func (w *workshop) usedBy(ctx context.Context, db queryer) (int64, error) {
	w.mu.Lock()
	size, fresh := w.size, time.Since(w.sized) < sizeTime
	w.mu.Unlock()
	if fresh {
		return size, nil
	}
	if err := db.QueryRowContext(ctx, "SELECT coalesce(sum(pg_total_relation_size(oid)), 0)::bigint FROM pg_class WHERE relnamespace = current_schema()::regnamespace AND relkind = 'r'").Scan(&size); err != nil {
		return 0, fmt.Errorf("looking at the database's size: %w", err)
	}
	w.mu.Lock()
	w.size, w.sized = size, time.Now()
	w.mu.Unlock()
	return size, nil
}

// empty has what was deleted taken out of the tables' pages. What its write-ahead log and its copies hold is with whoever runs the database.
func (w *workshop) empty(ctx context.Context) (bool, error) {
	if _, err := w.writing.ExecContext(ctx, "VACUUM person, result, assessment, job, entry, seal, tablet, trail, photo"); err != nil {
		return false, fmt.Errorf("emptying the tables: %w", err)
	}
	return true, nil
}

// close notes how far the class has come, and lets the database go.
func (w *workshop) close(context.Context) error {
	w.stop()
	w.ended.Wait()
	return errors.Join(w.testify(), w.disconnect())
}

func (w *workshop) disconnect() error {
	return errors.Join(w.reading.Close(), w.writing.Close(), w.school.reading.Close())
}

// testify writes down how far the class has come as this host has seen it.
func (w *workshop) testify() error {
	w.mu.Lock()
	last := w.last
	w.mu.Unlock()
	if err := held.WriteFile(w.witness+".new", strconv.AppendInt(nil, last, 10), 0o600); err != nil {
		return fmt.Errorf("noting how far the class has come: %w", err)
	}
	return held.Rename(w.witness+".new", w.witness)
}

// numbered writes statements with ? for PostgreSQL, which counts what is put in: the first ? is $1. Its texts hold no zero byte.
type numbered struct{ execer }

func (n numbered) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	return n.execer.QueryContext(ctx, counted(query), whole(args)...)
}

func (n numbered) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	return n.execer.QueryRowContext(ctx, counted(query), whole(args)...)
}

func (n numbered) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	return n.execer.ExecContext(ctx, counted(query), whole(args)...)
}

// countedBefore keeps what was rewritten: the program has a hundred statements and no more.
var countedBefore sync.Map

func counted(query string) string {
	if done, there := countedBefore.Load(query); there {
		return done.(string)
	}
	var out strings.Builder
	n := 0
	for i := 0; i < len(query); i++ {
		if query[i] != '?' {
			out.WriteByte(query[i])
			continue
		}
		end := i + 1
		for end < len(query) && '0' <= query[end] && query[end] <= '9' {
			end++
		}
		if end > i+1 {
			out.WriteString("$" + query[i+1:end])
		} else {
			n++
			fmt.Fprintf(&out, "$%d", n)
		}
		i = end - 1
	}
	countedBefore.Store(query, out.String())
	return out.String()
}

// whole gives the arguments of a statement without zero bytes, for which the character for the unknown stands.
func whole(args []any) []any {
	for i, x := range args {
		if s, is := x.(string); is && (strings.IndexByte(s, 0) >= 0) {
			args[i] = strings.ReplaceAll(s, "\x00", "\uFFFD")
		}
	}
	return args
}

// pgFault names what an error of PostgreSQL's means.
// Source: PostgreSQL 15, "PostgreSQL Error Codes": 53100 disk_full, class 08 connection exceptions, class 57P operator intervention, 53300
// too_many_connections, 25006 read_only_sql_transaction, 55P03 lock_not_available.
func pgFault(err error) error {
	if err == nil || errors.Is(err, ErrAway) || errors.Is(err, ErrFull) || errors.Is(err, context.Canceled) {
		return err
	}
	var said *pgconn.PgError
	var dial *pgconn.ConnectError
	var network net.Error
	switch {
	case errors.As(err, &said):
		switch {
		case said.Code == "53100":
			return say.Behind(ErrFull, err)
		case strings.HasPrefix(said.Code, "08"), strings.HasPrefix(said.Code, "57P"), said.Code == "53300", said.Code == "25006":
			return say.Behind(ErrAway, err)
		}
		return err
	case errors.As(err, &dial), errors.As(err, &network), errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, net.ErrClosed),
		errors.Is(err, errBad), errors.Is(err, sql.ErrConnDone), errors.Is(err, syscall.EPIPE), pgconn.SafeToRetry(err), strings.Contains(err.Error(), "conn closed"):
		return say.Behind(ErrAway, err)
	}
	return err
}

// lines are the connections that are open, to be cut when nobody answers on them any more.
type lines struct {
	mu   sync.Mutex
	open map[net.Conn]bool
}

// line is one connection.
type line struct {
	net.Conn
	of *lines
}

func (l *lines) dial(ctx context.Context, network, address string) (net.Conn, error) {
	dialer := net.Dialer{Timeout: dialTime, KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: 10 * time.Second, Interval: 5 * time.Second, Count: 3}}
	conn, err := dialer.DialContext(ctx, network, address)
	if err != nil {
		return nil, err
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.open == nil {
		l.open = map[net.Conn]bool{}
	}
	l.open[conn] = true
	return line{conn, l}, nil
}

// Close implements net.Conn.
func (l line) Close() error {
	l.of.mu.Lock()
	delete(l.of.open, l.Conn)
	l.of.mu.Unlock()
	return l.Conn.Close()
}

// cut ends all that is under way: whoever waits on it gets an error, and not an answer that may never come.
func (l *lines) cut() {
	l.mu.Lock()
	defer l.mu.Unlock()
	for conn := range l.open {
		conn.Close()
	}
}
