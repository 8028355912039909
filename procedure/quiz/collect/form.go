package collect

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/quiz"
	"matchmark/procedure/say"
)

// form is a printed form of a quiz: which number each question has on it, and
// what each letter stands for. Forms count from 1; form 1 is called A.
type form struct {
	quiz   *procedure.Quiz
	places []quiz.Place
}

func newForm(q *procedure.Quiz, number int) form { return form{q, quiz.Arrange(q, number)} }

// numbered returns the question with a number on the form; nil for none.
func (f form) numbered(n int) *procedure.Question {
	if n < 1 || n > len(f.places) {
		return nil
	}
	return f.quiz.Questions[f.places[n-1].Question]
}

// question returns the question with a name; nil for none.
func (f form) question(id string) *procedure.Question {
	i := slices.IndexFunc(f.quiz.Questions, func(q *procedure.Question) bool { return q.ID == id })
	if i < 0 {
		return nil
	}
	return f.quiz.Questions[i]
}

// chosen lists what the letters of a choice question stand for, as quiz.Answer counts.
func (f form) chosen(q *procedure.Question) []int {
	if q.Kind == procedure.TrueFalse {
		return []int{1, 2}
	}
	var out []int
	for _, p := range f.places {
		if f.quiz.Questions[p.Question] == q {
			for _, c := range p.Choices {
				out = append(out, c+1)
			}
		}
	}
	return out
}

// targets lists what the letters of a point question stand for.
func (f form) targets(q *procedure.Question) []string {
	if f.quiz.Procedure == nil || f.quiz.Procedure.Machine == nil {
		return nil
	}
	figure := f.quiz.Procedure.Figure(q.Figure.ID)
	if figure == nil {
		return nil
	}
	var out []string
	for _, b := range figure.Balloons {
		if f.quiz.Procedure.Machine.Thing(b.Ref.ID) != nil {
			out = append(out, b.Ref.ID)
		}
	}
	return out
}

// writtenNumber is a number with or without a unit behind it.
var writtenNumber = regexp.MustCompile(`^([+−-]?[0-9][0-9.,]*)\s*(.*)$`)

// answer reads what stands in a cell; wrong says what should, if it is no answer.
func (f form) answer(q *procedure.Question, cell string) (a quiz.Answer, wrong say.Text) {
	if cell == "" || cell == "-" || cell == "–" || cell == "—" {
		return a, say.Text{}
	}
	switch q.Kind {
	case procedure.NumberAnswer:
		m := writtenNumber.FindStringSubmatch(cell)
		if m == nil || len(cell) > longest {
			return a, say.That("Write a number, with its unit where it is another than %unit.", say.Word(q.Number.Unit()))
		}
		a.Number, a.Unit = m[1], m[2]
		if a.Unit == "" {
			a.Unit = q.Number.Unit()
		}
		return a, say.Text{}
	case procedure.PointAnswer:
		targets := f.targets(q)
		at, ok := letters(cell, len(targets))
		if !ok || len(at) != 1 {
			return a, say.That("Write the one letter that is ticked, %letters.", upTo(len(targets)))
		}
		a.Target = targets[at[0]]
		return a, say.Text{}
	case procedure.TrueFalse:
		switch strings.ToLower(cell) {
		case "true", "t":
			return quiz.Answer{Chosen: []int{1}}, say.Text{}
		case "false", "f":
			return quiz.Answer{Chosen: []int{2}}, say.Text{}
		}
	}
	chosen := f.chosen(q)
	at, ok := letters(cell, len(chosen))
	if q.Kind == procedure.OrderAnswer && !ok {
		at, ok = boxes(unlettered(cell), len(chosen))
	}
	if !ok || q.Kind == procedure.OrderAnswer && len(at) != len(chosen) {
		return a, instruction(q.Kind, len(chosen))
	}
	for _, i := range at {
		a.Chosen = append(a.Chosen, chosen[i])
	}
	return a, say.Text{}
}

// letteredBox is one box of an order as the answer key writes it: A2.
var letteredBox = regexp.MustCompile(`([A-Za-z])\s*([0-9]+)`)

// unlettered takes the letters off numbers that stand behind A, B, C and so on, in
// this order; any other cell stays as it is.
func unlettered(cell string) string {
	var numbers []string
	for i, m := range letteredBox.FindAllStringSubmatch(cell, -1) {
		if !strings.EqualFold(m[1], string(rune('A'+i))) {
			return cell
		}
		numbers = append(numbers, m[2])
	}
	if len(numbers) == 0 {
		return cell
	}
	return strings.Join(numbers, " ")
}

// instruction says what to write for a question with letters.
func instruction(kind procedure.QuestionKind, n int) say.Text {
	switch kind {
	case procedure.TrueFalse:
		return say.That("Write true or false, or A or B.")
	case procedure.OrderAnswer:
		return say.That("Write all letters in the learner's order, %letters, or the numbers in the boxes from A on, with or without the letters: A2 B3 C1.", upTo(n))
	}
	return say.That("Write the letter that is ticked, %letters.", upTo(n))
}

func upTo(n int) say.Text {
	if n == 0 {
		return say.That("none of which there is")
	}
	if n == 1 {
		return say.That("which can only be A")
	}
	return say.That("A to %last", say.Word(quiz.Letter(n-1)))
}

// letters reads letters, together or apart, as numbers from 0; none may be there
// twice. A question with more choices than the alphabet has letters needs them apart.
func letters(cell string, n int) ([]int, bool) {
	words := apart(cell, n <= 26)
	var names []string
	for i := range n {
		names = append(names, quiz.Letter(i))
	}
	var out []int
	for _, w := range words {
		i := slices.Index(names, w)
		if i < 0 || slices.Contains(out, i) {
			return nil, false
		}
		out = append(out, i)
	}
	return out, len(out) > 0
}

// boxes reads the numbers that stand in the boxes of lines to sort, from A on,
// and returns the lines in that order, from 0.
func boxes(cell string, n int) ([]int, bool) {
	words := apart(cell, n <= 9)
	out := make([]int, n)
	seen := 0
	for line, w := range words {
		place, err := strconv.Atoi(w)
		if err != nil || place < 1 || place > n || len(words) != n || slices.Index(words, w) != line {
			return nil, false
		}
		out[place-1] = line
		seen++
	}
	return out, seen == n
}

// apart takes a cell apart into words, or, when it is one word and single signs
// are enough, into its signs.
func apart(cell string, single bool) []string {
	words := strings.FieldsFunc(strings.ToUpper(cell), func(r rune) bool { return strings.ContainsRune(" \t,;+/", r) })
	if len(words) == 1 && single {
		return strings.Split(words[0], "")
	}
	return words
}

// LetterOf returns the letter that a choice, counted from 1 as quiz.Answer does, has on form A.
func LetterOf(q *procedure.Quiz, question *procedure.Question, chosen int) string {
	if i := slices.Index(newForm(q, 1).chosen(question), chosen); i >= 0 {
		return quiz.Letter(i)
	}
	return ""
}
