package draft

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/content"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
)

// english are keys in place of words, but for the language, which the words of removals are read in.
func english(key string, _ ...any) string {
	if key == "refit.language" {
		return "en"
	}
	return key
}

// read reads files, which must be free of errors.
func read(t *testing.T, files fstest.MapFS) *procedure.Library {
	t.Helper()
	var log diagnostic.Log
	read, err := source.Read(files, &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	for _, d := range log.Sorted() {
		if d.Severity == diagnostic.Error {
			t.Fatalf("%s: %s", d.Span.File.Name, d.Says())
		}
	}
	return lib
}

// done writes down what the steps of a refitting do, step by step.
func done(p *procedure.Procedure) []string {
	var out []string
	for _, s := range p.Steps {
		line := s.ID + ":"
		for _, a := range s.Actions() {
			line += " " + string(a.Verb) + " " + a.Object.ID
		}
		out = append(out, line)
	}
	return out
}

// TestDraftsOfTheDemo: the drafts of the demo's refittings are sources that read without an error, do what was derived, in
// its order, and have one gap for each step whose removal has words.
func TestDraftsOfTheDemo(t *testing.T) {
	bare := fstest.MapFS{}
	err := fs.WalkDir(content.Library(), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(name, "refits/") || strings.HasPrefix(name, "records/") || strings.HasPrefix(name, "courses/") {
			return err
		}
		src, err := fs.ReadFile(content.Library(), name)
		bare[name] = &fstest.MapFile{Data: src}
		return err
	})
	assert.NilError(t, err)
	lib := read(t, bare)
	derived := map[string]*procedure.Procedure{}
	drafted := fstest.MapFS{}
	for name, f := range bare {
		drafted[name] = f
	}
	gaps := 0
	var open []string // steps of which nobody knows how they are done, by words of the removal
	for _, p := range lib.Procedures {
		back := refit.Derive(p, refit.AdditionsOf(p), english)
		if len(back.Steps) == 0 {
			continue
		}
		src := Source(p, back)
		for _, s := range back.Steps {
			if s.Gap {
				gaps++
				open = append(open, s.ID)
			}
		}
		gaps -= strings.Count(src, Gap)
		derived[p.ID] = back
		drafted["refits/"+p.ID+".md"] = &fstest.MapFile{Data: []byte(src)}
	}
	assert.Assert(t, len(derived) > 2)
	// Where the holding bar rests when the hub nut is tightened, and how the mat is hung, stand in no register and no sentence.
	assert.DeepEqual(t, open, []string{"hub-nut-back", "mat-off-back"})
	assert.Equal(t, gaps, 0, "each step whose removal has words has one gap")
	for _, p := range read(t, drafted).Procedures {
		before := derived[p.ID]
		if before == nil {
			continue
		}
		after := refit.Derive(p, refit.AdditionsOf(p), english)
		assert.DeepEqual(t, done(after), done(before))
		for i, s := range after.Steps {
			assert.Assert(t, !s.Gap, s.ID)
			assert.Equal(t, s.Title, before.Steps[i].Title)
			assert.Equal(t, s.People, max(before.Steps[i].People, 1), s.ID)
			assert.Equal(t, s.SafeStop, before.Steps[i].SafeStop, s.ID)
		}
		assert.Equal(t, Source(p, after), "", "nothing is left to write")
	}
}
