package site

import (
	"html/template"
	"math"
	"path"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/lifts"
	"matchmark/procedure/schedule"
)

// stepsView is the step view of a job: the page that a learner works from.
type stepsView struct {
	page.Shell
	Job      jobState
	Steps    []*stepView
	Overview string
	// Back leads to the step view of the way back; empty when there is none.
	Back string
	// Derived is true for a refitting.
	Derived bool
}

// jobState is what the step view's script needs to know.
type jobState struct {
	benchState
	Plan  string  `json:"plan"`  // the expected time in words
	Total float64 `json:"total"` // the expected time in minutes
	// Steps are the steps' times in minutes, in the page's order: optimistic, likely, pessimistic, expected.
	Steps [][4]float64 `json:"steps"`
}

// stepView is one screen.
type stepView struct {
	ID, Title  string
	Number, Of int
	Time       string
	People     int
	Tools      string
	Needs      string
	// Lead are the cautions that stand before everything else; they go above the figure.
	Lead     []*signalView
	Figures  []*page.Figure
	Blocks   []blockView
	SafeStop bool
}

// blockView is one block of a step; exactly one field is set.
type blockView struct {
	Caution    *signalView
	Text       template.HTML
	Tip        template.HTML
	KeyPoint   *keyPointView
	Lift       *liftView
	Rows       []*rowView
	Inspection *inspectionView
	Hold       *holdView
}

type signalView struct {
	Signal procedure.Signal
	Word   string
	Text   template.HTML
}

type keyPointView struct {
	Point  string
	Reason template.HTML
}

type inspectionView struct {
	Title string
	Thing string // id of what is looked at
	Items []inspectionItemView
}

type inspectionItemView struct {
	Look   string
	Accept template.HTML
	// Limits is nil when nothing is measured.
	Limits *limitsView
}

// limitsView is the range of a measured value, its numbers with a decimal point in
// one unit; an end that is open is empty.
type limitsView struct{ Unit, Low, High string }

type holdView struct {
	Title         string
	Confirmations []template.HTML
	Signature     string // who signs; empty for nobody
}

// emitSteps writes the step view of a job.
func (e *emitter) emitSteps(j *procedure.Job) error {
	at := page.StepsPath(j)
	v := stepsView{
		Shell:    e.shell(at, jobTitle(j)),
		Overview: "index.html",
	}
	v.Body = "steps-page"
	v.Search = false // the bench needs the room
	v.Styles = []string{page.IconStyle, "step.css", "bench.css"}
	v.Scripts = []string{benchScript}
	v.Crumbs = append(v.Crumbs, v.Trail(j.Procedure)...)
	v.Derived = j.Procedure.Forth != nil
	if back := j.Procedure.Back; back != nil {
		v.Back = v.Link(page.StepsPath(&procedure.Job{Procedure: back, Variant: j.Variant}))
	}
	v.Here = e.words.T("step.here")
	if j.Variant != nil {
		v.Here = j.Variant.Name
	}
	clock := e.worked(j).Clock()
	v.Job = jobState{benchState: e.benchOf(j), Plan: schedule.Duration(clock.Total.Expected), Total: thousandths(clock.Total.Expected)}
	lifted := map[*procedure.Action]lifts.Lift{}
	if j.Machine != nil {
		for _, l := range e.worked(j).Lifts() {
			lifted[l.Action] = l
		}
	}
	b := stepBuilder{
		emitter: e, job: j, shell: v.Shell, linked: map[*procedure.Action]string{}, told: map[saying]bool{},
		lifts: lifted, liftSheet: path.Base(page.LiftPath(j)), gallery: page.NewGallery(v.Shell, j.Machine, e.pictures),
	}
	v.Steps = make([]*stepView, 0, len(j.Steps))
	v.Job.Steps = make([][4]float64, 0, len(j.Steps))
	for i, s := range j.Steps {
		view, err := b.build(s, len(j.Steps))
		if err != nil {
			return err
		}
		v.Steps = append(v.Steps, view)
		v.Job.Steps = append(v.Job.Steps, [4]float64{
			thousandths(s.Time.Optimistic), thousandths(s.Time.Likely), thousandths(s.Time.Pessimistic), thousandths(clock.Rows[i].Expected),
		})
	}
	return e.write(at, "site/steps", v)
}

// thousandths rounds minutes to less than anyone can time.
func thousandths(minutes float64) float64 { return math.Round(minutes*1000) / 1000 }

// jobTitle is the procedure's title with the variant that the job is for.
func jobTitle(j *procedure.Job) string {
	if j.Variant == nil {
		return j.Procedure.Title
	}
	return j.Procedure.Title + " (" + j.Variant.Name + ")"
}
