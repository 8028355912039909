package assessment

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/csvtable"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/record"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Table is the word before the procedure in the first cell of a table of paper sheets. A table has a line for each learner and attempt:
//
//	assessment mixer-gearbox-out,date,must,1,2,observer,role,attempt
//	Ada Berg,2026-03-02,yes,alone,help,Kim Holt,does,1
//
// It is CSV by RFC 4180 in UTF-8, separated by commas or, when its first line is, by semicolons. The numbers are the aims: a (alone),
// h (with help), n (not yet), or nothing where the observer did not rate it. must says whether each line with Must was seen. Without
// role and attempt the learner does the work, for the first time; way is out or back, and out when it is not there.
const Table = "assessment"

// Is reports whether a file says that it holds assessments.
func Is(name string, data []byte) bool {
	if strings.EqualFold(path.Ext(name), ".csv") {
		data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
		first, _, _ := strings.Cut(string(data[:min(len(data), 200)]), "\n")
		word, _, _ := strings.Cut(strings.TrimLeft(first, `"`), " ")
		return word == Table
	}
	return record.FormatOf(data) == Format
}

// Read reads a file that holds assessments up to the latest time: one as JSON, or a table. What cannot be used is reported with its
// line, and never counted.
func Read(lib *procedure.Library, name string, data []byte, latest time.Time) ([]*Assessment, []diagnostic.Diagnostic) {
	r := &reader{lib: lib, name: name, latest: latest}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	switch {
	case len(data) > MostBytes:
		r.fault(0, say.That("the file is larger than any assessment"), say.That("Name a file that the assessment's page saved, or a table of paper sheets."))
	case strings.EqualFold(path.Ext(name), ".csv"):
		r.table(data)
	default:
		a, err := Parse(lib, data, latest)
		if err != nil {
			r.fault(0, say.That("the assessment cannot be used: %cause", say.Why(err)), say.That("Save it from its page again, or leave it out."))
			break
		}
		r.take(a, 0)
	}
	return r.out, r.faults
}

// Parse reads one assessment as JSON.
func Parse(lib *procedure.Library, data []byte, latest time.Time) (*Assessment, error) {
	a := new(Assessment)
	if err := json.Unmarshal(data, a); err != nil {
		return nil, say.Because(say.That("this is no assessment that its page saved"), err)
	}
	return a, a.Check(lib, latest)
}

type reader struct {
	lib    *procedure.Library
	name   string
	latest time.Time
	out    []*Assessment
	faults []diagnostic.Diagnostic
}

func (r *reader) fault(line int, wrong, advice say.Text) {
	r.faults = append(r.faults, diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: r.name, Line: line}, Wrong: wrong, Advice: advice})
}

func (r *reader) take(a *Assessment, line int) {
	if strings.TrimSpace(a.Learner) == "" {
		r.fault(line, say.That("the assessment names no learner"), say.That("Write the learner's name as it stands in quizzes and records."))
		return
	}
	a.Learner = strings.Join(strings.Fields(a.Learner), " ")
	r.out = append(r.out, a)
}

// columns of a table that are no aims.
var tableColumns = []string{"date", "must", "observer", "role", "attempt", "way", "variant", "record", "again"}

func (r *reader) table(data []byte) {
	in := csvtable.NewReader(data)
	in.TrimLeadingSpace = true
	head, err := in.Read()
	if err != nil {
		r.fault(1, say.That("the first line of the table cannot be read"), say.That("Begin it with: assessment PROCEDURE, date, must, 1, 2."))
		return
	}
	_, id, _ := strings.Cut(strings.TrimSpace(head[0]), " ")
	id = strings.TrimSpace(id)
	names, bad := r.heads(head)
	if bad {
		return
	}
	for {
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		var wrong *csv.ParseError
		if errors.As(err, &wrong) {
			r.fault(wrong.Line, say.That("the line is no CSV: %cause", say.Why(wrong.Err)), say.That("Set the quotation marks right."))
			return
		}
		line, _ := in.FieldPos(0)
		if err != nil || strings.TrimSpace(strings.Join(cells, "")) == "" {
			continue
		}
		a, err := row(id, names, cells)
		if err == nil {
			err = a.Check(r.lib, r.latest)
		}
		if err != nil {
			r.fault(line, say.That("the line cannot be used: %cause", say.Foreign(err.Error())), say.That("Set it right; the other lines are read."))
			continue
		}
		r.take(a, line)
	}
}

// heads reads the first line; bad is true when the lines below it cannot be read by it.
func (r *reader) heads(head []string) (names []string, bad bool) {
	for _, cell := range head[1:] {
		name := strings.ToLower(strings.TrimSpace(cell))
		_, err := strconv.Atoi(name)
		switch {
		case err != nil && !slices.Contains(tableColumns, name):
			r.fault(1, say.That("a table of assessments has no column %name", say.Quote(cell)), say.That("Use the numbers of aims, and: %names.", say.Foreign(strings.Join(tableColumns, ", "))))
			return nil, true
		case slices.Contains(names, name):
			r.fault(1, say.That("the column %name is there twice", say.Quote(cell)), say.That("Leave one of them out."))
			return nil, true
		}
		names = append(names, name)
	}
	for _, must := range []string{"date", "must"} {
		if !slices.Contains(names, must) {
			r.fault(1, say.That("the column %name is missing", say.Quote(must)), say.That("Add it. date is the day, such as 2026-03-02; must is yes or no: was each line with Must seen?"))
			return nil, true
		}
	}
	return names, false
}

// row reads one line of a table.
func row(id string, names, cells []string) (*Assessment, error) {
	a := &Assessment{Format: Format, Version: Version, Procedure: id, Way: record.Removal, Role: Does, Attempt: 1, Learner: strings.TrimSpace(cells[0]), Aims: []Aim{}}
	if len(cells) > len(names)+1 {
		return nil, fmt.Errorf("it has %d cells, and the first line %d", len(cells), len(names)+1)
	}
	must := false
	for i, cell := range cells[1:] {
		cell = strings.TrimSpace(cell)
		if cell == "" {
			continue
		}
		err := error(nil)
		switch name := names[i]; name {
		case "date":
			if _, err = time.Parse(time.DateOnly, cell); err != nil {
				err = fmt.Errorf("%q is no day, such as 2026-03-02", cell)
			}
			a.Finished = cell
		case "must":
			seen, known := map[string]bool{"yes": true, "ja": true, "no": false, "nein": false}[strings.ToLower(cell)]
			if !known {
				err = fmt.Errorf("must is yes or no, not %q", cell)
			}
			must = true
			a.Lines = []Seen{{Line: "must", Must: true, Seen: seen}}
		case "observer":
			a.Observer = cell
		case "role":
			a.Role = Role(strings.ToLower(cell))
		case "attempt":
			if a.Attempt, err = strconv.Atoi(cell); err != nil {
				err = fmt.Errorf("%q is no attempt: write 1 or 2", cell)
			}
		case "way":
			a.Way = record.Phase(strings.ToLower(cell))
		case "variant":
			a.Variant = cell
		case "record":
			a.Record = cell
		case "again":
			a.Again = cell
		default:
			number, _ := strconv.Atoi(name)
			verdict, known := verdictOf(cell)
			if !known {
				err = fmt.Errorf("aim %s: write a (alone), h (with help) or n (not yet), not %q", name, cell)
			}
			a.Aims = append(a.Aims, Aim{Number: number, Verdict: verdict})
		}
		if err != nil {
			return nil, err
		}
	}
	if !must {
		return nil, errors.New("it does not say whether each line with Must was seen")
	}
	return a, nil
}

func verdictOf(cell string) (Verdict, bool) {
	switch strings.ToLower(cell) {
	case "a", "alone", "allein":
		return Alone, true
	case "h", "help", "with help", "mit hilfe":
		return WithHelp, true
	case "n", "not yet", "not-yet", "noch nicht":
		return NotYet, true
	}
	return "", false
}
