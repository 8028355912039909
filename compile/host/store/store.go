// Package store keeps what a class hands in: records of jobs with their photos,
// signatures and quiz results, in one SQLite file, or as one workshop of several in a PostgreSQL database. Whatever
// a method has accepted without an error is on the disk, and accepting it again changes nothing.
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

	"matchmark/procedure/held"
	"matchmark/procedure/say"
)

// Names in the data folder.
const (
	fileName     = "class.db"
	backupFolder = "backups"
)

// Files are what a data folder of a class has, one of them at least.
var Files = []string{fileName, backupFolder, "lock"}

// ErrFull means that the room given to the database is used up, or the disk is.
var ErrFull = say.Error(say.That("there is no room left for more"))

// ErrOpen is a data folder that cannot be kept from other users: it is somebody else's, or its file system knows no users.
var ErrOpen = say.Error(say.That("the folder for class data cannot be kept from other users"))

// ErrUnknown means that there is no such job, photo or quiz result.
var ErrUnknown = errors.New("there is nothing of that name")

// ErrClosed means that the store was closed before it took the thing.
var ErrClosed = errors.New("the store is closed")

// Options are the limits of a store.
type Options struct {
	// MostBytes is how large the database may grow; 0 sets no limit.
	MostBytes int64
	// Database is the address of a PostgreSQL database (postgres://...); empty for a SQLite file in the data folder. Workshop is the name of the
	// workshop there that the class is of.
	Database, Workshop string
	// Now is the clock.
	Now func() time.Time
}

// Store is an open database. It may be used from several goroutines at once.
type Store struct {
	options Options
	db      engine
	reading queryer
	queue   chan *task
	closing chan struct{}
	done    chan struct{}
	key     ed25519.PrivateKey

	mu      sync.Mutex
	turn    int64         // counts what was written since the start
	changed chan struct{} // closed when turn is raised
	lost    map[forgotten]int64
	logged  bool              // what was deleted could not be emptied out yet
	people  map[string]Person // by their pseudonyms; nil when they have to be read anew
	renamed int64             // counts how often names came, changed or went
}

// Open opens the database that the options name, or the one in a folder, and makes one where there is none. A
// database that is damaged, cannot be written, or is not a class's, is refused with a *RefusedError.
// How it was left is said by Found.
func Open(ctx context.Context, dir string, options Options) (*Store, error) {
	if options.Now == nil {
		options.Now = time.Now
	}
	s := &Store{
		options: options,
		queue:   make(chan *task, mostWaiting), closing: make(chan struct{}), done: make(chan struct{}), changed: make(chan struct{}),
	}
	var err error
	if options.Database != "" {
		s.db, err = openWorkshop(ctx, dir, options)
	} else {
		s.db, err = openFile(ctx, dir, options.Now())
	}
	if err != nil {
		return nil, err
	}
	s.reading = s.db.reader()
	if err := s.begin(ctx); err != nil {
		s.db.close(ctx)
		return nil, s.db.fault(err)
	}
	go s.write()
	s.db.start(s.changedElsewhere)
	return s, nil
}

// begin reads what is kept at hand.
func (s *Store) begin(ctx context.Context) (err error) {
	tx, err := s.db.begin(ctx)
	if err != nil {
		return err
	}
	defer tx.rollback(ctx)
	if s.key, err = hostKey(ctx, tx); err != nil {
		return err
	}
	if s.lost, err = readForgotten(ctx, tx); err != nil {
		return err
	}
	return tx.commit(ctx, true, false)
}

// Found says how the database was left.
func (s *Store) Found() Found { return s.db.found() }

// Close writes what is waiting and closes the database.
func (s *Store) Close() error {
	close(s.closing)
	<-s.done
	return s.db.close(context.Background())
}

// Key is the host's own key, which signs hold points. It is made with the database and stays the same.
func (s *Store) Key() ed25519.PrivateKey { return s.key }

// Name is the database's own name: the host's public key, and another ending after
// each time that a backup was brought back or a host was not ended properly. What was sent to a database of another name has to be sent again.
func (s *Store) Name(ctx context.Context) (string, error) {
	name := hex.EncodeToString(s.key.Public().(ed25519.PublicKey))
	generation, err := s.Setting(ctx, "generation")
	if errors.Is(err, ErrUnknown) {
		return name, nil
	}
	return name + "." + hex.EncodeToString(generation), err
}

// now is the host's time in milliseconds since 1970.
func (s *Store) now() int64 { return s.options.Now().UnixMilli() }

// Turn counts what was written since the start; the channel is closed at the next change.
func (s *Store) Turn() (int64, <-chan struct{}) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.turn, s.changed
}

// Names counts how often names came, changed or went since the start: what was made with names is made anew then.
func (s *Store) Names() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.renamed
}

// hostKey reads the host's key, or makes it.
func hostKey(ctx context.Context, db execer) (ed25519.PrivateKey, error) {
	var seed []byte
	err := db.QueryRowContext(ctx, "SELECT value FROM setting WHERE name = 'key'").Scan(&seed)
	switch {
	case err == nil && len(seed) == ed25519.SeedSize:
		return ed25519.NewKeyFromSeed(seed), nil
	case err == nil:
		return nil, fmt.Errorf("the host's key in the database has %d bytes, not %d", len(seed), ed25519.SeedSize)
	case !errors.Is(err, sql.ErrNoRows):
		return nil, say.Because(say.That("reading the host's key"), err)
	}
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		return nil, err
	}
	if _, err := db.ExecContext(ctx, "INSERT INTO setting VALUES ('key', ?)", key.Seed()); err != nil {
		return nil, say.Because(say.That("keeping the host's key"), err)
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
		if err := held.Chmod(d, 0o700); err != nil {
			return say.Behind(ErrOpen, err)
		}
	}
	return nil
}
