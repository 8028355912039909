//go:build browser

package browsertest

import (
	"archive/zip"
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"gotest.tools/v3/assert"
)

// nodeModules is where the independent players of packages are installed.
const nodeModules = "../../.ci/node_modules"

// exported has the command make a package of the demo's mixer quiz, and returns its files.
func exported(t *testing.T, standard string) map[string][]byte {
	t.Helper()
	file := filepath.Join(t.TempDir(), "quiz.zip")
	if out, err := exec.Command("go", "run", "matchmark/cmd/matchmark", "export", "--quiz", "mixer-quiz", "--as", standard, "-o", file).CombinedOutput(); err != nil {
		t.Fatalf("exporting: %v\n%s", err, out)
	}
	archive, err := zip.OpenReader(file)
	assert.NilError(t, err)
	defer archive.Close()
	files := map[string][]byte{}
	for _, f := range archive.File {
		r, err := f.Open()
		assert.NilError(t, err)
		if files[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
		r.Close()
	}
	return files
}

// servePackage serves a package's files, a player's page beside them, and the
// installed players below /player/.
func servePackage(t *testing.T, files map[string][]byte, at, page string) string {
	t.Helper()
	mux := http.NewServeMux()
	mux.Handle("/player/", http.StripPrefix("/player/", http.FileServer(http.Dir(nodeModules))))
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		name := r.URL.Path[1:]
		content, there := files[name]
		if name == at {
			content, there = []byte(page), true
		}
		if !there {
			http.NotFound(w, r)
			return
		}
		http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(content))
	})
	server := httptest.NewServer(mux)
	t.Cleanup(server.Close)
	return server.URL
}
