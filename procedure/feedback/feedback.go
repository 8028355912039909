// Package feedback reads what a class said of the steps of a job: the form that the library prints, typed into a table.
package feedback

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/csvtable"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Table is the word before the procedure in the first cell of a table of answers. A table has a line for each step, and the columns of
// the form, in any order:
//
//	feedback mixer-gearbox-out belt,clear,had to ask,wrong or missing,took longer,what exactly
//	4,9,3,,2,the tester was in another room
//	hood-off,12,,,,
//
// Behind the procedure stands the machine's variant, where it has some: it says which step a number is. A step's name does as well.
// The numbers say how many learners said so; nothing is nobody. It is CSV by RFC 4180 in UTF-8, separated by commas or, when its first
// line is, by semicolons.
const Table = "feedback"

// Said is what a class said of one step.
type Said struct {
	Procedure *procedure.Procedure
	// Step is the step as the first variant that has it does it.
	Step *procedure.Step
	// Clear, Asked, Wrong and Longer are how many learners found it clear, had to ask, found something wrong or missing, and took longer.
	Clear, Asked, Wrong, Longer int
	Remarks                     []string
}

// Is reports whether a table says that it holds answers of a class.
func Is(data []byte) bool {
	return firstWord(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))) == Table
}

func firstWord(data []byte) string {
	line, _, _ := strings.Cut(string(data[:min(len(data), 200)]), "\n")
	if words := strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune("\" ,;\t\r", r) }); len(words) > 0 {
		return strings.ToLower(words[0])
	}
	return ""
}

// columns are the headings of the form, in both languages, and short ones.
var columns = map[string]func(*Said) *int{
	"clear": clear_, "klar": clear_,
	"asked": asked, "had to ask": asked, "musste fragen": asked,
	"wrong": wrong, "wrong or missing": wrong, "falsch oder fehlt": wrong,
	"longer": longer, "took longer": longer, "dauerte länger": longer,
}

func clear_(s *Said) *int { return &s.Clear }
func asked(s *Said) *int  { return &s.Asked }
func wrong(s *Said) *int  { return &s.Wrong }
func longer(s *Said) *int { return &s.Longer }

// remarks are the headings of what was written beside a step.
var remarks = []string{"remark", "what exactly", "was genau"}

// mostLearners is more than any class has: a larger number is a slip.
const mostLearners = 1_000

// reader reads one table.
type reader struct {
	lib    *procedure.Library
	table  *csv.Reader
	job    *procedure.Job
	heads  []string
	lines  map[string]int // of the steps that were read
	out    []Said
	faults diagnostic.Faults
}

// Read reads one table of answers. With a fault in it there are no answers; the error is then diagnostic.Faults. The library has its
// refittings.
func Read(lib *procedure.Library, data []byte) ([]Said, error) {
	r := &reader{lib: lib, table: csvtable.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))), lines: map[string]int{}}
	for {
		cells, err := r.table.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var broken *csv.ParseError
		if errors.As(err, &broken) {
			r.fault(broken.StartLine, 1, say.That("this line is no line of a table: %cause", say.Why(broken.Err)), say.That(`Put a cell with quotation marks or line breaks into quotation marks, and write "" for each mark inside.`))
			break
		}
		if r.heads != nil {
			r.line(cells)
		} else if !r.head(cells) {
			break
		}
	}
	if len(r.faults) > 0 {
		return nil, r.faults
	}
	return r.out, nil
}

// Twice is the error of a file that holds the same as another one.
func Twice(other string) error {
	r := &reader{}
	r.fault(1, 1, say.That("the same answers stand in %file", say.Name(other)), say.That("Name one of both files; what a class said counts once."))
	return r.faults
}

func (r *reader) fault(line, column int, wrong, advice say.Text) {
	r.faults = append(r.faults, diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{Line: line, Column: column}, Wrong: wrong, Advice: advice})
}

// wrong notes what is wrong with a cell.
func (r *reader) wrong(cell int, wrong, advice say.Text) {
	line, column := r.table.FieldPos(cell)
	r.fault(line, column, wrong, advice)
}

// head reads the first line; false when the lines below it cannot be read by it.
func (r *reader) head(cells []string) bool {
	words := strings.Fields(cells[0])
	if len(words) < 2 || len(words) > 3 || !strings.EqualFold(words[0], Table) {
		r.wrong(0, say.That("the first cell does not name the procedure"), say.That("Begin the table with: feedback PROCEDURE, or feedback PROCEDURE VARIANT."))
		return false
	}
	at := slices.IndexFunc(r.lib.Procedures, func(p *procedure.Procedure) bool { return p.ID == words[1] })
	if at < 0 {
		r.wrong(0, say.That("the library has no procedure %name", say.Quote(words[1])), near(words[1], r.procedures(), checkName))
		return false
	}
	if !r.pick(r.lib.Procedures[at], words[2:]) {
		return false
	}
	r.heads = []string{""}
	for i, cell := range cells[1:] {
		name := strings.ToLower(strings.TrimSpace(cell))
		switch {
		case columns[name] == nil && !slices.Contains(remarks, name):
			r.wrong(i+1, say.That("there is no column %cell", say.Quote(cell)), say.That("Use those of the form: clear, had to ask, wrong or missing, took longer, what exactly."))
		case slices.ContainsFunc(r.heads, func(h string) bool { return h == name }):
			r.wrong(i+1, say.That("the column %column is there twice", say.Name(name)), say.That("Take one of them out."))
		}
		r.heads = append(r.heads, name)
	}
	return len(r.faults) == 0
}

func (r *reader) procedures() (names []string) {
	for _, p := range r.lib.Procedures {
		names = append(names, p.ID)
	}
	return names
}

// pick chooses the job that the steps' numbers are of.
func (r *reader) pick(p *procedure.Procedure, variant []string) bool {
	jobs := p.Jobs()
	var names []string
	for _, job := range jobs {
		if job.Variant != nil {
			names = append(names, job.Variant.ID)
		}
	}
	switch {
	case len(variant) == 1:
		at := slices.Index(names, variant[0])
		if at < 0 {
			r.wrong(0, say.That("the machine has no variant %name", say.Quote(variant[0])), near(variant[0], names, checkName))
			return false
		}
		r.job = jobs[at]
	case len(jobs) > 1:
		r.wrong(0, say.That("the first cell does not say of which variant the steps are"), say.That("Write the variant behind the procedure: %names.", say.Each[say.Name](say.Or, names)))
		return false
	default:
		r.job = jobs[0]
	}
	return true
}

// near says which name may have been meant, or else what to do.
func near(name string, among []string, otherwise say.Text) say.Text {
	if meant := diagnostic.Nearest(name, among); meant != "" {
		return say.That("Did you mean %name?", say.Word(meant))
	}
	return otherwise
}

// checkName is what to do about a name that is like no other.
var checkName = say.That("Check the name, or name another library.")

// line reads what was said of one step.
func (r *reader) line(cells []string) {
	if strings.TrimSpace(strings.Join(cells, "")) == "" {
		return
	}
	if len(cells) > len(r.heads) {
		r.wrong(len(r.heads), say.That("the line has %cells cells, and there are %columns columns", say.Count(len(cells)), say.Count(len(r.heads))), say.That("Take the surplus cell out, or put a cell with a comma into quotation marks."))
		return
	}
	step := r.step(cells[0])
	if step == nil {
		return
	}
	said := Said{Procedure: r.job.Procedure, Step: step}
	good := true
	for i, cell := range cells[1:] {
		if cell = strings.TrimSpace(cell); cell == "" {
			continue
		}
		to := columns[r.heads[i+1]]
		if to == nil {
			said.Remarks = append(said.Remarks, cell)
			continue
		}
		n, err := strconv.Atoi(cell)
		if err != nil || n < 0 || n > mostLearners {
			r.wrong(i+1, say.That("%cell is no number of learners", say.Quote(cell)), say.That("Write how many said so, such as 3, or nothing for nobody."))
			good = false
			continue
		}
		*to(&said) = n
	}
	if good {
		r.out = append(r.out, said)
	}
}

// step finds the step that a line is about, by its number or its name; nil when it is none, or there a second time.
func (r *reader) step(cell string) *procedure.Step {
	cell = strings.TrimSpace(cell)
	number, _, _ := strings.Cut(cell+" ", ". ") // as on the form: "4. Prove it dead"
	var step *procedure.Step
	if n, err := strconv.Atoi(strings.TrimSpace(number)); err == nil && n >= 1 && n <= len(r.job.Steps) {
		step = r.job.Steps[n-1]
	} else {
		step = r.job.Step(cell)
	}
	if step == nil {
		var names []string
		for _, s := range r.job.Steps {
			names = append(names, s.ID)
		}
		r.wrong(0, say.That("there is no step %step in %procedure", say.Quote(cell), say.Name(r.job.Procedure.ID)), near(cell, names, say.That("Write the step's number on the form, or its name: 1 to %last.", say.Count(len(names)))))
		return nil
	}
	line, _ := r.table.FieldPos(0)
	if before := r.lines[step.ID]; before > 0 {
		r.wrong(0, say.That("the step %step is there twice: line %line has it too", say.Name(step.ID), say.Count(before)), say.That("Put both lines together; several classes have a file each."))
		return nil
	}
	r.lines[step.ID] = line
	return step
}

// Sum puts what several classes said together, step by step, in the order of the library.
func Sum(lib *procedure.Library, all []Said) []Said {
	var out []Said
	for _, p := range lib.Procedures {
		for _, s := range p.Steps {
			sum := Said{Procedure: p, Step: s}
			found := false
			for _, x := range all {
				if x.Procedure == p && x.Step.ID == s.ID {
					found = true
					sum.Clear, sum.Asked, sum.Wrong, sum.Longer = sum.Clear+x.Clear, sum.Asked+x.Asked, sum.Wrong+x.Wrong, sum.Longer+x.Longer
					sum.Remarks = append(sum.Remarks, x.Remarks...)
				}
			}
			if found {
				out = append(out, sum)
			}
		}
	}
	return out
}

// Answers is how many learners said whether the step was clear: those for whom it was, and those who had to ask.
func (s *Said) Answers() int { return s.Clear + s.Asked }

// Unclear reports whether so many had to ask that the words of the step need a look: a quarter of those who answered.
//
// Common practice, no source.
func (s *Said) Unclear() bool { return s.Asked > 0 && 4*s.Asked >= s.Answers() }
