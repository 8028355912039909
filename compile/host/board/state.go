package board

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"matchmark/compile/host/store"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/record"
)

// State is the whole board. All times are milliseconds since 1970.
type State struct {
	Jobs    []Job    `json:"jobs"`
	Results []Result `json:"results"`
}

// Job is one machine with all tablets that work on it.
type Job struct {
	Job       string `json:"job"`
	Machine   string `json:"machine"`
	Procedure string `json:"procedure"`
	Variant   string `json:"variant"`
	// VariantName is empty for a machine without variants.
	VariantName string    `json:"variantName"`
	Title       string    `json:"title"`
	Begun       int64     `json:"begun"`
	Changed     int64     `json:"changed"`
	Older       bool      `json:"older"` // made with another text than the one that is served
	Tablets     []Tablet  `json:"tablets"`
	Holds       []Hold    `json:"holds"`
	Findings    []Finding `json:"findings"`
	Done        Done      `json:"done"`
}

// Done says which ways are finished.
type Done struct {
	Out  bool `json:"out"`
	Back bool `json:"back"`
}

// Tablet is where somebody is.
type Tablet struct {
	Learner    string     `json:"learner"`
	Way        record.Way `json:"way"`
	Step       string     `json:"step"`
	StepTitle  string     `json:"stepTitle"`
	Number     int        `json:"number"` // of the step; 0 when the library does not have it
	Of         int        `json:"of"`
	Waits      string     `json:"waits"` // the key of the hold point's signature
	WaitsTitle string     `json:"waitsTitle"`
	At         int64      `json:"at"`
}

// Hold is a hold point that somebody has come to.
type Hold struct {
	// Key is what is signed; empty when nobody has to.
	Key           string         `json:"key"`
	Way           record.Way     `json:"way"`
	Step          string         `json:"step"`
	StepTitle     string         `json:"stepTitle"`
	Title         string         `json:"title"`
	Who           string         `json:"who"`
	Confirmations []Confirmation `json:"confirmations"`
	// WaitingSince is since when a tablet waits; 0 when none does.
	WaitingSince int64             `json:"waitingSince"`
	Signed       *record.Signature `json:"signed"`
}

// Confirmation is one row of a hold point.
type Confirmation struct {
	Text  string `json:"text"`
	Given bool   `json:"given"`
}

// Finding is one that was not taken back.
type Finding struct {
	Name        string          `json:"name"`  // its key in the record
	Thing       string          `json:"thing"` // what the thing is called
	Way         record.Way      `json:"way"`
	Step        string          `json:"step"`
	StepTitle   string          `json:"stepTitle"`
	Kind        record.Kind     `json:"kind"`
	Severity    record.Severity `json:"severity"`
	Words       string          `json:"words"`
	Repair      string          `json:"repair"`
	Before      string          `json:"before"`
	BeforeTitle string          `json:"beforeTitle"`
	By          string          `json:"by"`
	At          int64           `json:"at"`
	Photos      []string        `json:"photos"`
	Repaired    bool            `json:"repaired"`
}

// Result is a try of a quiz, marked by the host.
type Result struct {
	Quiz    string `json:"quiz"`
	Title   string `json:"title"`
	Learner string `json:"learner"`
	Try     int    `json:"try"`
	Score   int    `json:"score"` // percent
	Passed  bool   `json:"passed"`
	At      int64  `json:"at"`
}

// State makes the board of what the store holds.
func (p *Plans) State(jobs []store.Job, results []store.Result) *State {
	out := &State{Jobs: []Job{}, Results: []Result{}}
	for _, j := range jobs {
		out.Jobs = append(out.Jobs, p.job(j))
	}
	for _, r := range results {
		if made, ok := p.result(r); ok {
			out.Results = append(out.Results, made)
		}
	}
	return out
}

func (p *Plans) job(from store.Job) Job {
	r := from.Record
	plan := p.Of(r.Procedure, r.Variant)
	out := Job{
		Job: r.Job, Machine: r.Machine.Value, Procedure: r.Procedure, Variant: r.Variant, Title: r.Procedure,
		Begun: from.Began, Changed: from.Changed, Older: true,
		Tablets: []Tablet{}, Holds: []Hold{}, Findings: []Finding{},
	}
	if plan != nil {
		out.Title, out.Older = plan.Procedure.Title, plan.content != r.Content
		if plan.Variant != nil {
			out.VariantName = plan.Variant.Name
		}
		out.Done = Done{plan.done(r, record.Out), plan.done(r, record.Back)}
	}
	for _, key := range slices.Sorted(maps.Keys(r.Tablets)) {
		out.Tablets = append(out.Tablets, plan.tablet(r.Tablets[key]))
	}
	out.Holds = append(out.Holds, plan.holds(r)...)
	for key, f := range r.Findings {
		if !f.Withdrawn {
			out.Findings = append(out.Findings, plan.finding(r, key, f))
		}
	}
	slices.SortFunc(out.Findings, func(a, b Finding) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Name, b.Name)) })
	return out
}

// done reports whether all steps of a way are passed.
func (p *Plan) done(r *record.Record, way record.Way) bool {
	j := p.Ways[way]
	if j == nil || len(j.Steps) == 0 {
		return false
	}
	for _, s := range j.Steps {
		if !r.Passed[string(way)+"/"+s.ID].Value {
			return false
		}
	}
	return true
}

func (p *Plan) tablet(t record.Tablet) Tablet {
	out := Tablet{Learner: t.Learner, Way: t.Way, Step: t.Step, At: t.At}
	if s, of := p.step(t.Way, t.Step); s != nil {
		out.StepTitle, out.Number, out.Of = s.Title, s.Number, of
	} else {
		out.Of = of
	}
	if t.Waits != "" {
		out.Waits = string(t.Way) + "/" + t.Waits
		out.WaitsTitle = t.Waits
		if h := p.hold(t.Way, t.Waits); h != nil {
			out.WaitsTitle = h.Title
		}
	}
	return out
}

// hold finds a hold point by the row of its signature.
func (p *Plan) hold(way record.Way, row string) *HoldPoint {
	if p == nil {
		return nil
	}
	for i, h := range p.Holds {
		if h.Way == way && h.Signature == row {
			return &p.Holds[i]
		}
	}
	return nil
}

// holds lists the hold points at which anything has happened, and those that a
// tablet of another edition waits at.
func (p *Plan) holds(r *record.Record) []Hold {
	waiting := map[string]int64{}
	for _, t := range r.Tablets {
		key := string(t.Way) + "/" + t.Waits
		if _, signed := r.Signed[key]; t.Waits != "" && !signed && (waiting[key] == 0 || t.At < waiting[key]) {
			waiting[key] = t.At
		}
	}
	var out []Hold
	if p != nil {
		for _, h := range p.Holds {
			made, begun := h.of(r, waiting)
			if begun {
				out = append(out, made)
			}
			delete(waiting, made.Key)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(waiting)) {
		way, row, _ := record.SplitKey(key)
		out = append(out, Hold{Key: key, Way: way, Title: row, Confirmations: []Confirmation{}, WaitingSince: waiting[key]})
	}
	return out
}

// of is the hold point as a record has it, and whether anything has happened there.
func (h HoldPoint) of(r *record.Record, waiting map[string]int64) (out Hold, begun bool) {
	out = Hold{Way: h.Way, Step: h.Step, StepTitle: h.StepTitle, Title: h.Title, Who: h.Who, Confirmations: []Confirmation{}}
	for _, row := range h.Rows {
		c := r.Confirmed[string(h.Way)+"/"+row.ID]
		out.Confirmations = append(out.Confirmations, Confirmation{row.Text, c.Given})
		begun = begun || c.Given
	}
	if h.Signature == "" {
		return out, begun
	}
	out.Key = string(h.Way) + "/" + h.Signature
	out.WaitingSince = waiting[out.Key]
	if g, signed := r.Signed[out.Key]; signed {
		out.Signed = &g
	}
	return out, begun || out.WaitingSince > 0 || out.Signed != nil || r.Confirmed[out.Key].Given
}

func (p *Plan) finding(r *record.Record, key string, f record.Finding) Finding {
	out := Finding{
		Name: key, Thing: f.Name, Way: f.Way, Step: f.Step, Kind: f.Kind, Severity: f.Severity, Words: f.Words,
		Repair: f.Repair, Before: f.Before, By: f.By, At: f.Found, Photos: f.Photos, Repaired: r.Repairs[key].Done,
	}
	if out.Thing == "" {
		out.Thing = f.Other
	}
	if out.Photos == nil {
		out.Photos = []string{}
	}
	if s, _ := p.step(f.Way, f.Step); s != nil {
		out.StepTitle = s.Title
	}
	if s, _ := p.step(record.Back, f.Before); s != nil {
		out.BeforeTitle = s.Title
	}
	return out
}

// result marks a try anew: what a tablet says that it scored is not believed.
func (p *Plans) result(from store.Result) (Result, bool) {
	q := p.Quiz(from.Response.Quiz)
	if q == nil {
		return Result{}, false
	}
	found := collect.Read(q, []collect.File{{Name: "result.json", Data: from.Body}})
	if len(found.Learners) == 0 {
		return Result{}, false
	}
	l := found.Learners[0]
	try := l.Last()
	out := Result{Quiz: q.ID, Title: q.Title, Learner: l.Name, Try: from.Response.Try, Score: try.Score.Percent, Passed: try.Score.Passed, At: from.Received}
	if at, err := time.Parse(time.RFC3339, from.Response.Finished); err == nil {
		out.At = at.UnixMilli()
	}
	return out, true
}
