package compile

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/parallel"
	"matchmark/procedure/quiz/generate"
	"matchmark/themes"
)

// MakeQuestions puts the questions that quizzes ask to be made into a library that
// is not compiled, as Questions does in a compile.
func MakeQuestions(lib *procedure.Library) error {
	theme, err := themes.Load()
	if err != nil {
		return &InternalError{fmt.Errorf("loading the theme: %w", err)}
	}
	return Questions(lib, theme)
}

// Questions puts the questions that each quiz asks to be made behind its author's
// own, in the words of the library's language; from there on they are questions
// like any other. A quiz that has them stays as it is.
func Questions(lib *procedure.Library, theme *themes.Theme) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return fmt.Errorf("making questions: %w", err)
	}
	var names []string
	for _, q := range lib.Quizzes {
		names = append(names, q.File.Name)
	}
	parallel.Each(names, func(i int) {
		q := lib.Quizzes[i]
		if slices.ContainsFunc(q.Questions, func(x *procedure.Question) bool { return x.Generated }) {
			return
		}
		q.Questions = append(slices.Clip(q.Questions), generate.Questions(q, words.T)...)
	})
	return nil
}
