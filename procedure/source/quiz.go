package source

import (
	"slices"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// quiz reads a quiz file.
func (r *reader) quiz(m *frontMatter, doc ast.Node) *procedure.Quiz {
	var f quizFields
	r.decode(m, &f)
	q := &procedure.Quiz{
		ID: f.ID, Title: f.Title, Summary: f.Summary, Span: m.spanOf("id"), Pass: f.Pass, PassSpan: m.spanOf("pass"), Seed: f.Seed, Tries: f.Tries,
		ProcedureRef: procedure.Ref{ID: f.Procedure, Span: m.spanOf("procedure")}, File: r.file,
		Forms: max(1, f.Forms), Generate: f.Generate,
	}
	for i, id := range f.Without {
		q.Without = append(q.Without, procedure.Ref{ID: id, Span: m.spanOf("without[" + strconv.Itoa(i) + "]")})
	}
	if len(q.Without) > 0 && q.Generate == 0 {
		r.mismatch(m, "without", say.That("no questions are made that could be left out"), say.That("Add a line such as `generate: 5`, or take this one out."))
	}
	if q.Forms > 1 && q.Seed == 0 {
		r.mismatch(m, "forms", say.That("without a seed all forms are alike"), say.That("Add seed: 1, or any other number."))
	}
	var about []ast.Node
	r.eachBlock(doc, grammar.InQuiz, func(n ast.Node) { about = append(about, n) }, func(b *block) {
		q.Questions = append(q.Questions, r.question(b))
	})
	q.About = r.prose(about)
	q.Time = r.quizTime(m, f.Time, len(q.Questions)+q.Generate)
	if len(q.Questions) == 0 && !hasFence(doc) {
		r.report("empty-quiz", q.Span, say.That("this quiz asks nothing"), say.That("Write a question block."))
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
			r.report("attribute-value", v.span, say.That("%value is not the number of an aim, counted from 1", say.Quote(v.text)), say.That("Write a whole number."))
		} else {
			q.Aim, q.AimSpan = n, v.span
		}
	}
	if v := b.get("points"); v != nil {
		n, err := strconv.Atoi(v.text)
		if err != nil || n < 1 || n > 20 {
			r.report("attribute-value", v.span, say.That("%value is not a number of points from 1 to 20", say.Quote(v.text)), say.That("Write a whole number."))
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
				r.report("question-form", r.spanOf(n), say.That("a question has one list of choices"), say.That("Put all choices into one list."))
				return
			}
			list = n
		case *ast.Blockquote:
			for c := n.FirstChild(); c != nil; c = c.NextSibling() {
				why = append(why, c)
			}
		default:
			if list != nil {
				r.report("question-form", r.spanOf(n), say.That("text stands behind the choices"), say.That("Write the explanation as a quotation: start the line with >."))
				return
			}
			stem = append(stem, n)
		}
	}, func(*block) {})
	q.Stem, q.Why = r.prose(stem), r.prose(why)
	if q.Stem.Empty() {
		r.report("question-form", b.span, say.That("this question asks nothing"), say.That("Write the question before its choices."))
	}
	if list != nil {
		for i := list.FirstChild(); i != nil; i = i.NextSibling() {
			if item, ok := i.(*ast.ListItem); ok {
				q.Choices = append(q.Choices, r.choice(item, q.Kind))
			}
		}
	}
	r.checkQuestion(b, q, list)
	r.idleAttributes(b, q.Kind)
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
			r.report("question-form", out.Span, say.That("this choice is marked neither right nor wrong"), say.That("Start it with [x] when it is right, with [ ] when it is wrong."))
		}
		out.Right = mark == 'x'
	}
	out.Prose = r.inlineProse(words)
	out.Feedback = r.prose(feedback)
	if out.Prose.Empty() {
		r.report("question-form", out.Span, say.That("this choice is empty"), say.That("Write the choice behind its mark."))
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
	form := func(wrong, advice say.Text) { r.report("question-form", b.span, wrong, advice) }
	needAnswer := func(advice say.Text) bool {
		if answer == nil {
			form(say.That("this question has no answer"), advice)
		}
		return answer != nil
	}
	choices := func(least int) {
		if len(q.Choices) < least {
			form(say.That("this question has too few choices"), say.That("Give at least %least choices.", say.Count(least)))
		}
	}
	noChoices := func() {
		if list != nil {
			r.report("question-form", r.spanOf(list), say.That("a %kind question has no choices", say.Word(q.Kind)), say.That("Take the list out; the answer is an attribute."))
		}
	}
	switch q.Kind {
	case procedure.SingleChoice:
		choices(2)
		if len(q.Choices) > 0 && right != 1 {
			form(say.That("a single question has one right choice; this one has %right", say.Count(right)), say.That("Mark one choice with [x], or use type=several."))
		}
	case procedure.SeveralChoice:
		choices(2)
		if len(q.Choices) > 0 && right == 0 {
			form(say.That("no choice is right"), say.That("Mark each right choice with [x]."))
		}
	case procedure.OrderAnswer:
		choices(3)
		if list != nil && !list.IsOrdered() {
			r.report("question-form", r.spanOf(list), say.That("the list of an order question is numbered"), say.That("Number the choices in the right order: 1. 2. 3."))
		}
	case procedure.TrueFalse:
		noChoices()
		if needAnswer(say.That("Add {answer=true} or {answer=false}.")) {
			if answer.text != "true" && answer.text != "false" {
				r.report("attribute-value", answer.span, say.That("%answer is neither true nor false", say.Quote(answer.text)), say.That("Write answer=true or answer=false."))
			}
			q.True = answer.text == "true"
		}
	case procedure.NumberAnswer:
		noChoices()
		if needAnswer(say.That(`Add {answer="45 N·m" tolerance="2 N·m"}.`)) {
			q.Number = r.quantity(answer.text, answer.span)
		}
		if v := b.get("tolerance"); v != nil {
			q.Tolerance = r.quantity(v.text, v.span)
			if q.Number.Dimension() == measure.Temperature {
				// A difference of temperatures has another zero than a temperature.
				r.report("bad-quantity", v.span, say.That("a temperature takes no tolerance"), say.That("Ask for a single choice, or for another quantity."))
				q.Tolerance = measure.Quantity{}
			}
			if !q.Number.IsZero() && !q.Tolerance.IsZero() && q.Number.Dimension() != q.Tolerance.Dimension() {
				r.reportSee("bad-quantity", v.span, say.That("the tolerance is a %tolerance, the answer a %answer", say.Word(q.Tolerance.Dimension().String()), say.Word(q.Number.Dimension().String())),
					say.That("Give both in units of one kind."), answer.span, say.That("the answer"))
			}
		}
	case procedure.PointAnswer:
		noChoices()
		q.Figure = b.ref("figure")
		if q.Figure.ID == "" {
			form(say.That("this question has no figure to point at"), say.That("Add {figure=name answer=number}."))
		}
		if needAnswer(say.That("Add {answer=number}: the callout that is right.")) {
			q.Target = procedure.Ref{ID: answer.text, Span: answer.span}
		}
	}
	r.sameChoices(q)
}

// kindsWith names the kinds of question that an attribute is for; one that is not listed is for all.
var kindsWith = map[string][]procedure.QuestionKind{
	"answer":    {procedure.TrueFalse, procedure.NumberAnswer, procedure.PointAnswer},
	"tolerance": {procedure.NumberAnswer},
	"figure":    {procedure.PointAnswer},
}

// idleAttributes reports attributes that the question's kind has no use for.
func (r *reader) idleAttributes(b *block, kind procedure.QuestionKind) {
	for _, v := range b.values {
		kinds, some := kindsWith[v.name]
		if !some || kind == "" || slices.Contains(kinds, kind) {
			continue
		}
		names := say.List{Join: say.Commas}
		for _, k := range kinds {
			names.Parts = append(names.Parts, say.That("type=%kind", say.Word(k)))
		}
		do := say.That("Take it out; it is for %kinds.", names)
		if v.name == "answer" {
			do = say.That("Take it out: mark the right choices in the list, or put them into the right order.")
		}
		r.report("idle-attribute", v.nameSpan, say.That("%attribute does nothing in a %kind question", say.Quote(v.name), say.Word(kind)), do)
	}
}

// sameChoices reports choices that say the same.
func (r *reader) sameChoices(q *procedure.Question) {
	seen := map[string]procedure.Choice{}
	for _, c := range q.Choices {
		key := strings.ToLower(c.Prose.Plain())
		if first, twice := seen[key]; twice && key != "" {
			r.reportSee("question-form", c.Span, say.That("two choices say the same"), say.That("Change one of them."), first.Span, say.That("the first one"))
		}
		seen[key] = c
	}
}

// course reads a course file.
func (r *reader) course(m *frontMatter, doc ast.Node) *procedure.Course {
	var f courseFields
	r.decode(m, &f)
	c := &procedure.Course{ID: f.ID, Title: f.Title, Summary: f.Summary, Span: m.spanOf("id"), Pace: r.pace(m, f), File: r.file}
	for i, s := range f.Sessions {
		session := procedure.Session{Title: s.Title, Span: m.spanOf("sessions[" + strconv.Itoa(i) + "].title")}
		for j, item := range s.Items {
			path := "sessions[" + strconv.Itoa(i) + "].items[" + strconv.Itoa(j) + "]."
			ref := func(field, id string) procedure.Ref {
				if id == "" {
					return procedure.Ref{}
				}
				return procedure.Ref{ID: id, Span: m.spanOf(path + field)}
			}
			x := procedure.CourseItem{From: ref("from", item.From), To: ref("to", item.To), Prepared: ref("prepared", item.Prepared), IsQuiz: item.Quiz != "", IsRefit: item.Refit != ""}
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
	r.eachBlock(doc, grammar.InCourse, func(n ast.Node) { about = append(about, n) }, func(*block) {})
	c.About = r.prose(about)
	if !isName(f.ID) {
		return nil
	}
	return c
}
