package output

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"

	"matchmark/procedure/held"
)

// Update changes some files of a site in place. New files are staged beside the
// site; then a journal says what goes where; then they are renamed in. A process
// that dies before the journal has changed nothing. One that dies after it leaves
// a mix, which the next Begin or BeginUpdate carries on to the new site.
type Update struct {
	site *Build

	mu      sync.Mutex
	puts    []put
	removes []string
}

// put is a staged file: its number, its sum and where it goes.
type put struct {
	number int
	sum    string
	name   string
}

// BeginUpdate starts an update of the site in a folder. It returns a *Fault as Begin does.
func BeginUpdate(named string) (*Update, error) {
	b, err := enterFolder(named, exchange)
	if err != nil {
		return nil, err
	}
	u := &Update{site: b}
	if err := os.Mkdir(b.next(), 0o777); err != nil {
		b.clear()
		return nil, cannotWrite(named, err)
	}
	return u, nil
}

// Put stages a file.
func (u *Update) Put(name string, content []byte, sum [sha256.Size]byte) error {
	if err := CheckPath(name); err != nil && name != Marker {
		return err
	}
	u.mu.Lock()
	p := put{len(u.puts), hex.EncodeToString(sum[:]), name}
	u.puts = append(u.puts, p)
	u.mu.Unlock()
	if err := os.WriteFile(u.site.staged(p.number), content, 0o666); err != nil {
		return cannotWrite(u.site.named, err)
	}
	return nil
}

// Remove notes a file that goes.
func (u *Update) Remove(name string) {
	u.mu.Lock()
	u.removes = append(u.removes, name)
	u.mu.Unlock()
}

// List replaces the marker with one that lists the site's files.
func (u *Update) List(names []string) error {
	content := marker(names)
	return u.Put(Marker, content, sha256.Sum256(content))
}

// Names lists the files that are put in and taken out, in order.
func (u *Update) Names() (in, out []string) {
	for _, p := range u.puts {
		if p.name != Marker {
			in = append(in, p.name)
		}
	}
	slices.Sort(in)
	return in, slices.Sorted(slices.Values(u.removes))
}

// Abort ends the update and leaves the site as it is.
func (u *Update) Abort() { u.site.clear() }

// Commit puts the files in place and ends the update. during is called around the
// moment in which the site is a mix, so that readers can be held off; nil for
// nobody. When Commit returns an error, the site is either as it was, or the next
// Begin completes it.
//
// The journal is forced to the disk and the files are not: after a power cut one
// that is not what the journal says is left out, and a compile makes it again.
func (u *Update) Commit(during func(func() error) error) error {
	defer u.site.clear()
	if len(u.puts)+len(u.removes) == 0 {
		return nil
	}
	if err := u.writeJournal(); err != nil {
		return cannotWrite(u.site.named, err)
	}
	if during == nil {
		during = func(move func() error) error { return move() }
	}
	if err := during(u.site.rollForward); err != nil {
		return cannotWrite(u.site.named, err)
	}
	return nil
}

const journalHead = "matchmark journal 1\n"

func (u *Update) writeJournal() error {
	b := bytes.NewBufferString(journalHead)
	for _, p := range u.puts {
		fmt.Fprintf(b, "put %d %s %s\n", p.number, p.sum, p.name)
	}
	for _, name := range u.removes {
		fmt.Fprintf(b, "remove %s\n", name)
	}
	sum := sha256.Sum256(b.Bytes())
	fmt.Fprintf(b, "end %s\n", hex.EncodeToString(sum[:]))
	draft := u.site.journal() + ".new"
	file, err := os.Create(draft)
	if err != nil {
		return err
	}
	_, err = file.Write(b.Bytes())
	if err = errors.Join(err, file.Sync(), file.Close()); err != nil {
		return err
	}
	return held.Rename(draft, u.site.journal())
}

// rollForward does what a journal says, from wherever it was left, and takes the
// journal away. Without a journal it does nothing.
func (b *Build) rollForward() error {
	content, err := os.ReadFile(b.journal())
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	puts, removes, whole := readJournal(content)
	if whole {
		for _, p := range puts {
			if err := b.putIn(p); err != nil {
				return err
			}
		}
		for _, name := range removes {
			if err := b.takeOut(name); err != nil {
				return err
			}
		}
	}
	return held.Remove(b.journal())
}

// readJournal reads a journal; whole is false when it was not written to its end.
func readJournal(content []byte) (puts []put, removes []string, whole bool) {
	body, end, found := strings.Cut(string(content), "end ")
	for found && !strings.HasSuffix(body, "\n") { // the words were part of a name
		var more string
		more, end, found = strings.Cut(end, "end ")
		body += "end " + more
	}
	sum := sha256.Sum256([]byte(body))
	if !found || end != hex.EncodeToString(sum[:])+"\n" || !strings.HasPrefix(body, journalHead) {
		return nil, nil, false
	}
	for line := range strings.Lines(strings.TrimPrefix(body, journalHead)) {
		line = strings.TrimSuffix(line, "\n")
		if name, ok := strings.CutPrefix(line, "remove "); ok {
			removes = append(removes, name)
			continue
		}
		fields := strings.SplitN(line, " ", 4)
		if len(fields) != 4 {
			return nil, nil, false
		}
		number, err := strconv.Atoi(fields[1])
		if err != nil {
			return nil, nil, false
		}
		puts = append(puts, put{number, fields[2], fields[3]})
	}
	return puts, removes, true
}

// putIn renames a staged file in. One that is not there was renamed in before.
func (b *Build) putIn(p put) error {
	from, to := b.staged(p.number), b.at(b.dir, p.name)
	content, err := os.ReadFile(from)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if sum := sha256.Sum256(content); hex.EncodeToString(sum[:]) != p.sum {
		return held.Remove(from) // lost in a power cut
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
		return err
	}
	return held.Rename(from, to)
}

// takeOut removes a file, and the folders that it leaves empty.
func (b *Build) takeOut(name string) error {
	at := b.at(b.dir, name)
	if err := held.Remove(at); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for dir := filepath.Dir(at); dir != b.dir && strings.HasPrefix(dir, b.dir); dir = filepath.Dir(dir) {
		if held.Remove(dir) != nil {
			break // not empty
		}
	}
	return nil
}

func (b *Build) next() string        { return filepath.Join(b.work, "next") }
func (b *Build) staged(n int) string { return filepath.Join(b.next(), strconv.Itoa(n)) }
func (b *Build) journal() string     { return filepath.Join(b.work, "journal") }
func marker(names []string) []byte   { return []byte(markerHead + strings.Join(names, "\n") + "\n") }
