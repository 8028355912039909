package host

import (
	"net/http"
	"strings"
	"testing"

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
	c.want(http.StatusNoContent, nil, "POST", "/board/leave", map[string]string{})
	c.want(http.StatusUnauthorized, nil, "GET", key, nil)
}

// Names that a file system takes for the key's name.
// Source: Microsoft, "Naming Files, Paths, and Namespaces" (case, trailing dots and spaces; from memory).
func TestNamesOfKeys(t *testing.T) {
	for name, want := range map[string]bool{
		"quiz/a/key.html": true, "QUIZ/a/Key.HTML": true, "quiz/a/key.html.": true, "quiz/a/key.html ": true, "quiz./a/key.html": true,
		"quiz/a/index.html": false, "quiz/key.html": false, "course/a/key.html": false, "quiz/a/b/key.html": false, "procedure/key/index.html": false,
	} {
		if isKey(name) != want {
			t.Errorf("%q: %v, want %v", name, !want, want)
		}
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
