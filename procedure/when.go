package procedure

import (
	"slices"
	"strings"
)

// When says when something is done: "worn", "not worn", "gap out and not tight or stuck". It holds names of what is
// found out at the bench (Finders) with "not" before them, joined by "and" and "or"; "and" binds more tightly. What has no
// condition is always done.
type When string

// Literal is one name of a condition.
type Literal struct {
	Name string
	// Not is true when the answer must be no, or the value within its limits.
	Not bool
}

// whenWords turn an answer: behind a name they say which one is meant.
var whenWords = map[string]bool{"out": false, "fails": false, "yes": false, "within": true, "passes": true, "no": true}

// ParseWhen reads a condition as an author writes it, "gap out and not tight", and gives it in its plain form. When ok is
// false, wrong is the word that does not belong there; it is empty when the condition ends too early.
func ParseWhen(s string) (c When, wrong string, ok bool) {
	words := strings.Fields(s)
	var out []string
	for i := 0; ; {
		if i < len(words) && words[i] == "not" {
			out = append(out, "not")
			i++
		}
		if i >= len(words) {
			return "", "", false
		}
		if !isWhenName(words[i]) {
			return "", words[i], false
		}
		name := words[i]
		if i++; i < len(words) {
			if not, known := whenWords[words[i]]; known {
				i++
				if not && len(out) > 0 && out[len(out)-1] == "not" {
					out = out[:len(out)-1] // not within is out
				} else if not {
					out = append(out, "not")
				}
			}
		}
		out = append(out, name)
		if i >= len(words) {
			return When(strings.Join(out, " ")), "", true
		}
		if words[i] != "and" && words[i] != "or" {
			return "", words[i], false
		}
		out = append(out, words[i])
		i++
	}
}

func isWhenName(s string) bool {
	if s == "" || s[0] < 'a' || s[0] > 'z' || s == "not" || s == "and" || s == "or" {
		return false
	}
	return strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789-") == ""
}

// Cases are the ways in which the condition can hold: all literals of one of them. None for no condition.
func (c When) Cases() [][]Literal {
	if c == "" {
		return nil
	}
	var out [][]Literal
	for _, way := range strings.Split(string(c), " or ") {
		var all []Literal
		for _, word := range strings.Split(way, " and ") {
			name, not := strings.CutPrefix(word, "not ")
			all = append(all, Literal{name, not})
		}
		out = append(out, all)
	}
	return out
}

// Names lists the names in the condition, each once, in their order.
func (c When) Names() []string {
	var out []string
	for _, way := range c.Cases() {
		for _, l := range way {
			if !slices.Contains(out, l.Name) {
				out = append(out, l.Name)
			}
		}
	}
	return out
}

// Holds reports whether the condition holds for answers; a name without an answer counts as no.
func (c When) Holds(answers map[string]bool) bool {
	cases := c.Cases()
	return c == "" || slices.ContainsFunc(cases, func(way []Literal) bool {
		return !slices.ContainsFunc(way, func(l Literal) bool { return answers[l.Name] == l.Not })
	})
}

// Fails reports whether the condition does not hold, whatever the names say that have no answer yet.
func (c When) Fails(answers map[string]bool) bool { return c.Decided(answers) && !c.Holds(answers) }

// Decided reports whether all names of the condition have an answer.
func (c When) Decided(answers map[string]bool) bool {
	return !slices.ContainsFunc(c.Names(), func(n string) bool {
		_, known := answers[n]
		return !known
	})
}

// Chance is how likely the condition holds when each name is yes with its own chance, from 0 to 1, whatever the others are.
func (c When) Chance(of map[string]float64) float64 {
	names := c.Names()
	sum := 0.0
	for _, answers := range everyAnswer(names) {
		if !c.Holds(answers) {
			continue
		}
		p := 1.0
		for _, n := range names {
			if answers[n] {
				p *= of[n]
			} else {
				p *= 1 - of[n]
			}
		}
		sum += p
	}
	return sum
}

// Always reports whether something is so for every combination of answers to the names of some conditions.
func Always(all []When, so func(answers map[string]bool) bool) bool {
	var names []string
	for _, c := range all {
		for _, n := range c.Names() {
			if !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	return !slices.ContainsFunc(everyAnswer(names), func(answers map[string]bool) bool { return !so(answers) })
}

// everyAnswer lists all combinations of answers to names, all yes first.
func everyAnswer(names []string) []map[string]bool {
	out := make([]map[string]bool, 1<<len(names))
	for i := range out {
		out[i] = map[string]bool{}
		for k, n := range names {
			out[i][n] = i&(1<<k) == 0
		}
	}
	return out
}

// WhenOf is a condition that holds for just those of all combinations of answers to names that are chosen. It is
// empty when all are, and as short as leaving out names that change nothing makes it.
//
// Source: the consensus of pairs that differ in one literal, and no more (Quine, 1952; from memory).
func WhenOf(names []string, chosen func(answers map[string]bool) bool) When {
	type way string // one sign for each name: y, n, or - for either
	var ways []way
	for _, answers := range everyAnswer(names) {
		if !chosen(answers) {
			continue
		}
		w := make([]byte, len(names))
		for k, n := range names {
			if w[k] = 'n'; answers[n] {
				w[k] = 'y'
			}
		}
		ways = append(ways, way(w))
	}
	for again := true; again; {
		again = false
		used := make([]bool, len(ways))
		var next []way
		for i := range ways {
			for j := i + 1; j < len(ways); j++ {
				apart := -1
				for k := range names {
					if ways[i][k] == ways[j][k] {
						continue
					}
					if apart >= 0 || ways[i][k] == '-' || ways[j][k] == '-' {
						apart = len(names)
						break
					}
					apart = k
				}
				if apart < 0 || apart == len(names) {
					continue
				}
				both := ways[i][:apart] + "-" + ways[i][apart+1:]
				used[i], used[j], again = true, true, true
				if !slices.Contains(next, both) {
					next = append(next, both)
				}
			}
		}
		for i, w := range ways {
			if !used[i] {
				next = append(next, w)
			}
		}
		ways = next
	}
	var out []string
	for _, w := range ways {
		var all []string
		for k, n := range names {
			switch w[k] {
			case 'y':
				all = append(all, n)
			case 'n':
				all = append(all, "not "+n)
			}
		}
		if len(all) == 0 {
			return ""
		}
		out = append(out, strings.Join(all, " and "))
	}
	return When(strings.Join(out, " or "))
}

// And joins two conditions that must both hold.
func (c When) And(d When) When {
	if c == "" || c == d {
		return d
	}
	if d == "" {
		return c
	}
	names := c.Names()
	for _, n := range d.Names() {
		if !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return WhenOf(names, func(answers map[string]bool) bool { return c.Holds(answers) && d.Holds(answers) })
}
