package benchtest

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
)

// corpusFolder holds the libraries and the faults.
const corpusFolder = "../../testdata/bench"

// group is one file of the corpus: the faults and the legitimate variations of one kind.
type group struct {
	Title string `yaml:"group"`
	// Least is how many of the faults are caught at least. It may only rise.
	Least int `yaml:"least"`
	// First is how many were caught on the first run, before a rule was written for them.
	First int `yaml:"first"`
	// Alarms is how many of the variations bring an error or a warning at most. It may only fall.
	Alarms int `yaml:"alarms"`
	// Setups are sound changes of a library by name, for faults that need what it does not have.
	Setups     map[string][]Edit `yaml:"setups"`
	Faults     []fault           `yaml:"faults"`
	Variations []fault           `yaml:"variations"`
}

// fault is a change of a sound library that makes it wrong, or, as a variation, leaves it right.
type fault struct {
	Name string `yaml:"name"`
	// In is the library that it is planted in.
	In string `yaml:"in"`
	// Setup is the sound change that is made first.
	Setup string `yaml:"setup"`
	// Waits says what the language must be able to say first; empty where it can say it.
	Waits string `yaml:"waits"`
	Edit  `yaml:",inline"`
	// Then are the further places that the fault changes.
	Then []Edit `yaml:"then"`
	// Wrong is what a mechanic would say.
	Wrong string `yaml:"wrong"`
	// At are places besides the changed ones where a message may stand: a step, STEP/WORDS for
	// the lines of a step with these words, or the name of a row.
	At []string `yaml:"at"`
	// About is a regular expression that a message about this fault matches, in any words.
	About string `yaml:"about"`
}

// Edit is one change. It names a row and a column, or a block of a step, or an act, or words
// that stand once in the step or the file.
type Edit struct {
	// Row is ROW.COLUMN = VALUE: a cell of a register of the machine.
	Row string `yaml:"row"`
	// File is the file's name without .md; Step is the step, in whichever file it stands.
	File string `yaml:"file"`
	Step string `yaml:"step"`
	// Without is what goes from the step: an act, `step` itself, or a kind of block with the
	// first words behind it where there are several.
	Without string `yaml:"without"`
	// Act is an act of the step, and To the acts that take its place.
	Act string `yaml:"act"`
	To  string `yaml:"to"`
	// Put are acts that are put after or before an act; at the end of the step's acts without either.
	Put    string `yaml:"put"`
	After  string `yaml:"after"`
	Before string `yaml:"before"`
	// Text stands once in the step or the file, and With takes its place.
	Text string `yaml:"text"`
	With string `yaml:"with"`
	// Add is put at the end of the file or the step.
	Add string `yaml:"add"`
}

// readGroups reads every file of the corpus, by name.
func readGroups(t *testing.T) map[string]*group {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(corpusFolder, "*.yaml"))
	if err != nil || len(names) == 0 {
		t.Fatalf("the corpus is missing: %v", err)
	}
	out := map[string]*group{}
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		g := &group{}
		if err := yaml.NewDecoder(bytes.NewReader(data), yaml.Strict()).Decode(g); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out[strings.TrimSuffix(filepath.Base(name), ".yaml")] = g
	}
	return out
}

// library is the text of a library's files by path.
type library map[string]string

func readLibrary(name string) (library, error) {
	out := library{}
	root := os.DirFS(filepath.Join(corpusFolder, "libraries", name))
	err := fs.WalkDir(root, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(root, p)
		out[p] = string(data)
		return err
	})
	return out, err
}

// apply makes the change. touched are the steps and rows that it is made in.
func (l library) apply(e Edit) (touched []string, err error) {
	switch {
	case e.Row != "":
		id, _, _ := strings.Cut(e.Row, ".")
		return []string{id}, l.setCell(e.Row)
	case e.Step != "":
		file, from, to := l.step(e.Step)
		if file == "" {
			return nil, fmt.Errorf("there is no step %q", e.Step)
		}
		text := l[file]
		if e.Without == "step" {
			l[file] = text[:from] + text[to:]
			return nil, nil
		}
		body, err := e.inStep(text[from:to])
		if err != nil {
			return nil, fmt.Errorf("step %s: %w", e.Step, err)
		}
		l[file] = text[:from] + body + text[to:]
		return []string{e.Step}, nil
	case e.File != "":
		name := e.File + ".md"
		if _, has := l[name]; !has && e.Add == "" {
			return nil, fmt.Errorf("there is no file %s", name)
		}
		if e.Add != "" {
			l[name] += e.Add
			return nil, nil
		}
		l[name], err = replaceOnce(l[name], e.Text, e.With)
		return nil, err
	}
	return nil, fmt.Errorf("the edit names no place")
}

// inStep makes the change in the text of one step.
func (e Edit) inStep(s string) (string, error) {
	switch {
	case e.Add != "":
		return strings.TrimRight(s, "\n") + "\n\n" + e.Add + "\n\n", nil
	case e.Text != "":
		return replaceOnce(s, e.Text, e.With)
	case e.Act != "":
		return replaceAct(s, e.Act, func(string) string { return acts(e.To) })
	case e.Put != "" && e.After != "":
		return replaceAct(s, e.After, func(line string) string { return line + acts(e.Put) })
	case e.Put != "" && e.Before != "":
		return replaceAct(s, e.Before, func(line string) string { return acts(e.Put) + line })
	case e.Put != "":
		last := strings.LastIndex(s, "\n- [ ] ")
		if last < 0 { // a step without acts gets them at its end
			return strings.TrimRight(s, "\n") + "\n\n" + acts(e.Put) + "\n", nil
		}
		end := last + 1 + strings.Index(s[last+1:], "\n") + 1
		return s[:end] + acts(e.Put) + s[end:], nil
	case e.Without != "":
		if block, err := withoutBlock(s, e.Without); err == nil {
			return block, nil
		}
		return replaceAct(s, e.Without, func(string) string { return "" })
	}
	return "", fmt.Errorf("the edit changes nothing")
}

// replaceAct puts something else in the place of the line of an act, which is named by its words before a reason or attributes.
func replaceAct(s, act string, with func(line string) string) (string, error) {
	lines := regexp.MustCompile(`(?m)^- \[ \] `+regexp.QuoteMeta(act)+`(:.*| \{.*)?\n`).FindAllStringIndex(s, -1)
	if len(lines) != 1 {
		return "", fmt.Errorf("%q is done there %d times, not once", act, len(lines))
	}
	from, to := lines[0][0], lines[0][1]
	return s[:from] + with(s[from:to]) + s[to:], nil
}

func acts(list string) string {
	out := ""
	for line := range strings.Lines(strings.TrimSpace(list)) {
		out += "- [ ] " + strings.TrimSpace(line) + "\n"
	}
	return out
}

// withoutBlock takes out the fenced block or the key point that begins with the words.
func withoutBlock(s, words string) (string, error) {
	lines := strings.SplitAfter(s, "\n")
	for i, line := range lines {
		fenced := strings.HasPrefix(line, "::: "+words)
		if !fenced && !strings.HasPrefix(line, "> **"+words) {
			continue
		}
		end := i + 1
		for end < len(lines) && (fenced && lines[end] != ":::\n" || !fenced && strings.HasPrefix(lines[end], ">")) {
			end++
		}
		if fenced {
			end++
		}
		return strings.Join(lines[:i], "") + strings.Join(lines[end:], ""), nil
	}
	return "", fmt.Errorf("there is no %q", words)
}

func replaceOnce(s, from, to string) (string, error) {
	if n := strings.Count(s, from); n != 1 {
		return "", fmt.Errorf("%q stands there %d times, not once", from, n)
	}
	return strings.Replace(s, from, to, 1), nil
}

// heading finds the headings of steps.
var heading = regexp.MustCompile(`(?m)^## .*\{#([a-z0-9-]+)\}$`)

// step is where a step stands; no file when there is none.
func (l library) step(name string) (file string, from, to int) {
	for _, f := range l.files() {
		found := heading.FindAllStringSubmatchIndex(l[f], -1)
		for i, h := range found {
			if l[f][h[2]:h[3]] != name {
				continue
			}
			if i+1 < len(found) {
				return f, h[0], found[i+1][0]
			}
			return f, h[0], len(l[f])
		}
	}
	return "", 0, 0
}

func (l library) files() []string {
	var out []string
	for f := range l {
		if path.Ext(f) == ".md" {
			out = append(out, f)
		}
	}
	slices.Sort(out)
	return out
}

var rowEdit = regexp.MustCompile(`^([a-z0-9-]+)\.([a-z-]+) =\s*(.*)$`)

// setCell sets a cell of a register: in the table where it has the column, in the lines below the table otherwise.
func (l library) setCell(row string) error {
	m := rowEdit.FindStringSubmatch(row)
	if m == nil {
		return fmt.Errorf("%q is not ROW.COLUMN = VALUE", row)
	}
	id, column, value := m[1], m[2], strings.ReplaceAll(m[3], "; ", " / ") // places, in the form that a list of columns takes too
	lines := strings.Split(l["machine.md"], "\n")
	at, head := -1, 0
	for i, line := range lines {
		if strings.HasPrefix(line, "|") && !strings.HasPrefix(lines[i-1], "|") {
			head = i
		}
		if strings.HasPrefix(line, "| "+id+" |") {
			at = i
			break
		}
	}
	if at < 0 {
		return fmt.Errorf("there is no row %q", id)
	}
	cells := func(i int) []string { return strings.Split(strings.Trim(lines[i], "|"), "|") }
	if c := slices.IndexFunc(cells(head), func(s string) bool { return strings.TrimSpace(s) == column }); c >= 0 {
		row := cells(at)
		row[c] = " " + value + " "
		lines[at] = "|" + strings.Join(row, "|") + "|"
		l["machine.md"] = strings.Join(lines, "\n")
		return nil
	}
	end := at
	for strings.HasPrefix(lines[end], "|") {
		end++
	}
	for i := end; i < len(lines) && !strings.HasPrefix(lines[i], ":::") && !strings.HasPrefix(lines[i], "|"); i++ {
		names, rest, found := strings.Cut(lines[i], ": ")
		if !found || !slices.Contains(strings.Split(strings.TrimPrefix(names, "- "), ", "), id) {
			continue
		}
		entries := strings.Split(rest, "; ")
		if c := slices.IndexFunc(entries, func(s string) bool { return strings.HasPrefix(s, column+" ") || s == column }); c >= 0 {
			entries[c] = strings.TrimSpace(column + " " + value)
			if value == "" {
				entries = slices.Delete(entries, c, c+1)
			}
			lines[i] = names + ": " + strings.Join(entries, "; ")
			if len(entries) == 0 {
				lines = slices.Delete(lines, i, i+1)
			}
			l["machine.md"] = strings.Join(lines, "\n")
			return nil
		}
	}
	lines = slices.Insert(lines, end, "", "- "+id+": "+strings.TrimSpace(column+" "+value))
	l["machine.md"] = strings.Join(lines, "\n")
	return nil
}

// places are lines of files.
type places map[string]map[int]bool

func (p places) add(file string, line int) {
	if p[file] == nil {
		p[file] = map[int]bool{}
	}
	p[file][line] = true
}

// changed adds the lines of l that was does not have at their place.
func (p places) changed(was, l library) {
	for f, text := range l {
		if text == was[f] {
			continue
		}
		a, b := strings.Split(was[f], "\n"), strings.Split(text, "\n")
		for _, line := range inserted(a, b) {
			p.add(f, line+1)
		}
	}
}

// inserted lists the lines of b that are not part of the longest common subsequence of a and b.
func inserted(a, b []string) []int {
	n := make([][]int, len(a)+1)
	for i := range n {
		n[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				n[i][j] = n[i+1][j+1] + 1
			} else {
				n[i][j] = max(n[i+1][j], n[i][j+1])
			}
		}
	}
	var out []int
	i := 0
	for j := 0; j < len(b); {
		switch {
		case i < len(a) && a[i] == b[j]:
			i, j = i+1, j+1
		case i < len(a) && n[i+1][j] >= n[i][j+1]:
			i++
		default:
			out = append(out, j)
			j++
		}
	}
	return out
}

// name adds the lines of a place that the corpus names.
func (p places) name(l library, at string) error {
	if step, words, found := strings.Cut(at, "/"); found {
		file, from, to := l.step(step)
		if file == "" {
			return fmt.Errorf("there is no step %q", step)
		}
		return p.words(file, l[file], from, to, words)
	}
	if file, from, to := l.step(at); file != "" {
		first := strings.Count(l[file][:from], "\n") + 1
		for i := range strings.Count(l[file][from:to], "\n") {
			p.add(file, first+i)
		}
		return nil
	}
	if file, words, found := strings.Cut(at, ":"); found {
		text := l[file+".md"]
		return p.words(file+".md", text, 0, len(text), words)
	}
	text := l["machine.md"]
	if err := p.words("machine.md", text, 0, len(text), "| "+at+" |"); err != nil {
		return fmt.Errorf("there is no step and no row %q", at)
	}
	return nil
}

// words adds the lines with the words between two bytes of a file.
func (p places) words(file, text string, from, to int, words string) error {
	found := false
	for i := from; i < to; {
		j := strings.Index(text[i:to], words)
		if j < 0 {
			break
		}
		found = true
		p.add(file, strings.Count(text[:i+j], "\n")+1)
		i += j + len(words)
	}
	if !found {
		return fmt.Errorf("%s: there is no %q", file, words)
	}
	return nil
}
