package store

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
)

// channel is the one on which hosts of one database tell one another what has changed.
const channel = "matchmark"

// What has changed.
const (
	classChanged    = "class"
	namesChanged    = "names"
	accountsChanged = "accounts"
)

const (
	// beat is how often the database is asked whether it is there; answerTime how long it may take to say so.
	beat       = 5 * time.Second
	answerTime = 5 * time.Second
	// again is how long to wait before the next try to reach it.
	again = time.Second
	// tellEvery is how often other hosts are told of changes: their boards draw twice a second.
	tellEvery = 250 * time.Millisecond
	// witnessed and seenTime are how often it is written down how far the class has come, and that its host is there.
	witnessed = time.Second
	seenTime  = 30 * time.Second
)

// message is what a host tells others.
func (w *workshop) message(what string) string { return what + " " + w.name + " " + w.id }

// listen hears what other hosts change, and notices when the database is away, until ctx ends.
func (w *workshop) listen(ctx context.Context) {
	for ctx.Err() == nil {
		err := w.hear(ctx)
		if ctx.Err() != nil {
			return
		}
		if err != nil {
			w.lost()
		}
		select {
		case <-ctx.Done():
		case <-time.After(again):
		}
	}
}

// lost notes that the database is away.
func (w *workshop) lost() {
	w.mu.Lock()
	first := w.gone.IsZero()
	if first {
		w.gone = time.Now()
	}
	w.mu.Unlock()
	w.lines.cut()
	if first {
		w.changed(false)
	}
}

// hear listens on one connection until it breaks.
func (w *workshop) hear(ctx context.Context) error {
	c := w.config.Copy()
	c.RuntimeParams["search_path"] = commonSchema
	conn, err := pgx.ConnectConfig(ctx, c)
	if err != nil {
		return err
	}
	defer conn.Close(context.WithoutCancel(ctx))
	if _, err := conn.Exec(ctx, "LISTEN "+channel); err != nil {
		return err
	}
	if err := w.present(ctx, conn); err != nil {
		return err
	}
	w.back()
	seen := time.Now()
	for {
		waiting, stop := context.WithTimeout(ctx, beat)
		told, err := conn.WaitForNotification(waiting)
		quiet := waiting.Err() != nil && ctx.Err() == nil
		stop()
		switch {
		case err == nil:
			w.told(told.Payload)
		case !quiet:
			return err
		default:
			asking, stop := context.WithTimeout(ctx, answerTime)
			err := conn.Ping(asking)
			stop()
			if err != nil {
				return err
			}
		}
		if time.Since(seen) > seenTime {
			seen = time.Now()
			if err := w.present(ctx, conn); err != nil {
				return err
			}
		}
	}
}

// present notes that the workshop has a host.
func (w *workshop) present(ctx context.Context, conn *pgx.Conn) error {
	ctx, stop := context.WithTimeout(ctx, answerTime)
	defer stop()
	_, err := conn.Exec(ctx, "UPDATE workshop SET seen = $1 WHERE id = $2", time.Now().UnixMilli(), w.number())
	return err
}

// number is that of the workshop, which its schema is called by.
func (w *workshop) number() (n int64) {
	fmt.Sscan(strings.TrimPrefix(w.name, commonSchema+"_"), &n) // as it was made
	return n
}

// back notes that the database is there, and has everything read anew: nobody has told what changed meanwhile. It may be behind.
func (w *workshop) back() {
	w.mu.Lock()
	w.gone = time.Time{}
	w.mu.Unlock()
	w.school.forget()
	w.school.tell(true)
	w.changed(true)
}

// told is called with what another host tells, or this one.
func (w *workshop) told(payload string) {
	parts := strings.Fields(payload)
	if len(parts) != 3 {
		return
	}
	what, schema, by := parts[0], parts[1], parts[2]
	if what == accountsChanged {
		w.school.forget()
	}
	w.school.tell(what == namesChanged)
	if by != w.id && (schema == w.name || what == accountsChanged) {
		w.changed(what == namesChanged)
	}
}

// tellOthers tells other hosts that something has changed, now and then, and writes down how far the class has come. Neither is part of
// writing: it would make all workshops wait for one another.
func (w *workshop) tellOthers(ctx context.Context) {
	tick := time.NewTicker(tellEvery)
	defer tick.Stop()
	var noted int64
	var at time.Time
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		w.mu.Lock()
		untold, last := w.untold, w.last
		w.untold = false
		w.mu.Unlock()
		if untold {
			telling, stop := context.WithTimeout(ctx, answerTime)
			if _, err := w.writing.ExecContext(telling, "SELECT pg_notify($1, $2)", channel, w.message(classChanged)); err != nil {
				w.mu.Lock()
				w.untold = true
				w.mu.Unlock()
			}
			stop()
		}
		if last != noted && time.Since(at) > witnessed && w.testify() == nil {
			noted, at = last, time.Now()
		}
	}
}
