package generate

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/order"
	"matchmark/procedure/text"
)

// common is what a procedure says in every variant.
type common struct {
	p     *procedure.Procedure
	m     *procedure.Machine
	seed  int64
	words Words
	jobs  []*analysis.Job
	// forced belong to the jobs: the order that the actions force.
	forced []*order.Graph
	// named counts the things of the machine by what people call them.
	named map[string]int
	// steps are those that all variants have, with the blocks that all variants have.
	steps []*procedure.Step
}

func commonTo(of *analysis.Procedure, seed int64, words Words) *common {
	f := &common{p: of.Procedure, m: of.Machine, seed: seed, words: words, jobs: of.Jobs}
	for _, j := range f.jobs {
		f.forced = append(f.forced, forcedOrder(j.Order()))
	}
	f.named = map[string]int{}
	for _, t := range f.m.Things() {
		f.named[plain(name(*t.Row))]++
	}
	for _, s := range f.p.Steps {
		if !f.everywhere(s.Variants) {
			continue
		}
		everywhere := *s
		everywhere.Blocks = nil
		for _, b := range s.Blocks {
			if !slices.ContainsFunc(f.jobs, func(j *analysis.Job) bool { return !b.Applies(j.Variant) }) {
				everywhere.Blocks = append(everywhere.Blocks, b)
			}
		}
		f.steps = append(f.steps, &everywhere)
	}
	return f
}

// forcedOrder leaves out of a job's precedence what only the author states.
func forcedOrder(p *order.Precedence) *order.Graph {
	stated := map[[2]int]bool{}
	for _, e := range p.Habits() {
		stated[[2]int{e.From, e.To}] = true
	}
	g := order.NewGraph(p.N)
	for _, e := range p.Edges() {
		if !stated[[2]int{e.From, e.To}] {
			g.Add(e.From, e.To, e.Reasons...)
		}
	}
	return g
}

// everywhere reports whether a list of variants covers all of them.
func (f *common) everywhere(variants []procedure.Ref) bool {
	return !slices.ContainsFunc(f.jobs, func(j *analysis.Job) bool { return !procedure.AppliesTo(variants, j.Variant) })
}

// index is where a step stands in a job, from 0.
func index(j *analysis.Job, s *procedure.Step) int { return j.Step(s.ID).Number - 1 }

// stepOf returns the first common step that does a verb to a thing: the first of the verbs that any step does; nil when none does.
func (f *common) stepOf(id string, verbs ...procedure.Verb) *procedure.Step {
	for _, v := range verbs {
		for _, s := range f.steps {
			if slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool { return a.Object.ID == id && a.Verb == v }) {
				return s
			}
		}
	}
	return nil
}

// fasteners are those that all variants have and that nothing else shares its name with.
func (f *common) fasteners() []*procedure.Fastener {
	var out []*procedure.Fastener
	for _, x := range f.m.Fasteners {
		if f.everywhere(x.Variants) && f.alone(x.Row) {
			out = append(out, x)
		}
	}
	return out
}

// alone reports whether no other thing of the machine has a row's name.
func (f *common) alone(r procedure.Row) bool {
	return f.named[plain(name(r))] == 1
}

// name is what people call a thing.
func name(r procedure.Row) string { return cmp.Or(r.Name, r.ID) }

// lot is a number drawn for a name: the same for the same seed, and for another seed another.
func lot(seed int64, question, item string) uint64 {
	sum := sha256.Sum256(fmt.Appendf(nil, "%d\x00%s\x00%s", seed, question, item))
	return binary.BigEndian.Uint64(sum[:8])
}

// drawn sorts items by lot.
func drawn[T any](f *common, question string, items []T, name func(T) string) []T {
	return slices.SortedFunc(slices.Values(items), func(a, b T) int {
		return cmp.Or(cmp.Compare(lot(f.seed, question, name(a)), lot(f.seed, question, name(b))), cmp.Compare(name(a), name(b)))
	})
}

func itself(s string) string { return s }

// The number of wrong choices beside the right one.
const leastWrong, mostWrong = 2, 3

// single makes a question with one right choice; ok is false when there are too
// few wrong ones. The wrong choices are taken in their order, each wording once.
func (f *common) single(k kind, q procedure.Question, stem string, right procedure.Prose, wrong []procedure.Prose, secrets ...string) (m made, ok bool) {
	taken := []procedure.Prose{right}
	for _, w := range wrong {
		if len(taken) <= mostWrong && !slices.ContainsFunc(taken, func(t procedure.Prose) bool { return plain(t.Plain()) == plain(w.Plain()) }) {
			taken = append(taken, w)
		}
	}
	if len(taken) <= leastWrong {
		return made{}, false
	}
	q.Kind, q.Points, q.Generated, q.Span, q.Stem = procedure.SingleChoice, 1, true, f.p.Span, prose(stem)
	for _, t := range drawn(f, q.ID+" choices", taken, procedure.Prose.Plain) {
		q.Choices = append(q.Choices, procedure.Choice{Prose: t, Right: t.Plain() == right.Plain()})
	}
	return made{k, &q, secrets}, true
}

// prose makes running text of plain words.
func prose(words string) procedure.Prose {
	return procedure.Words(text.Span{}, words)
}

// proses makes running text of what things are called.
func proses[T any](items []T, name func(T) string) []procedure.Prose {
	var out []procedure.Prose
	for _, x := range items {
		out = append(out, prose(name(x)))
	}
	return out
}

func ref(id string) procedure.Ref { return procedure.Ref{ID: id} }
