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
	// Back leads to the step view of the refitting; empty when there is none.
	Back string
	// Derived is true for a refitting.
	Derived bool
	// SearchScript puts a search box into the list of steps.
	SearchScript string
	// Late are scripts that the page asks for once all that it shows at first is there.
	Late []string
}

// jobState is what the step view's script needs to know.
type jobState struct {
	benchState
	Plan  string  `json:"plan"`  // the expected time in words
	Total float64 `json:"total"` // the expected time in minutes
	// Steps are the steps' times in minutes, in the page's order: optimistic, likely, pessimistic, expected.
	Steps [][4]float64 `json:"steps"`
	// Found is what the page goes by; nil when nothing depends on what is found.
	Found *foundState `json:"found,omitempty"`
}

// stepView is one screen.
type stepView struct {
	ID, Title  string
	Number, Of int
	Time       string
	People     int
	// Who are the trades and tickets that the step takes.
	Who   string
	Tools string
	Needs string
	// Lead are the cautions that stand before everything else; they go above the figure.
	Lead     []*page.Caution
	Figures  []*page.Figure
	Blocks   []blockView
	SafeStop bool
	// If is the condition that the step is done under, as the script reads it, and IfWords in words; empty for none.
	If, IfWords string
	// Chapter is the title of the chapter, and Begins is true where one begins; Round says until when a round goes on.
	Chapter, Round string
	Begins         bool
	// Terms are the glossary's terms that are new on the page.
	Terms []page.Term
}

// blockView is one block of a step; exactly one field is set.
type blockView struct {
	Caution    *page.Caution
	Text       template.HTML
	Tip        template.HTML
	KeyPoint   *keyPointView
	Must       template.HTML
	Lift       *liftView
	Rows       []*rowView
	Inspection *inspectionView
	Hold       *holdView
	Readings   *readingsView
	Decision   *decisionView
	Wait       *pauseView
	// Only are the blocks that are done under a condition: If and IfWords as of a step.
	Only        []blockView
	If, IfWords string
}

type keyPointView struct {
	Point  string
	Reason template.HTML
}

type inspectionView struct {
	Title string
	// Decides is true when steps go by what is found: values out of limits make no finding then.
	Decides bool
	Thing   string // id of what is looked at
	Items   []inspectionItemView
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
	v.Styles = page.StepStyles
	v.Scripts = []string{benchScript}
	v.SearchScript = v.Link(page.AssetPath(page.SearchScript))
	v.Late = []string{v.Link(page.AssetPath(aidsScript)), v.Link(page.AssetPath("hold.js"))}
	if j.Machine != nil {
		v.Late = append(v.Late, v.Link(page.PartsPath(j.Machine)))
	}
	v.Crumbs = append(v.Crumbs, v.Trail(j.Procedure)...)
	v.Derived = j.Procedure.Removal != nil
	if back := j.Procedure.Refitting; back != nil {
		v.Back = v.Link(page.StepsPath(&procedure.Job{Procedure: back, Variant: j.Variant}))
	}
	v.Here = e.words.T("step.here")
	if j.Variant != nil {
		v.Here = j.Variant.Name
	}
	clock := e.worked(j).Clock()
	found := e.foundOf(j)
	if found != nil {
		v.Scripts = []string{foundScript, benchScript}
	}
	v.Job = jobState{Found: found, benchState: e.benchOf(j), Plan: schedule.Duration(clock.Total.Expected), Total: thousandths(clock.Total.Expected)}
	lifted := map[*procedure.Action]lifts.Lift{}
	if j.Machine != nil {
		for _, l := range e.worked(j).Lifts() {
			lifted[l.Action] = l
		}
	}
	b := stepBuilder{
		emitter: e, job: j, shell: v.Shell, linked: map[*procedure.Action]string{}, told: map[saying]bool{}, terms: map[*procedure.Term]bool{},
		finders: finders(j), deciding: deciding(j), foundBefore: map[string]bool{}, lifts: lifted, liftSheet: path.Base(page.SheetPath(j, "lift")), gallery: page.NewGallery(v.Shell, j.Machine, e.pictures),
	}
	if forth := j.Removal(); forth != nil {
		for _, f := range procedure.Finders(forth.Steps) {
			if f.Readings != nil {
				for i := range f.Readings.Rows {
					b.foundBefore[f.Readings.Rows[i].Name] = true
				}
			}
		}
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
	return e.write(at, stepsPage(v))
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
