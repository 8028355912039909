package interchange

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/compile"
	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

func packages(t *testing.T, standard Standard) []Package {
	t.Helper()
	var log diagnostic.Log
	all, err := Packages(content.Library(), standard, "", &log)
	assert.NilError(t, err)
	return all
}

// unpacked returns a package's files, by name, and the names in their order.
func unpacked(t *testing.T, p Package) (map[string][]byte, []string) {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(p.Content), int64(len(p.Content)))
	if err != nil {
		t.Fatalf("%s: %v", p.Name, err)
	}
	files, names := map[string][]byte{}, []string(nil)
	for _, f := range r.File {
		content, err := f.Open()
		assert.NilError(t, err)
		if files[f.Name], err = io.ReadAll(content); err != nil {
			t.Fatal(err)
		}
		names = append(names, f.Name)
	}
	return files, names
}

func TestPackagesOfTheDemo(t *testing.T) {
	for _, standard := range []Standard{QTI, SCORM} {
		first, again := packages(t, standard), packages(t, standard)
		var names []string
		for i, p := range first {
			names = append(names, p.Name)
			if !bytes.Equal(p.Content, again[i].Content) {
				t.Errorf("%s differs from one export to the next", p.Name)
			}
			files, inside := unpacked(t, p)
			if inside[0] != Manifest {
				t.Errorf("%s begins with %s", p.Name, inside[0])
			}
			for name, content := range files {
				if ext := path.Ext(name); ext == ".xml" || ext == ".svg" {
					wellFormed(t, p.Name+"/"+name, content)
				}
			}
			wantListed(t, p.Name, files)
		}
		want := []string{"blower-quiz-" + string(standard) + ".zip", "mixer-quiz-" + string(standard) + ".zip", "oven-quiz-" + string(standard) + ".zip", "sheeter-quiz-" + string(standard) + ".zip"}
		if !slices.Equal(names, want) {
			t.Errorf("packages %v, want %v", names, want)
		}
	}
}

func wellFormed(t *testing.T, name string, content []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(content))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
	}
}

// identifier is what both standards take as an identifier: an XML NCName, here of ASCII letters.
// Source: XML Schema 1.0, part 2, 3.3.7 and 3.3.8.
var identifier = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9._-]*$`)

// wantListed looks whether the manifest names each file of the package once and
// nothing else, and whether what refers to something finds it.
func wantListed(t *testing.T, name string, files map[string][]byte) {
	t.Helper()
	var m struct {
		Schema    string `xml:"metadata>schema"`
		Version   string `xml:"metadata>schemaversion"`
		Resources []struct {
			ID    string `xml:"identifier,attr"`
			Href  string `xml:"href,attr"`
			Files []struct {
				Href string `xml:"href,attr"`
			} `xml:"file"`
			Dependencies []struct {
				Ref string `xml:"identifierref,attr"`
			} `xml:"dependency"`
		} `xml:"resources>resource"`
		Items []struct {
			Ref string `xml:"identifierref,attr"`
		} `xml:"organizations>organization>item"`
	}
	if err := xml.Unmarshal(files[Manifest], &m); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	// SCORM 1.2 Content Aggregation Model, 2.3.2.2; QTI 3.0 packaging, and the examples of its guide.
	if got := m.Schema + " " + m.Version; got != "ADL SCORM 1.2" && got != "QTI Package 3.0.0" {
		t.Errorf("%s is a package of %q", name, got)
	}
	ids, refs, listed := map[string]bool{}, []string(nil), []string{Manifest}
	for _, r := range m.Resources {
		if ids[r.ID] || !identifier.MatchString(r.ID) {
			t.Errorf("%s: resource %q", name, r.ID)
		}
		ids[r.ID] = true
		inside := false
		for _, f := range r.Files {
			listed = append(listed, f.Href)
			inside = inside || f.Href == r.Href
		}
		if !inside {
			t.Errorf("%s: resource %s does not list its own %s", name, r.ID, r.Href)
		}
		for _, d := range r.Dependencies {
			refs = append(refs, d.Ref)
		}
	}
	for _, i := range m.Items {
		refs = append(refs, i.Ref)
	}
	for _, ref := range refs {
		if !ids[ref] {
			t.Errorf("%s: %q refers to nothing", name, ref)
		}
	}
	var there []string
	for name := range files {
		there = append(there, name)
	}
	slices.Sort(there)
	slices.Sort(listed)
	if !slices.Equal(there, listed) {
		t.Errorf("%s holds %v and lists %v", name, there, listed)
	}
}

func TestUnknownQuiz(t *testing.T) {
	var log diagnostic.Log
	_, err := Packages(content.Library(), SCORM, "mixer-quizz", &log)
	var unknown *UnknownError
	if !errors.As(err, &unknown) || unknown.Suggest != "mixer-quiz" {
		t.Errorf("got %v", err)
	}
}

func TestLibraryWithErrors(t *testing.T) {
	var log diagnostic.Log
	_, err := Packages(fstest.MapFS{"q.md": {Data: []byte("---\nkind: quiz\nid: q\ntitle: Q\nprocedure: none\n---\n")}}, QTI, "", &log)
	if !errors.Is(err, compile.ErrDiagnostics) || !log.HasErrors() {
		t.Errorf("got %v", err)
	}
}

// Nothing in a page of a SCORM package leads out of the package, and its scripts are there.
func TestPageStandsAlone(t *testing.T) {
	link := regexp.MustCompile(`(?:href|src)="([^"]*)"`)
	for _, p := range packages(t, SCORM) {
		files, names := unpacked(t, p)
		at := names[slices.IndexFunc(names, func(n string) bool { return strings.HasSuffix(n, ".html") })]
		found := 0
		for _, m := range link.FindAllStringSubmatch(string(files[at]), -1) {
			if strings.HasPrefix(m[1], "#") {
				continue
			}
			found++
			if _, there := files[path.Join(path.Dir(at), m[1])]; !there {
				t.Errorf("%s: %s leads out of the package", p.Name, m[1])
			}
		}
		if found < 8 {
			t.Errorf("%s: only %d links", p.Name, found)
		}
		adapter, quiz := bytes.Index(files[at], []byte("/scorm.js")), bytes.Index(files[at], []byte("/quiz.js"))
		if adapter < 0 || quiz < adapter {
			t.Errorf("%s: the script for the learning system stands at %d, the quiz's at %d", p.Name, adapter, quiz)
		}
	}
}
