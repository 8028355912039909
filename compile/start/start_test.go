package start

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

// begun starts the page with a command that prints what it was called with and runs until it is stopped.
func begun(t *testing.T, dir string) (s *Server, at string, done <-chan error) {
	t.Helper()
	run := func(ctx context.Context, args []string, out io.Writer) int {
		fmt.Fprintf(out, "%s\nThe site is at http://127.0.0.1:4711/ now.\n", strings.Join(args, " "))
		<-ctx.Done()
		return 0
	}
	s, err := New(run, filepath.Join(dir, "settings", "recent.json"), filepath.Join(dir, "sites"))
	assert.NilError(t, err)
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	assert.NilError(t, err)
	ended := make(chan error, 1)
	ctx, stop := context.WithCancel(context.Background())
	t.Cleanup(stop)
	go func() { ended <- s.Serve(ctx, listener) }()
	return s, s.Address(listener), ended
}

// visitor is a browser that keeps cookies.
type visitor struct {
	t *testing.T
	http.Client
	base string
}

func visit(t *testing.T, at string) *visitor {
	jar, err := cookiejar.New(nil)
	assert.NilError(t, err)
	v := &visitor{t, http.Client{Jar: jar, Timeout: 10 * time.Second}, at[:strings.LastIndex(at, "/")]}
	_, status := v.read(v.Get(at))
	assert.Equal(t, status, 200)
	return v
}

func (v *visitor) read(r *http.Response, err error) (string, int) {
	v.t.Helper()
	assert.NilError(v.t, err)
	defer r.Body.Close()
	content, err := io.ReadAll(r.Body)
	assert.NilError(v.t, err)
	return string(content), r.StatusCode
}

// A library is made in a folder whose name has spaces and letters of all kinds, opened, served, remembered, and all ends with the page.
func TestFromTheFirstPageToTheLast(t *testing.T) {
	dir := t.TempDir()
	home := filepath.Join(dir, "Lehrgänge für 修理 A")
	assert.NilError(t, os.Mkdir(home, 0o777))
	s, at, done := begun(t, dir)
	v := visit(t, at)

	page, _ := v.read(v.Get(v.base + "/?at=" + url.QueryEscape(home)))
	assert.Assert(t, strings.Contains(page, home))
	for _, bad := range []string{"", "..", "a/b"} {
		_, status := v.read(v.PostForm(v.base+"/new", url.Values{"at": {home}, "name": {bad}}))
		assert.Equal(t, status, http.StatusUnprocessableEntity, bad)
	}
	page, status := v.read(v.PostForm(v.base+"/new", url.Values{"at": {home}, "name": {"Öfen"}}))
	made := filepath.Join(home, "Öfen")
	assert.Equal(t, status, 200)
	assert.Assert(t, strings.Contains(page, made), "it is remembered")
	_, err := os.Stat(filepath.Join(made, "library.yaml"))
	assert.NilError(t, err)
	page, status = v.read(v.PostForm(v.base+"/new", url.Values{"at": {home}, "name": {"Öfen"}}))
	assert.Equal(t, status, http.StatusUnprocessableEntity)
	assert.Assert(t, strings.Contains(page, "is not empty"))

	_, status = v.read(v.PostForm(v.base+"/class", url.Values{"library": {made}}))
	assert.Equal(t, status, 200)
	_, status = v.read(v.PostForm(v.base+"/write", url.Values{"library": {filepath.Join(home, "none")}}))
	assert.Equal(t, status, http.StatusUnprocessableEntity)
	for range 1000 {
		if page, _ = v.read(v.Get(v.base + "/running")); strings.Count(page, `href="http://127.0.0.1:4711/"`) == 2 {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	assert.Assert(t, strings.Contains(page, "watch --serve 0 -o "+filepath.Join(dir, "sites")), page)
	assert.Assert(t, strings.Contains(page, "serve --network "+made), page)
	assert.Assert(t, !s.idle(time.Now().Add(time.Hour)), "something is running")

	page, _ = v.read(v.PostForm(v.base+"/quit", nil))
	assert.Assert(t, strings.Contains(page, "matchmark has ended"))
	assert.NilError(t, <-done)
	assert.Assert(t, s.idle(time.Now().Add(time.Hour)), "what was running has ended")
}

// Without the address with its token, from another site or by another name there is no page.
func TestOnlyForThisComputer(t *testing.T) {
	_, at, _ := begun(t, t.TempDir())
	stranger := &visitor{t: t, base: at[:strings.LastIndex(at, "/")]}
	_, status := stranger.read(stranger.Get(stranger.base + "/"))
	assert.Equal(t, status, http.StatusForbidden)
	v := visit(t, at)
	for name, change := range map[string]func(*http.Request){
		"another site": func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") },
		"another name": func(r *http.Request) { r.Host = "matchmark.example" },
	} {
		r, err := http.NewRequest("POST", v.base+"/quit", nil)
		assert.NilError(t, err)
		change(r)
		_, status := v.read(v.Do(r))
		assert.Equal(t, status, http.StatusForbidden, name)
	}
}

// The page speaks the browser's language.
func TestLanguage(t *testing.T) {
	_, at, _ := begun(t, t.TempDir())
	v := visit(t, at)
	for accepts, want := range map[string]string{"de-AT,de;q=0.9,en;q=0.5": "Bibliothek öffnen", "fi": "Open a library", "": "Open a library"} {
		r, err := http.NewRequest("GET", v.base+"/", nil)
		assert.NilError(t, err)
		r.Header.Set("Accept-Language", accepts)
		page, _ := v.read(v.Do(r))
		assert.Assert(t, strings.Contains(page, want), accepts)
	}
}

// What a command prints for days takes no more room than its end.
func TestOnlyTheEndIsKept(t *testing.T) {
	w := &work{}
	for range 1000 {
		if n, err := w.Write([]byte(strings.Repeat("x", 999) + "\n")); n != 1000 || err != nil {
			t.Fatal(n, err)
		}
	}
	w.Write([]byte("the last line\n"))
	if len(w.said) > 2*kept || !strings.HasSuffix(string(w.said), "the last line\n") {
		t.Errorf("%d bytes are kept", len(w.said))
	}
}
