package source

import (
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// quiz reads a quiz file.
func (r *reader) quiz(m *matter, doc ast.Node) *procedure.Quiz {
	var f quizFields
	r.decode(m, &f)
	q := &procedure.Quiz{
		ID: f.ID, Title: f.Title, Summary: f.Summary, Span: m.spanOf("id"), Pass: f.Pass, Seed: f.Seed, Tries: f.Tries,
		ProcedureRef: procedure.Ref{ID: f.Procedure, Span: m.spanOf("procedure")}, File: r.file,
		Forms: max(1, f.Forms), Generate: f.Generate,
	}
	for i, id := range f.Without {
		q.Without = append(q.Without, procedure.Ref{ID: id, Span: m.spanOf("without[" + strconv.Itoa(i) + "]")})
	}
	if q.Forms > 1 && q.Seed == 0 {
		r.misfit(m, "forms", "without a seed all forms are alike", "Add seed: 1, or any other number.")
	}
	var about []ast.Node
	r.eachBlock(doc, InQuiz, func(n ast.Node) { about = append(about, n) }, func(b *block) {
		q.Questions = append(q.Questions, r.question(b))
	})
	q.About = r.prose(about)
	q.Time = r.quizTime(m, f.Time, len(q.Questions)+q.Generate)
	if len(q.Questions) == 0 && !hasFence(doc) {
		r.report("empty-quiz", q.Span, "this quiz asks nothing", "Write a question block.")
	}
	if !isName(f.ID) {
		return nil
	}
	return q
}

// question reads one question. A fault in its form is reported; the question stays, so that its name is known.
func (r *reader) question(b *block) *procedure.Question {
	q := &procedure.Question{
		ID: b.argument, Kind: procedure.QuestionKind(b.words("type")), Span: b.span,
		Points: 1, Step: b.ref("step"), About: b.refs("about"), Critical: b.flag("critical"),
	}
	if v := b.get("aim"); v != nil {
		n, err := strconv.Atoi(v.text)
		if err != nil || n < 1 || n > 99 {
			r.report("attribute-value", v.span, quote(v.text)+" is not the number of an aim, counted from 1", "Write a whole number.")
		} else {
			q.Aim, q.AimSpan = n, v.span
		}
	}
	if v := b.get("points"); v != nil {
		n, err := strconv.Atoi(v.text)
		if err != nil || n < 1 || n > 20 {
			r.report("attribute-value", v.span, quote(v.text)+" is not a number of points from 1 to 20", "Write a whole number.")
		} else {
			q.Points = n
		}
	}
	var stem, why []ast.Node
	var list *ast.List
	r.eachBlock(b.node, "question", func(n ast.Node) {
		switch n := n.(type) {
		case *ast.List:
			if list != nil {
				r.report("question-form", r.spanOf(n), "a question has one list of choices", "Put all choices into one list.")
				return
			}
			list = n
		case *ast.Blockquote:
			for c := n.FirstChild(); c != nil; c = c.NextSibling() {
				why = append(why, c)
			}
		default:
			if list != nil {
				r.report("question-form", r.spanOf(n), "text stands behind the choices", "Write the explanation as a quotation: start the line with >.")
				return
			}
			stem = append(stem, n)
		}
	}, func(*block) {})
	q.Stem, q.Why = r.prose(stem), r.prose(why)
	if q.Stem.Empty() {
		r.report("question-form", b.span, "this question asks nothing", "Write the question before its choices.")
	}
	if list != nil {
		for i := list.FirstChild(); i != nil; i = i.NextSibling() {
			if item, ok := i.(*ast.ListItem); ok {
				q.Choices = append(q.Choices, r.choice(item, q.Kind))
			}
		}
	}
	r.checkQuestion(b, q, list)
	return q
}

// choice reads "[x] words" or "[ ] words" with an optional quotation as feedback.
func (r *reader) choice(item *ast.ListItem, kind procedure.QuestionKind) procedure.Choice {
	var words, feedback []ast.Node
	for n := item.FirstChild(); n != nil; n = n.NextSibling() {
		if quotation, ok := n.(*ast.Blockquote); ok {
			for c := quotation.FirstChild(); c != nil; c = c.NextSibling() {
				feedback = append(feedback, c)
			}
			continue
		}
		words = append(words, n)
	}
	out := procedure.Choice{Span: r.spanOf(item)}
	if kind != procedure.OrderAnswer && len(words) > 0 {
		mark, ok := r.cutMark(words[0])
		if !ok {
			r.report("question-form", out.Span, "this choice is marked neither right nor wrong", "Start it with [x] when it is right, with [ ] when it is wrong.")
		}
		out.Right = mark == 'x'
	}
	out.Prose = r.inlineProse(words)
	out.Feedback = r.prose(feedback)
	if out.Prose.Empty() {
		r.report("question-form", out.Span, "this choice is empty", "Write the choice behind its mark.")
	}
	return out
}

// cutMark takes "[x] " or "[ ] " off the front of a choice's text.
func (r *reader) cutMark(n ast.Node) (mark byte, ok bool) {
	lines := n.Lines()
	if lines == nil || lines.Len() == 0 {
		return 0, false
	}
	start := lines.At(0).Start
	src := r.src[start:lines.At(0).Stop]
	if len(src) < 3 || src[0] != '[' || src[2] != ']' || (src[1] != 'x' && src[1] != ' ') {
		return 0, false
	}
	end := start + 3
	for end < lines.At(0).Stop && r.src[end] == ' ' {
		end++
	}
	for c := n.FirstChild(); c != nil; {
		next := c.NextSibling()
		t, isText := c.(*ast.Text)
		switch {
		case !isText:
			return src[1], true
		case t.Segment.Stop <= end && !t.SoftLineBreak():
			n.RemoveChild(n, c)
		case t.Segment.Start < end:
			t.Segment = t.Segment.WithStart(min(end, t.Segment.Stop)) // the line may end behind the mark
			return src[1], true
		default:
			return src[1], true
		}
		c = next
	}
	return src[1], true
}

// checkQuestion compares the question with the form of its kind.
func (r *reader) checkQuestion(b *block, q *procedure.Question, list *ast.List) {
	right := 0
	for _, c := range q.Choices {
		if c.Right {
			right++
		}
	}
	answer := b.get("answer")
	form := func(what, do string) { r.report("question-form", b.span, what, do) }
	needAnswer := func(do string) bool {
		if answer == nil {
			form("this question has no answer", do)
		}
		return answer != nil
	}
	choices := func(least int) {
		if len(q.Choices) < least {
			form("this question has too few choices", "Give at least "+strconv.Itoa(least)+" choices.")
		}
	}
	noChoices := func() {
		if list != nil {
			r.report("question-form", r.spanOf(list), "a "+string(q.Kind)+" question has no choices", "Take the list out; the answer is an attribute.")
		}
	}
	switch q.Kind {
	case procedure.SingleChoice:
		choices(2)
		if len(q.Choices) > 0 && right != 1 {
			form("a single question has one right choice; this one has "+strconv.Itoa(right), "Mark one choice with [x], or use type=several.")
		}
	case procedure.SeveralChoice:
		choices(2)
		if len(q.Choices) > 0 && right == 0 {
			form("no choice is right", "Mark each right choice with [x].")
		}
	case procedure.OrderAnswer:
		choices(3)
		if list != nil && !list.IsOrdered() {
			r.report("question-form", r.spanOf(list), "the list of an order question is numbered", "Number the choices in the right order: 1. 2. 3.")
		}
	case procedure.TrueFalse:
		noChoices()
		if needAnswer("Add {answer=true} or {answer=false}.") {
			if answer.text != "true" && answer.text != "false" {
				r.report("attribute-value", answer.span, quote(answer.text)+" is neither true nor false", "Write answer=true or answer=false.")
			}
			q.True = answer.text == "true"
		}
	case procedure.NumberAnswer:
		noChoices()
		if needAnswer(`Add {answer="45 N·m" tolerance="2 N·m"}.`) {
			q.Number = r.quantity(answer.text, answer.span)
		}
		if v := b.get("tolerance"); v != nil {
			q.Tolerance = r.quantity(v.text, v.span)
			if q.Number.Dimension() == measure.Temperature {
				// A difference of temperatures has another zero than a temperature.
				r.report("bad-quantity", v.span, "a temperature takes no tolerance", "Ask for a single choice, or for another quantity.")
				q.Tolerance = measure.Quantity{}
			}
			if !q.Number.IsZero() && !q.Tolerance.IsZero() && q.Number.Dimension() != q.Tolerance.Dimension() {
				r.reportSee("bad-quantity", v.span, "the tolerance is a "+q.Tolerance.Dimension().String()+", the answer a "+q.Number.Dimension().String(),
					"Give both in units of one kind.", answer.span, "the answer")
			}
		}
	case procedure.PointAnswer:
		noChoices()
		q.Figure = b.ref("figure")
		if q.Figure.ID == "" {
			form("this question has no figure to point at", "Add {figure=name answer=number}.")
		}
		if needAnswer("Add {answer=number}: the callout that is right.") {
			q.Target = procedure.Ref{ID: answer.text, Span: answer.span}
		}
	}
	if q.Kind != procedure.PointAnswer {
		q.Figure = b.ref("figure")
	}
	if answer != nil && (q.Kind == procedure.SingleChoice || q.Kind == procedure.SeveralChoice || q.Kind == procedure.OrderAnswer) {
		r.report("question-form", answer.nameSpan, "the answer of this kind of question stands in its choices", "Take the attribute out.")
	}
	r.sameChoices(q)
}

// sameChoices reports choices that say the same.
func (r *reader) sameChoices(q *procedure.Question) {
	seen := map[string]procedure.Choice{}
	for _, c := range q.Choices {
		key := strings.ToLower(c.Prose.Plain())
		if first, twice := seen[key]; twice && key != "" {
			r.reportSee("question-form", c.Span, "two choices say the same", "Change one of them.", first.Span, "the first one")
		}
		seen[key] = c
	}
}

// course reads a course file.
func (r *reader) course(m *matter, doc ast.Node) *procedure.Course {
	var f courseFields
	r.decode(m, &f)
	c := &procedure.Course{ID: f.ID, Title: f.Title, Summary: f.Summary, Span: m.spanOf("id"), Pace: r.pace(m, f), File: r.file}
	for i, s := range f.Sessions {
		session := procedure.Session{Title: s.Title}
		for j, item := range s.Items {
			path := "sessions[" + strconv.Itoa(i) + "].items[" + strconv.Itoa(j) + "]."
			ref := func(field, id string) procedure.Ref {
				if id == "" {
					return procedure.Ref{}
				}
				return procedure.Ref{ID: id, Span: m.spanOf(path + field)}
			}
			x := procedure.CourseItem{From: ref("from", item.From), To: ref("to", item.To), IsQuiz: item.Quiz != "", IsRefit: item.Refit != ""}
			switch {
			case x.IsQuiz:
				x.Ref = ref("quiz", item.Quiz)
			case x.IsRefit:
				x.Ref = ref("refit", item.Refit)
			default:
				x.Ref = ref("procedure", item.Procedure)
			}
			session.Items = append(session.Items, x)
		}
		c.Sessions = append(c.Sessions, session)
	}
	var about []ast.Node
	r.eachBlock(doc, InCourse, func(n ast.Node) { about = append(about, n) }, func(*block) {})
	c.About = r.prose(about)
	if !isName(f.ID) {
		return nil
	}
	return c
}
