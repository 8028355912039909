package claims

import (
	"slices"

	"matchmark/procedure"
)

// placers are verbs that put a tool somewhere, where it stays for the work.
var placers = map[string]bool{
	"put": true, "push": true, "lay": true, "set": true, "hang": true, "place": true, "insert": true, "slide": true, "tie": true, "fix": true, "clamp": true, "hook": true, "stick": true,
}

// away are words behind a thing that is taken from where it was.
var away = map[string]bool{"off": true, "out": true, "away": true, "back": true, "down": true}

// Fetched are the tools that a sentence tells the learner to put somewhere, or to work with: "Push the pin in", "Steer it with the
// rope". A word that may mean another thing of the machine names none, an old one is none
// to bring, and what goes into a container is an act.
func (s *Step) Fetched(x *Sentence) (out []*procedure.Thing) {
	if x.Role != Telling || len(x.words) < 2 {
		return nil
	}
	taking := placers[x.words[0]]
	for i, w := range x.words[1:] {
		i++
		switch {
		case w == "with":
			taking = true
			continue
		case w != "and" && (heading[w] || stops(w)):
			taking = false
		}
		if !taking || x.words[i-1] == "old" || i+1 < len(x.words) && (away[x.words[i+1]] || !heading[x.words[i+1]] && !stops(x.words[i+1]) && !adverb(x.words[i+1])) {
			continue // not the last word of a thing's name, or on its way back
		}
		if t := s.names.tool(w); t != nil && t.Tool.Kind != procedure.Container && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}

// tool is the one tool that a noun can mean: its name ends with the noun, or the noun tells it from all that is registered.
func (n *Names) tool(noun string) *procedure.Thing {
	noun = singular(noun)
	var found *phrase
	for _, list := range n.byHead {
		for _, p := range list {
			if p.head != noun && (p.thing.Tool == nil || !slices.Contains(p.modifiers[:p.front], noun)) {
				continue
			}
			if found != nil || p.thing.Tool == nil {
				return nil
			}
			found = p
		}
	}
	if found == nil {
		return nil
	}
	return found.thing
}
