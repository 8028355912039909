// Package claims reads what running text says of the things of a machine, such as a torque, a count or what is done to
// what, so that rules can hold it against the registers and the acts. Words are English or German (Reads); quantities and
// designations are read in any language.
//
// A text is read as a learner reads it: a name means the things of the step before those of the rest of the machine, and
// the thing whose name shares the most words. What can be read in two ways claims nothing.
package claims

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/wording"
)

// phrase is a thing with the words that it is called by.
type phrase struct {
	thing *procedure.Thing
	// head is what it is, as in "rear panel screw"; modifiers say which one.
	head      string
	modifiers []string
	front     int // how many of the modifiers stand before the head, as in "hook spanner"
}

// Names are the things of a machine by what people call them. It is made once for a machine and never changes.
type Names struct {
	byHead map[string][]*phrase
	// all are the words of all names and of what rows say besides: a word that is not among them means nothing registered.
	all map[string]bool
	// read takes the words of the library's language apart; own is true where these are the words that stand there.
	read func([]string) []string
	own  bool
}

// heading words end the part of a name that says what a thing is: "cover of the cooler", "sling with two legs".
var heading = map[string]bool{
	"of": true, "on": true, "in": true, "for": true, "with": true, "under": true, "at": true, "to": true, "from": true, "by": true, "between": true, "and": true, "around": true, "over": true, "behind": true,
}

var articles = map[string]bool{"the": true, "a": true, "an": true, "its": true, "their": true, "your": true, "own": true, "this": true, "that": true, "these": true, "those": true, "old": true, "new": true}

// NamesOf takes the names of a machine's things apart.
func NamesOf(m *procedure.Machine, language string) *Names {
	n := &Names{byHead: map[string][]*phrase{}, all: map[string]bool{}, read: readers[mainOf(language)]}
	if n.read == nil || mainOf(language) == "en" {
		n.read, n.own = readers["en"], true
	}
	for _, t := range m.Things() {
		t := t
		p := n.phraseOf(&t)
		n.byHead[p.head] = append(n.byHead[p.head], p)
		_, row := t.Register()
		procedure.EachField(row, func(_ *procedure.Field, value any) {
			if s, ok := value.(*string); ok {
				for _, w := range n.words(*s) {
					n.all[singular(w)] = true
				}
			}
		})
		for _, w := range n.words(t.Row.Note) {
			n.all[singular(w)] = true
		}
	}
	return n
}

func (n *Names) phraseOf(t *procedure.Thing) *phrase {
	p := &phrase{thing: t}
	name := t.Row.Name
	if at := strings.IndexAny(name, ",(;:"); at > 0 {
		name = name[:at]
	}
	all := n.words(name)
	end := slices.IndexFunc(all, func(w string) bool { return heading[w] })
	if end < 1 {
		end = len(all)
	}
	if end > 0 {
		p.head = singular(all[end-1])
	}
	for i, w := range all {
		if i != end-1 && !heading[w] && !articles[w] {
			p.modifiers = append(p.modifiers, singular(w))
			if i < end-1 {
				p.front++
			}
		}
	}
	return p
}

// quote gives words of a sentence as they stand there: these, or the whole of it where its words were taken apart.
func (n *Names) quote(x *Sentence, words []string) string {
	if n.own {
		return strings.Join(words, " ")
	}
	return strings.TrimSpace(x.Text)
}

// words are the words of a text as the tables of this package have them.
func (n *Names) words(s string) []string { return n.read(words(s)) }

// words are the words of a text in small letters, without punctuation.
func words(s string) (out []string) {
	for w := range wording.Words(s) {
		out = append(out, strings.ToLower(s[w.Start:w.End]))
	}
	return out
}

// singular is an English noun in the singular, as far as its ending tells.
func singular(w string) string {
	switch {
	case len(w) < 4, strings.HasSuffix(w, "ss"), strings.HasSuffix(w, "us"), strings.HasSuffix(w, "is"):
		return w
	case strings.HasSuffix(w, "ies"):
		return w[:len(w)-3] + "y"
	case strings.HasSuffix(w, "xes"), strings.HasSuffix(w, "ches"), strings.HasSuffix(w, "shes"), strings.HasSuffix(w, "sses"):
		return w[:len(w)-2]
	case strings.HasSuffix(w, "s"):
		return w[:len(w)-1]
	}
	return w
}

// Known reports whether a word is in the name of a registered thing, or in what a row says of one.
func (n *Names) Known(word string) bool { return n.all[singular(word)] }

// mention is a run of words that names things.
type mention struct {
	things   []*procedure.Thing
	at       int // the index of the head word
	modified bool
}

// mentions finds the things that words name. Preferred are those of the step where the words fit several.
func (n *Names) mentions(all []string, of func(id string) bool) (out []mention) {
	for i, w := range all {
		if id, ok := strings.CutPrefix(w, marker); ok {
			out = append(out, mention{things: n.byID(id), at: i, modified: true})
			continue
		}
		candidates := n.byHead[singular(w)]
		if len(candidates) == 0 {
			continue
		}
		out = append(out, best(candidates, all, i, of))
	}
	return out
}

// marker begins the word that stands for a name in code marks.
const marker = "\x01"

func (n *Names) byID(id string) []*procedure.Thing {
	id, _, _ = strings.Cut(id, ".")
	for _, list := range n.byHead {
		for _, p := range list {
			if p.thing.Row.ID == id {
				return []*procedure.Thing{p.thing}
			}
		}
	}
	return nil
}

// reach is how many words before a head may say which thing is meant, and how many behind it.
const reach = 4

// best are the things whose names share the most words with those around a head word, of the step's where there are any.
func best(candidates []*phrase, all []string, at int, of func(id string) bool) mention {
	near := map[string]bool{}
	for i := at - 1; i >= max(0, at-reach) && !stops(all[i]); i-- {
		near[singular(all[i])] = true
	}
	for i := at + 1; i < min(len(all), at+1+reach) && !stops(all[i]); i++ {
		near[singular(all[i])] = true
	}
	top := 0
	var found []*procedure.Thing
	for _, p := range candidates {
		score := 0
		for _, w := range p.modifiers {
			if near[w] {
				score++
			}
		}
		if score > top {
			top, found = score, nil
		}
		if score == top {
			found = append(found, p.thing)
		}
	}
	m := mention{things: found, at: at, modified: top > 0}
	if top == 0 || len(found) > 1 {
		var own []*procedure.Thing
		for _, t := range found {
			if of(t.Row.ID) {
				own = append(own, t)
			}
		}
		if len(own) > 0 {
			m.things = own
		}
	}
	return m
}

// stops reports whether a word parts two nouns, so that those beyond it say nothing of one.
func stops(w string) bool {
	switch w {
	case "and", "or", "then", "until", "when", "before", "after", "with", "while":
		return true
	}
	return false
}
