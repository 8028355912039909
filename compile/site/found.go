package site

import (
	"html/template"
	"slices"
	"strconv"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
)

// What is found at the bench and what follows from it: values, questions, waits, conditions, rounds.

// readingsView are values to write down.
type readingsView struct {
	// Title and Columns are those of a table; empty and 0 for single values.
	Title   string
	Columns int
	Of      string
	Rows    []readingView
	// Series are those that come again, each with the clock that says when.
	Series []seriesView
}

type readingView struct {
	Name, Words, Accept string
	// Unit, Low and High are as in limitsView; Low and High are empty for a value without limits.
	Unit, Low, High string
	// Sum says how the value is worked out; empty for one that is read off.
	Sum string
	// Decides is true when steps or a round go by the value: it makes no finding then.
	Decides bool
	// Found names the value as found on the way out; empty for none.
	Found bool
}

type seriesView struct {
	Name, Words   string
	Every, Points int // Every in seconds
}

type decisionView struct {
	Name     string
	Question template.HTML
}

type pauseView struct {
	Words   template.HTML
	Time    string
	Seconds int
	On      string
}

// foundState is what the step view's script needs to go by what is found.
type foundState struct {
	Values  map[string]valueState  `json:"values"`
	Finders map[string]finderState `json:"finders"`
	Rounds  []roundState           `json:"rounds"`
	Waits   []waitState            `json:"waits"`
	// Words are those of the script, which most pages do without.
	Words map[string]string `json:"words"`
}

// foundWords are the keys of the words.
var foundWords = []string{
	"yes", "no", "open", "holds", "left-out", "undecided", "not-begun", "waits",
	"runs", "begin", "over", "begin-series", "next-reading", "value", "round", "round-open",
	"call", "more",
}

// valueState is a value: where it is written down, the way back first, and what it is a sum of.
type valueState struct {
	Label string   `json:"label"`
	Unit  string   `json:"unit"`
	Keys  []string `json:"keys"`
	// Sum holds a name and how often its number counts, each in the value's unit.
	Sum []addendState `json:"sum,omitempty"`
}

type addendState struct {
	Name   string  `json:"name"`
	Factor float64 `json:"factor"`
}

// finderState is what a name of a condition stands for.
type finderState struct {
	Kind string `json:"kind"` // answer, value or look
	Way  string `json:"way"`
	Step string `json:"step"`
	// Keys are the rows, by the record's keys; Limits those of values, in their order.
	Keys   []string    `json:"keys"`
	Limits [][2]string `json:"limits,omitempty"`
	Thing  string      `json:"thing,omitempty"`
}

type roundState struct {
	Way   string   `json:"way"`
	Steps []string `json:"steps"`
	Until string   `json:"until"`
	Words string   `json:"words"`
	Most  int      `json:"most"`
}

type waitState struct {
	Way     string   `json:"way"`
	Step    string   `json:"step"`
	If      string   `json:"if,omitempty"`
	Words   string   `json:"words"`
	Seconds int      `json:"seconds"`
	Holds   []string `json:"holds"`
}

// encoded is a condition as the script reads it: cases with | between them, names with & in each, ! before those that must not be so.
func encoded(c procedure.When) string {
	return strings.NewReplacer(" or ", "|", " and ", "&", "not ", "!").Replace(string(c))
}

// finders are what is found on both ways of a job, as far as the job has it.
func finders(j *procedure.Job) []procedure.Finder {
	out := procedure.Finders(j.Steps)
	if forth := j.Removal(); forth != nil {
		out = append(procedure.Finders(forth.Steps), out...)
	}
	return out
}

// foundOf is the state of a job's page; nil when nothing is found that counts.
func (e *emitter) foundOf(j *procedure.Job) *foundState {
	s := foundState{Values: map[string]valueState{}, Finders: map[string]finderState{}, Rounds: []roundState{}, Waits: []waitState{}}
	all := finders(j)
	if forth := j.Removal(); forth != nil {
		s.add(e, record.Removal, forth, j, all)
		s.add(e, record.Refitting, j, j, all)
	} else {
		s.add(e, record.Removal, j, j, all)
	}
	if len(s.Values)+len(s.Finders)+len(s.Rounds)+len(s.Waits) == 0 {
		return nil
	}
	s.Words = map[string]string{}
	for _, key := range foundWords {
		s.Words[key] = e.words.T("found.word." + key)
	}
	return &s
}

// add puts in what is found on one way of the job that is shown; all is what is found on both.
func (s *foundState) add(e *emitter, way record.Phase, j, shown *procedure.Job, all []procedure.Finder) {
	for i, step := range j.Steps {
		for _, row := range rows.List(step) {
			s.row(way, row, all)
		}
		if first := step.Round.First; first != "" && (i == 0 || j.Steps[i-1].Round.First != first) {
			r := roundState{Way: string(way), Until: encoded(step.Round.Until), Words: page.When(e.words, step.Round.Until, all), Most: step.Round.Most}
			for _, x := range j.Steps[i:] {
				if x.Round.First == first {
					r.Steps = append(r.Steps, x.ID)
				}
			}
			s.Rounds = append(s.Rounds, r)
		}
		if w := step.Wait(); w != nil && j == shown {
			s.Waits = append(s.Waits, waitState{
				Way: string(way), Step: step.ID, If: encoded(step.If.And(w.If)), Words: w.For.Plain(), Seconds: seconds(w.Time), Holds: e.held(j, i, w),
			})
		}
	}
}

// held lists the steps that a wait at the end of the i-th one holds up.
func (e *emitter) held(j *procedure.Job, i int, w *procedure.Wait) []string {
	out := []string{}
	if len(w.On) == 0 {
		for _, edge := range e.worked(j).Order().Edges() {
			if edge.From == i {
				out = append(out, j.Steps[edge.To].ID)
			}
		}
		if len(out) == 0 && i+1 < len(j.Steps) {
			out = append(out, j.Steps[i+1].ID)
		}
		return out
	}
	for _, s := range j.Steps[i+1:] {
		if w.Holds(s) {
			out = append(out, s.ID)
		}
	}
	return out
}

func (s *foundState) row(way record.Phase, row rows.Line, all []procedure.Finder) {
	key := string(way) + "/" + row.ID
	finder := func(name, kind, thing string, limits *limitsView) {
		f, again := s.Finders[name]
		if !again || f.Way != string(way) {
			f = finderState{Kind: kind, Way: string(way), Step: row.Step.ID, Thing: thing}
		}
		f.Keys = append(f.Keys, key)
		if limits != nil {
			f.Limits = append(f.Limits, [2]string{limits.Low, limits.High})
		} else if kind == "value" {
			f.Limits = append(f.Limits, [2]string{})
		}
		s.Finders[name] = f
	}
	switch {
	case row.Decision != nil:
		finder(row.Decision.Name, "answer", "", nil)
	case row.Item != nil && row.Inspection.Name != "":
		finder(row.Inspection.Name, "look", row.Inspection.Of.ID, limitsOf(row.Item.Limits))
		f := s.Finders[row.Inspection.Name]
		if row.Item.Limits == nil {
			f.Limits = append(f.Limits, [2]string{})
			s.Finders[row.Inspection.Name] = f
		}
	case row.Reading != nil:
		x := row.Reading
		finder(x.Name, "value", row.Readings.Of.ID, limitsIn(x))
		if row.Readings.Name != "" {
			finder(row.Readings.Name, "value", row.Readings.Of.ID, limitsIn(x))
		}
		v := s.Values[x.Name]
		v.Label, v.Unit, v.Sum = x.Label(), x.Unit, addends(x, all)
		v.Keys = append([]string{key}, v.Keys...)
		s.Values[x.Name] = v
	}
}

// addends are the values of a sum with their factors into its unit.
func addends(x *procedure.Reading, all []procedure.Finder) []addendState {
	var out []addendState
	for _, a := range x.Addends() {
		factor := float64(a.Times)
		if a.Minus {
			factor = -factor
		}
		for _, f := range all {
			if f.Readings == nil {
				continue
			}
			if i := slices.IndexFunc(f.Readings.Rows, func(r procedure.Reading) bool { return r.Name == a.Name }); i >= 0 {
				factor *= measure.Must("1 " + f.Readings.Rows[i].Unit).Float(x.Unit)
				break
			}
		}
		out = append(out, addendState{a.Name, factor})
	}
	return out
}

// limitsIn are the limits of a value in the unit that it is written down in; nil for none.
func limitsIn(x *procedure.Reading) *limitsView {
	if x.Limits == nil {
		return nil
	}
	number := func(q *measure.Quantity) string {
		if q == nil {
			return ""
		}
		same, err := q.In(x.Unit)
		if err != nil {
			panic("limits of another dimension than their value: " + err.Error()) // the reader makes none
		}
		return strings.TrimSpace(strings.TrimSuffix(same.String(), x.Unit))
	}
	return &limitsView{Unit: x.Unit, Low: number(x.Limits.Low), High: number(x.Limits.High)}
}

func seconds(q measure.Quantity) int { return int(q.Float("s") + 0.5) }

// deciding lists the names that conditions and rounds of a job go by.
func deciding(j *procedure.Job) map[string]bool {
	out := map[string]bool{}
	note := func(c procedure.When) {
		for _, n := range c.Names() {
			out[n] = true
		}
	}
	for _, s := range j.Steps {
		note(s.If)
		note(s.Round.Until)
		for _, b := range s.Blocks {
			note(b.Base().If)
		}
	}
	return out
}

func (b *stepBuilder) readings(x *procedure.Readings) *readingsView {
	v := &readingsView{Of: x.Of.ID, Columns: len(x.Columns())}
	if v.Columns > 0 {
		v.Title = x.Title
	}
	for i := range x.Rows {
		r := &x.Rows[i]
		row := readingView{
			Name: r.Name, Words: r.Label(), Accept: r.Accept, Unit: r.Unit, Decides: b.deciding[r.Name] || b.deciding[x.Name],
			Found: b.foundBefore[r.Name],
		}
		if l := limitsIn(r); l != nil {
			row.Low, row.High = l.Low, l.High
		}
		if r.Sum != "" {
			row.Sum = page.Sum(r, b.finders)
		}
		if n := r.Points(); n > 1 {
			every := seconds(r.Every)
			v.Series = append(v.Series, seriesView{r.Name, b.words.T("step.series", r.Label(), r.Every.String(), r.For.String()), every, n})
			for k := range n {
				point := row
				point.Words = b.words.T("step.series.point", r.Label(), minutes((k+1)*every))
				v.Rows = append(v.Rows, point)
			}
			continue
		}
		v.Rows = append(v.Rows, row)
	}
	return v
}

// minutes writes seconds as the pages write times.
func minutes(s int) string {
	if s%60 != 0 {
		return strconv.Itoa(s) + " s"
	}
	return strconv.Itoa(s/60) + " min"
}

func (b *stepBuilder) wait(w *procedure.Wait) *pauseView {
	v := &pauseView{Words: page.Inline(b.marked(w.For)), Time: w.Time.String(), Seconds: seconds(w.Time)}
	if len(w.On) > 0 {
		v.On = b.words.T("step.wait.on", b.names(w.On))
	}
	return v
}
