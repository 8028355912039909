package preview

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/themes"
)

const (
	machineFile = "\ufeff---\r\nkind: machine\r\nid: oven\r\ntitle: Öfen\r\n---\r\n::: register parts \"Parts\"\r\n| id | name | letter | base |\r\n|---|---|---|---|\r\n| door | Door | D | yes |\r\n:::\r\n" +
		"::: figure front \"Front\" {src=figures/front.svg describe=\"An oven\"}\r\n- 4 at 12,8 balloon 6,4\r\n-\t4 at 20.5,30 40,30 balloon 6,4  \r\n- door at <!-- 1,2 --> 1,2 balloon 3,4\r\n- **5** at 1,2 balloon 3,4\r\n:::\r\n" +
		"::: figure lost \"Lost\" {src=figures/lost.svg describe=\"Nothing\"}\r\n- 4 at 12,8 balloon 6,4\r\n:::\r\n" +
		"::: figure away \"Away\" {src=../secret.svg describe=\"Not ours\"}\r\n- 4 at 12,8 balloon 6,4\r\n:::"
	procedureFile = "---\nkind: procedure\nid: fan-out\ntitle: Fan out\nmachine: oven\nedition: \"1\"\n---\n::: figure fan \"Fan\" {src=figures/front.svg describe=\"A fan\"}\n- 4 at 12,8 balloon 6,4\n:::\n::: include shared\n:::\n"
	stepsFile     = "---\nkind: steps\nid: shared\ntitle: Shared\n---\n::: figure panel \"Panel\" {src=figures/front.svg describe=\"A panel\"}\n- 4 at 12,8 balloon 6,4\n:::\n"
	drawing       = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 40.5"><path d="M0 0L60 40"/></svg>`
)

// loadTheme reads the theme once for all cases.
var loadTheme = sync.OnceValues(themes.Load)

// authored returns a server for a library on disk, and its folder.
func authored(t *testing.T) (*Server, string) {
	t.Helper()
	parent := t.TempDir()
	dir := filepath.Join(parent, "library")
	put(t, parent, "secret.svg", drawing)
	put(t, dir, "machines/oven.md", machineFile)
	put(t, dir, "procedures/fan-out.md", procedureFile)
	put(t, dir, "procedures/shared.md", stepsFile)
	put(t, dir, "figures/front.svg", drawing)
	theme, err := loadTheme()
	assert.NilError(t, err)
	s, err := serverOf(filepath.Join(parent, "site"), theme)
	assert.NilError(t, err)
	s.MoveBalloonsIn(dir)
	return s, dir
}

func content(t *testing.T, dir, name string) string {
	t.Helper()
	found, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	assert.NilError(t, err)
	return string(found)
}

// post sends a request as a page of the preview does; change may make it another.
func post(s *Server, target, body string, change func(*http.Request)) *http.Response {
	r := httptest.NewRequest("POST", "http://localhost:8017"+target, strings.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Origin", "http://localhost:8017")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	if change != nil {
		change(r)
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w.Result()
}

func postMove(t *testing.T, s *Server, m move) (status int, answer string) {
	t.Helper()
	asked, err := json.Marshal(m)
	assert.NilError(t, err)
	r := post(s, "/.preview/move", string(asked), nil)
	return r.StatusCode, body(t, r)
}

func TestMoves(t *testing.T) {
	for name, c := range map[string]struct {
		move           move
		file, from, to string
	}{
		"balloon":               {move{"machine/oven.html", "front", "4", 0, 0, "6,4", "7,40.5"}, "machines/oven.md", "- 4 at 12,8 balloon 6,4", "- 4 at 12,8 balloon 7,40.5"},
		"leader of a second":    {move{"machine/oven.html", "front", "4", 1, 2, "40,30", "60,0"}, "machines/oven.md", "\t4 at 20.5,30 40,30 ", "\t4 at 20.5,30 60,0 "},
		"behind a comment":      {move{"procedure/fan-out/steps.html", "front", "door", 0, 1, "1,2", "2.5,2"}, "machines/oven.md", "--> 1,2 ", "--> 2.5,2 "},
		"of the procedure":      {move{"procedure/fan-out/steps-belt.html", "fan", "4", 0, 0, "6,4", "7,4"}, "procedures/fan-out.md", "6,4", "7,4"},
		"of shared steps":       {move{"procedure/fan-out/checklist.html", "panel", "4", 0, 0, "6,4", "7,4"}, "procedures/shared.md", "6,4", "7,4"},
		"seen in the refitting": {move{"procedure/fan-out-back/steps.html", "panel", "4", 0, 1, "12,8", "13,8"}, "procedures/shared.md", "12,8", "13,8"},
	} {
		t.Run(name, func(t *testing.T) {
			s, dir := authored(t)
			before := map[string]string{}
			for _, file := range []string{"machines/oven.md", "procedures/fan-out.md", "procedures/shared.md"} {
				before[file] = content(t, dir, file)
			}
			at := filepath.Join(dir, filepath.FromSlash(c.file))
			assert.NilError(t, os.Chmod(at, 0o604))
			if status, answer := postMove(t, s, c.move); status != 200 || !strings.Contains(answer, `"file":"`+c.file+`"`) || !strings.Contains(answer, `"undo":true`) {
				t.Fatalf("%d %s", status, answer)
			}
			for file, was := range before {
				want := was
				if file == c.file {
					want = strings.Replace(was, c.from, c.to, 1)
				}
				if now := content(t, dir, file); now != want {
					t.Errorf("%s is\n%q, want\n%q", file, now, want)
				}
			}
			if info, err := os.Stat(at); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o604 {
				t.Errorf("the permissions are %v, %v", info.Mode(), err)
			}
			// The same again is a look at what was there before.
			if status, answer := postMove(t, s, c.move); status != 409 || !strings.Contains(answer, `"problem":"changed"`) {
				t.Errorf("twice: %d %s", status, answer)
			}
			if r := post(s, "/.preview/undo", "{}", nil); r.StatusCode != 200 || !strings.Contains(body(t, r), `"undo":false`) {
				t.Errorf("undo: %d", r.StatusCode)
			}
			if now := content(t, dir, c.file); now != before[c.file] {
				t.Errorf("taken back, %s is\n%q, want\n%q", c.file, now, before[c.file])
			}
			if r := post(s, "/.preview/undo", "{}", nil); r.StatusCode != 409 || !strings.Contains(body(t, r), `"problem":"nothing"`) {
				t.Errorf("undo with nothing to undo: %d", r.StatusCode)
			}
		})
	}
}

func TestMovesRefused(t *testing.T) {
	good := move{"machine/oven.html", "front", "4", 0, 0, "6,4", "7,4"}
	with := func(change func(*move)) move {
		m := good
		change(&m)
		return m
	}
	for name, c := range map[string]struct {
		move    move
		status  int
		problem string
	}{
		"outside":              {with(func(m *move) { m.To = "60.1,4" }), 422, "outside"},
		"no point":             {with(func(m *move) { m.To = "-1,4" }), 422, "malformed"},
		"words":                {with(func(m *move) { m.To = "7,4 balloon 1,1" }), 422, "malformed"},
		"another value":        {with(func(m *move) { m.From = "6,5" }), 409, "changed"},
		"another thing":        {with(func(m *move) { m.Thing = "44" }), 409, "changed"},
		"by hand only":         {with(func(m *move) { m.Thing, m.From = "5", "3,4" }), 409, "by-hand"},
		"no such figure":       {with(func(m *move) { m.Figure = "back" }), 404, "gone"},
		"no such machine":      {with(func(m *move) { m.Page = "machine/lathe.html" }), 404, "gone"},
		"no page of figures":   {with(func(m *move) { m.Page = "index.html" }), 404, "gone"},
		"a path trick":         {with(func(m *move) { m.Page = "machine/../machine/oven.html" }), 404, "gone"},
		"picture not there":    {with(func(m *move) { m.Figure = "lost" }), 422, "picture"},
		"picture outside":      {with(func(m *move) { m.Figure = "away" }), 422, "picture"},
		"figure of another":    {with(func(m *move) { m.Figure = "fan" }), 404, "gone"},
		"point that is not it": {with(func(m *move) { m.Point = 2 }), 409, "changed"},
	} {
		s, dir := authored(t)
		if status, answer := postMove(t, s, c.move); status != c.status || !strings.Contains(answer, `"problem":"`+c.problem+`"`) {
			t.Errorf("%s: %d %s", name, status, answer)
		}
		if now := content(t, dir, "machines/oven.md"); now != machineFile {
			t.Errorf("%s: the file is\n%q", name, now)
		}
		if s.author.undoable() {
			t.Errorf("%s: it can be undone", name)
		}
	}
}

// A move that was overtaken by the author's own hand is not taken back over it;
// the one before still is.
func TestUndoAfterAnEdit(t *testing.T) {
	s, dir := authored(t)
	for _, m := range []move{{"machine/oven.html", "front", "door", 0, 0, "3,4", "4,4"}, {"machine/oven.html", "front", "4", 0, 0, "6,4", "7,4"}} {
		if status, answer := postMove(t, s, m); status != 200 {
			t.Fatalf("%d %s", status, answer)
		}
	}
	edited := strings.Replace(content(t, dir, "machines/oven.md"), "balloon 7,4", "balloon 9,9", 1)
	put(t, dir, "machines/oven.md", edited)
	if r := post(s, "/.preview/undo", "{}", nil); r.StatusCode != 409 || content(t, dir, "machines/oven.md") != edited {
		t.Errorf("undo over an edit: %d", r.StatusCode)
	}
	if r := post(s, "/.preview/undo", "{}", nil); r.StatusCode != 200 || content(t, dir, "machines/oven.md") != strings.Replace(machineFile, "- 4 at 12,8 balloon 6,4", "- 4 at 12,8 balloon 9,9", 1) {
		t.Errorf("the move before: %d, %q", r.StatusCode, content(t, dir, "machines/oven.md"))
	}
}

// While a picture is away, as when its folder is moved, a move cannot be taken back, but it can be once the picture is there again.
func TestUndoWhileThePictureIsAway(t *testing.T) {
	s, dir := authored(t)
	if status, answer := postMove(t, s, move{"machine/oven.html", "front", "4", 0, 0, "6,4", "7,4"}); status != 200 {
		t.Fatalf("%d %s", status, answer)
	}
	from, to := filepath.Join(dir, "figures"), filepath.Join(dir, "pictures")
	assert.NilError(t, os.Rename(from, to))
	if r := post(s, "/.preview/undo", "{}", nil); r.StatusCode != 422 {
		t.Errorf("undo without the picture: %d", r.StatusCode)
	}
	assert.NilError(t, os.Rename(to, from))
	if r := post(s, "/.preview/undo", "{}", nil); r.StatusCode != 200 || content(t, dir, "machines/oven.md") != machineFile {
		t.Errorf("undo with the picture back: %d, %q", r.StatusCode, content(t, dir, "machines/oven.md"))
	}
}

// Whoever is not a page of this preview changes nothing.
func TestWhoMayMove(t *testing.T) {
	const asked = `{"page":"machine/oven.html","figure":"front","thing":"4","which":0,"point":0,"from":"6,4","to":"7,4"}`
	for name, c := range map[string]struct {
		body   string
		change func(*http.Request)
		status int
	}{
		"another site":           {asked, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		"another port":           {asked, func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, 403},
		"another origin":         {asked, func(r *http.Request) { r.Header.Del("Sec-Fetch-Site"); r.Header.Set("Origin", "http://example.org") }, 403},
		"no origin at all":       {asked, func(r *http.Request) { r.Header.Del("Sec-Fetch-Site"); r.Header.Set("Origin", "null") }, 403},
		"a name that leads here": {asked, func(r *http.Request) { r.Host = "example.org"; r.Header.Set("Origin", "http://example.org") }, 403},
		"a form":                 {asked, func(r *http.Request) { r.Header.Set("Content-Type", "text/plain") }, 415},
		"no type":                {asked, func(r *http.Request) { r.Header.Del("Content-Type") }, 415},
		"another method":         {asked, func(r *http.Request) { r.Method = "PUT" }, 405},
		"a reader":               {asked, func(r *http.Request) { r.Method = "GET" }, 405},
		"no JSON":                {"page=x", nil, 400},
		"nothing":                {"", nil, 400},
		"an unknown field":       {strings.Replace(asked, `"page"`, `"file":"x","page"`, 1), nil, 400},
		"two values":             {asked + asked, nil, 400},
		"a word for a number":    {strings.Replace(asked, `"which":0`, `"which":"0"`, 1), nil, 400},
		"too much":               {strings.Replace(asked, "oven", strings.Repeat("o", moveSize), 1), nil, 413},
	} {
		s, dir := authored(t)
		if r := post(s, "/.preview/move", c.body, c.change); r.StatusCode != c.status {
			t.Errorf("%s: %d %s, want %d", name, r.StatusCode, body(t, r), c.status)
		}
		if now := content(t, dir, "machines/oven.md"); now != machineFile {
			t.Errorf("%s: the file is\n%q", name, now)
		}
		if r := post(s, "/.preview/undo", c.body, c.change); r.StatusCode == 200 {
			t.Errorf("%s: undo is answered", name)
		}
	}
	// Without a library, as with the demo, there is nothing to move.
	s := newServer(t, site(t))
	for _, target := range []string{"/.preview/move", "/.preview/undo"} {
		if r := post(s, target, asked, nil); r.StatusCode != 405 {
			t.Errorf("%s without a library: %d", target, r.StatusCode)
		}
	}
	if r := ask(s, "GET", "localhost", "/.preview/figures"); r.StatusCode != 404 {
		t.Errorf("figures without a library: %d", r.StatusCode)
	}
}

// A file that is a link stays one, wherever it leads.
func TestMovesThroughLinks(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need a right there")
	}
	for name, target := range map[string]string{"inside": "../kept/oven.txt", "outside": "../../oven.txt"} {
		s, dir := authored(t)
		put(t, dir, "machines/"+target, machineFile)
		link := filepath.Join(dir, "machines", "oven.md")
		assert.NilError(t, os.Remove(link))
		assert.NilError(t, os.Symlink(target, link))
		if status, answer := postMove(t, s, move{"machine/oven.html", "front", "4", 0, 0, "6,4", "7,4"}); status < 400 {
			t.Errorf("%s: %d %s", name, status, answer)
		}
		if got, err := os.Readlink(link); err != nil || got != target || content(t, dir, "machines/"+target) != machineFile {
			t.Errorf("%s: the link leads to %q, %v, or what it leads to was changed", name, got, err)
		}
	}
}

func TestFiguresOfAPage(t *testing.T) {
	s, dir := authored(t)
	list := func(page string) (ids []string, first placed) {
		t.Helper()
		r := httptest.NewRequest("GET", "http://localhost/.preview/figures?page="+page, nil)
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r)
		var got struct {
			Figures []placed
			Undo    bool
		}
		if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || w.Code != 200 || got.Undo {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
		for _, f := range got.Figures {
			ids = append(ids, f.ID)
		}
		if len(got.Figures) > 0 {
			first = got.Figures[0]
		}
		return ids, first
	}
	for page, want := range map[string][]string{
		"machine/oven.html": {"front"}, "procedure/fan-out/steps.html": {"fan", "panel", "front"}, "procedure/fan-out-back/steps.html": {"fan", "panel", "front"},
		"machine/lathe.html": nil, "procedure/x/steps.html": nil, "index.html": nil, "": nil, "../machine/oven.html": nil,
	} {
		if got, _ := list(page); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v, want %v", page, got, want)
		}
	}
	// What the files say now, not what was compiled.
	put(t, dir, "machines/oven.md", strings.Replace(machineFile, "balloon 6,4", "balloon 6.50,4", 1))
	_, front := list("machine/oven.html")
	want := placed{ID: "front", Width: 60, Height: 40.5, Balloons: []placedBalloon{
		{Thing: "4", Text: "4", Points: []string{"6.50,4", "12,8"}},
		{Thing: "4", Which: 1, Text: "4", Points: []string{"6,4", "20.5,30", "40,30"}},
		{Thing: "door", Text: "D", Points: []string{"3,4", "1,2"}},
		{Thing: "5", Text: "5", Points: []string{"3,4", "1,2"}, ByHand: true},
	}}
	if !reflect.DeepEqual(front, want) {
		t.Errorf("%+v, want %+v", front, want)
	}
}

// Only pages whose figures can be found say so, and only with a library.
func TestPagesThatCanMoveBalloons(t *testing.T) {
	dir := site(t)
	put(t, dir, "machine/oven.html", startPage)
	s := newServer(t, dir)
	says := func(target string) bool {
		return strings.Contains(body(t, ask(s, "GET", "localhost", target)), `"page":"`+strings.TrimPrefix(target, "/")+`"`)
	}
	if says("/machine/oven.html") {
		t.Error("without a library")
	}
	s.MoveBalloonsIn(t.TempDir())
	for target, want := range map[string]bool{"/machine/oven.html": true, "/procedure/x/index.html": true, "/index.html": false} {
		if says(target) != want {
			t.Errorf("%s: %v", target, !want)
		}
	}
}
