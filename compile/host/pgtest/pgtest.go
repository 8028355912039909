// Package pgtest runs PostgreSQL for tests: a server of their own, in a folder of its own, reached by a Unix socket and by nothing else. Where
// it cannot be had, a test is skipped, and says what is missing.
package pgtest

import (
	"bytes"
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// user is who owns the tables in it; it is no user of the system.
const user = "matchmark"

// Server is a server that a test started.
type Server struct {
	dir, bin string
	durable  bool
	process  *exec.Cmd
	log      *os.File
}

// Start makes a server and starts it, or skips the test. A durable one has what it acknowledges on the disk; one that is not is faster.
func Start(t testing.TB, durable bool) *Server {
	t.Helper()
	s, err := begin(durable)
	if err != nil {
		t.Skipf("PostgreSQL: %v", err)
	}
	t.Cleanup(s.remove)
	return s
}

// shared is one for all tests of a package.
var shared struct {
	once sync.Once
	*Server
	err error
}

// Shared is one server for all tests of a package, which End ends; or it skips the test.
func Shared(t testing.TB) *Server {
	t.Helper()
	shared.once.Do(func() { shared.Server, shared.err = begin(false) })
	if shared.err != nil {
		t.Skipf("PostgreSQL: %v", shared.err)
	}
	return shared.Server
}

// End ends the shared server, if there is one. It is for TestMain.
func End() {
	if shared.Server != nil {
		shared.Server.remove()
	}
}

// begin makes a database cluster and starts a server on it.
func begin(durable bool) (*Server, error) {
	bin, err := binaries()
	if err != nil {
		return nil, err
	}
	above := os.TempDir()
	if info, err := os.Stat("/tmp"); err == nil && info.IsDir() {
		above = "/tmp" // a socket's path is short, and another user comes by here
	}
	dir, err := os.MkdirTemp(above, "matchmark-pg-")
	if err != nil {
		return nil, err
	}
	s := &Server{dir: dir, bin: bin, durable: durable}
	if err := s.make(); err != nil {
		s.remove()
		return nil, err
	}
	return s, nil
}

func (s *Server) make() error {
	if err := giveAway(s.dir); err != nil {
		return err
	}
	initdb := exec.Command(filepath.Join(s.bin, "initdb"), "-D", s.data(), "-U", user, "-A", "trust", "-E", "UTF8", "--no-locale", "--no-sync")
	initdb.Dir = s.dir
	if err := asOwner(initdb); err != nil {
		return err
	}
	if out, err := initdb.CombinedOutput(); err != nil {
		return fmt.Errorf("initdb: %w: %s", err, out)
	}
	return s.Start()
}

func (s *Server) data() string { return filepath.Join(s.dir, "data") }

// Start starts a server that was stopped, and waits until it answers.
func (s *Server) Start() error {
	args := []string{"-D", s.data(), "-k", s.dir, "-c", "listen_addresses=", "-c", "max_connections=120", "-c", "log_min_messages=fatal", "-c", "client_min_messages=error"}
	if !s.durable {
		args = append(args, "-c", "fsync=off", "-c", "full_page_writes=off")
	}
	s.process = exec.Command(filepath.Join(s.bin, "postgres"), args...)
	s.process.Dir = s.dir
	if err := asOwner(s.process); err != nil {
		return err
	}
	if s.log == nil {
		var err error
		if s.log, err = os.CreateTemp("", "matchmark-pg-log-"); err != nil {
			return err
		}
	}
	s.process.Stdout, s.process.Stderr = s.log, s.log
	if err := s.process.Start(); err != nil {
		return err
	}
	var err error
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		ctx, stop := context.WithTimeout(context.Background(), 5*time.Second)
		var conn *pgx.Conn
		if conn, err = pgx.Connect(ctx, s.URL("postgres")); err == nil {
			err = conn.Close(ctx)
			stop()
			return err
		}
		stop()
	}
	said, _ := os.ReadFile(s.log.Name()) // for the message
	return fmt.Errorf("the server does not answer: %w: %s", err, said)
}

// Stop ends the server: fast ends what is under way, immediate ends the server as a crash does.
// Source: PostgreSQL, "Shutting Down the Server": SIGINT and SIGQUIT.
func (s *Server) Stop(immediate bool) {
	if s.process == nil {
		return
	}
	how := fast
	if immediate {
		how = crash
	}
	_ = s.process.Process.Signal(how) // it may have ended by itself
	_ = s.process.Wait()              // it says how it ended
	s.process = nil
}

func (s *Server) remove() {
	s.Stop(true)
	os.RemoveAll(s.dir)
	if s.log != nil {
		s.log.Close()
		os.Remove(s.log.Name())
	}
}

// URL is the address of a database of the server.
func (s *Server) URL(database string) string {
	u := url.URL{Scheme: "postgres", Path: "/" + database, RawQuery: url.Values{"host": {s.dir}, "user": {user}}.Encode()}
	return u.String()
}

// Database makes a database and returns its address.
func (s *Server) Database(t testing.TB, name string) string {
	t.Helper()
	s.Do(t, "postgres", "CREATE DATABASE "+name)
	return s.URL(name)
}

// Do carries out statements in a database.
func (s *Server) Do(t testing.TB, database string, statements ...string) {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), s.URL(database))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	for _, x := range statements {
		if _, err := conn.Exec(context.Background(), x); err != nil {
			t.Fatalf("%s: %v", x, err)
		}
	}
}

// Dump is all that a database holds, as text.
func (s *Server) Dump(t testing.TB, database string) string {
	t.Helper()
	dump := exec.Command(filepath.Join(s.bin, "pg_dump"), "-h", s.dir, "-U", user, "--inserts", database)
	out, err := dump.Output()
	if err != nil {
		t.Fatalf("pg_dump: %v", err)
	}
	return string(out)
}

// Copy copies a schema of a database by pg_dump. back puts the copy in its place.
func (s *Server) Copy(t testing.TB, database, schema string) (back func()) {
	t.Helper()
	dump := exec.Command(filepath.Join(s.bin, "pg_dump"), "-h", s.dir, "-U", user, "-n", schema, "-c", "--if-exists", "-d", database)
	copied, err := dump.Output()
	if err != nil {
		t.Fatalf("pg_dump: %v", err)
	}
	return func() {
		t.Helper()
		bring := exec.Command(filepath.Join(s.bin, "psql"), "-h", s.dir, "-U", user, "-q", "-v", "ON_ERROR_STOP=1", "-d", database)
		bring.Stdin = bytes.NewReader(copied)
		if out, err := bring.CombinedOutput(); err != nil {
			t.Fatalf("psql: %v: %s", err, out)
		}
	}
}

// binaries is the folder of the server's programs: on the path, or where Debian has them, the latest first.
func binaries() (string, error) {
	if initdb, err := exec.LookPath("initdb"); err == nil {
		if real, err := filepath.EvalSymlinks(initdb); err == nil {
			return filepath.Dir(real), nil
		}
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/initdb") // the pattern is sound
	if len(found) == 0 {
		return "", fmt.Errorf("initdb is not there; install the package postgresql")
	}
	return filepath.Dir(slices.Max(found)), nil
}
