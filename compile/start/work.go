package start

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"time"

	"matchmark/procedure/say"
)

// work is a command that runs for the page.
type work struct {
	id, library, what string
	stop              context.CancelFunc
	done              chan struct{}

	mu   sync.Mutex
	said []byte // the end of what it has printed
	exit int
}

// kept is how much of what a command prints is kept at least, in bytes: a class runs for days.
const kept = 64 << 10

// Write takes what the command prints.
func (w *work) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.said = append(w.said, b...)
	if len(w.said) > 2*kept {
		w.said = append([]byte(nil), w.said[len(w.said)-kept:]...)
	}
	return len(b), nil
}

func (w *work) ended() bool {
	select {
	case <-w.done:
		return true
	default:
		return false
	}
}

// launch begins a command, which says what it has to say in the language of the page, unless the same one runs.
func (s *Server) launch(library, what, lang string) {
	if library != "" {
		s.recent.add(library)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, w := range s.works {
		if w.library == library && w.what == what && !w.ended() {
			return
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	w := &work{id: time.Now().Format("150405.000000000"), library: library, what: what, stop: stop, done: make(chan struct{})}
	s.works = append(s.works, w)
	go func() {
		defer close(w.done)
		exit := s.run(ctx, s.commandLine(library, what, lang), w)
		w.mu.Lock()
		w.exit = exit
		w.mu.Unlock()
	}()
}

// commandLine is what is carried out: the same as could be typed.
func (s *Server) commandLine(library, what, lang string) []string {
	var args []string
	if say.Translation(lang) != nil {
		args = append(args, "--messages", lang)
	}
	if library != "" {
		args = append(args, library)
	}
	if what == "class" {
		return append([]string{"serve", "--network"}, args...)
	}
	sum := sha256.Sum256([]byte(library))
	return append([]string{"watch", "--serve", "0", "-o", filepath.Join(s.sites, hex.EncodeToString(sum[:8]))}, args...)
}

// shownWork is a work as the page shows it.
type shownWork struct {
	ID, Library string
	Class, Runs bool
	Lines       []line
}

// line is a line that a command printed, with the address in it to open.
type line struct{ Before, Link, After string }

var address = regexp.MustCompile(`https?://[^\s"]+`)

// lastLines is how many lines of a command are shown.
const lastLines = 30

// running are all works, the last one first.
func (s *Server) running() []shownWork {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []shownWork
	for i := len(s.works) - 1; i >= 0; i-- {
		w := s.works[i]
		shown := shownWork{ID: w.id, Library: w.library, Class: w.what == "class", Runs: !w.ended()}
		w.mu.Lock()
		lines := strings.Split(strings.TrimSpace(string(w.said)), "\n")
		w.mu.Unlock()
		for _, text := range lines[max(0, len(lines)-lastLines):] {
			l := line{Before: text}
			if at := address.FindStringIndex(text); at != nil {
				l = line{text[:at[0]], text[at[0]:at[1]], text[at[1]:]}
			}
			shown.Lines = append(shown.Lines, l)
		}
		out = append(out, shown)
	}
	return out
}

// view is what the page shows.
type view struct {
	Wrong     string
	Recent    []folder
	At, Above string
	Folders   []folder
	IsLibrary bool
}
