package claims

import (
	"slices"
	"strings"

	"matchmark/procedure"
)

// OneWay reports whether a sentence of a step tells something of the way out alone, so that nobody misses it on the way back: what is
// looked at, where what comes off is put, how it is marked, and how an act undoes what its other direction puts back by its row.
// It reads English; in another language nothing is one-way.
func (s *Step) OneWay(x *Sentence) bool {
	all := x.words
	for len(all) > 1 && (all[0] == "then" || all[0] == "now") {
		all = all[1:]
	}
	if len(all) == 0 || !s.names.own {
		return false
	}
	switch {
	case looks[all[0]], len(all) > 2 && all[1] == "helper" && all[2] == "watches":
		return true
	case slices.Contains(all, "photo"), slices.ContainsFunc(all, func(w string) bool { return gauges[w] }) && (all[0] == "hold" || all[0] == "put"):
		return true
	case describes(all), s.marks(all), s.putsAway(all):
		return true
	}
	return s.undoes(x, all)
}

// looks are what sentences begin with that look, wait or write down, and turn nothing.
var looks = map[string]bool{"watch": true, "wait": true, "look": true, "listen": true, "check": true, "read": true, "see": true, "shine": true, "record": true, "stop": true}

// gauges are held to something, and taken away again.
var gauges = map[string]bool{"thermometer": true, "gauge": true, "tester": true}

// describes reports whether words say how something is, and tell nobody to do anything.
func describes(all []string) bool {
	is := func(w string) bool { return w == "is" || w == "was" || w == "means" || w == "mean" || w == "has" }
	bids := func(w string) bool {
		return w == "must" || w == "may" || w == "never" || w == "only" || w == "nobody" || w == "until" || w == "your" || w == "you" || w == "if" || w == "when"
	}
	if participle(all[0]) {
		return true
	}
	if slices.ContainsFunc(all, bids) {
		return false
	}
	at := slices.IndexFunc(all, is)
	return all[0] == "the" || all[0] == "it" || at > 0 && !putters[all[0]] && !takers[all[0]] && simple[all[0]] == 0
}

// participle reports whether a word is one that no command begins with: "packed flour burns".
func participle(w string) bool {
	return strings.HasSuffix(w, "ed") && len(w) > 4 && !strings.HasSuffix(w, "eed") && w != "shed" && w != "embed"
}

// marks reports whether words put a mark or a tag on, and something of the step has its mark in its row: the way back shows it.
func (s *Step) marks(all []string) bool {
	puts := all[0] == "mark" || (all[0] == "paint" || all[0] == "draw" || all[0] == "hang") && slices.ContainsFunc(all, func(w string) bool { return strokes[singular(w)] || singular(w) == "tag" || singular(w) == "label" })
	return puts && slices.ContainsFunc(s.acts, func(a *procedure.Action) bool {
		t := s.things[a.Object.ID]
		return t != nil && (a.Verb == procedure.Mark || t.Part != nil && t.Part.Mark != "" || t.Connection != nil && t.Connection.Mark != "")
	})
}

// putsAway reports whether words put something where the row of what comes off in the step says that it is kept.
func (s *Step) putsAway(all []string) bool {
	if !putters[all[0]] && all[0] != "tie" && all[0] != "hang" && all[0] != "slide" {
		return false
	}
	for _, a := range s.acts {
		t := s.things[a.Object.ID]
		if t == nil || a.Verb != procedure.Remove && a.Verb != procedure.Disconnect {
			continue
		}
		kept := ""
		switch {
		case t.Part != nil:
			kept = t.Part.Stand
		case t.Connection != nil:
			kept = t.Connection.Stand
		case t.Fastener != nil:
			kept = t.Fastener.Bag
		}
		for _, w := range s.names.words(kept) {
			if len(w) > 2 && !articles[w] && !adverb(w) && slices.ContainsFunc(all[1:], func(y string) bool { return singular(y) == singular(w) }) {
				return true
			}
		}
	}
	return false
}

// undoes reports whether words tell how something comes off or loose that an act of the step takes off or loosens, or how something
// goes on that is put on for the job. In which order the pieces of one row come out is more than that, unless the row has a pattern.
func (s *Step) undoes(x *Sentence, all []string) bool {
	plain := *x
	plain.words = all
	t, told := s.Told(&plain)
	undoing := t.Deed == Undoing || t.Deed == Loosening || t.Deed == Taking
	switch named := s.acted(all); {
	case told && undoing && (s.Carried(t) || t.Head == "them" || t.Head == "it"), (simple[all[0]] == Undoing || simple[all[0]] == Loosening) && len(named) > 0:
		pieces := func(t *procedure.Thing) bool { return t.Fastener != nil && t.Fastener.Count > 1 }
		return !slices.ContainsFunc(all, func(w string) bool { return orders[w] }) || s.ordered() || len(named) > 0 && !slices.ContainsFunc(named, pieces)
	case all[0] == "pull" || all[0] == "press" || all[0] == "open":
		latch := slices.ContainsFunc(all, func(w string) bool { return singular(w) == "latch" || singular(w) == "plug" })
		return latch && slices.ContainsFunc(s.acts, func(a *procedure.Action) bool {
			t := s.things[a.Object.ID]
			return t != nil && t.Connection != nil && t.Connection.Kind == procedure.Connector && a.Verb == procedure.Disconnect
		})
	case all[0] == "lift" && all[len(all)-1] == "up":
		return slices.ContainsFunc(named, func(t *procedure.Thing) bool { return t.Part != nil })
	case (all[0] == "turn" || all[0] == "screw") && slices.Contains(all, "out"):
		return len(named) > 0
	case all[0] == "turn" || all[0] == "screw":
		return len(named) > 0 && !slices.ContainsFunc(named, func(t *procedure.Thing) bool { return t.Fastener == nil || !t.Fastener.Brought })
	}
	return false
}

// orders are words for what comes before what.
var orders = map[string]bool{"first": true, "last": true, "before": true, "after": true, "from": true}

// acted are the things of the step's acts that words name.
func (s *Step) acted(all []string) (out []*procedure.Thing) {
	for _, m := range s.names.mentions(all, s.has) {
		for _, t := range m.things {
			if s.has(t.Row.ID) {
				out = append(out, t)
			}
		}
	}
	return out
}

// Holding reports whether a sentence tells somebody to hold a part that an act of the step takes off: whoever puts it back holds it too.
func (s *Step) Holding(x *Sentence) bool {
	all := x.words
	if len(all) > 3 && all[0] == "let" && all[1] == "your" && all[2] == "helper" {
		all = all[3:]
	}
	if !s.names.own || len(all) < 3 || all[0] != "hold" || slices.ContainsFunc(all, func(w string) bool { return w != "with" && stops(w) || w == "these" || w == "those" }) {
		return false
	}
	taken := func(t *procedure.Thing) bool {
		return t.Part != nil && slices.ContainsFunc(s.acts, func(a *procedure.Action) bool { return a.Verb == procedure.Remove && a.Object.ID == t.Row.ID })
	}
	return slices.ContainsFunc(s.acted(all[:3]), taken)
}

// ordered reports whether acts or rows have the order in which the fasteners of the step come out: there are several rows, or one with a pattern.
func (s *Step) ordered() bool {
	var rows []*procedure.Fastener
	for _, a := range s.acts {
		if t := s.things[a.Object.ID]; t != nil && t.Fastener != nil && !slices.Contains(rows, t.Fastener) {
			rows = append(rows, t.Fastener)
		}
	}
	return len(rows) > 1 || len(rows) == 1 && (rows[0].Count == 1 || rows[0].Pattern != "" || rows[0].Sequence != "")
}
