package collect

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz"
	"matchmark/procedure/text"
)

// A table of answers from paper forms has a line for each learner:
//
//	mixer-quiz 3fa1b2c4d5e6,why-rear-bolt,oil-quantity,tester-twice
//	Ada Berg,B,3.6 L,true
//	Ben Oyelaran,A,,false
//
// It is CSV by RFC 4180 in UTF-8, separated by commas or, when its first line is,
// by semicolons. The first cell names the quiz and, after a space, the wording
// that is printed on the form; without one the form is taken to be the present
// one. The other cells of the first line name the questions, by id or by their
// number on the form, in any order; all questions must be there. A column called
// form says which printed form a learner had, A when there is none; numbers and
// letters are those of that form. The first cell of each other line is the
// learner's name; it may be empty. The answers:
//
//   - single, point: the letter that is ticked on the form
//   - several: all ticked letters, together or with spaces: AC or A C
//   - true-false: true or false, or the letter
//   - number: the number, with its unit where it is another than that of the right answer: 3.6 or 3.6 L
//   - order: the letters in the learner's order, C A B, or the numbers in the boxes from A on, 2 3 1 or A2 B3 C1
//   - nothing or a dash: left open
//
// A line with a cell that cannot be an answer is not counted. Letters depend on
// the wording: of forms with another one, only true-false and number questions
// that are named by id can be carried over.
type table struct {
	*gathering
	name string
	file *text.File
	// start is where the file's own text starts, after a byte-order mark.
	start   int
	from    *csv.Reader
	forms   []form
	columns []column
	// lines and faults count what was found.
	lines, faults int
	// exact is true when the form has the present wording.
	exact bool
}

// column is one column of answers: a question by name or by its number on the
// form; neither where it cannot be carried over, or where it says the form.
type column struct {
	question *procedure.Question
	number   int
	form     bool
}

// of returns the question that a column is about on a form; nil for none.
func (c column) of(f form) *procedure.Question {
	if c.number > 0 {
		return f.numbered(c.number)
	}
	return c.question
}

// separated opens a table for reading.
func separated(own []byte) *csv.Reader {
	out := csv.NewReader(bytes.NewReader(own))
	out.FieldsPerRecord = -1
	first, _, _ := bytes.Cut(own, []byte("\n"))
	if bytes.ContainsRune(first, ';') && !bytes.ContainsRune(first, ',') {
		out.Comma = ';'
	}
	return out
}

// tableQuiz returns which quiz a table is on, and in which wording.
func tableQuiz(data []byte) (id, edition string) {
	cells, err := separated(bytes.TrimPrefix(data, byteOrderMark)).Read()
	if err != nil {
		return "", ""
	}
	id, edition, _ = strings.Cut(strings.TrimSpace(cells[0]), " ")
	return id, strings.TrimSpace(edition)
}

// table reads a table of answers.
func (g *gathering) table(f File) {
	t := &table{gathering: g, name: f.Name, file: text.NewFile(f.Name, f.Data)}
	for n := range max(1, g.quiz.Forms) {
		t.forms = append(t.forms, newForm(g.quiz, n+1))
	}
	if bytes.HasPrefix(f.Data, byteOrderMark) {
		t.start = len(byteOrderMark)
	}
	t.from = separated(f.Data[t.start:])
	for t.faults < mostFaults {
		cells, err := t.from.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			if errors.Is(wrong.Err, csv.ErrQuote) { // one that is never closed runs on to the end
				wrong.Line, wrong.Column = wrong.StartLine, 1
			}
			t.lostAt(wrong.Line, wrong.Column, "this line is no line of a table: "+wrong.Err.Error(), `Put a cell with a comma or a quotation mark into quotation marks, and write "" for each mark inside.`)
			return
		}
		if t.columns == nil {
			if !t.heading(cells) {
				return
			}
			continue
		}
		t.line(cells)
	}
	switch {
	case t.columns == nil:
		t.lostAt(1, 1, "the table is empty", "Begin with a line that names the quiz and its questions.")
	case t.lines == 0:
		t.lostAt(1, 1, "the table has no learners", "Add a line for each learner: the name, then the answers.")
	}
}

// at turns a line and a column in bytes into a place for people.
func (t *table) at(line, column int) (int, int) {
	start, _ := t.file.LineBounds(line)
	if line == 1 {
		start = t.start
	}
	p := t.file.Position(start + column - 1)
	return p.Line, p.Column
}

func (t *table) lostAt(line, column int, message, do string) {
	t.faults++
	line, column = t.at(line, column)
	t.fault(Fault{File: t.name, Line: line, Column: column, Lost: true, Message: message, Do: do})
}

// lost notes what is wrong with a cell of the line just read.
func (t *table) lost(cell int, message, do string) {
	line, column := t.from.FieldPos(cell)
	t.lostAt(line, column, message, do)
}

// heading reads the first line; false when the rest is of no use.
func (t *table) heading(cells []string) bool {
	id, edition, _ := strings.Cut(strings.TrimSpace(cells[0]), " ")
	if id != t.quiz.ID {
		line, column := t.at(t.from.FieldPos(0))
		t.stranger(t.name, line, id)
		t.collection.Faults[len(t.collection.Faults)-1].Column = column
		return false
	}
	edition = strings.TrimSpace(edition)
	t.exact = edition == "" || edition == quiz.Edition(t.quiz)
	t.columns = []column{}
	before := t.faults
	var seen, lost []string
	for i, cell := range cells[1:] {
		c, why := t.named(strings.TrimSpace(cell))
		q := c.of(t.forms[0])
		switch {
		case c.form:
		case why != "":
			lost = append(lost, why)
		case q == nil:
			t.unknown(i+1, strings.TrimSpace(cell))
		case slices.Contains(seen, q.ID):
			t.lost(i+1, fmt.Sprintf("question %q is there twice", q.ID), "Take one of the columns out.")
		default:
			seen = append(seen, q.ID)
		}
		t.columns = append(t.columns, c)
	}
	t.mixed()
	complete := t.exact && t.faults == before
	for _, q := range t.quiz.Questions {
		if complete && !slices.Contains(seen, q.ID) {
			t.lost(0, fmt.Sprintf("the column of question %q is missing", q.ID), "Add it, and leave its cells empty where nothing was answered.")
		}
	}
	if t.faults > before {
		return false
	}
	return t.exact || t.older(edition, seen, lost)
}

// mixed reports names beside numbers where there are several forms: a number is
// then another question on each of them, and one could be there twice.
func (t *table) mixed() {
	numbers, names := 0, 0
	for _, c := range t.columns {
		if c.number > 0 {
			numbers++
		} else if c.question != nil {
			names++
		}
	}
	if numbers > 0 && names > 0 && slices.ContainsFunc(t.columns, func(c column) bool { return c.form }) {
		t.lost(0, "some questions are named by id and some by number, and there are several forms", "Name all of them by id, or all by number.")
	}
}

// older reports what of forms with another wording can be used.
func (t *table) older(edition string, seen, lost []string) bool {
	message := fmt.Sprintf("the forms have another wording of the quiz (%s)", tidy(edition))
	if len(seen) == 0 {
		t.lost(0, message+", and nothing in them holds for the present one", "Mark them with the library as it was then.")
		return false
	}
	message += "; carried over: " + strings.Join(seen, ", ")
	if len(lost) > 0 {
		message += "; not: " + strings.Join(lost, ", ")
	}
	t.fault(Fault{File: t.name, Line: 1, Message: message})
	return true
}

// named finds the question of a column; why says why it cannot be carried over.
func (t *table) named(name string) (c column, why string) {
	if n, err := strconv.Atoi(name); err == nil {
		if !t.exact {
			return c, name + " (numbers may stand for other questions)"
		}
		return column{number: n}, ""
	}
	q := t.forms[0].question(name)
	switch {
	case q == nil && strings.EqualFold(name, "form"):
		return column{form: true}, ""
	case t.exact:
		return column{question: q}, ""
	case q == nil:
		return c, tidy(name) + " (no longer asked)"
	case q.Kind != procedure.TrueFalse && q.Kind != procedure.NumberAnswer:
		return c, name + " (letters may stand for other choices)"
	}
	return column{question: q}, ""
}

func (t *table) unknown(cell int, name string) {
	var ids []string
	for _, q := range t.quiz.Questions {
		ids = append(ids, q.ID)
	}
	do := fmt.Sprintf("Name the questions by id, or by their number on the form, 1 to %d.", len(ids))
	if near := diagnostic.Nearest(name, ids); near != "" {
		do = "Did you mean " + near + "?"
	}
	t.lost(cell, fmt.Sprintf("the quiz has no question %q", tidy(name)), do)
}

// line reads the answers of one learner.
func (t *table) line(cells []string) {
	if !slices.ContainsFunc(cells, func(s string) bool { return strings.TrimSpace(s) != "" }) {
		return // spreadsheets save lines of empty cells
	}
	t.lines++
	before := t.faults
	number, _ := t.from.FieldPos(0)
	out := Result{File: t.name, Line: number, Learner: tidy(cells[0]), Try: 1, Exact: t.exact, Answers: map[string]quiz.Answer{}}
	if len(cells) > len(t.columns)+1 {
		t.lost(len(t.columns)+1, fmt.Sprintf("the line has %d cells, and there are %d columns", len(cells), len(t.columns)+1), "Take the surplus cell out, or put an answer with a comma into quotation marks.")
	}
	sheet := t.formOf(cells)
	for i, c := range t.columns {
		q := c.of(sheet)
		if q == nil {
			continue
		}
		given := ""
		if i+1 < len(cells) {
			given = strings.TrimSpace(cells[i+1])
		}
		a, wrong := sheet.answer(q, given)
		if wrong != "" {
			t.lost(i+1, fmt.Sprintf("%q is no answer to question %q", tidy(given), q.ID), wrong)
		}
		out.Answers[q.ID] = a
	}
	if t.faults > before {
		return
	}
	for _, q := range t.quiz.Questions {
		if _, ok := out.Answers[q.ID]; !ok {
			out.Missing = append(out.Missing, q.ID)
		}
	}
	t.add(out)
}

// formOf returns the printed form that a learner had.
func (t *table) formOf(cells []string) form {
	at := slices.IndexFunc(t.columns, func(c column) bool { return c.form }) + 1
	if at == 0 || at >= len(cells) || strings.TrimSpace(cells[at]) == "" || !t.exact {
		return t.forms[0]
	}
	which, ok := letters(cells[at], len(t.forms))
	if !ok || len(which) != 1 {
		t.lost(at, fmt.Sprintf("there is no form %q", tidy(cells[at])), "Write the letter of the form, "+upTo(len(t.forms))+".")
		return t.forms[0]
	}
	return t.forms[which[0]]
}
