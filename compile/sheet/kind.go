package sheet

import (
	"path"
	"slices"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/lifts"
	"matchmark/procedure/refit"
	"matchmark/procedure/schedule"
	"matchmark/procedure/supplies"
	"matchmark/themes"
)

// Kind is a kind of printable sheet.
type Kind string

// The sheets of a job.
const (
	Whole     Kind = "whole" // all sheets of a removal and of its refitting, to print in one go
	Checklist Kind = "checklist"
	Tools     Kind = "tools"
	Torque    Kind = "torque"
	Lift      Kind = "lift"
	Labels    Kind = "labels"
)

// The papers for trainers, of which a library makes those that its settings name.
const (
	Risk       Kind = "risk"
	Isolation  Kind = "isolation"
	Assessment Kind = "assessment"
	Release    Kind = "release"
	Deck       Kind = "deck"
	Feedback   Kind = "feedback"
	FollowUp   Kind = "follow-up"
	Class      Kind = "class"
	Order      Kind = "order"
	Lesson     Kind = "lesson"
	Attendance Kind = "attendance"
)

// SheetsOf lists the sheets that there are for a job, in the order in which they
// are needed. A job that tightens nothing has no torque sheet, one without lifts
// no lift sheet, and one from which nothing comes away no labels. Papers for trainers come last, as far as the library makes them; only
// a refitting brings a machine back to service. All of them together, a refitting's too, are begun from the removal.
func SheetsOf(lib *procedure.Library, job *analysis.Job) []Kind {
	kinds := contentsOf(job).kinds()
	if job.Procedure.Removal == nil {
		kinds = append([]Kind{Whole}, kinds...)
	}
	for _, k := range []Kind{Risk, Isolation, Assessment, Release, Deck, Feedback, FollowUp} {
		if slices.Contains(lib.Papers, paperOf[k]) && (k != Release || job.Procedure.Removal != nil) {
			kinds = append(kinds, k)
		}
	}
	return kinds
}

// All lists the sheets of a procedure, each kind once, on the first variant that has it.
func All(lib *procedure.Library, p *analysis.Procedure) (out []procedure.SheetOf) {
	for _, job := range p.Jobs {
		for _, kind := range SheetsOf(lib, job) {
			if !slices.ContainsFunc(out, func(s procedure.SheetOf) bool { return s.Kind == string(kind) }) {
				out = append(out, procedure.SheetOf{Kind: string(kind), Page: path.Base(kind.Path(job.Job))})
			}
		}
	}
	return out
}

// PapersOf lists the papers that a library makes of each course.
func PapersOf(lib *procedure.Library) []Kind {
	var kinds []Kind
	for _, k := range []Kind{Class, Order, Lesson, Attendance} {
		if slices.Contains(lib.Papers, paperOf[k]) {
			kinds = append(kinds, k)
		}
	}
	return kinds
}

// PathOf is where a course's paper of this kind stands in the site.
func (k Kind) PathOf(c *procedure.Course) string { return page.CoursePaperPath(c, string(k)) }

// Path is where a job's sheet of this kind stands in the site.
func (k Kind) Path(job *procedure.Job) string { return page.SheetPath(job, string(k)) }

// Title is what the sheet is called.
func (k Kind) Title(words *themes.Words) string {
	switch k {
	case Whole:
		return words.T("sheet.whole")
	case Tools:
		return words.T("sheet.tools")
	case Torque:
		return words.T("sheet.torque")
	case Lift:
		return words.T("sheet.lift")
	case Labels:
		return words.T("sheet.labels")
	case Risk, Isolation, Assessment, Release, Deck, Feedback, FollowUp, Class, Order, Lesson, Attendance:
		return words.T("paper." + string(k))
	}
	return words.T("sheet.checklist")
}

// contents is what is worked out for a job's sheets.
type contents struct {
	clock   schedule.Timetable
	list    supplies.List
	torques []refit.Torque
	lifts   []lifts.Lift
}

func contentsOf(job *analysis.Job) contents {
	return contents{clock: job.Clock(), list: job.Supplies(), torques: job.Torques(), lifts: job.Lifts()}
}

func (c contents) kinds() []Kind {
	kinds := []Kind{Checklist, Tools}
	if len(c.torques) > 0 {
		kinds = append(kinds, Torque)
	}
	if len(c.lifts) > 0 {
		kinds = append(kinds, Lift)
	}
	if len(c.list.Bags)+len(c.list.Labels) > 0 {
		kinds = append(kinds, Labels)
	}
	return kinds
}
