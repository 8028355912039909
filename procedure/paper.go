package procedure

import "strings"

// Paper is a paper for trainers that a library makes of its jobs and courses where its settings ask for it.
type Paper string

// The papers.
const (
	RiskPaper       Paper = "risk"       // what each step can do to people, and what is done about it
	IsolationPaper  Paper = "isolation"  // points of isolation, locks, proofs, handover
	AssessmentPaper Paper = "assessment" // what an observer looks for at each step
	ReleasePaper    Paper = "release"    // what is looked at before the machine goes back to service
	DeckPaper       Paper = "deck"       // large-type pages to show: aims, figures, key points, questions
	FeedbackPaper   Paper = "feedback"   // what a class says of each step
	FollowUpPaper   Paper = "follow-up"  // what a learner does on the job weeks later
	AttendancePaper Paper = "attendance" // who was there, of a course
	LessonPaper     Paper = "lesson"     // what the trainer does in each session of a course
	OrderPaper      Paper = "order"      // what a course uses up, and which dates of tools must hold
	ClassPaper      Paper = "class"      // how many can learn at once, who does what, and who may come
)

// Papers lists the papers in the order in which they are needed.
var Papers = []Paper{
	RiskPaper, IsolationPaper, AssessmentPaper, ReleasePaper, DeckPaper, FeedbackPaper, FollowUpPaper, ClassPaper, OrderPaper, LessonPaper, AttendancePaper,
}

// RiskMatrix is how a library rates what is left of a risk: a harm and a chance, from the least to the worst, and the level of
// each pair. Words and levels are the library's own; matchmark judges none of them. Empty when the library states none.
type RiskMatrix struct {
	Harms, Chances []string
	// Levels has a row for each harm with a word for each chance.
	Levels [][]string
}

// Empty reports whether the library states no matrix.
func (m *RiskMatrix) Empty() bool { return len(m.Harms) == 0 }

// Rating is what is left of a risk, in the words of the matrix.
type Rating struct{ Harm, Chance, Level string }

// Rate reads what a row says is left of its risk, such as "lasting harm, unlikely": a harm and a chance, in either order. It is
// false for words that the matrix does not have.
func (m *RiskMatrix) Rate(words string) (Rating, bool) {
	first, second, _ := strings.Cut(words, ",")
	pair := [2]string{strings.TrimSpace(first), strings.TrimSpace(second)}
	for i, harm := range m.Harms {
		for j, chance := range m.Chances {
			if is(pair, harm, chance) || is(pair, chance, harm) {
				return Rating{harm, chance, m.Levels[i][j]}, true
			}
		}
	}
	return Rating{}, false
}

func is(pair [2]string, first, second string) bool {
	return strings.EqualFold(pair[0], first) && strings.EqualFold(pair[1], second)
}
