// Package revise makes estimates better: from recorded step times it works out
// new optimistic, most likely and pessimistic times, and writes them into the
// source without changing anything else.
package revise

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"strconv"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// Record is one recorded time of one step.
type Record struct {
	// ID tells records apart from run to run; empty for one that is not remembered.
	ID string `json:"id"`
	// Step is the step's name.
	Step string `json:"step"`
	// Procedure and Variant tell steps of one name apart; empty when not recorded.
	Procedure string `json:"procedure,omitempty"`
	Variant   string `json:"variant,omitempty"`
	// Team is who worked; empty when not recorded.
	Team string `json:"team,omitempty"`
	// Minutes is how long the step took, more than 0.
	Minutes float64 `json:"minutes"`
	// Repetition says how often the learner had done the job by then, this time
	// included; 0 when not recorded.
	Repetition int `json:"repetition,omitempty"`
	// Interrupted is true when something else was done in between.
	Interrupted bool `json:"interrupted,omitempty"`
	// Line is where the record stands in its file, from 1.
	Line int `json:"-"`
}

// Name gives records of a file the names by which they are known from run to run: by the
// file's name, by what stands in them and, where several say the same, by which of these they are. The record of a job has names already.
func Name(file string, records []Record) {
	seen := map[string]int{}
	for i := range records {
		r := &records[i]
		if r.ID != "" {
			continue
		}
		name := fmt.Sprintf("%s %s %s %s %s %v %d %v", file, r.Procedure, r.Step, r.Variant, r.Team, r.Minutes, r.Repetition, r.Interrupted)
		seen[name]++
		sum := sha256.Sum256(fmt.Appendf(nil, "%s %d", name, seen[name]))
		r.ID = hex.EncodeToString(sum[:12])
	}
}

// The limits of a record: longer than a year, or repeated more often than anybody
// does a job, is a slip of the pen.
const (
	longestMinutes  = 525_600
	mostRepetitions = 100_000
	mostFaults      = 100
)

// Read reads a file of records by its name's ending, .csv or .json: see ReadCSV
// and ReadJSON for the two formats, and ReadJob for the records of jobs. With a fault in the file there are no
// records; the error is then diagnostic.Faults.
func Read(name string, data []byte) ([]Record, error) {
	switch strings.ToLower(path.Ext(name)) {
	case ".csv":
		return ReadCSV(data)
	case ".json":
		if IsJobRecord(data) {
			return ReadJob(data)
		}
		return ReadJSON(data)
	}
	return nil, fmt.Errorf("%s: recorded times are read from .csv and .json files", name)
}

// reading collects the records and the faults of one file.
type reading struct {
	file *text.File
	// start is where the file's own text starts, after a byte-order mark.
	start   int
	records []Record
	faults  diagnostic.Faults
}

func newReading(data []byte) *reading {
	r := &reading{file: text.NewFile("", data)}
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		r.start = 3
	}
	return r
}

// own is the file's own text.
func (r *reading) own() []byte { return r.file.Source[r.start:] }

// fault notes what is wrong at a byte of the file.
func (r *reading) fault(offset int, wrong, advice say.Text) {
	if len(r.faults) < mostFaults {
		r.faults = append(r.faults, diagnostic.Diagnostic{Severity: diagnostic.Error, Place: r.file.Position(offset), Wrong: wrong, Advice: advice})
	}
}

func (r *reading) result() ([]Record, error) {
	if len(r.faults) > 0 {
		return nil, r.faults
	}
	return r.records, nil
}

// fields are the names of what a record holds, the columns of a table and the keys of an object alike.
var fields = []string{"step", "minutes", "procedure", "variant", "team", "repetition", "interrupted", "note"}

// short cuts a text that a message quotes.
func short(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// unknown says what to do about a name that is no field.
func unknown(name string) say.Text {
	if near := diagnostic.Nearest(strings.ToLower(name), fields); near != "" {
		return say.That("Did you mean %name?", say.Word(near))
	}
	return say.That("Use %names.", say.Each[say.Word](say.Commas, fields))
}

// inRange says what is wrong with a record's numbers; empty when nothing is.
func (r Record) inRange() (wrong, advice say.Text) {
	switch {
	case !(r.Minutes > 0 && r.Minutes <= longestMinutes):
		return say.That("%minutes minutes is no time that a step can take", say.Word(strconv.FormatFloat(r.Minutes, 'g', -1, 64))), say.That("Write a number of minutes above 0, such as 8.5.")
	case r.Repetition < 0 || r.Repetition > mostRepetitions:
		return say.That("%count is no count of repetitions", say.Count(r.Repetition)), say.That("Write 1 for the first time, 2 for the second, and so on.")
	}
	return say.Text{}, say.Text{}
}
