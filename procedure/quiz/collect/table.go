package collect

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/csvtable"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz"
	"matchmark/procedure/say"
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
// A column called date says on which day a learner answered, 2026-03-02. Where the word again stands behind
// the quiz and its wording, the questions were asked again, some at a time: the columns are those that were asked, with a date,
// and an empty cell is a question that this learner was not asked:
//
//	mixer-quiz 3fa1b2c4d5e6 again,date,2,7
//	Ada Berg,2026-04-09,B,
//
// A line with a cell that cannot be an answer is not marked, and its learner is
// named as one of whom that is true. Letters depend on the wording: forms with
// another one are not marked.
type table struct {
	*gathering
	name string
	file *text.File
	// start is where the file's own text starts, after a byte-order mark.
	start   int
	from    *csv.Reader
	forms   []form
	columns []column
	// again is true for questions that were asked again.
	again bool
	// useless is true when the first line keeps all others from being marked.
	useless bool
	// stopped is true when the table was not read to its end.
	stopped bool
	// lines and faults count what was found.
	lines, faults int
}

// column is one column of answers: a question by name or by its number on the
// form; neither where it says the form or the date.
type column struct {
	question *procedure.Question
	number   int
	form     bool
	date     bool
}

// of returns the question that a column is about on a form; nil for none.
func (c column) of(f form) *procedure.Question {
	if c.number > 0 {
		return f.numbered(c.number)
	}
	return c.question
}

// tableQuiz returns which quiz a table is on, and in which wording.
func tableQuiz(data []byte) (id, edition string) {
	cells, err := csvtable.NewReader(bytes.TrimPrefix(data, byteOrderMark)).Read()
	if err != nil {
		return "", ""
	}
	id, edition, _ = strings.Cut(strings.TrimSpace(cells[0]), " ")
	return id, strings.TrimSpace(edition)
}

// table reads a table of answers.
func (g *gathering) table(f File) {
	t := g.open(f)
	t.read(t.line)
	if len(g.collection.Again) > 0 && t.again {
		g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: f.Name}, Wrong: say.That("the table holds questions that were asked again; no mark is made of them")})
	}
	if t.columns != nil && t.lines == 0 && !t.stopped {
		t.lostAt(1, 1, say.That("the table has no learners"), say.That("Add a line for each learner: the name, then the answers."))
	}
}

// open gets a table ready for reading.
func (g *gathering) open(f File) *table {
	t := &table{gathering: g, name: f.Name, file: text.NewFile(f.Name, f.Data)}
	for n := range max(1, g.quiz.Forms) {
		t.forms = append(t.forms, newForm(g.quiz, n+1))
	}
	if bytes.HasPrefix(f.Data, byteOrderMark) {
		t.start = len(byteOrderMark)
	}
	t.from = csvtable.NewReader(f.Data[t.start:])
	return t
}

// read reads the heading, and gives each line of cells that is not empty to take.
func (t *table) read(take func(cells []string)) {
	for {
		cells, err := t.from.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			if errors.Is(wrong.Err, csv.ErrQuote) { // one that is never closed runs on to the end
				wrong.Line, wrong.Column = wrong.StartLine, 1
			}
			t.collection.Unread++
			t.stopped = true
			t.lostAt(wrong.Line, wrong.Column, say.That("this line is no line of a table: %cause", say.Why(wrong.Err)), say.That(`Put a cell with a comma or a quotation mark into quotation marks, and write "" for each mark inside.`))
			return
		}
		if t.columns == nil {
			if t.useless = !t.heading(cells); t.useless && t.columns == nil {
				t.stopped = true
				return // of another quiz
			}
			continue
		}
		if slices.ContainsFunc(cells, func(s string) bool { return strings.TrimSpace(s) != "" }) { // spreadsheets save lines of empty cells
			t.lines++
			take(cells)
		}
	}
	if t.columns == nil {
		t.lostAt(1, 1, say.That("the table is empty"), say.That("Begin with a line that names the quiz and its questions."))
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

// After so many faults of one table more do not help; who cannot be marked is counted all the same.
func (t *table) lostAt(line, column int, wrong, advice say.Text) {
	t.faults++
	line, column = t.at(line, column)
	switch {
	case t.faults > mostFaults+1:
		return
	case t.faults == mostFaults+1:
		wrong, advice = say.That("there are more faults in this table than are listed"), say.That("Put these right first.")
	}
	t.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: t.name, Line: line, Column: column}, Wrong: wrong, Advice: advice})
}

// lost notes what is wrong with a cell of the line just read.
func (t *table) lost(cell int, wrong, advice say.Text) {
	line, column := t.from.FieldPos(cell)
	t.lostAt(line, column, wrong, advice)
}

// heading reads the first line; false when the rest is of no use.
func (t *table) heading(cells []string) bool {
	id, edition, _ := strings.Cut(strings.TrimSpace(cells[0]), " ")
	if id != t.quiz.ID {
		line, column := t.at(t.from.FieldPos(0))
		t.stranger(t.name, line, id)
		t.collection.Faults[len(t.collection.Faults)-1].Place.Column = column
		return false
	}
	t.columns = []column{}
	if edition, t.again = strings.CutSuffix(strings.TrimSpace(edition), "again"); t.again {
		edition = strings.TrimSpace(edition)
	}
	if edition != "" && edition != quiz.Edition(t.quiz) {
		t.lost(0, say.That("the forms have another wording of the quiz (%edition); they are not marked", say.Name(tidy(edition))), say.That("Mark them with the library as it was then."))
		return false
	}
	before := t.faults
	var seen []string
	for i, cell := range cells[1:] {
		c := t.named(strings.TrimSpace(cell))
		q := c.of(t.forms[0])
		switch {
		case c.form, c.date:
		case q == nil:
			t.unknown(i+1, strings.TrimSpace(cell))
		case slices.Contains(seen, q.ID):
			t.lost(i+1, say.That("question %question is there twice", say.Quote(q.ID)), say.That("Take one of the columns out."))
		default:
			seen = append(seen, q.ID)
		}
		t.columns = append(t.columns, c)
	}
	t.mixed()
	complete := t.faults == before && !t.again
	if t.again && !slices.ContainsFunc(t.columns, func(c column) bool { return c.date }) {
		t.lost(0, say.That("the column date is missing"), say.That("Add it: when a question was asked again decides when it comes back."))
	}
	for _, q := range t.quiz.Questions {
		if complete && !slices.Contains(seen, q.ID) {
			t.lost(0, say.That("the column of question %question is missing", say.Quote(q.ID)), say.That("Add it, and leave its cells empty where nothing was answered."))
		}
	}
	return t.faults == before
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
		t.lost(0, say.That("some questions are named by id and some by number, and there are several forms"), say.That("Name all of them by id, or all by number."))
	}
}

// named finds the question of a column.
func (t *table) named(name string) column {
	if n, err := strconv.Atoi(name); err == nil {
		return column{number: n}
	}
	q := t.forms[0].question(name)
	if q == nil && strings.EqualFold(name, "form") {
		return column{form: true}
	}
	if q == nil && strings.EqualFold(name, "date") {
		return column{date: true}
	}
	return column{question: q}
}

func (t *table) unknown(cell int, name string) {
	var ids []string
	for _, q := range t.quiz.Questions {
		ids = append(ids, q.ID)
	}
	do := say.That("Name the questions by id, or by their number on the form, 1 to %ids.", say.Count(len(ids)))
	if near := diagnostic.Nearest(name, ids); near != "" {
		do = say.That("Did you mean %near?", say.Name(near))
	}
	t.lost(cell, say.That("the quiz has no question %name", say.Quote(tidy(name))), do)
}

// line reads the answers of one learner.
func (t *table) line(cells []string) {
	before := t.faults
	number, _ := t.from.FieldPos(0)
	out := Result{File: t.name, Line: number, Learner: tidy(cells[0]), Try: 1, Exact: true, Answers: map[string]quiz.Answer{}}
	if t.useless {
		t.drop(out)
		return
	}
	out.Started = t.dateOf(cells)
	t.surplus(cells)
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
		if t.again && given == "" {
			continue // not asked
		}
		a, wrong := sheet.answer(q, given)
		if !wrong.Empty() {
			t.lost(i+1, say.That("%given is no answer to question %question", say.Quote(tidy(given)), say.Quote(q.ID)), wrong)
		}
		out.Answers[q.ID] = a
	}
	switch {
	case t.faults > before:
		t.drop(out)
	case t.again:
		t.collection.Again = append(t.collection.Again, out)
	default:
		t.add(out)
	}
}

// drop notes a learner whose line is of no use. What was asked again is no try, so that nobody stays without a mark.
func (t *table) drop(r Result) {
	if !t.again {
		t.leave(r.Learner, r.File, r.Line)
	}
}

// dateOf returns the day that a line states; the zero time for none.
func (t *table) dateOf(cells []string) time.Time {
	at := slices.IndexFunc(t.columns, func(c column) bool { return c.date }) + 1
	if at == 0 || !t.again && (at >= len(cells) || strings.TrimSpace(cells[at]) == "") {
		return time.Time{}
	}
	given := ""
	if at < len(cells) {
		given = strings.TrimSpace(cells[at])
	}
	day, err := time.Parse(time.DateOnly, given)
	if err != nil {
		t.lost(min(at, len(cells)-1), say.That("%given is no date", say.Quote(tidy(given))), say.That("Write year, month and day: 2026-03-02."))
	}
	return day
}

// surplus reports a cell that belongs to no column.
func (t *table) surplus(cells []string) {
	if len(cells) > len(t.columns)+1 {
		t.lost(len(t.columns)+1, say.That("the line has %cells cells, and there are %columns columns", say.Count(len(cells)), say.Count(len(t.columns)+1)), say.That("Take the surplus cell out, or put an answer with a comma into quotation marks."))
	}
}

// formOf returns the printed form that a learner had.
func (t *table) formOf(cells []string) form {
	at := slices.IndexFunc(t.columns, func(c column) bool { return c.form }) + 1
	if at == 0 || at >= len(cells) || strings.TrimSpace(cells[at]) == "" {
		return t.forms[0]
	}
	which, ok := letters(cells[at], len(t.forms))
	if !ok || len(which) != 1 {
		t.lost(at, say.That("there is no form %form", say.Quote(tidy(cells[at]))), say.That("Write the letter of the form, %letters.", upTo(len(t.forms))))
		return t.forms[0]
	}
	return t.forms[which[0]]
}
