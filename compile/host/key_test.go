package host

import (
	"errors"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/building"
	"matchmark/compile/host/store"
)

// The key to a quiz is sent to the trainer only, and nothing keeps it.
func TestKeysAreForTheTrainer(t *testing.T) {
	c := newClass(t, store.Options{})
	const key = "/quiz/oven-quiz/key.html"
	for _, headers := range [][]string{nil, {"Accept", "text/html,*/*;q=0.8"}, {"Range", "bytes=0-99"}, {"If-None-Match", "*"}} {
		for _, method := range []string{"GET", "HEAD"} {
			w := c.want(http.StatusUnauthorized, nil, method, key, nil, headers...)
			if body := w.Body.String(); strings.Contains(body, "right") || w.Header().Get("ETag") != "" || w.Header().Get("Cache-Control") != "no-store" {
				t.Errorf("%s %v: %v %s", method, headers, w.Header(), body)
			}
		}
	}
	refused(t, c.ask("GET", key, nil))
	if body := c.ask("GET", key, nil, "Accept", "text/html").Body.String(); !strings.Contains(body, "answers to a quiz") || !strings.Contains(body, `href="/board/?to=%2Fquiz%2Foven-quiz%2Fkey.html"`) {
		t.Errorf("the page does not say why, or not where to sign in: %s", body)
	}
	// What a learner works with is sent.
	for _, at := range []string{"/quiz/oven-quiz/index.html", "/quiz/oven-quiz/form.html"} {
		c.want(http.StatusOK, nil, "GET", at, nil)
	}
	c.enter()
	if w := c.want(http.StatusOK, nil, "GET", key, nil); w.Header().Get("Cache-Control") != "no-store" || !strings.Contains(w.Body.String(), "For the trainer.") {
		t.Errorf("the trainer gets %v", w.Header())
	}
	if w := c.want(http.StatusOK, nil, "GET", "/board/keys", nil); w.Header().Get("Cache-Control") != "no-store" || !strings.Contains(w.Body.String(), `href="`+key+`"`) {
		t.Errorf("the trainer's list of keys: %v %s", w.Header(), w.Body)
	}
	c.want(http.StatusNoContent, nil, "POST", "/board/leave", map[string]string{})
	c.want(http.StatusUnauthorized, nil, "GET", key, nil)
}

// A file system may know the key by more names than one. Here links stand for them.
// Source: Microsoft, "Naming Files, Paths, and Namespaces" (case, dots and spaces at the end, short names; from memory).
func TestOtherNamesOfKeys(t *testing.T) {
	site := t.TempDir()
	assert.NilError(t, os.CopyFS(site, os.DirFS(filepath.Join(theDemo().dir, "site"))))
	c := newClass(t, store.Options{})
	named, err := building.Open(c.Library, site)
	assert.NilError(t, err)
	defer c.Host.site.Close()
	c.Host.site = named
	quiz := filepath.Join(site, "quiz", "oven-quiz")
	for _, name := range []string{"KEY~1.HTM", "Key.HTML", "key.html ", "form.html~"} {
		of := "key.html"
		if name == "form.html~" {
			of = "form.html"
		}
		if err := os.Link(filepath.Join(quiz, of), filepath.Join(quiz, name)); errors.Is(err, fs.ErrExist) {
			continue // it is one of its names here
		} else if err != nil {
			t.Skipf("a file cannot have two names here: %v", err)
		}
	}
	for at, want := range map[string]int{
		"KEY~1.HTM": http.StatusUnauthorized, "Key.HTML": http.StatusUnauthorized, "key.html%20": http.StatusUnauthorized, "%6bey.html": http.StatusUnauthorized,
		"form.html~": http.StatusOK, "form.html": http.StatusOK, "": http.StatusOK,
	} {
		c.want(want, nil, "GET", "/quiz/oven-quiz/"+at, nil)
	}
	c.want(http.StatusUnauthorized, nil, "GET", "/quiz%2Foven-quiz%2Fkey.html", nil)
	c.want(http.StatusNotFound, nil, "GET", "/quiz/oven-quiz/key.html/", nil)
	c.enter()
	if w := c.want(http.StatusOK, nil, "GET", "/quiz/oven-quiz/KEY~1.HTM", nil); w.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("under another name the key is sent with %v", w.Header())
	}
}

// A person whose session has ended is told where to sign in, and gets no bare answer for scripts.
func TestPagesOfTheBoardSayWhereToSignIn(t *testing.T) {
	c := newClass(t, store.Options{})
	for _, at := range []string{"/board/workorder/" + aJob, "/board/results/oven-quiz"} {
		w := c.want(http.StatusUnauthorized, nil, "GET", at, nil, "Accept", "text/html")
		if body := w.Body.String(); !strings.Contains(body, "<h1") || !strings.Contains(body, "/board/?to=%2Fboard%2F") {
			t.Errorf("%s: %s", at, body)
		}
		refused(t, c.want(http.StatusUnauthorized, nil, "GET", at, nil))
	}
}
