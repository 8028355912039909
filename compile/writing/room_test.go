package writing

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/starter"
	"matchmark/themes"
)

type noSite struct{ words *themes.Words }

func (s noSite) Words() *themes.Words           { return s.words }
func (s noSite) Page(patterns ...string) string { return patterns[0] }

const job = "procedures/drill-belt-off.md"

// trial is a room for a copy of the starter library.
type trial struct {
	*testing.T
	*Room
}

func newTrial(t *testing.T) *trial {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "library")
	_, err := starter.Write(dir)
	assert.NilError(t, err)
	theme, err := themes.Load()
	assert.NilError(t, err)
	words, err := theme.Words("en")
	assert.NilError(t, err)
	r, err := NewRoom(dir, theme, noSite{words})
	assert.NilError(t, err)
	t.Cleanup(func() { r.root.Close() })
	return &trial{t, r}
}

func (x *trial) request(action string, a any) *http.Request {
	body, err := json.Marshal(a)
	assert.NilError(x, err)
	q := httptest.NewRequest(http.MethodPost, "http://localhost:8017"+Path+action, bytes.NewReader(body))
	q.Header.Set("Content-Type", "application/json")
	q.Header.Set("Matchmark-Token", x.token)
	return q
}

func (x *trial) send(q *http.Request) (int, string) {
	w := httptest.NewRecorder()
	x.ServeHTTP(w, q)
	return w.Code, w.Body.String()
}

// ask is an answer that is no refusal.
func ask[T any](x *trial, action string, a asked) (out T) {
	x.Helper()
	code, body := x.send(x.request(action, a))
	if code != http.StatusOK {
		x.Fatalf("%s: %d %s", action, code, body)
	}
	assert.NilError(x, json.Unmarshal([]byte(body), &out), body)
	return out
}

// refused is the short name of a refusal.
func (x *trial) refused(action string, a asked) (out Refusal) {
	x.Helper()
	code, body := x.send(x.request(action, a))
	if code < 400 {
		x.Fatalf("%s is not refused: %s", action, body)
	}
	assert.NilError(x, json.Unmarshal([]byte(body), &out), body)
	return out
}

func (x *trial) disk(name string) string {
	x.Helper()
	source, err := os.ReadFile(filepath.Join(x.dir, name))
	assert.NilError(x, err)
	return string(source)
}

func (x *trial) put(name, source string) {
	x.Helper()
	assert.NilError(x, os.WriteFile(filepath.Join(x.dir, name), []byte(source), 0o666))
	x.Changed([]string{name}, false)
}

func TestSaveWritesWhatWasSeen(t *testing.T) {
	x := newTrial(t)
	x.put(job, mark+strings.ReplaceAll(x.disk(job), "\n", "\r\n"))
	before := ask[opened](x, "open", asked{File: job})
	if strings.ContainsAny(before.Text, "\r\ufeff") {
		t.Error("a page gets ends of lines that it cannot keep")
	}
	next := ask[saved](x, "save", asked{File: job, Sum: before.Sum, Text: before.Text + "More.\n"})
	assert.Equal(t, x.disk(job), mark+strings.ReplaceAll(before.Text, "\n", "\r\n")+"More.\r\n")

	// The same again, from a page that did not hear the answer.
	assert.Equal(t, ask[saved](x, "save", asked{File: job, Sum: before.Sum, Text: before.Text + "More.\n"}), next)

	// Somebody else writes; what the page has stays the page's.
	x.put(job, x.disk(job)+"Theirs.\r\n")
	no := x.refused("save", asked{File: job, Sum: next.Sum, Text: "mine"})
	if no.Problem != "changed" || !strings.HasSuffix(*no.Text, "More.\nTheirs.\n") {
		t.Errorf("refused by %+v", no)
	}
	ask[saved](x, "save", asked{File: job, Sum: no.Sum, Text: *no.Text + "Mine.\n"})
	if !strings.HasSuffix(x.disk(job), "Theirs.\r\nMine.\r\n") {
		t.Error("what was joined is not written")
	}
	assert.NilError(t, os.Remove(filepath.Join(x.dir, job)))
	assert.Equal(t, x.refused("save", asked{File: job, Sum: no.Sum, Text: "x"}).Problem, "gone")
	ask[saved](x, "restore", asked{File: job, Text: "x"})
	assert.Equal(t, x.disk(job), "x")
	assert.Equal(t, x.refused("restore", asked{File: job, Text: "y"}).Problem, "unwritable")
}

func TestOnlyFilesOfTheLibrary(t *testing.T) {
	x := newTrial(t)
	assert.NilError(t, os.WriteFile(filepath.Join(x.dir, "..", "out.md"), []byte("out"), 0o666))
	assert.NilError(t, os.Symlink(filepath.Join(x.dir, "..", "out.md"), filepath.Join(x.dir, "link.md")))
	for _, name := range []string{"", ".", "../out.md", "/etc/hostname", ".git/x.md", "a/../../out.md", `..\out.md`, "figures/head-left.svg", "c:x.md", "a\x00.md", ".x.md"} {
		for _, action := range []string{"open", "save", "change", "restore", "remove", "check", "complete", "rename", "tidy", "outline"} {
			if no := x.refused(action, asked{File: name}); no.Problem != "name" {
				t.Errorf("%s of %q: %+v", action, name, no)
			}
		}
	}
	x.refused("open", asked{File: "link.md"})
	x.refused("save", asked{File: "link.md", Text: "x", Sum: sumOf([]byte("out"))})
	out, err := os.ReadFile(filepath.Join(x.dir, "..", "out.md"))
	assert.NilError(t, err)
	assert.Equal(t, string(out), "out")
	x.put("latin.md", "caf\xe9")
	assert.Equal(t, x.refused("open", asked{File: "latin.md"}).Problem, "encoding")
}

func TestOnlyOwnPages(t *testing.T) {
	x := newTrial(t)
	for name, spoil := range map[string]func(*http.Request){
		"no token":      func(q *http.Request) { q.Header.Del("Matchmark-Token") },
		"another token": func(q *http.Request) { q.Header.Set("Matchmark-Token", "x") },
		"another site":  func(q *http.Request) { q.Header.Set("Sec-Fetch-Site", "cross-site") },
		"origin":        func(q *http.Request) { q.Header.Set("Origin", "http://elsewhere.example") },
		"a form":        func(q *http.Request) { q.Header.Set("Content-Type", "text/plain") },
		"GET":           func(q *http.Request) { q.Method = http.MethodGet },
	} {
		q := x.request("save", asked{File: job, Text: "x", Sum: sumOf([]byte(x.disk(job)))})
		spoil(q)
		if code, body := x.send(q); code < 400 {
			t.Errorf("%s: %d %s", name, code, body)
		}
	}
	if code, _ := x.send(x.request("save", map[string]string{"file": job, "unknown": "x"})); code != http.StatusBadRequest {
		t.Errorf("an unknown field is answered by %d", code)
	}
	if !strings.Contains(x.disk(job), "kind: procedure") {
		t.Error("something was written")
	}
	q := httptest.NewRequest(http.MethodPost, "http://localhost"+Path, nil)
	if code, _ := x.send(q); code != http.StatusMethodNotAllowed {
		t.Errorf("a post of the page is answered by %d", code)
	}
}

// checked are the messages of the whole library, but for advice.
func (x *trial) checked(a asked) []message {
	x.Helper()
	code, body := x.send(x.request("check", a))
	assert.Equal(x, code, http.StatusOK)
	lines := strings.Split(strings.TrimSpace(body), "\n")
	var first, last told
	assert.NilError(x, json.Unmarshal([]byte(lines[0]), &first))
	assert.NilError(x, json.Unmarshal([]byte(lines[len(lines)-1]), &last))
	if first.Whole || !last.Whole {
		x.Fatalf("the answer is\n%s", body)
	}
	return slices.DeleteFunc(last.Messages, func(m message) bool { return m.Severity == "advice" })
}

// TestMendsByItsEdits asks about a text that is not saved, and mends it by what is offered: places are counted as in a browser.
func TestMendsByItsEdits(t *testing.T) {
	x := newTrial(t)
	x.put(job, strings.ReplaceAll(x.disk(job), "\n", "\r\n"))
	good := ask[opened](x, "open", asked{File: job}).Text
	bad := strings.Replace(strings.Replace(good, "One person", "😀 One person", 1), "] remove 1\n", "] remvoe 1\n", 1)
	var edits []oneChange
	for _, m := range x.checked(asked{File: job, Text: bad}) {
		if m.Code == "unknown-verb" {
			edits = m.Fixes[0].Edits[0].Changes
			if got := bad[byteAt([]byte(bad), m.From):byteAt([]byte(bad), m.To)]; got != "remvoe" {
				t.Errorf("the message is on %q", got)
			}
		}
	}
	if len(edits) != 1 {
		t.Fatal("nothing is offered")
	}
	from, to := byteAt([]byte(bad), edits[0].From), byteAt([]byte(bad), edits[0].To)
	assert.Equal(t, bad[:from]+edits[0].Text+bad[to:], strings.Replace(good, "One person", "😀 One person", 1))
	if found := x.checked(asked{File: job, Text: good}); len(found) != 0 {
		t.Errorf("told %+v", found)
	}
}

func TestAnswersAtThePlace(t *testing.T) {
	x := newTrial(t)
	text := strings.Replace(ask[opened](x, "open", asked{File: job}).Text, "One person", "😀 See `top", 1)
	at := unitsAt([]byte(text), strings.Index(text, "`top")+4)
	offers := ask[[]offer](x, "complete", asked{File: job, Text: text, At: at})
	if len(offers) == 0 || offers[0].Text != "top-cover" || offers[0].From != at-3 || offers[0].To != at {
		t.Errorf("offers %+v", offers)
	}
	belt := unitsAt([]byte(text), strings.Index(text, "disconnect belt")+len("disconnect b"))
	if h := ask[hint](x, "hover", asked{File: job, Text: text, At: belt}); !strings.Contains(h.Words, "Drive belt") || h.From != belt-1 {
		t.Errorf("hint %+v", h)
	}
	all := ask[[]used](x, "uses", asked{File: job, Text: text, At: belt})
	if len(all) < 3 || all[0].File != "machines/bench-drill.md" {
		t.Errorf("uses %+v", all)
	}
	// A new name: the file that is typed in by the page, the other one on disk.
	before := ask[opened](x, "open", asked{File: job}).Text
	belt = unitsAt([]byte(before), strings.Index(before, "disconnect belt")+len("disconnect b"))
	for _, c := range ask[[]changes](x, "rename", asked{File: job, Text: before, At: belt, Name: "v-belt"}) {
		sum := ask[saved](x, "change", asked{File: c.File, Sum: c.Sum, Changes: c.Changes})
		if sum.Sum == c.Sum {
			t.Errorf("%s is as it was", c.File)
		}
	}
	after := x.disk(job)
	if found := x.checked(asked{File: job, Text: after}); len(found) != 0 || !strings.Contains(after, "disconnect v-belt") {
		t.Errorf("told %+v", found)
	}
	assert.Equal(t, x.refused("rename", asked{File: job, Text: after, At: belt, Name: "A b"}).Problem, "rename")
	if got := ask[[]symbol](x, "outline", asked{File: job, Text: after}); len(got) != 3 || got[0].ID != "isolate" {
		t.Errorf("outline %+v", got)
	}
	untidy := strings.Replace(after, "{time=2/3/5}", "{ time=2/3/5 }", 1)
	if got := ask[[]changes](x, "tidy", asked{File: job, Text: untidy}); len(got) != 1 {
		t.Errorf("tidy %+v", got)
	}
	// Files that the compiler does not read can be written in as well.
	for _, name := range []string{"README.md", "library.yaml"} {
		text := ask[opened](x, "open", asked{File: name}).Text
		ask[[]offer](x, "complete", asked{File: name, Text: text + "x", At: 1})
		ask[hint](x, "hover", asked{File: name, Text: text + "x", At: 1})
		x.checked(asked{File: name, Text: text + "\n"})
	}
}

// TestBegunFilesAreRead begins a file of each kind: none of its own lines is wrong but what is not filled in.
func TestBegunFilesAreRead(t *testing.T) {
	of := map[string]string{"procedure": "bench-drill", "quiz": "drill-belt-off", "course": "drill-belt-off"}
	for kind, want := range map[string]string{"machine": "machines/uebung-2.md", "procedure": "procedures/uebung-2.md", "quiz": "quizzes/uebung-2.md", "course": "courses/uebung-2.md"} {
		x := newTrial(t)
		title := `2: "Übung" \ 2`
		before := len(ask[[]file](x, "list", asked{}))
		made := ask[file](x, "create", asked{Kind: kind, Title: title, Of: of[kind]})
		assert.Equal(t, made.Name, want)
		if head := ask[[]file](x, "list", asked{}); len(head) != before+1 {
			t.Errorf("%d files", len(head))
		}
		for _, m := range x.checked(asked{File: made.Name, Text: x.disk(made.Name)}) {
			if m.File == made.Name && m.Severity == "error" && !strings.HasPrefix(m.Code, "no-") && !strings.HasPrefix(m.Code, "missing") && !strings.HasPrefix(m.Code, "empty") {
				t.Errorf("%s:%d: %s %s", m.File, m.Line, m.Code, m.Says)
			}
		}
		again := ask[file](x, "create", asked{Kind: kind, Title: title, Of: of[kind]})
		assert.Equal(t, again.ID, "uebung-2-2")
	}
	x := newTrial(t)
	for _, a := range []asked{{Kind: "machine", Title: "12"}, {Kind: "machine"}, {Kind: "../x", Title: "a"}, {Kind: "registers", Title: "a"}} {
		assert.Equal(t, x.refused("create", a).Problem, "name")
	}
}

func TestPageOfARoom(t *testing.T) {
	x := newTrial(t)
	for name, want := range map[string]string{"": x.token, "script.js": "matchmark", "base.css": ":root", "preview.write.css": "body.write", "NOTICES.txt": "MIT", "mark.svg": "<svg"} {
		if code, body := x.send(httptest.NewRequest(http.MethodGet, Path+name, nil)); code != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("%q: %d without %q", name, code, want)
		}
	}
	if code, _ := x.send(httptest.NewRequest(http.MethodGet, Path+"none", nil)); code != http.StatusNotFound {
		t.Errorf("a file that is not there: %d", code)
	}
}
