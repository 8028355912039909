package compile

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
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
// like any other. A quiz that has them stays as it is. Facts of the procedures that are known already are not worked out again.
func Questions(lib *procedure.Library, theme *themes.Theme, known ...*analysis.Procedure) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return fmt.Errorf("making questions: %w", err)
	}
	// The facts of a procedure are for one goroutine: the quizzes on it go one after the other.
	var names []string
	var on []*procedure.Procedure
	quizzes := map[*procedure.Procedure][]*procedure.Quiz{}
	for _, q := range lib.Quizzes {
		made := slices.ContainsFunc(q.Questions, func(x *procedure.Question) bool { return x.Generated })
		if q.Procedure == nil || q.Generate <= 0 || made {
			continue
		}
		if quizzes[q.Procedure] == nil {
			names, on = append(names, q.File.Name), append(on, q.Procedure)
		}
		quizzes[q.Procedure] = append(quizzes[q.Procedure], q)
	}
	parallel.Each(names, func(i int) {
		var of *analysis.Procedure
		if at := slices.IndexFunc(known, func(f *analysis.Procedure) bool { return f.Procedure == on[i] }); at >= 0 {
			of = known[at]
		} else {
			of = analysis.New(on[i])
		}
		for _, q := range quizzes[on[i]] {
			q.Questions = append(slices.Clip(q.Questions), generate.Questions(q, of, words.T)...)
		}
	})
	return nil
}
