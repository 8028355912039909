package writing

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path"
	"regexp"
	"strings"
	"unicode/utf8"

	"matchmark/compile/assist"
	"matchmark/procedure/held"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

// file is one file of the library, in the list of files.
type file struct {
	Name  string `json:"name"`
	Kind  string `json:"kind"`
	ID    string `json:"id"`
	Title string `json:"title"`
}

// opened is a file as a page gets it to write in.
type opened struct {
	Text string `json:"text"`
	// Sum stands for the bytes on disk: whoever saves says it again.
	Sum   string `json:"sum"`
	Views views  `json:"views"`
}

// views are the pages of the site that show a file, each empty for none.
type views struct {
	Page string `json:"page"`
	// Order has the drawing of a procedure's order, Loads what carries which load, and how it is lifted.
	Order string `json:"order"`
	Loads string `json:"loads"`
}

// saved is the answer to a save.
type saved struct {
	Sum string `json:"sum"`
	// Unkept is why the text that was there before is not in the history; empty when it is.
	Unkept string `json:"unkept,omitempty"`
}

func sumOf(source []byte) string {
	sum := sha256.Sum256(source)
	return hex.EncodeToString(sum[:16])
}

// mayWrite holds the name of a file against the rules: below the library, hidden nowhere, and a file that is text.
func mayWrite(name string) error {
	ok := fs.ValidPath(name) && (path.Ext(name) == ".md" || name == "library.yaml") && !strings.ContainsAny(name, "\\:\x00")
	for _, part := range strings.Split(name, "/") {
		ok = ok && !strings.HasPrefix(part, ".")
	}
	if !ok {
		return &Refusal{Problem: "name", Detail: fmt.Sprintf("%q is no Markdown file of the library.", name), status: http.StatusUnprocessableEntity}
	}
	return nil
}

// open opens the library's folder. Nothing outside it can be read or written through it.
func (r *Room) open() (*os.Root, error) { return os.OpenRoot(r.dir) }

// openFor opens the library for a file that the page may write.
func (r *Room) openFor(name string) (*os.Root, error) {
	if err := mayWrite(name); err != nil {
		return nil, err
	}
	return r.open()
}

// read returns a file of the library.
func (r *Room) read(name string) ([]byte, error) {
	root, err := r.openFor(name)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	source, err := root.ReadFile(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &Refusal{Problem: "gone", Detail: name + " is not there any more.", status: http.StatusNotFound}
	case err != nil:
		return nil, err
	case !utf8.Valid(source):
		return nil, &Refusal{Problem: "encoding", Detail: name + " is not in UTF-8. Save it as UTF-8 in the editor that it comes from.", status: http.StatusUnprocessableEntity}
	}
	return source, nil
}

// list lists the files that can be written in.
func list(r *Room, _ *http.Request, _ http.ResponseWriter, _ *asked) (any, error) {
	root, err := r.open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	out := []file{}
	err = fs.WalkDir(root.FS(), ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case name != "." && strings.HasPrefix(path.Base(name), ".") && d.IsDir():
			return fs.SkipDir
		case d.IsDir() || mayWrite(name) != nil:
			return nil
		}
		source, err := root.ReadFile(name)
		if err != nil {
			return nil // a link that leads out, or gone by now
		}
		head := assist.HeadOf(source)
		out = append(out, file{name, head.Kind, head.ID, head.Title})
		return nil
	})
	return out, err
}

// openFile reads a file to write in.
func openFile(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	source, err := r.read(a.File)
	if err != nil {
		return nil, err
	}
	return opened{shown(source), sumOf(source), r.viewsOf(source)}, nil
}

func (r *Room) viewsOf(source []byte) views {
	out := views{Page: r.pageOf(source)}
	if head := assist.HeadOf(source); head.Kind == "procedure" && nameForm.MatchString(head.ID) {
		out.Order = r.site.Page("procedure/" + head.ID + "/index.html")
		out.Loads = r.site.Page("procedure/"+head.ID+"/lift.html", "procedure/"+head.ID+"/lift-*.html")
	}
	return out
}

// pageOf is the page of the site that shows a file best.
func (r *Room) pageOf(source []byte) string {
	head := assist.HeadOf(source)
	if !nameForm.MatchString(head.ID) && head.Kind != "glossary" {
		return r.site.Page("index.html")
	}
	switch head.Kind {
	case "procedure":
		return r.site.Page("procedure/"+head.ID+"/steps.html", "procedure/"+head.ID+"/steps-*.html", "procedure/"+head.ID+"/index.html", "index.html")
	case "machine":
		return r.site.Page("machine/"+head.ID+".html", "index.html")
	case "quiz":
		return r.site.Page("quiz/"+head.ID+"/index.html", "index.html")
	case "course":
		return r.site.Page("course/"+head.ID+".html", "index.html")
	case "glossary":
		return r.site.Page("glossary.html", "index.html")
	}
	return r.site.Page("index.html")
}

var nameForm = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)

// save writes a file, if it is still the one that the page has read.
func save(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	old, err := r.read(a.File)
	if err != nil {
		return nil, err
	}
	if sumOf(old) != a.Sum {
		// A page that did not hear the answer to its last save asks again: what it wants stands there.
		if shown(old) == a.Text {
			return saved{Sum: sumOf(old)}, nil
		}
		return nil, changed(a.File, old)
	}
	return r.write(a.File, old, written(a.Text, old))
}

func changed(name string, now []byte) error {
	words := shown(now)
	return &Refusal{Problem: "changed", Detail: name + " was changed by somebody else. Nothing was written.", Text: &words, Sum: sumOf(now), status: http.StatusConflict}
}

func (r *Room) write(name string, old, now []byte) (any, error) {
	if bytes.Equal(old, now) {
		return saved{Sum: sumOf(now)}, nil
	}
	root, err := r.open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	kept := r.remember(root, name, old, now)
	err = rewrite.Replace(root, []rewrite.File{{Old: text.NewFile(name, old), Source: now}})
	var meanwhile *rewrite.ChangedError
	switch {
	case errors.As(err, &meanwhile):
		if source, err := r.read(name); err == nil {
			return nil, changed(name, source)
		}
		return nil, err
	case err != nil:
		return nil, &Refusal{Problem: "unwritable", Detail: err.Error(), status: http.StatusInternalServerError}
	}
	r.forget(name)
	out := saved{Sum: sumOf(now)}
	if kept != nil {
		out.Unkept = kept.Error()
	}
	return out, nil
}

// change makes some changes in a file that no page has open, such as those of a new name.
func change(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	old, err := r.read(a.File)
	if err != nil {
		return nil, err
	}
	if sumOf(old) != a.Sum {
		return nil, changed(a.File, old)
	}
	f := text.NewFile(a.File, old)
	var edits []rewrite.Edit
	for _, c := range a.Changes {
		edits = append(edits, rewrite.Edit{Span: f.Span(byteAt(old, c.From), byteAt(old, c.To)), Text: c.Text})
	}
	made, err := rewrite.Make(edits)
	if err != nil {
		return nil, &Refusal{Problem: "malformed", Detail: err.Error(), status: http.StatusUnprocessableEntity}
	}
	for _, m := range made {
		return r.write(a.File, old, m.Source)
	}
	return saved{Sum: a.Sum}, nil
}

// restore writes a file again that somebody has taken away while a page had it open.
func restore(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	root, err := r.openFor(a.File)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	err = root.MkdirAll(path.Dir(a.File), 0o777)
	if err == nil {
		err = writeNew(root, a.File, a.Text)
	}
	if err != nil {
		return nil, &Refusal{Problem: "unwritable", Detail: err.Error(), status: http.StatusConflict}
	}
	r.forget(a.File)
	return saved{Sum: sumOf([]byte(a.Text))}, nil
}

// remove takes a file away, if it is still the one that the page has read, and keeps its text among its versions.
func remove(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	old, err := r.read(a.File)
	if err != nil {
		return nil, err
	}
	if sumOf(old) != a.Sum {
		return nil, changed(a.File, old)
	}
	root, err := r.open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	all, err := versionsOf(root, a.File)
	if err == nil {
		err = r.keepVersion(root, a.File, old, all)
	}
	if err == nil {
		err = held.RemoveIn(root, a.File)
	}
	if err != nil {
		return nil, &Refusal{Problem: "unwritable", Detail: err.Error(), status: http.StatusInternalServerError}
	}
	r.forget(a.File)
	r.asks().Changed(a.File)
	return saved{}, nil
}

// writeNew writes a file that must not be there yet.
func writeNew(root *os.Root, name, words string) error {
	f, err := root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	_, err = f.WriteString(words)
	return errors.Join(err, f.Sync(), f.Close())
}

// folders are where new files of a kind go.
var folders = map[string]string{"machine": "machines", "procedure": "procedures", "steps": "procedures", "refit": "refits", "quiz": "quizzes", "course": "courses"}

// create begins a new file and answers with its name. A name that is taken gets a number.
func create(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	id := slug(a.Title)
	words, err := assist.Begin(a.Kind, id, strings.TrimSpace(a.Title), a.Of)
	if err != nil || id == "" {
		return nil, &Refusal{Problem: "name", Detail: "A new file needs a title with a letter in it.", status: http.StatusUnprocessableEntity}
	}
	root, err := r.open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	folder := folders[a.Kind]
	if folder != "" {
		if err := root.MkdirAll(folder, 0o777); err != nil {
			return nil, &Refusal{Problem: "unwritable", Detail: err.Error(), status: http.StatusInternalServerError}
		}
	}
	for n := 1; n < 1000; n++ {
		another := id
		if n > 1 {
			another = fmt.Sprintf("%s-%d", id, n)
			words, _ = assist.Begin(a.Kind, another, strings.TrimSpace(a.Title), a.Of)
		}
		name := path.Join(folder, another+".md")
		err := writeNew(root, name, words)
		if errors.Is(err, fs.ErrExist) {
			continue
		}
		if err != nil {
			return nil, &Refusal{Problem: "unwritable", Detail: err.Error(), status: http.StatusInternalServerError}
		}
		r.asks().Changed(name)
		return file{name, a.Kind, another, a.Title}, nil
	}
	return nil, &Refusal{Problem: "name", Detail: "There are too many files of this name.", status: http.StatusConflict}
}

var notInName = regexp.MustCompile(`[^a-z0-9]+`)

// slug is a name made of a title: small letters, digits and hyphens, beginning with a letter.
func slug(title string) string {
	s := strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "é", "e", "è", "e", "à", "a", "ç", "c", "ñ", "n").Replace(strings.ToLower(title))
	s = strings.Trim(notInName.ReplaceAllString(s, "-"), "-")
	s = strings.TrimLeft(s, "0123456789-")
	return strings.TrimRight(s[:min(len(s), 60)], "-")
}
