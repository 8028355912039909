package generate

import (
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/quiz/bank"
)

// Words returns fixed words by their key, with {0}, {1} replaced by the arguments.
type Words func(key string, args ...any) string

// made is a question that can be asked.
type made struct {
	kind     kind
	question *procedure.Question
	// secrets are the words that no other question may tell.
	secrets []string
}

// kind is a kind of fact. The quiz asks about different kinds before it asks about one twice.
type kind string

// Questions makes the questions that a quiz asks for, from the facts of its
// procedure, nil when it has none: at most q.Generate, none that the author refuses or has written under the same name.
func Questions(q *procedure.Quiz, of *analysis.Procedure, words Words) []*procedure.Question {
	if of == nil || of.Machine == nil || q.Generate <= 0 {
		return nil
	}
	c := choosing{quiz: q, seed: q.Seed, asked: slices.Clone(q.Questions), uses: map[kind]int{}}
	for _, m := range all(of, q.Seed, words) {
		if !c.refused(m) {
			c.left = append(c.left, m)
		}
	}
	for _, x := range q.Questions {
		c.told = append(c.told, newTold(x, secretsOf(x)))
	}
	for len(c.made) < q.Generate && c.next() {
	}
	return c.made
}

// Names returns the names of all questions that can be made from a procedure, in order.
func Names(of *analysis.Procedure) []string {
	if of.Machine == nil {
		return nil
	}
	var out []string
	for _, m := range all(of, 0, func(key string, args ...any) string { return fmt.Sprint(append([]any{key}, args...)...) }) {
		out = append(out, m.question.ID)
	}
	return out
}

// all makes every question that can be made.
func all(of *analysis.Procedure, seed int64, words Words) []made {
	f := commonTo(of, seed, words)
	var out []made
	for _, m := range slices.Concat(f.orders(), f.keeps(), f.torques(), f.tools(), f.conditions(), f.renewals(), f.faces(), f.points()) {
		// A step may say the same twice.
		if !slices.ContainsFunc(out, func(o made) bool { return o.question.ID == m.question.ID }) {
			out = append(out, m)
		}
	}
	return out
}

// choosing picks the questions one by one.
type choosing struct {
	quiz *procedure.Quiz
	seed int64
	left []made
	// asked are the author's questions and those made so far, and told what they say.
	asked []*procedure.Question
	told  []told
	made  []*procedure.Question
	// uses counts the questions made of each kind.
	uses map[kind]int
}

// refused reports whether the author has no use for a question.
func (c *choosing) refused(m made) bool {
	if slices.ContainsFunc(c.quiz.Without, func(r procedure.Ref) bool { return r.ID == m.question.ID }) {
		return true
	}
	return slices.ContainsFunc(c.quiz.Questions, func(x *procedure.Question) bool {
		samePoint := x.Kind == procedure.PointAnswer && m.question.Kind == procedure.PointAnswer && x.Target.ID == m.question.Target.ID
		return x.ID == m.question.ID || samePoint
	})
}

// next picks the best question that is left and reports whether there was one. A
// question that gives another away, or is given away, is dropped on the way.
func (c *choosing) next() bool {
	covered := bank.NewCoverage(c.quiz.Procedure, c.asked)
	for len(c.left) > 0 {
		best := 0
		for i := range c.left {
			if c.before(c.left[i], c.left[best], covered) {
				best = i
			}
		}
		m := c.left[best]
		c.left = slices.Delete(c.left, best, best+1)
		t := newTold(m.question, m.secrets)
		if t.tellsItself() || slices.ContainsFunc(c.told, func(o told) bool { return o.tells(t) || t.tells(o) }) {
			continue
		}
		c.told, c.asked, c.made = append(c.told, t), append(c.asked, m.question), append(c.made, m.question)
		c.uses[m.kind]++
		return true
	}
	return false
}

// before reports whether one question is rather asked than another: a kind that
// was asked less, a step whose danger nobody asks about, a step without a question, and then the lot.
func (c *choosing) before(a, b made, covered bank.Coverage) bool {
	if x, y := c.uses[a.kind], c.uses[b.kind]; x != y {
		return x < y
	}
	if x, y := need(a.question.Step.ID, covered), need(b.question.Step.ID, covered); x != y {
		return x > y
	}
	return lot(c.seed, a.question.ID, "") < lot(c.seed, b.question.ID, "")
}

// need says how much a step needs a question.
func need(step string, covered bank.Coverage) int {
	for _, s := range covered.Steps {
		if s.Step.ID != step || len(s.Questions) > 0 {
			continue
		}
		if slices.ContainsFunc(s.Cautions, func(x bank.Caution) bool { return bank.Grave(x.Caution) }) {
			return 2
		}
		return 1
	}
	return 0
}
