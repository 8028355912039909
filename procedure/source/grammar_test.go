package source_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/grammar"
	"matchmark/procedure/source"
)

// placeOf leads from a place of the grammar to one of the base library.
var placeOf = map[grammar.Place]string{
	grammar.InMachine: "machine", grammar.InProcedure: "procedure", grammar.InStep: "step", grammar.InQuiz: "quiz",
}

// What an example needs around it so that nothing in it is left unused.
var companions = map[string]examples.Part{
	"include":  {Place: "procedures/close-off.md", Text: "---\nkind: steps\nid: close-off\ntitle: Close a part off\nparameters: [part]\n---\n## Close {part} off {#close-{part}}\n{time=3 needs=isolated}\n\nHang the barrier in front of {part}.\n"},
	"figure":   {Place: "step", Text: "::: fasteners side\n- [ ] loosen 1\n:::\n"},
	"register": {Place: "step", Text: "- [ ] drain chain-oil into crate\n"},
}

// Every example of the grammar compiles, without any message, in the first of its places.
func TestGrammarExamples(t *testing.T) {
	for _, k := range source.BlockKinds() {
		t.Run(k.Name, func(t *testing.T) {
			place, ok := placeOf[k.In[0]]
			if !ok {
				t.Fatalf("the base library has no place for a %s", k.In[0])
			}
			parts := []examples.Part{{Place: place, Text: k.Example + "\n"}}
			if p, ok := companions[k.Name]; ok {
				parts = append(parts, p)
			}
			files, err := examples.Compose(parts...)
			assert.NilError(t, err)
			if got := compileFiles(t, files); got != "" {
				t.Errorf("%s\nbrings\n%s", k.Example, got)
			}
		})
	}
}

func TestQuestionExamples(t *testing.T) {
	forms := source.QuestionForms()
	if len(forms) != len(procedure.QuestionKinds) {
		t.Errorf("%d types of question are described, there are %d", len(forms), len(procedure.QuestionKinds))
	}
	for i, q := range forms {
		if q.Kind != procedure.QuestionKinds[i] || !strings.Contains(q.Example, "{type="+string(q.Kind)) {
			t.Errorf("the %s question is described as %s with\n%s", procedure.QuestionKinds[i], q.Kind, q.Example)
		}
		files, err := examples.Compose(examples.Part{Place: "quiz", Text: q.Example + "\n"})
		assert.NilError(t, err)
		if got := compileFiles(t, files); got != "" {
			t.Errorf("%s\nbrings\n%s", q.Example, got)
		}
	}
}

// The front matter of every kind of file can be read, and shows every line that must be there.
func TestFrontMatterExamples(t *testing.T) {
	for _, k := range append(source.FileKinds(), source.Settings()) {
		name, body := "a.md", ""
		switch k.Name {
		case "quiz":
			body = source.QuestionForms()[0].Example + "\n"
		case source.Settings().Name:
			name = k.Name
		}
		var log diagnostic.Log
		fsys := fstest.MapFS{name: {Data: []byte(k.Example + body)}, "b.md": {Data: []byte(source.FileKinds()[0].Example)}}
		if _, err := source.Read(fsys, &log); err != nil {
			t.Fatal(err)
		}
		if all := log.Sorted(); len(all) > 0 {
			t.Errorf("%s\nbrings %v", k.Example, all)
		}
		for _, f := range k.Fields {
			if line := f.Path[len(f.Path)-1] + ":"; f.Required && !strings.Contains(k.Example, line) {
				t.Errorf("%s: the example lacks %s", k.Name, line)
			}
		}
	}
}

func TestBaseLibraryIsClean(t *testing.T) {
	files, err := examples.Compose()
	assert.NilError(t, err)
	if got := compileFiles(t, files); got != "" {
		t.Error(got)
	}
}

// compileFiles reads and checks a library and returns its messages as printed.
func compileFiles(t *testing.T, files map[string]string) string {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	var log diagnostic.Log
	read, err := source.Read(fsys, &log)
	assert.NilError(t, err)
	check.Library(read.Resolve(&log), &log)
	var b strings.Builder
	assert.NilError(t, (diagnostic.Printer{Excerpt: true}).Print(&b, log.Sorted()))
	return b.String()
}
