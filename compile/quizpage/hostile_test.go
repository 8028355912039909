package quizpage

import (
	"testing"

	"github.com/a-h/templ"

	"matchmark/compile/page"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

func TestHostileStringsStayText(t *testing.T) {
	kinds := []any{page.Plain, page.Quiet, page.Active, page.Kept, procedure.Remove, procedure.Keep}
	for _, kind := range procedure.QuestionKinds {
		kinds = append(kinds, kind)
	}
	form := func(v paperView) templ.Component { return formPage(withFigures(v)) }
	take := func(v takeView) templ.Component {
		v.Questions = withFigures(paperView{Questions: v.Questions}).Questions
		return takePage(v)
	}
	pagetest.Hostile(t, kinds, take, form, answersPage, keyPage)
}

// withFigures gives each question a figure; those that ask for a place in one have one.
func withFigures(v paperView) paperView {
	for i := range v.Questions {
		if v.Questions[i].Figure == nil {
			v.Questions[i].Figure = &page.Figure{}
		}
	}
	return v
}
