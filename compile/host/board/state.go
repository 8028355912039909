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

// State is the whole board.
type State struct {
	Jobs []Job `json:"jobs"`
	// Bare is how many of the jobs have nothing but what lists say of them, for want of room.
	Bare    int      `json:"bare"`
	Results []Result `json:"results"`
}

// Job is one machine with all tablets that work on it. All times are milliseconds since 1970.
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
	Void        bool      `json:"void"`  // declared void by the trainer
	Older       bool      `json:"older"` // made with another text than the one that is served
	Tablets     []Tablet  `json:"tablets"`
	Holds       []Hold    `json:"holds"`
	Findings    []Finding `json:"findings"`
	Done        Done      `json:"done"`
	// Ways are those of the job as the library has it: what the board draws as a line.
	Ways map[record.Phase]Way `json:"ways"`
}

// Way is how long a way is, and where its hold points stand.
type Way struct {
	Of    int   `json:"of"`
	Gates []int `json:"gates"` // numbers of the steps behind which somebody has to sign
}

// Done says which ways are finished.
type Done struct {
	Out  bool `json:"out"`
	Back bool `json:"back"`
}

// Tablet is where somebody is.
type Tablet struct {
	Learner    string       `json:"learner"`
	Way        record.Phase `json:"way"`
	Step       string       `json:"step"`
	StepTitle  string       `json:"stepTitle"`
	Number     int          `json:"number"` // of the step; 0 when the library does not have it
	Of         int          `json:"of"`
	Waits      string       `json:"waits"` // the key of the hold point's signature
	WaitsTitle string       `json:"waitsTitle"`
	At         int64        `json:"at"`
	// Late is by how many minutes the work on this way has taken longer than planned until the end of this step; 0 while it has not.
	Late int `json:"late"`
}

// Hold is a hold point that somebody has come to, or a finding that stops the work.
type Hold struct {
	// Finding is the name of that finding; empty for a hold point.
	Finding string `json:"finding"`
	// Key is what is signed; empty when nobody has to.
	Key           string         `json:"key"`
	Way           record.Phase   `json:"way"`
	Step          string         `json:"step"`
	StepTitle     string         `json:"stepTitle"`
	Number        int            `json:"number"` // of the step; 0 when the library does not have it
	Title         string         `json:"title"`
	Who           string         `json:"who"`
	Confirmations []Confirmation `json:"confirmations"`
	// WaitingSince is since when a tablet waits, or the work; 0 when nothing does.
	WaitingSince int64 `json:"waitingSince"`
	// Signed is the signature that holds for the record as it is; Broken is who gave one that does not, such as on another machine.
	Signed *record.Signature `json:"signed"`
	Broken string            `json:"broken"`
	// Unproved is what was written on a tablet in the place of a signature, by UnprovedBy; empty when the hold point is signed.
	Unproved   string `json:"unproved"`
	UnprovedBy string `json:"unprovedBy"`
	UnprovedAt int64  `json:"unprovedAt"`
	// Known is false for a hold point that the library does not have: it cannot be signed.
	Known bool `json:"known"`
}

// Confirmation is one row of a hold point.
type Confirmation struct {
	Text  string `json:"text"`
	Given bool   `json:"given"`
}

// Finding is one that was found, also when it was taken back since.
type Finding struct {
	Name        string          `json:"name"`  // its key in the record
	Thing       string          `json:"thing"` // what the thing is called
	Way         record.Phase    `json:"way"`
	Step        string          `json:"step"`
	StepTitle   string          `json:"stepTitle"`
	Number      int             `json:"number"` // of the step; 0 when the library does not have it
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
	// Withdrawn is true when it was taken back, by WithdrawnBy at WithdrawnAt.
	Withdrawn   bool   `json:"withdrawn"`
	WithdrawnBy string `json:"withdrawnBy"`
	WithdrawnAt int64  `json:"withdrawnAt"`
}

// Result is a try of a quiz, marked by the host.
type Result struct {
	Quiz    string `json:"quiz"`
	Title   string `json:"title"`
	Learner string `json:"learner"`
	Try     int    `json:"try"`
	// Marked is false for a try of a wording whose key the host does not have: it is neither passed nor failed.
	Marked bool  `json:"marked"`
	Score  int   `json:"score"` // percent
	Passed bool  `json:"passed"`
	At     int64 `json:"at"`
}

// Bare is a job of which nothing is shown but what lists say of it.
func Bare(j store.Summary) Job {
	return Job{Job: j.Job, Machine: j.Machine, Title: j.Machine, Begun: j.Began, Changed: j.Changed, Void: j.Void, Tablets: []Tablet{}, Holds: []Hold{}, Findings: []Finding{}}
}

// Job makes what the board shows of a job.
func (p *Plans) Job(from store.Job) Job {
	r := from.Record
	plan := p.Of(r.Procedure, r.Variant)
	out := Job{
		Job: r.Job, Machine: r.Machine.Value, Procedure: r.Procedure, Variant: r.Variant, Title: r.Procedure,
		Begun: from.Began, Changed: from.Changed, Void: from.Void, Older: true,
		Tablets: []Tablet{}, Holds: []Hold{}, Findings: []Finding{},
	}
	if plan != nil {
		out.Title, out.Older = plan.Procedure.Title, plan.content != r.Content
		if plan.Variant != nil {
			out.VariantName = plan.Variant.Name
		}
		out.Done = Done{plan.done(r, record.Removal), plan.done(r, record.Refitting)}
		out.Ways = plan.lines()
	}
	for _, key := range slices.Sorted(maps.Keys(r.Tablets)) {
		t := plan.tablet(r.Tablets[key])
		t.Late = plan.late(r, t.Way, t.Step)
		out.Tablets = append(out.Tablets, t)
	}
	out.Holds = append(out.Holds, plan.holds(r)...)
	for _, key := range slices.Sorted(maps.Keys(r.Findings)) {
		f := r.Findings[key]
		out.Findings = append(out.Findings, plan.finding(r, key, f))
		if f.Severity == record.StopsWork && !f.Withdrawn {
			out.Holds = append(out.Holds, plan.stop(r, key, f))
		}
	}
	slices.SortFunc(out.Findings, func(a, b Finding) int { return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Name, b.Name)) })
	return out
}

// done reports whether all steps of a way are passed.
func (p *Plan) done(r *record.Record, way record.Phase) bool {
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
	out := Tablet{Learner: t.Learner, Way: t.Phase, Step: t.Step, At: t.At}
	if s, of := p.step(t.Phase, t.Step); s != nil {
		out.StepTitle, out.Number, out.Of = s.Title, s.Number, of
	} else {
		out.Of = of
	}
	if t.Waits != "" {
		out.Waits = string(t.Phase) + "/" + t.Waits
		out.WaitsTitle = t.Waits
		if h := p.hold(t.Phase, t.Waits); h != nil {
			out.WaitsTitle = h.Title
		}
	}
	return out
}

// hold finds a hold point by the row of its signature.
func (p *Plan) hold(way record.Phase, row string) *HoldPoint {
	if p == nil || row == "" {
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
		key := string(t.Phase) + "/" + t.Waits
		if t.Waits != "" && !signed(r, key) && (waiting[key] == 0 || t.At < waiting[key]) {
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

// signed reports whether a row has a signature that holds.
func signed(r *record.Record, key string) bool {
	g, there := r.Signed[key]
	return there && record.Verify(r, key, g)
}

// of is the hold point as a record has it, and whether anything has happened there.
func (h HoldPoint) of(r *record.Record, waiting map[string]int64) (out Hold, begun bool) {
	out = Hold{Way: h.Way, Step: h.Step, StepTitle: h.StepTitle, Number: h.Number, Title: h.Title, Who: h.Who, Known: true, Confirmations: []Confirmation{}}
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
	out.signed(r)
	return out, begun || out.WaitingSince > 0 || out.Signed != nil || out.Broken != "" || out.Unproved != ""
}

// signed looks for what was signed there, and for what was written on a tablet in its place.
func (h *Hold) signed(r *record.Record) {
	switch g, there := r.Signed[h.Key]; {
	case there && record.Verify(r, h.Key, g):
		h.Signed = &g
	case there:
		h.Broken = cmp.Or(g.Signer(), "?")
	}
	if written := r.Confirmed[h.Key]; written.Given && h.Signed == nil {
		h.Unproved, h.UnprovedBy, h.UnprovedAt = cmp.Or(written.Text, "?"), written.By, written.At
	}
}

// stop is what the trainer has to look at before work goes on that a finding stops.
func (p *Plan) stop(r *record.Record, key string, f record.Finding) Hold {
	out := Hold{Finding: key, Key: record.StopKey(key), Way: f.Phase, Step: f.Step, Title: f.Name, Known: true, Confirmations: []Confirmation{}}
	if s, _ := p.step(f.Phase, f.Step); s != nil {
		out.StepTitle, out.Number = s.Title, s.Number
	}
	if out.signed(r); out.Signed == nil {
		out.WaitingSince = f.Found
	}
	return out
}

func (p *Plan) finding(r *record.Record, key string, f record.Finding) Finding {
	out := Finding{
		Name: key, Thing: f.Name, Way: f.Phase, Step: f.Step, Kind: f.Kind, Severity: f.Severity, Words: f.Words,
		Repair: f.Repair, Before: f.Before, By: f.Finder(), At: f.Found, Photos: f.Photos, Repaired: r.Repairs[key].Done,
	}
	if f.Withdrawn {
		out.Withdrawn, out.WithdrawnBy, out.WithdrawnAt = true, f.By, f.At
	}
	if out.Thing == "" {
		out.Thing = f.Other
	}
	if out.Photos == nil {
		out.Photos = []string{}
	}
	if s, _ := p.step(f.Phase, f.Step); s != nil {
		out.StepTitle, out.Number = s.Title, s.Number
	}
	if s, _ := p.step(record.Refitting, f.Before); s != nil {
		out.BeforeTitle = s.Title
	}
	return out
}

// Passed reports whether a try was passed, by the host's own marking; false when the library does not have the quiz any more.
func (p *Plans) Passed(r store.Result) bool {
	made, ok := p.Result(r)
	return ok && made.Passed
}

// Result marks a try; false when the library has no such quiz.
func (p *Plans) Result(from store.Result) (Result, bool) {
	q := p.Quiz(from.Response.Quiz)
	if q == nil {
		return Result{}, false
	}
	out := Result{Quiz: q.ID, Title: q.Title, Learner: from.Response.Learner, Try: from.Response.Try, At: from.Received}
	if found := p.Mark(q, collect.File{Name: "result.json", Data: from.Body}); len(found.Learners) > 0 {
		l := found.Learners[0]
		try := l.Last()
		out.Learner, out.Marked, out.Score, out.Passed = l.Name, true, try.Score.Percent, try.Score.Passed
	}
	if at, err := time.Parse(time.RFC3339, from.Response.Finished); err == nil {
		out.At = at.UnixMilli()
	}
	return out, true
}
