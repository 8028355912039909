package source

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/xuri/excelize/v2"
	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/spreadsheet"
	"matchmark/procedure/text"
)

// readWith reads a machine whose register has rows in another file.
func readWith(t *testing.T, block string, files map[string]string) (*procedure.Machine, string) {
	t.Helper()
	all := map[string]string{"mixer.md": machineHead + block}
	for name, content := range files {
		all[name] = content
	}
	lib, log := readFiles(t, all)
	lib.Resolve(log)
	var said []string
	for _, d := range log.Sorted() {
		said = append(said, d.At().String()+" "+string(d.Code)+": "+d.Says().String())
	}
	if len(lib.Machines) == 0 {
		t.Fatal(said)
	}
	return lib.Machines[0], strings.Join(said, "\n")
}

func TestLinkedTables(t *testing.T) {
	const csvBolts = "Bolts of the mixer;;;\n;;;\nNo.;Description;Type;Torque (Nm)\n1;Cover bolt;bolt;45\n2;Lock nut;nut;\nTotal;;;45\n"
	m, said := readWith(t, "::: register fasteners {from=lists/bolts.csv}\nEach: treatment dry\n\n- 2: no-torque set by hand\n:::\n", map[string]string{"lists/bolts.csv": csvBolts})
	if said != "" || len(m.Fasteners) != 2 || m.Fasteners[0].Torque.String() != "45 N·m" || m.Fasteners[1].NoTorque != "set by hand" || m.Fasteners[1].Treatment != "dry" {
		t.Errorf("%s: %+v", said, m.Fasteners)
	}
	if len(m.Sources) != 1 || m.Sources[0].Name != "lists/bolts.csv" {
		t.Errorf("sources: %v", m.Sources)
	}
	for name, c := range map[string]struct{ block, content, want string }{
		"not there":        {"::: register parts {from=lists/none.csv}\n:::\n", "", "mixer.md:6:26 linked-file: \"lists/none.csv\" cannot be read: file does not exist"},
		"outside":          {"::: register parts {from=../a.csv}\n:::\n", "", "mixer.md:6:26 linked-file: \"../a.csv\" cannot be the source of a register"},
		"another kind":     {"::: register parts {from=a.pdf}\n:::\n", "", "mixer.md:6:26 linked-file: \"a.pdf\" cannot be the source of a register"},
		"no heading":       {"::: register parts {from=lists/a.csv}\n:::\n", "a,b\nc,d\n", "lists/a.csv:1:1 linked-file: no row here has the headings of the register \"parts\""},
		"unknown column":   {"::: register parts {from=lists/a.csv}\n:::\n", "id,name,Price\na,A,3\n", "lists/a.csv:1:9 unknown-column: \"Price\" is not a column of the register \"parts\""},
		"left out":         {"::: register parts {from=lists/a.csv leave=\"price, Supplier\"}\n:::\n", "id,name,Price\na,A,3\n", ""},
		"bad cell":         {"::: register parts {from=lists/a.csv}\n:::\n", "id,name,mass\na,A,3 furlongs\n", "lists/a.csv:2:7 bad-quantity: unknown unit \"furlongs\""},
		"sheet of nothing": {"::: register parts {sheet=A}\n| id | name |\n|---|---|\n| a | A |\n:::\n", "", "mixer.md:6:21 linked-file: \"sheet\" is about a linked file, and there is none"},
	} {
		files := map[string]string{}
		if c.content != "" {
			files["lists/a.csv"] = c.content
		}
		if _, said := readWith(t, c.block, files); said != c.want {
			t.Errorf("%s: %s\nwant %s", name, said, c.want)
		}
	}
}

func TestLinkedWorkbook(t *testing.T) {
	book := func(fill func(*excelize.File)) string {
		f := excelize.NewFile()
		fill(f)
		var b bytes.Buffer
		assert.NilError(t, f.Write(&b))
		return b.String()
	}
	two := book(func(f *excelize.File) {
		f.SetSheetRow("Sheet1", "A1", &[]any{"ID", "Name", "Weight (kg)"})
		f.SetSheetRow("Sheet1", "A2", &[]any{"guard", "Guard", 3.5})
		f.SetSheetRow("Sheet1", "A3", &[]any{"hood", "Hood", "heavy"})
		f.MergeCell("Sheet1", "A3", "A4")
		f.NewSheet("Parts")
		f.SetSheetRow("Parts", "A1", &[]any{"Part", "Weight"})
		f.SetSheetRow("Parts", "A2", &[]any{"Rear hood", "12 kg"})
	})
	m, said := readWith(t, "::: register parts {from=lists/m.xlsx}\n:::\n", map[string]string{"lists/m.xlsx": two})
	if said != "" || len(m.Parts) != 1 || m.Parts[0].ID != "rear-hood" || m.Parts[0].Mass.String() != "12 kg" {
		t.Errorf("the sheet of that name: %s, %+v", said, m.Parts)
	}
	_, said = readWith(t, "::: register parts {from=lists/m.xlsx sheet=sheet1}\n:::\n", map[string]string{"lists/m.xlsx": two})
	want := "lists/m.xlsx:Sheet1!A3 linked-file: the cells A3:A4 are merged: only the first of them holds the words\n" +
		"lists/m.xlsx:Sheet1!C3 bad-quantity: the quantity does not start with a number"
	if said != want {
		t.Errorf("%s\nwant\n%s", said, want)
	}
	_, said = readWith(t, "::: register tools {from=lists/m.xlsx}\n:::\n", map[string]string{"lists/m.xlsx": two})
	if !strings.Contains(said, "the file has 2 sheets") {
		t.Error(said)
	}
	_, said = readWith(t, "::: register parts {from=lists/m.xlsx sheet=Partz}\n:::\n", map[string]string{"lists/m.xlsx": two})
	if !strings.Contains(said, `there is no sheet "Partz"`) {
		t.Error(said)
	}
}

// In a German library the numbers of a workbook are the same numbers.
func TestNumbersOfAWorkbookHaveNoLanguage(t *testing.T) {
	f := excelize.NewFile()
	f.SetSheetRow("Sheet1", "A1", &[]any{"ID", "Name", "Gewicht (kg)"})
	f.SetSheetRow("Sheet1", "A2", &[]any{"guard", "Haube", 1.234})
	var b bytes.Buffer
	assert.NilError(t, f.Write(&b))
	m, said := readWith(t, "::: register parts {from=m.xlsx}\n:::\n", map[string]string{"m.xlsx": b.String(), "library.yaml": "title: A\nlanguage: de\n"})
	if said != "" || m.Parts[0].Mass.String() != "1.234 kg" {
		t.Errorf("%s: %s", said, m.Parts[0].Mass)
	}
}

func TestRegistersFile(t *testing.T) {
	const shared = "---\nkind: registers\ntitle: Tools\n---\n::: register tools\nEach: kind tool\n\n| id | name |\n|---|---|\n| ratchet | Ratchet |\n| torch | Torch |\n:::\n"
	m, said := readWith(t, "::: register tools {from=lists/tools.md}\n- torch: quantity 2\n\n| id | name | kind |\n|---|---|---|\n| wedge | Wedge | tool |\n:::\n", map[string]string{"lists/tools.md": shared})
	var ids []string
	for _, x := range m.Tools {
		ids = append(ids, x.ID)
	}
	if said != "" || !slices.Equal(ids, []string{"ratchet", "torch", "wedge"}) || m.Tools[1].Quantity.String() != "2 pcs" {
		t.Errorf("%s: %v", said, ids)
	}
	_, said = readWith(t, "", map[string]string{"lists/tools.md": shared})
	if said != "lists/tools.md:1:1 unused-file: no machine takes rows from this file" {
		t.Error(said)
	}
	_, said = readWith(t, "::: register parts {from=lists/tools.md}\n:::\n", map[string]string{"lists/tools.md": shared})
	if !strings.Contains(said, `"lists/tools.md" has no register "parts"`) {
		t.Error(said)
	}
	_, said = readWith(t, "::: register parts {from=mixer.md}\n:::\n", nil)
	if !strings.Contains(said, "is no registers file") {
		t.Error(said)
	}
}

// Each link is known before the file is read as a whole.
func TestLinksAreWhatIsRead(t *testing.T) {
	src := machineHead + "::: register parts {from=lists/a.csv}\n:::\n::: register tools \"Tools\" {sheet=x from=\"lists/two words.xlsx\"}\n:::\n"
	if got := Links([]byte(src)); !slices.Equal(got, []string{"lists/a.csv", "lists/two words.xlsx"}) {
		t.Errorf("%q", got)
	}
}

// A machine's registers written into a spreadsheet, and taken from it again, are the same; so are they when they are taken
// over into Markdown.
func TestThereAndBack(t *testing.T) {
	names, err := filepath.Glob("../../content/machines/*.md")
	if err != nil || len(names) == 0 {
		t.Fatal(err)
	}
	for _, name := range names {
		src, err := os.ReadFile(name)
		assert.NilError(t, err)
		var log diagnostic.Log
		machine := NewReader().Read(text.NewFile(name, src), nil, &log).Machine()
		sheets := Sheets(machine)
		content, err := spreadsheet.Write(sheets)
		assert.NilError(t, err)
		linked, taken := machineHead, machineHead
		for _, s := range sheets {
			linked += "::: register " + s.Name + " {from=m.xlsx}\n:::\n"
			taken += NewReader().TakeOver("m.xlsx", content, procedure.RegisterKind(s.Name), s.Name, "", &log)
		}
		for way, src := range map[string]string{"linked": linked, "taken over": taken} {
			lib, err := Read(fstest.MapFS{"mixer.md": {Data: []byte(src)}, "m.xlsx": {Data: content}}, &log)
			if err != nil || log.HasErrors() {
				t.Fatalf("%s: %v\n%s", way, log.Sorted(), src)
			}
			if got, want := rowsAsText(lib.Machines[0]), rowsAsText(machine); got != want {
				t.Errorf("%s, %s:\n%s\nwant\n%s", name, way, got, want)
			}
		}
		for _, line := range strings.Split(taken, "\n") {
			if strings.HasPrefix(line, "|") && len([]rune(line)) > widestTable {
				t.Errorf("taken over, a line is too long: %s", line)
			}
		}
		if got := tidied(taken); got != taken {
			t.Errorf("%s, taken over, is not tidy", name)
		}
	}
}

func rowsAsText(m *procedure.Machine) string {
	var b strings.Builder
	for _, t := range m.Things() {
		_, row := t.Register()
		b.WriteString(procedure.Fingerprint(row) + "\n")
	}
	return b.String()
}
