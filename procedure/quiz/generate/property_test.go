package generate

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/measure"
	"matchmark/procedure/order"
	"matchmark/procedure/quiz"
	"matchmark/procedure/state"
)

// On random machines and jobs each question has exactly one right answer. The
// judge of each kind looks the facts up again, by a way of its own.
func TestExactlyOneRightAnswer(t *testing.T) {
	seen := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		p := drawProcedure(t)
		q := drawQuiz(t, p)
		made := Questions(q, analysis.New(q.Procedure), say)
		if len(made) > q.Generate {
			t.Fatalf("%d questions made, %d asked for", len(made), q.Generate)
		}
		for _, x := range made {
			kind, _, _ := strings.Cut(x.ID, "-")
			seen[kind]++
			if !x.Generated || p.Step(x.Step.ID) == nil {
				t.Fatalf("%s: %+v", x.ID, x)
			}
			marksOne(t, p, x)
			if judge := judges[kind]; judge == nil {
				t.Fatalf("nobody judges %s", x.ID)
			} else {
				judge(t, p, x)
			}
		}
	})
	// Each kind is certain to be made in TestKinds; here most of them are.
	if len(seen) < 6 {
		t.Errorf("questions of the kinds %v only", seen)
	}
}

// marksOne tries all answers that a page offers: the marking takes one of them.
func marksOne(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
	right := 0
	switch x.Kind {
	case procedure.SingleChoice:
		wordings := map[string]bool{}
		for i, c := range x.Choices {
			wordings[strings.ToLower(c.Prose.Plain())] = true
			if quiz.Right(x, quiz.Answer{Chosen: []int{i + 1}}) {
				right++
			}
		}
		if len(wordings) != len(x.Choices) || len(wordings) < 3 {
			t.Fatalf("%s: choices %v", x.ID, wordings)
		}
	case procedure.PointAnswer:
		for _, b := range p.Figure(x.Figure.ID).Balloons {
			if quiz.Right(x, quiz.Answer{Target: b.Ref.ID}) {
				right++
			}
		}
	case procedure.OrderAnswer:
		eachOrder(len(x.Choices), func(lines []int) {
			chosen := make([]int, len(lines))
			for i, l := range lines {
				chosen[i] = l + 1
			}
			if quiz.Right(x, quiz.Answer{Chosen: chosen}) {
				right++
			}
		})
	}
	if right != 1 {
		t.Fatalf("%s: %d answers are marked right", x.ID, right)
	}
}

// judges count, for each kind, the choices that the procedure makes true.
var judges = map[string]func(*rapid.T, *procedure.Procedure, *procedure.Question){
	"order": judgeOrder,
	"point": func(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
		sameName := 0
		for _, f := range p.Machine.Fasteners {
			if strings.EqualFold(f.Name, p.Machine.Thing(x.Target.ID).Row.Name) {
				sameName++
			}
		}
		if sameName != 1 {
			t.Fatalf("%s: %d fasteners have its name", x.ID, sameName)
		}
	},
	"torque": func(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
		f := p.Machine.Thing(x.About[0].ID).Fastener
		low, high, err := f.Torque.Window(f.Tolerance)
		if err != nil {
			low, high = f.Torque, f.Torque
		}
		var at []float64
		only(t, x, func(words string) bool {
			torque := measure.Must(words)
			at = append(at, torque.Float("N·m"))
			return torque.Compare(low) >= 0 && torque.Compare(high) <= 0 || torque.Equal(f.Torque)
		})
		slices.Sort(at)
		for i := 1; i < len(at); i++ {
			if at[i] < 1.199*at[i-1] {
				t.Fatalf("%s: %v are close together", x.ID, at)
			}
		}
	},
	"tool": func(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
		only(t, x, func(words string) bool {
			return slices.ContainsFunc(p.Step(x.Step.ID).Tools, func(r procedure.Ref) bool {
				return strings.EqualFold(p.Machine.Thing(r.ID).Tool.Name, words)
			})
		})
	},
	"needs": func(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
		only(t, x, func(words string) bool {
			for _, c := range p.Machine.Conditions {
				if c.Name == words {
					return needed(p, x.Step.ID, c.ID) || holdsSomewhere(p, x.Step.ID, c.ID)
				}
			}
			t.Fatalf("%s: there is no condition %q", x.ID, words)
			return false
		})
	},
	"new": func(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
		only(t, x, func(words string) bool {
			return slices.ContainsFunc(p.Machine.Fasteners, func(f *procedure.Fastener) bool { return f.Name == words && f.SingleUse })
		})
	},
	"face": func(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
		face := p.Machine.Thing(x.About[0].ID).Part.Face
		only(t, x, func(words string) bool { return strings.EqualFold(words, face) })
	},
	"keep": func(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
		only(t, x, func(words string) bool {
			name, _, _ := strings.Cut(words, ": ")
			for _, f := range p.Machine.Fasteners {
				if f.Name == name && staysSomewhere(p, x.Step.ID, f.ID) {
					return true
				}
			}
			return false
		})
	},
}

// only counts the choices that are true: it must be the one marked right.
func only(t *rapid.T, x *procedure.Question, true_ func(words string) bool) {
	for _, c := range x.Choices {
		if true_(c.Prose.Plain()) != c.Right {
			t.Fatalf("%s: %q is marked right: %v", x.ID, c.Prose.Plain(), c.Right)
		}
	}
}

// judgeOrder tries all orders of the lines against what the actions force. The
// author's own "after" is taken out of the procedure first.
func judgeOrder(t *rapid.T, p *procedure.Procedure, x *procedure.Question) {
	bare := *p
	bare.Steps = nil
	for _, s := range p.Steps {
		c := *s
		c.After = nil
		bare.Steps = append(bare.Steps, &c)
	}
	for _, job := range bare.Jobs() {
		forced := order.NewPrecedence(state.Run(job))
		var at []int
		for _, c := range x.Choices {
			i := slices.IndexFunc(job.Steps, func(s *procedure.Step) bool { return s.Title == c.Prose.Plain() })
			if i < 0 {
				t.Fatalf("%s: %q is not in every variant", x.ID, c.Prose.Plain())
			}
			at = append(at, i)
		}
		allowed := 0
		eachOrder(len(at), func(lines []int) {
			for i := range lines {
				for j := i + 1; j < len(lines); j++ {
					if forced.Before(at[lines[j]], at[lines[i]]) {
						return
					}
				}
			}
			allowed++
			if !slices.IsSorted(lines) {
				t.Fatalf("%s: the order %v is allowed", x.ID, lines)
			}
		})
		if allowed != 1 {
			t.Fatalf("%s: %d orders are allowed", x.ID, allowed)
		}
	}
}

// eachOrder calls f with every order of the numbers 0 to n-1.
func eachOrder(n int, f func([]int)) {
	var grow func(taken []int)
	grow = func(taken []int) {
		if len(taken) == n {
			f(taken)
			return
		}
		for i := range n {
			if !slices.Contains(taken, i) {
				grow(append(slices.Clone(taken), i))
			}
		}
	}
	grow(nil)
}

// needed reports whether a step needs a condition, or another that does.
func needed(p *procedure.Procedure, step, condition string) bool {
	reached := slices.Clone(p.Step(step).Needs)
	for i := 0; i < len(reached); i++ {
		reached = append(reached, p.Machine.Thing(reached[i].ID).Condition.Needs...)
	}
	return slices.ContainsFunc(reached, func(r procedure.Ref) bool { return r.ID == condition })
}

func holdsSomewhere(p *procedure.Procedure, step, condition string) bool {
	for _, j := range p.Jobs() {
		t := state.Run(j)
		c := t.Assembly.Condition(condition)
		if c != nil && t.Before(j.Step(step).Number-1).Condition(c).Holds() {
			return true
		}
	}
	return false
}

func staysSomewhere(p *procedure.Procedure, step, fastener string) bool {
	for _, j := range p.Jobs() {
		t := state.Run(j)
		if f := t.Assembly.Fastener(fastener); f != nil && t.After(j.Step(step).Number-1).Fastener(f).In() {
			return true
		}
	}
	return false
}

// No right answer stands in the words of another question on the form.
func TestNothingIsGivenAway(t *testing.T) {
	words := func(s string) string {
		return " " + strings.Join(strings.Fields(strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) {
				return unicode.ToLower(r)
			}
			return ' '
		}, s)), " ") + " "
	}
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuiz(t, drawProcedure(t))
		form := slices.Concat(q.Questions, Questions(q, analysis.New(q.Procedure), say))
		for _, x := range form {
			for _, c := range x.Choices {
				answer, _, _ := strings.Cut(c.Prose.Plain(), ": ") // of a fastener and a reason, the fastener
				if !c.Right {
					continue
				}
				for _, y := range form {
					if (x.Generated || y.Generated) && strings.Contains(words(y.Stem.Plain()), words(answer)) {
						t.Fatalf("%s tells the answer to %s: %q holds %q", y.ID, x.ID, y.Stem.Plain(), answer)
					}
				}
			}
		}
	})
}

func TestTheSeedDecides(t *testing.T) {
	differ := false
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuiz(t, drawProcedure(t))
		first := Questions(q, analysis.New(q.Procedure), say)
		if !reflect.DeepEqual(first, Questions(q, analysis.New(q.Procedure), say)) {
			t.Fatal("the same seed gives two quizzes")
		}
		q.Seed++
		differ = differ || !reflect.DeepEqual(first, Questions(q, analysis.New(q.Procedure), say))
	})
	if !differ {
		t.Error("another seed never gives another quiz")
	}
}

// A refused question is not made, and neither is one that the author has written.
func TestTheAuthorDecides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := drawQuiz(t, drawProcedure(t))
		made := Questions(q, analysis.New(q.Procedure), say)
		if len(made) == 0 {
			return
		}
		x := rapid.SampledFrom(made).Draw(t, "question")
		if !slices.Contains(Names(analysis.New(q.Procedure)), x.ID) {
			t.Fatalf("%s is not among the names", x.ID)
		}
		is := func(y *procedure.Question) bool { return y.ID == x.ID }
		refusing, writing := *q, *q
		refusing.Without = []procedure.Ref{ref(x.ID)}
		writing.Questions = append(slices.Clone(q.Questions), &procedure.Question{ID: x.ID, Kind: procedure.TrueFalse, Stem: prose("Mine")})
		if slices.ContainsFunc(Questions(&refusing, analysis.New(q.Procedure), say), is) || slices.ContainsFunc(Questions(&writing, analysis.New(q.Procedure), say), is) {
			t.Fatalf("%s is made all the same", x.ID)
		}
	})
}
