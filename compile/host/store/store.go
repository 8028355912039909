// Package store keeps what a class hands in: records of jobs with their photos,
// signatures and quiz results, in one SQLite file. Whatever a method has accepted
// without an error is on the disk, and accepting it again changes nothing.
package store

import (
	"context"
	"crypto/ed25519"
	"database/sql"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the database
)

// Names in the data folder.
const (
	fileName     = "class.db"
	backupFolder = "backups"
)

// ErrFull means that the room given to the database is used up, or the disk is.
var ErrFull = errors.New("there is no room left for more")

// ErrUnknown means that there is no such job, photo or quiz result.
var ErrUnknown = errors.New("there is nothing of that name")

// ErrClosed means that the store was closed before it took the thing.
var ErrClosed = errors.New("the store is closed")

// Options are the limits of a store.
type Options struct {
	// MostBytes is how large the database may grow; 0 sets no limit.
	MostBytes int64
	// Now is the clock.
	Now func() time.Time
}

// Store is an open database. It may be used from several goroutines at once.
type Store struct {
	dir     string
	options Options
	reading *sql.DB
	writing *sql.DB
	queue   chan *task
	closing chan struct{}
	done    chan struct{}
	key     ed25519.PrivateKey

	mu      sync.Mutex
	turn    int64         // counts what was written since the start
	changed chan struct{} // closed when turn is raised
	lost    map[forgotten]int64
}

// Open opens the database in a folder, and makes one where there is none. A
// database that is damaged, or not a class's, is refused with a *RefusedError.
func Open(ctx context.Context, dir string, options Options) (*Store, error) {
	if options.Now == nil {
		options.Now = time.Now
	}
	file := filepath.Join(dir, fileName)
	if err := create(ctx, dir, file, options.Now()); err != nil {
		return nil, err
	}
	if err := inspect(ctx, dir, file); err != nil {
		return nil, err
	}
	s := &Store{
		dir: dir, options: options,
		queue: make(chan *task, mostWaiting), closing: make(chan struct{}), done: make(chan struct{}), changed: make(chan struct{}),
	}
	if err := s.connect(ctx, file); err != nil {
		s.disconnect()
		return nil, err
	}
	go s.write()
	return s, nil
}

// connect opens the one connection that writes and those that read.
func (s *Store) connect(ctx context.Context, file string) (err error) {
	if s.writing, err = sql.Open("sqlite", address(file, "_txlock=immediate", "_pragma=journal_mode(WAL)", "_pragma=synchronous(FULL)", "_pragma=secure_delete(1)")); err != nil {
		return fmt.Errorf("opening the class's database: %w", err)
	}
	s.writing.SetMaxOpenConns(1)
	if err := migrate(ctx, s.writing, s.options.Now()); err != nil {
		return err
	}
	if s.reading, err = sql.Open("sqlite", address(file, "_pragma=query_only(1)")); err != nil {
		return fmt.Errorf("opening the class's database: %w", err)
	}
	s.reading.SetMaxOpenConns(4)
	if s.key, err = hostKey(ctx, s.writing); err != nil {
		return err
	}
	s.lost, err = readForgotten(ctx, s.writing)
	return err
}

func (s *Store) disconnect() error {
	var err error
	for _, db := range []*sql.DB{s.reading, s.writing} {
		if db != nil {
			err = errors.Join(err, db.Close())
		}
	}
	return err
}

// Close writes what is waiting and closes the database.
func (s *Store) Close() error {
	close(s.closing)
	<-s.done
	return s.disconnect()
}

// Key is the host's own key, which signs hold points. It is made with the database and stays the same.
func (s *Store) Key() ed25519.PrivateKey { return s.key }

// Name is the database's own name: the host's public key, and another ending after
// each time that a backup was brought back. What was sent to a database of another name has to be sent again.
func (s *Store) Name(ctx context.Context) (string, error) {
	name := hex.EncodeToString(s.key.Public().(ed25519.PublicKey))
	generation, err := s.Setting(ctx, "generation")
	if errors.Is(err, ErrUnknown) {
		return name, nil
	}
	return name + "." + hex.EncodeToString(generation), err
}

// Turn counts what was written since the start; the channel is closed at the next change.
func (s *Store) Turn() (int64, <-chan struct{}) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.turn, s.changed
}

// hostKey reads the host's key, or makes it.
func hostKey(ctx context.Context, db *sql.DB) (ed25519.PrivateKey, error) {
	var seed []byte
	err := db.QueryRowContext(ctx, "SELECT value FROM setting WHERE name = 'key'").Scan(&seed)
	switch {
	case err == nil && len(seed) == ed25519.SeedSize:
		return ed25519.NewKeyFromSeed(seed), nil
	case err == nil:
		return nil, fmt.Errorf("the host's key in the database has %d bytes, not %d", len(seed), ed25519.SeedSize)
	case !errors.Is(err, sql.ErrNoRows):
		return nil, fmt.Errorf("reading the host's key: %w", err)
	}
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		return nil, err
	}
	if _, err := db.ExecContext(ctx, "INSERT INTO setting VALUES ('key', ?)", key.Seed()); err != nil {
		return nil, fmt.Errorf("keeping the host's key: %w", err)
	}
	return key, nil
}

// Setting returns a value that was set, or ErrUnknown.
func (s *Store) Setting(ctx context.Context, name string) ([]byte, error) {
	var value []byte
	err := s.reading.QueryRowContext(ctx, "SELECT value FROM setting WHERE name = ?", name).Scan(&value)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, ErrUnknown
	}
	return value, err
}

// Set sets a value.
func (s *Store) Set(ctx context.Context, name string, value []byte) error {
	return s.do(ctx, func(tx *writer) error {
		return tx.exec("INSERT INTO setting VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value", name, value)
	})
}

// Folder makes the data folder, for its owner alone.
func Folder(dir string) error {
	for _, d := range []string{dir, filepath.Join(dir, backupFolder)} {
		if err := os.MkdirAll(d, 0o700); err != nil {
			return err
		}
		if err := os.Chmod(d, 0o700); err != nil {
			return err
		}
	}
	return nil
}
