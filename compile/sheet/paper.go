package sheet

import (
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
)

// paperView is one of the papers for trainers: tables, with room to write where the procedure says nothing.
type paperView struct {
	Head
	// Lead is what holds for the whole paper.
	Lead   []string
	Tables []paperTable
	// Signs are the lines on which people sign.
	Signs []string
	// Form is set for a paper that can be filled in on a device too.
	Form *fillForm
}

type paperTable struct {
	ID, Title, Lead string
	Columns         []paperColumn
	Rows            []paperRow
}

// paperColumn is a column's heading; what much is written in is wide.
type paperColumn struct {
	Name string
	Wide bool
}

// paperRow is a row of cells, or a heading over the rows below it.
type paperRow struct {
	Heading string
	Cells   []paperCell
	// Line and Must, or Aim, say what a row is about that can be filled in on a device.
	Line string
	Must bool
	Aim  int
}

// paperCell is what stands in a cell, line by line; what is empty is written in by hand.
type paperCell struct {
	Lines []string
	// Strong is true for what the row is about, and Gap where something ought to be said.
	Strong, Gap bool
	// Boxes are boxes to tick, each with its words.
	Boxes []string
}

func cell(lines ...string) paperCell {
	var c paperCell
	for _, l := range lines {
		if l != "" {
			c.Lines = append(c.Lines, l)
		}
	}
	return c
}

func strong(lines ...string) paperCell {
	c := cell(lines...)
	c.Strong = true
	return c
}

// gap is a cell where something ought to be said.
func gap(line string) paperCell {
	c := cell(line)
	c.Gap = true
	return c
}

// blanks are cells to write in.
func blanks(n int) []paperCell { return make([]paperCell, n) }

// blankRows are rows to write in.
func blankRows(rows, columns int) []paperRow {
	var out []paperRow
	for range rows {
		out = append(out, paperRow{Cells: blanks(columns)})
	}
	return out
}

// paperOf is the paper that a kind of sheet is; empty for the sheets that every job has.
var paperOf = map[Kind]procedure.Paper{
	Risk: procedure.RiskPaper, Isolation: procedure.IsolationPaper, Assessment: procedure.AssessmentPaper, Release: procedure.ReleasePaper,
	Deck: procedure.DeckPaper, Feedback: procedure.FeedbackPaper, FollowUp: procedure.FollowUpPaper,
	Class: procedure.ClassPaper, Order: procedure.OrderPaper, Lesson: procedure.LessonPaper, Attendance: procedure.AttendancePaper,
}

// paper begins a paper: its head, what holds for it, and the lines to sign on. The words stand under its name.
func (e emitter) paper(k Kind, signs ...string) (paperView, error) {
	h, err := e.head(k, "machine", "date")
	if err != nil {
		return paperView{}, err
	}
	return e.begun(h, k, signs), nil
}

// begun is a paper with what holds for it and where it is signed.
func (e emitter) begun(h Head, k Kind, signs []string) paperView {
	v := paperView{Head: h, Lead: []string{e.words.T("paper." + string(k) + ".lead"), e.words.T("paper.limits")}}
	for _, key := range signs {
		v.Signs = append(v.Signs, e.words.T("paper.sign."+key))
	}
	return v
}

// table begins a table of a paper; its title stands in the words under the paper's name and the table's.
func (e emitter) table(k Kind, id string, columns ...string) paperTable {
	key := "paper." + string(k) + "." + id
	t := paperTable{ID: id, Title: e.words.T(key)}
	if e.words.Has(key + ".lead") {
		t.Lead = e.words.T(key + ".lead")
	}
	for _, c := range columns {
		t.Columns = append(t.Columns, paperColumn{e.words.T("paper.col." + c), slices.Contains(wide, c)})
	}
	return t
}

// wide are the columns with sentences in them.
var wide = []string{"done", "look-for", "aim", "kept-away", "undone", "what", "question", "on-board", "at-step"}

func (t *paperTable) add(cells ...paperCell) { t.Rows = append(t.Rows, paperRow{Cells: cells}) }

// stepsOf names steps by their numbers; empty for none.
func (e emitter) stepsOf(numbers []int) string {
	var out []string
	for _, n := range numbers {
		out = append(out, strconv.Itoa(n))
	}
	if len(out) == 0 {
		return ""
	}
	return e.words.Count("paper.steps", len(out), strings.Join(out, ", "))
}

// stepTitle is a step's number and title.
func stepTitle(s *procedure.Step) string { return strconv.Itoa(s.Number) + ". " + s.Title }
