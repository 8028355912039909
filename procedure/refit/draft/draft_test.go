package draft

import (
	"fmt"
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

// done writes down what the steps of a refitting say and do, step by step, but for the words of a gap.
func done(p *procedure.Procedure) []string {
	var out []string
	for _, s := range p.Steps {
		lines := []string{s.ID, s.Title, s.Chapter, fmt.Sprint(max(s.People, 1), s.SafeStop), s.Figure.ID, fmt.Sprint(ids(s.Who), ids(s.Tools), ids(s.Needs), ids(s.Variants))}
		for _, b := range s.Blocks {
			shown := b.Shows()
			switch {
			case shown.Warning != nil:
				lines = append(lines, fmt.Sprint(shown.Warning.Signal, ids(shown.Warning.About), shown.Warning.Standing, shown.Warning.Prose.Plain()))
			case shown.Text != nil && !strings.Contains(shown.Text.Plain(), "refit.gap") && !strings.HasPrefix(shown.Text.Plain(), Gap):
				lines = append(lines, strings.Join(strings.Fields(shown.Text.Plain()), " "))
			case shown.Point != nil:
				lines = append(lines, shown.Point.Point+": "+shown.Point.Reason.Plain())
			case shown.Must != nil:
				lines = append(lines, "must "+shown.Must.Plain())
			case shown.Hold != nil:
				lines = append(lines, fmt.Sprint(shown.Hold.Title, shown.Hold.Signature, shown.Hold.SafeStop))
				for _, c := range shown.Hold.Confirmations {
					lines = append(lines, c.Plain())
				}
			}
			if shown.Lift != nil && *shown.Lift != (procedure.HandLift{}) {
				lines = append(lines, fmt.Sprint(*shown.Lift))
			}
			for _, a := range shown.Actions {
				lines = append(lines, fmt.Sprint(a.Verb, " ", a.Object.ID, a.Count.N, ids(a.With), a.At, a.Hook, ids(a.Who), a.Locks, a.Reason.Plain()))
			}
		}
		out = append(out, strings.Join(lines, " ")) // words that follow each other are one block or two
	}
	return out
}

func ids(list []procedure.Ref) (out []string) {
	for _, r := range list {
		out = append(out, r.ID)
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
	// How the wires lie in the terminal box, where the holding bar rests when the hub nut is tightened, and how the mat is hung, stand in no register and no sentence.
	assert.DeepEqual(t, open, []string{"cable-off-back", "hub-nut-back", "mat-off-back"})
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
