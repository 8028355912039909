package generate

import (
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
)

// An order question has this many lines.
const leastLines, mostLines = 3, 4

// orders asks for the order of steps: pieces of the longest chain of steps that are forced one after the other.
func (f *common) orders() []made {
	var out []made
	for lines := range slices.Chunk(f.chain(), mostLines) {
		if len(lines) < leastLines {
			continue
		}
		q := &procedure.Question{
			ID: "order-" + lines[0].ID, Kind: procedure.OrderAnswer, Points: 1, Generated: true, Span: f.p.Span,
			Step: ref(lines[0].ID), Stem: prose(f.words("quiz.made.order")),
		}
		for _, s := range lines {
			q.Choices = append(q.Choices, procedure.Choice{Prose: prose(s.Title)})
		}
		out = append(out, made{"order", q, nil})
	}
	return out
}

// chain returns the longest chain of common steps, each forced before the next in every variant. A step that is done only if something is
// found has no place in an order that holds for everybody.
func (f *common) chain() []*procedure.Step {
	steps := slices.DeleteFunc(f.distinct(), func(s *procedure.Step) bool { return s.If != "" })
	best := make([][]*procedure.Step, len(steps)) // the longest chain that ends with each step
	var longest []*procedure.Step
	for i, s := range steps {
		var before []*procedure.Step
		for j := range i {
			if len(best[j]) > len(before) && f.forces(steps[j], s) {
				before = best[j]
			}
		}
		best[i] = append(slices.Clone(before), s)
		if len(best[i]) > len(longest) {
			longest = best[i]
		}
	}
	return longest
}

// distinct are the common steps whose title no other step has.
func (f *common) distinct() []*procedure.Step {
	var out []*procedure.Step
	for _, s := range f.steps {
		same := 0
		for _, o := range f.p.Steps {
			if plain(o.Title) == plain(s.Title) {
				same++
			}
		}
		if same == 1 {
			out = append(out, s)
		}
	}
	return out
}

// forces reports whether one step is forced before another in every variant.
func (f *common) forces(a, b *procedure.Step) bool {
	for i, j := range f.jobs {
		if !f.forced[i].Before(index(j, a), index(j, b)) {
			return false
		}
	}
	return true
}

// tools asks which tool a step needs: one that few other steps need.
func (f *common) tools() []made {
	var out []made
	for _, s := range f.distinct() {
		var listed, right, wrong []*procedure.Tool
		for _, t := range f.m.Tools {
			if slices.ContainsFunc(s.Tools, func(r procedure.Ref) bool { return r.ID == t.ID }) {
				listed = append(listed, t)
			}
		}
		sizes := f.sizesAt(s)
		for _, t := range f.m.Tools {
			switch {
			case t.Kind != procedure.HandTool || !f.everywhere(t.Variants) || !f.alone(t.Row):
			case slices.Contains(listed, t):
				right = append(right, t)
			case !slices.ContainsFunc(listed, func(l *procedure.Tool) bool { return interchangeable(t, l) }) && !shares(numbers(name(t.Row)), sizes):
				wrong = append(wrong, t)
			}
		}
		if len(right) == 0 {
			continue
		}
		id := "tool-" + s.ID
		answer := slices.MinFunc(drawn(f, id, right, toolName), func(a, b *procedure.Tool) int { return f.usesOf(a) - f.usesOf(b) })
		q := procedure.Question{ID: id, Step: ref(s.ID), About: []procedure.Ref{ref(answer.ID)}}
		m, ok := f.single("tool", q, f.words("quiz.made.tool", s.Title), prose(toolName(answer)), proses(drawn(f, id, wrong, toolName), toolName), toolName(answer))
		if ok {
			out = append(out, m)
		}
	}
	return out
}

func toolName(t *procedure.Tool) string { return name(t.Row) }

// usesOf counts the steps that need a tool.
func (f *common) usesOf(t *procedure.Tool) int {
	n := 0
	for _, s := range f.p.Steps {
		if slices.ContainsFunc(s.Tools, func(r procedure.Ref) bool { return r.ID == t.ID }) {
			n++
		}
	}
	return n
}

// sizesAt are the sizes of the keys that turn what a step works on.
func (f *common) sizesAt(s *procedure.Step) []string {
	var out []string
	for _, a := range s.Actions() {
		if t := f.m.Thing(a.Object.ID); t != nil && t.Fastener != nil {
			out = append(out, numbers(t.Fastener.Drive)...)
		}
	}
	return out
}

var numberIn = regexp.MustCompile(`\d+([.,]\d+)?`)

func numbers(s string) []string { return numberIn.FindAllString(s, -1) }

func shares(a, b []string) bool {
	return slices.ContainsFunc(a, func(x string) bool { return slices.Contains(b, x) })
}

// interchangeable reports whether one tool might do another's work: they have a
// size in common, or the same first word and no single size that tells them apart.
func interchangeable(a, b *procedure.Tool) bool {
	x, y := numbers(name(a.Row)), numbers(name(b.Row))
	if shares(x, y) {
		return true
	}
	first := func(t *procedure.Tool) string {
		word, _, _ := strings.Cut(strings.TrimSpace(plain(name(t.Row))), " ")
		return word
	}
	return first(a) == first(b) && (len(x) != 1 || len(y) != 1)
}

// conditions asks what must be true before a step.
func (f *common) conditions() []made {
	var out []made
	for _, s := range f.distinct() {
		var right, wrong []*procedure.Condition
		for _, c := range f.m.Conditions {
			if !f.everywhere(c.Variants) || !f.alone(c.Row) {
				continue
			}
			switch {
			case slices.ContainsFunc(s.Needs, func(r procedure.Ref) bool { return r.ID == c.ID }):
				right = append(right, c)
			case !f.mayHold(c, s):
				wrong = append(wrong, c)
			}
		}
		if len(right) == 0 {
			continue
		}
		id := "needs-" + s.ID
		answer := drawn(f, id, right, conditionName)[0]
		q := procedure.Question{ID: id, Step: ref(s.ID), About: []procedure.Ref{ref(answer.ID)}}
		m, ok := f.single("needs", q, f.words("quiz.made.needs", s.Title), prose(conditionName(answer)), proses(drawn(f, id, wrong, conditionName), conditionName), conditionName(answer))
		if ok {
			out = append(out, m)
		}
	}
	return out
}

func conditionName(c *procedure.Condition) string { return name(c.Row) }

// mayHold reports whether a condition holds before a step in some variant, or has to since another needs it.
func (f *common) mayHold(c *procedure.Condition, s *procedure.Step) bool {
	needed := map[string]bool{}
	var follow func(refs []procedure.Ref)
	follow = func(refs []procedure.Ref) {
		for _, r := range refs {
			if t := f.m.Thing(r.ID); !needed[r.ID] && t != nil && t.Condition != nil {
				needed[r.ID] = true
				follow(t.Condition.Needs)
			}
		}
	}
	follow(s.Needs)
	if needed[c.ID] {
		return true
	}
	for _, j := range f.jobs {
		t := j.Trace()
		if x := t.Assembly.Condition(c.ID); x != nil && t.Before(index(j, s)).Condition(x).Holds() {
			return true
		}
	}
	return false
}
