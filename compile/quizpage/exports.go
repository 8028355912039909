package quizpage

import (
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/quiz"
	"matchmark/themes"
)

// Question is a question as the pages of a quiz show it, for packages that show
// the same questions elsewhere. Its links count from the quiz's page.
type Question = question

// Questions returns a quiz's questions with their choices in the order of the
// first try and of the paper form.
func Questions(lib *procedure.Library, q *procedure.Quiz, pictures map[string]*picture.Picture, words *themes.Words) ([]Question, error) {
	r := reader{quiz: q, shell: page.NewShell(lib, words, page.QuizPath(q), q.Title), words: words, pictures: pictures}
	return r.questions(quiz.Arrange(q, 1))
}

// Digits is the number of a quantity without its unit, with a decimal point.
func Digits(q measure.Quantity) string { return digits(q) }
