//go:build browser

package browsertest

import (
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// TestDemo compiles the demo library by the command and looks at the site from
// every side.
func TestDemo(t *testing.T) {
	wantTools(t)
	s := compileDemo(t)
	for _, look := range []struct {
		name  string
		test  func(*testing.T, *site)
		short bool // it is in a short run too
	}{
		// The longest come first, so that none is left over at the end.
		{"accessibility, light", accessibility("light"), true},
		{"accessibility, dark", accessibility("dark"), false},
		{"markup", markup, false},
		{"paper", paper, false},
		{"papers together", papersTogether, false},
		{"themes", sameThemes, false},
		{"walk by clicks", walkByClicks, false},
		{"every page from a folder", everyPageFromFolder, false},
		{"every page from a server", everyPageFromServer, false},
		{"trainer's papers", trainersPapers, false},
		{"practical assessment", assessed, false},
		{"open pages", openPages, false},
		{"long words", longWords, false},
		{"search", search, true},
		{"tables", tables, true},
		{"figures", figures, true},
		{"rows", rowNames, true},
		{"targets", targets, false},
		{"variants", variants, false},
		{"one screen", oneScreen, false},
		{"narrow", narrow, true},
		{"link ahead", linkAhead, true},
		{"hands full", handsFull, true},
		{"first screen", firstScreen, true},
		{"quiz by touch", quizByTouch, true},
		{"quiz by keyboard", quizByKeyboard, false},
	} {
		t.Run(look.name, func(t *testing.T) {
			if !look.short {
				inTestAll(t)
			}
			t.Parallel() // much of a test is waiting
			look.test(t, s)
		})
	}
}

// wantTools fails at once, with a word on what to do, when a tool is missing.
func wantTools(t *testing.T) {
	t.Helper()
	for _, tool := range []string{"pdftotext", "pdfinfo", "java", "node"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Fatalf("%s is missing: run make test, which installs what the tests need", tool)
		}
	}
	for _, name := range []string{axePath, nuPath, htmlValidatePath} {
		if _, err := os.Stat(name); err != nil {
			t.Fatalf("%s is missing: run make test, which installs what the tests need", path.Base(name))
		}
	}
}

// site is the compiled demo.
type site struct {
	dir   string   // on disk
	pages []string // site paths of all pages, in order
}

// file returns the address of a page in the folder.
func (s *site) file(page string) string { return "file://" + s.dir + "/" + page }

// first returns the first page that a pattern of package path matches, "" for none.
func (s *site) first(pattern string) string {
	for _, page := range s.pages {
		if ok, _ := path.Match(pattern, page); ok {
			return page
		}
	}
	return ""
}

func compileDemo(t *testing.T) *site {
	t.Helper()
	s := compileLibrary(t)
	if len(s.pages) < 20 {
		t.Fatalf("the demo has %d pages only: %v", len(s.pages), s.pages)
	}
	return s
}

// compileLibrary compiles the library in a folder by the command, the demo when none is given.
func compileLibrary(t *testing.T, folder ...string) *site {
	t.Helper()
	return compileLibraryBy(t, buildCommand(t), folder...)
}

func compileLibraryBy(t *testing.T, bin string, folder ...string) *site {
	t.Helper()
	base := t.TempDir()
	dir := filepath.Join(base, "trainer") // with the answer keys, which are pages too
	if out, err := exec.Command(bin, append([]string{"compile", "-o", filepath.Join(base, "site"), "--answer-keys", dir}, folder...)...).CombinedOutput(); err != nil {
		t.Fatalf("compiling the library: %v\n%s", err, out)
	}
	s := &site{dir: dir}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, entry fs.DirEntry, err error) error {
		if strings.HasSuffix(name, ".html") {
			s.pages = append(s.pages, name)
		}
		return err
	})
	assert.NilError(t, err)
	return s
}

func everyPageFromFolder(t *testing.T, s *site) { everyPage(t, s, "file://"+s.dir) }

func everyPageFromServer(t *testing.T, s *site) {
	server := httptest.NewServer(http.FileServer(http.Dir(s.dir)))
	defer server.Close()
	everyPage(t, s, server.URL)
}

// everyPage opens all pages: none complains, none asks for anything beyond the
// site, all links lead to a page, and none scrolls sideways in either position of a tablet.
func everyPage(t *testing.T, s *site, root string) {
	b := openTab(t, newProfile(t))
	for _, page := range s.pages {
		b.visit(root + "/" + page)
		for _, width := range []int{768, 1024} {
			b.resize(width)
			if wide := eval[int](b, `document.documentElement.scrollWidth`); wide > width {
				t.Errorf("%s is %d pixels wide in a window of %d: %s", page, wide, width, eval[string](b, widest))
			}
		}
		for _, link := range eval[[]string](b, `[...document.querySelectorAll("a[href]")].map(a => new URL(a.getAttribute("href"), document.baseURI).href)`) {
			at, fragment, _ := strings.Cut(strings.TrimPrefix(link, root+"/"), "#")
			if at == "" || strings.HasSuffix(at, "/") {
				at += "index.html" // the server's name for it, once it has sent the page
			}
			if !strings.HasPrefix(link, root+"/") {
				t.Errorf("%s: link %s leaves the site", page, link)
			} else if content, err := os.ReadFile(filepath.Join(s.dir, at)); err != nil {
				t.Errorf("%s: link %s leads nowhere", page, link)
			} else if fragment != "" && !strings.Contains(string(content), `id="`+fragment+`"`) {
				t.Errorf("%s: link %s leads to no such place", page, link)
			}
		}
	}
	b.wantQuiet(root)
}

// longWords puts a word into each heading that fits into no line: it is broken, and no page scrolls sideways for it.
func longWords(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.resize(768)
	for _, page := range s.pages {
		b.visit(s.file(page))
		eval[bool](b, `document.querySelectorAll("h1, h2, h3").forEach(h => h.append(" " + "Donaudampfschiff".repeat(6))) === undefined`)
		if wide := eval[int](b, `document.documentElement.scrollWidth`); wide > 768 {
			t.Errorf("%s is %d pixels wide with a long word in each heading: %s", page, wide, eval[string](b, widest))
		}
	}
}

// widest names the element that reaches farthest to the right.
const widest = `[...document.querySelectorAll("body *")].filter(e => e.checkVisibility())
	.sort((a, b) => b.getBoundingClientRect().right - a.getBoundingClientRect().right)[0].outerHTML.slice(0, 200)`
