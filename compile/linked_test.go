package compile

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/spreadsheet"
)

// linkTools moves the tools of the generated machine into other files: those of a registers file, which has them from a spreadsheet.
func (w *author) linkTools() {
	w.t.Helper()
	w.replace("machines/machine-0000.md", "::: register tools\n| id | name | kind |\n|---|---|---|\n| socket-13 | Socket 13 mm | tool |\n| padlock | Own padlock and tag | protection |\n| crate | Crate | container |\n:::\n",
		"::: register tools {from=lists/tools.md}\n:::\n")
	w.write("lists/tools.md", "---\nkind: registers\ntitle: Tools\n---\n::: register tools {from=lists/tools.xlsx}\n:::\n")
	w.tools("Socket 13 mm")
}

func (w *author) write(name, content string) {
	w.t.Helper()
	at := filepath.Join(w.dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(at), 0o777); err != nil {
		w.t.Fatal(err)
	}
	if err := os.WriteFile(at, []byte(content), 0o666); err != nil {
		w.t.Fatal(err)
	}
}

// tools writes the spreadsheet, with that name for the socket.
func (w *author) tools(socket string) {
	w.t.Helper()
	s := spreadsheet.Sheet{Name: "Tools"}
	for _, row := range [][]string{{"ID", "Name", "Type"}, {"socket-13", socket, "tool"}, {"padlock", "Own padlock and tag", "protection"}, {"crate", "Crate", "container"}} {
		var cells []spreadsheet.Cell
		for _, x := range row {
			cells = append(cells, spreadsheet.Cell{Text: x})
		}
		s.Rows = append(s.Rows, cells)
	}
	content, err := spreadsheet.Write([]spreadsheet.Sheet{s})
	if err != nil {
		w.t.Fatal(err)
	}
	w.write("lists/tools.xlsx", string(content))
}

// A spreadsheet that a machine has rows from is a part of the library: what changes in it is on the pages, in one update and
// after a start.
func TestLinkedFilesAreWatched(t *testing.T) {
	w := watch(t, 2)
	w.linkTools()
	if !w.update(Change{All: true}) {
		t.Fatal("the library has errors")
	}
	w.tools("Long socket 13 mm")
	if !w.update(Change{Names: []string{"lists/tools.xlsx"}}) || !slices.Contains(w.recompiled, "machines/machine-0000.md") || !slices.Contains(w.recompiled, "procedures/procedure-00000.md") {
		t.Errorf("made anew: %v", w.recompiled)
	}
	w.start()
	w.tools("Deep socket 13 mm")
	if !w.update(Change{All: true}) || !slices.Contains(w.recompiled, "machines/machine-0000.md") {
		t.Errorf("after a start, made anew: %v", w.recompiled)
	}
	w.write("lists/tools.xlsx", "no spreadsheet")
	if w.update(Change{Names: []string{"lists/tools.xlsx"}}) {
		t.Error("a spreadsheet that cannot be read is no error")
	}
	assert.NilError(t, os.Remove(filepath.Join(w.dir, "lists/tools.xlsx")))
	if w.update(Change{Names: []string{"lists/tools.xlsx"}}) {
		t.Error("a spreadsheet that is not there is no error")
	}
	w.tools("Socket 13 mm")
	if !w.update(Change{Names: []string{"lists/tools.xlsx"}}) {
		t.Error("a spreadsheet that is there again is an error")
	}
	w.replace("machines/machine-0000.md", " {from=lists/tools.md}\n:::\n", "\n| id | name | kind |\n|---|---|---|\n| socket-13 | Socket 13 mm | tool |\n| padlock | Own padlock and tag | protection |\n| crate | Crate | container |\n:::\n")
	if !w.update(Change{Names: []string{"machines/machine-0000.md"}}) {
		t.Error("a file that nobody takes rows from is an error")
	}
}

// A machine that is made from another one changes with it.
func TestMachineLikeAnotherIsWatched(t *testing.T) {
	w := watch(t, 2)
	src, err := os.ReadFile(filepath.Join(w.dir, "procedures/procedure-00001.md"))
	assert.NilError(t, err)
	for name, file := range likeAnother(string(src)) {
		w.write(name, string(file.Data))
	}
	if !w.update(Change{All: true}) {
		t.Fatal("the library has errors")
	}
	w.replace("machines/machine-0000.md", "| cover-2 | Cover 2 |", "| cover-2 | Long cover 2 |")
	w.update(Change{Names: []string{"machines/machine-0000.md"}})
	if !slices.Contains(w.recompiled, "procedures/small.md") || !slices.Contains(w.recompiled, "machines/small.md") {
		t.Errorf("made anew: %v", w.recompiled)
	}
}
