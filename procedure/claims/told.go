package claims

import (
	"slices"
	"strings"

	"matchmark/procedure"
)

// Deed is what a sentence tells the learner to do to something.
type Deed int

// The deeds that acts stand for.
const (
	Undoing Deed = iota + 1 // undo, unscrew
	Taking                  // take out, lift off, pull out
	Loosening
	Tightening
	Leaving // leave on, leave in
	Opening
	Shutting
)

// Told is a thing that a sentence tells the learner to do.
type Told struct {
	Deed Deed
	// Words are those of the thing, as they stand there.
	Words string
	// Things are what they name; none when they name nothing registered.
	Things []*procedure.Thing
	// Head is what the thing is.
	Head string
	// Modified is true when the words say which of several is meant.
	Modified bool
}

var simple = map[string]Deed{
	"undo": Undoing, "unscrew": Undoing, "remove": Taking, "loosen": Loosening, "slacken": Loosening, "tighten": Tightening, "open": Opening, "shut": Shutting, "close": Shutting,
}

var takers = map[string]bool{"take": true, "lift": true, "pull": true, "draw": true, "push": true, "knock": true, "press": true, "slide": true, "screw": true, "drive": true, "run": true}

// Told is what a sentence tells first: "Take the cover off" or "Leave the rear bolt in". The second result is false for a
// sentence that tells nothing which an act stands for.
func (s *Step) Told(x *Sentence) (Told, bool) {
	all := x.words
	if len(all) < 2 {
		return Told{}, false
	}
	deed := simple[all[0]]
	from, end := 1, len(all)
	for from < len(all)-1 && (articles[all[from]] || numbered(all[from])) {
		from++
	}
	for i := 1; i < len(all); i++ {
		if stops(all[i]) {
			end = i
			break
		}
	}
	particle := -1
	for i := from; i < end; i++ {
		switch all[i] {
		case "off", "out":
			if takers[all[0]] && particle < 0 {
				particle = i
			}
		}
	}
	switch {
	case particle >= 0 && particle+1 < len(all) && all[particle] == "out" && all[particle+1] == "of":
		return Told{}, false // out of where it lay
	case particle >= 0:
		deed = Taking
		if particle == 1 {
			from = max(from, 2)
			for from < len(all)-1 && (articles[all[from]] || numbered(all[from])) {
				from++
			}
		} else {
			end = particle
		}
	case all[0] == "pull" && articles[all[1]]:
		deed = Taking
	case all[0] == "leave":
		last := all[len(all)-1]
		if last != "on" && last != "in" && !slices.Contains(all, "alone") {
			return Told{}, false
		}
		deed = Leaving
	}
	if deed == 0 {
		return Told{}, false
	}
	for i := from; i < end; i++ {
		if heading[all[i]] && i > from { // "the bolts to the frame": what stands behind says which
			break
		}
		if i+1 < end && !heading[all[i+1]] && !adverb(all[i+1]) {
			continue // not the last word of the thing's name yet
		}
		t := Told{Deed: deed, Words: s.names.quote(x, all[from:i+1]), Head: singular(all[i])}
		for _, m := range s.names.mentions(all[:min(len(all), end+reach)], s.has) {
			if m.at == i {
				t.Things, t.Modified = m.things, m.modified
			}
		}
		return t, true
	}
	return Told{}, false
}

// Says reports whether the acts of the step say all that a sentence tells: "Undo the four screws", where an act removes them. What is
// told to be left needs no word either. An order, a measure or a second thing to do is more than that.
func (s *Step) Says(x *Sentence) bool {
	t, ok := s.Told(x)
	if !ok || len(x.words) > plainly || slices.ContainsFunc(x.words, func(w string) bool { return stops(w) || ordinal[w] }) || strings.ContainsAny(x.Text, ",;:") {
		return false
	}
	return t.Deed == Leaving || s.Carried(t)
}

// plainly is how many words a sentence has at most that tells one thing and nothing of how.
const plainly = 8

// ordinal words give an order, which the acts turned round do not have.
var ordinal = map[string]bool{"first": true, "last": true, "once": true, "by": true, "turns": true, "turn": true, "only": true}

func numbered(w string) bool { _, ok := countOf(w); return ok }

// adverb reports whether a word says how something is done.
func adverb(w string) bool {
	switch w {
	case "off", "out", "on", "in", "up", "down", "back", "away", "crosswise", "together", "first", "last", "again", "once", "slowly", "evenly", "completely", "straight", "half":
		return true
	}
	return numbered(w) || strings.HasSuffix(w, "ly") || strings.HasSuffix(w, "wise")
}

// doneBy are the verbs of the acts that stand for a deed.
var doneBy = map[Deed][]procedure.Verb{
	Undoing:    {procedure.Remove, procedure.Loosen, procedure.Disconnect},
	Taking:     {procedure.Remove, procedure.Disconnect, procedure.Lift, procedure.Release},
	Loosening:  {procedure.Loosen, procedure.Remove},
	Tightening: {procedure.Tighten, procedure.Fit, procedure.Connect},
}

// against are the verbs of the acts that a deed cannot go with, in one step.
var against = map[Deed][]procedure.Verb{
	Leaving:    {procedure.Remove, procedure.Disconnect, procedure.Lift},
	Tightening: {procedure.Remove, procedure.Loosen},
	Taking:     {procedure.Loosen, procedure.Keep, procedure.Fit, procedure.Tighten},
}

// Against is the act of the step that a deed contradicts; nil for none.
func (s *Step) Against(t Told) *procedure.Action {
	if len(t.Things) == 0 {
		return nil
	}
	var found *procedure.Action
	for _, thing := range t.Things {
		for _, a := range s.acts {
			if a.Object.ID != thing.Row.ID {
				continue
			}
			if slices.Contains(doneBy[t.Deed], a.Verb) {
				return nil
			}
			if slices.Contains(against[t.Deed], a.Verb) {
				found = a
			}
		}
	}
	return found
}

// Carried reports whether an act of the step stands for a deed, or may do so: one on a thing whose name has the word.
func (s *Step) Carried(t Told) bool {
	if t.Modified && len(t.Things) > 0 && slices.ContainsFunc(t.Things, func(x *procedure.Thing) bool { return s.has(x.Row.ID) }) {
		return true
	}
	for _, id := range s.inOrder() {
		x := s.things[id]
		if t.Modified && len(t.Things) > 0 && x.Kind == t.Things[0].Kind && s.names.phraseOf(x).head == t.Head {
			continue // the words name another one
		}
		for _, w := range s.names.words(x.Row.Name) {
			if singular(w) == t.Head {
				return true
			}
		}
	}
	return false
}

// Standing is a condition of the step whose name says the opposite of a deed, as in "open the valve" for "valve shut"; nil for none.
func (s *Step) Standing(t Told) *procedure.Thing {
	opposite := map[Deed][]string{Opening: {"shut", "closed"}, Shutting: {"open", "opened"}}[t.Deed]
	if opposite == nil {
		return nil
	}
	for _, a := range s.acts {
		c := s.things[a.Object.ID]
		if c == nil || c.Condition == nil || a.Verb != procedure.Establish {
			continue
		}
		name := s.names.words(c.Row.Name)
		if slices.Contains(name, t.Head) && slices.ContainsFunc(opposite, func(w string) bool { return slices.Contains(name, w) }) {
			return c
		}
	}
	return nil
}

// People is how many people a sentence says work, 0 when it says nothing of it.
func (x *Sentence) People() int {
	for i, w := range x.words {
		n, ok := countOf(w)
		if !ok || i+1 >= len(x.words) {
			continue
		}
		switch x.words[i+1] {
		case "people", "persons", "person":
			return n
		}
	}
	return 0
}

// Place is the index of the act that stands for a deed; -1 when there is none, or when several could.
func (s *Step) Place(t Told) int {
	found := -1
	for i, a := range s.acts {
		x := s.things[a.Object.ID]
		if x == nil || !slices.Contains(doneBy[t.Deed], a.Verb) || !slices.ContainsFunc(t.Things, func(y *procedure.Thing) bool { return y.Row.ID == x.Row.ID }) {
			continue
		}
		if found >= 0 && s.acts[found].Object.ID != a.Object.ID {
			return -1
		}
		if found < 0 {
			found = i
		}
	}
	return found
}

// everyday are things that no register has, and that somebody takes off or out all the same.
var everyday = map[string]bool{
	"it": true, "them": true, "one": true, "hand": true, "finger": true, "glove": true, "key": true, "lock": true, "tag": true, "load": true, "slack": true, "weight": true, "dirt": true,
	"water": true, "oil": true, "air": true, "rag": true, "cloth": true, "tool": true, "chip": true, "rest": true, "power": true, "heat": true, "machine": true, "photo": true, "picture": true,
	"lapp": true, "handschuh": true, "werkzeug": true, "schlüssel": true, "schloss": true, "öl": true, "wasser": true, "schild": true, "luft": true,
	"lever": true, "handle": true, "switch": true, "button": true, "hook": true, "rope": true, "shackle": true, "leg": true, "end": true, "side": true, "half": true, "set": true,
}

// Everyday reports whether a noun is of a thing that no register need have.
func Everyday(head string) bool { return everyday[head] }

// Elsewhere is a sentence that puts a part somewhere else than its row, or the act, says.
type Elsewhere struct {
	Words string
	Part  *procedure.Thing
	Place string // that of the row, or what the support is called
}

// grounds are places that every workshop has, so that no row need name them.
var grounds = map[string]bool{"floor": true, "ground": true, "bench": true}

var putters = map[string]bool{"lower": true, "set": true, "put": true, "lay": true, "place": true, "stand": true}

// Elsewhere finds where a sentence puts a part of the step, if that is neither where its row says nor where the act sets it down.
func (s *Step) Elsewhere(x *Sentence) (Elsewhere, bool) {
	all := x.words
	if len(all) < 4 || !putters[all[0]] {
		return Elsewhere{}, false
	}
	if end := slices.IndexFunc(all, stops); end > 0 {
		all = all[:end]
	}
	to := slices.IndexFunc(all, func(w string) bool { return w == "on" || w == "onto" || w == "into" || w == "in" })
	if to < 2 {
		return Elsewhere{}, false
	}
	behind := all[to+1:]
	for len(behind) > 1 && (behind[0] == "to" || articles[behind[0]]) {
		behind = behind[1:]
	}
	part, place := s.put(all[1:to])
	if part == nil || len(behind) == 0 || place == "" {
		return Elsewhere{}, false
	}
	known := s.names.words(place)
	for i := range known {
		known[i] = singular(known[i])
	}
	noun := behind[0]
	for _, w := range behind[1:] {
		if heading[w] || stops(w) || w == "marked" || adverb(w) {
			break
		}
		noun = w
	}
	if slices.Contains(known, singular(noun)) || slices.ContainsFunc(behind, func(w string) bool { return slices.Contains(known, singular(w)) && len(w) > 3 }) {
		if at := slices.Index(behind, "marked"); at < 0 || at+1 >= len(behind) || !slices.Contains(known, "marked") || slices.Contains(known, behind[at+1]) {
			return Elsewhere{}, false
		}
	} else if s.names.Known(noun) && !s.names.isPlace(noun) && !grounds[noun] {
		return Elsewhere{}, false // on to another part: it is put together, or rests for a moment
	}
	return Elsewhere{s.names.quote(x, all), part, place}, true
}

// put is the part of the step that words name, or that "it" stands for, and where it belongs once it is off.
func (s *Step) put(all []string) (*procedure.Thing, string) {
	var found *procedure.Thing
	for _, m := range s.names.mentions(all, s.has) {
		if len(m.things) == 1 && m.things[0].Part != nil && s.has(m.things[0].Row.ID) {
			found = m.things[0]
		}
	}
	for _, a := range s.acts {
		t := s.things[a.Object.ID]
		if t == nil || t.Part == nil || found != nil && t != found && t.Row.ID != found.Row.ID || found == nil && all[len(all)-1] != "it" {
			continue
		}
		switch a.Verb {
		case procedure.SetDown:
			place := t.Part.Stand
			for _, w := range a.With {
				if x := s.machine.Thing(w.ID); x != nil {
					place += " " + x.Row.Name
				}
			}
			return t, place
		case procedure.Remove:
			return t, t.Part.Stand
		}
	}
	return nil, ""
}

// isPlace reports whether a noun names a support or a container.
func (n *Names) isPlace(noun string) bool {
	return slices.ContainsFunc(n.byHead[singular(noun)], func(p *phrase) bool { return p.thing.Support != nil || p.thing.Tool != nil })
}

// strokes are what match marks are made of.
var strokes = map[string]bool{"stroke": true, "dot": true, "line": true, "mark": true, "punch": true}

// Strokes finds the marks of a sentence whose number is not that of the thing's row: "two strokes on the left cap".
func (s *Step) Strokes(x *Sentence) (out []Differing) {
	if x.Role != Telling || !slices.ContainsFunc(x.words, func(w string) bool { return strokes[singular(w)] }) {
		return nil
	}
	named := s.names.mentions(x.words, s.has)
	for i, w := range x.words {
		n, ok := countOf(w)
		if !ok || i+1 >= len(x.words) || !strokes[singular(x.words[i+1])] && x.words[i+1] != "on" && x.words[i+1] != "across" {
			continue
		}
		for _, m := range named {
			if m.at <= i || len(m.things) != 1 {
				continue
			}
			t := m.things[0]
			if t.Part == nil || t.Part.Mark == "" || m.at > i+2*reach {
				break
			}
			if want := s.markCount(t.Part.Mark); want > 0 && want != n {
				out = append(out, Differing{x.Span, s.names.quote(x, x.words[i:m.at+1]), []Stated{{t.Row, t.Part.Mark}}})
			}
			break
		}
	}
	return out
}

// markCount is how many strokes a mark has; 0 when it does not say.
func (s *Step) markCount(mark string) int {
	all := s.names.words(mark)
	for i, w := range all {
		if n, ok := countOf(w); ok && i+1 < len(all) && strokes[singular(all[i+1])] {
			return n
		}
	}
	return 0
}
