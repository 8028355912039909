package page

import (
	"encoding/hex"
	"strconv"

	"matchmark/procedure"
)

// The places of pages and files in the site. Links always end in a file name,
// so that they work from a folder as well as from a server.
const (
	StartPath       = "index.html"
	GlossaryPath    = "glossary.html"
	SearchIndexPath = "assets/search/index.js"
	// SearchScript is the asset that makes the search box.
	SearchScript = "search.js"
)

// SearchGroupPath is the piece of the search index that holds a group of documents.
func SearchGroupPath(group int) string { return "assets/search/g" + strconv.Itoa(group) + ".js" }

// SearchWordsPath is the piece of the search index on the words that begin with some
// letters, which it names by their bytes in hexadecimal digits.
func SearchWordsPath(letters string) string {
	return "assets/search/w" + hex.EncodeToString([]byte(letters)) + ".js"
}

// AssetPath is where an asset of the theme goes.
func AssetPath(name string) string { return "assets/" + name }

// ListFolder is where the pages of a list lie that is too long for the start page.
func ListFolder(kind string) string { return "list/" + kind }

// CoursePath is a course's page.
func CoursePath(c *procedure.Course) string { return "course/" + c.ID + ".html" }

// MachinePath is a machine's page.
func MachinePath(m *procedure.Machine) string { return "machine/" + m.ID + ".html" }

// PartsPath is the script that tells the step view what stands in a machine's registers.
func PartsPath(m *procedure.Machine) string { return "machine/" + m.ID + ".js" }

// MachineFolder is where the pages of a machine's list of procedures lie, when it is long.
func MachineFolder(m *procedure.Machine) string { return "machine/" + m.ID }

// ProcedurePath is a procedure's overview.
func ProcedurePath(p *procedure.Procedure) string { return "procedure/" + p.ID + "/index.html" }

// StepsPath is the step view of a job.
func StepsPath(j *procedure.Job) string { return jobPath(j, "steps") }

// SheetPath is a printable sheet of a job, by its kind.
func SheetPath(j *procedure.Job, kind string) string { return jobPath(j, kind) }

// TimesPath is the page on a job's times and who does what.
func TimesPath(j *procedure.Job) string { return jobPath(j, "times") }

// CoursePaperPath is where a paper of a kind stands that is made of a course.
func CoursePaperPath(c *procedure.Course, kind string) string {
	return "course/" + c.ID + "/" + kind + ".html"
}

// PlanPath is a course's session plan. It lies in a folder of its own, where no
// other course's name can lead.
func PlanPath(c *procedure.Course) string { return "course/" + c.ID + "/plan.html" }

// SessionPath is the trainer's printable sheet for a session of a course, counted from 1.
func SessionPath(c *procedure.Course, number int) string {
	return "course/" + c.ID + "/session-" + strconv.Itoa(number) + ".html"
}

// ProposedSessionPath is the same for a session that the tool proposes.
func ProposedSessionPath(c *procedure.Course, number int) string {
	return "course/" + c.ID + "/proposed-session-" + strconv.Itoa(number) + ".html"
}

// QuizPath is the page where a quiz is taken.
func QuizPath(q *procedure.Quiz) string { return "quiz/" + q.ID + "/index.html" }

// QuizFormPath is the printable form of a quiz.
func QuizFormPath(q *procedure.Quiz) string { return "quiz/" + q.ID + "/form.html" }

// QuizKeyPath is the answer key to a quiz's form.
func QuizKeyPath(q *procedure.Quiz) string { return "quiz/" + q.ID + "/key.html" }

func jobPath(j *procedure.Job, kind string) string {
	name := kind
	if j.Variant != nil {
		name += "-" + j.Variant.ID
	}
	return "procedure/" + j.Procedure.ID + "/" + name + ".html"
}
