package classresult

import (
	"slices"
	"strconv"
	"strings"

	"matchmark/compile/report"
	"matchmark/procedure"
	"matchmark/procedure/assessment"
	"matchmark/procedure/competence"
	"matchmark/procedure/quiz/retention"
)

// Competence is the matrix of learners and aims with what shows them, and the same for a spreadsheet. undated is how many
// results have no date or no name, left how many learners could not be marked, and unread how many files say nothing.
// The error is about the theme, or a language without words.
func Competence(lib *procedure.Library, all []competence.Evidence, on retention.Day, months, undated, left, unread int) (*report.Page, [][]string, error) {
	p, err := report.New(lib)
	if err != nil {
		return nil, nil, err
	}
	w := &writer{words: p.Words}
	p.Title, p.Subject = w.words.T("competence.title"), w.words.T("competence.subject", on.String())
	shown, runOut, of := 0, 0, 0
	evident := procedures(all)
	for _, e := range all {
		switch {
		case !slices.Contains(evident, e.Aim.Procedure):
			continue
		case e.Status == competence.Shown:
			shown++
		case e.Status == competence.RunOut:
			runOut++
		}
		if len(e.Aim.Questions) > 0 {
			of++
		}
	}
	p.Summary = []string{w.words.T("competence.count", shown, of, runOut), w.words.T("competence.means"), w.words.T("competence.holds", months)}
	p.Summary = append(p.Summary, w.leftOut(missing{undated: undated, learners: left, files: unread})...)
	table := [][]string{{"learner", "procedure", "aim", "words", "status", "knows_since", "done_on", "machine", "job", "seen_by", "not_proved", "not_signed", "valid_until", "observed", "observed_on", "observer", "attempt", "must_missed"}}
	for _, e := range all {
		table = append(table, w.line(e))
	}
	for _, x := range evident {
		p.Sections = append(p.Sections, w.matrix(x, all))
	}
	if len(all) == 0 {
		p.Summary = append(p.Summary, w.words.T("competence.nobody"))
	}
	return p, table, nil
}

// procedures lists those for which there is any evidence, in the order of the library.
func procedures(all []competence.Evidence) []*procedure.Procedure {
	var out []*procedure.Procedure
	for _, e := range all {
		shown := slices.ContainsFunc(all, func(x competence.Evidence) bool {
			return x.Aim.Procedure == e.Aim.Procedure && x.Status != competence.None
		})
		if shown && !slices.Contains(out, e.Aim.Procedure) {
			out = append(out, e.Aim.Procedure)
		}
	}
	return out
}

// matrix is the table of one procedure: a row for each learner, a column for each aim.
func (w *writer) matrix(p *procedure.Procedure, all []competence.Evidence) report.Section {
	s := report.Section{Heading: p.Title, Columns: report.Columns(w.words.T("result.col.learner"))}
	for i, words := range p.Aims {
		s.Columns = append(s.Columns, report.Column{Name: strconv.Itoa(i+1) + " " + words})
	}
	var row []string
	for _, e := range all {
		if e.Aim.Procedure != p {
			continue
		}
		if e.Aim.Number == 1 {
			row = []string{e.Learner}
		}
		row = append(row, w.evidence(e))
		if e.Aim.Number == len(p.Aims) {
			s.Rows = append(s.Rows, row)
		}
	}
	return s
}

// evidence is a cell of the matrix.
func (w *writer) evidence(e competence.Evidence) string {
	var out []string
	say := func(words string) { out = append(out, words) }
	seen := w.observed(e)
	switch {
	case len(e.Aim.Questions) == 0:
		return strings.Join(append(seen, w.words.T("competence.untested")), "; ")
	case e.Status == competence.None:
		return "–"
	case e.Status == competence.Shown:
		say(w.words.T("competence.until", e.Until.String()))
	case e.Status == competence.RunOut:
		say(w.words.T("competence.run-out", e.Until.String()))
	default:
		say(w.words.T("competence.part"))
	}
	if e.Knows {
		say(w.words.T("competence.knows", e.Known.String()))
	} else {
		say(w.words.T("competence.knows-not"))
	}
	out = append(out, seen...)
	if !e.Does {
		say(w.words.T("competence.does-not"))
		return strings.Join(out, "; ")
	}
	say(w.words.T("competence.does", e.Done.String()))
	for _, x := range e.Seen {
		name := x.Name
		if name == "" {
			name = w.words.T("result.unnamed")
		}
		if x.Proved {
			say(w.words.T("competence.seen", name))
		} else {
			say(w.words.T("competence.typed", name))
		}
	}
	if e.Open > 0 {
		say(w.words.Count("competence.unsigned", e.Open))
	}
	if len(e.Seen)+e.Open == 0 {
		say(w.words.T("competence.unseen"))
	}
	return strings.Join(out, "; ")
}

// observed says what observers saw, in each role.
func (w *writer) observed(e competence.Evidence) []string {
	var out []string
	for _, a := range []*assessment.Assessment{e.Observed, e.Checked} {
		if a == nil {
			continue
		}
		name := a.Observer
		if name == "" {
			name = w.words.T("result.unnamed")
		}
		verdict := w.words.T("assess.verdict." + string(a.Of(e.Aim.Number, e.Aim.Words)))
		out = append(out, w.words.T("competence.observed."+string(a.Role), verdict, retention.DayOf(a.At()).String(), a.Attempt, name))
		if a.Missed() {
			out = append(out, w.words.T("competence.missed"))
		}
	}
	return out
}

// line is a line of the table for a spreadsheet.
func (w *writer) line(e competence.Evidence) []string {
	out := []string{report.Cell(e.Learner), report.Cell(e.Aim.Procedure.ID), strconv.Itoa(e.Aim.Number), report.Cell(e.Aim.Words), string(e.Status), "", "", "", "", "", "", "", "", "", "", "", "", ""}
	if e.Knows {
		out[5] = e.Known.String()
	}
	if e.Does {
		var proved, typed []string
		for _, x := range e.Seen {
			if x.Proved {
				proved = append(proved, x.Name)
			} else {
				typed = append(typed, x.Name)
			}
		}
		out[6], out[7], out[8] = e.Done.String(), report.Cell(e.Machine), report.Cell(e.Job)
		out[9], out[10], out[11] = report.Cell(strings.Join(proved, "; ")), report.Cell(strings.Join(typed, "; ")), strconv.Itoa(e.Open)
	}
	if e.Status == competence.Shown || e.Status == competence.RunOut {
		out[12] = e.Until.String()
	}
	if a := e.Observed; a != nil {
		out[13], out[14], out[15] = string(a.Of(e.Aim.Number, e.Aim.Words)), retention.DayOf(a.At()).String(), report.Cell(a.Observer)
		out[16], out[17] = strconv.Itoa(a.Attempt), strconv.FormatBool(a.Missed())
	}
	return out
}
