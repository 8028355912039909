// Package statetest builds small machines and jobs for tests from a few lines of text.
//
// A machine is a list of lines, one thing each:
//
//	base frame
//	part gearbox 64 under=hood held-by=shaft twin=other side=left mark face stand
//	bolt 4 gearbox frame locks=5 torque=45 single-use bag=A count=12 after=3 under=hood brought
//	hose line gearbox tank carries=oil needs=slack mark
//	fluid oil single-use flush
//	hoist crane 250
//	condition slack needs=dead lost-by=belt undo
//	energy dead needs=isolated undo
//
// The words bolt, screw, nut, stud, pin, circlip, washer, clamp, key and plug make
// fasteners; hose, plug-in, belt, chain, cable and strap make connections; hoist,
// sling, jack, stand and hands make supports.
//
// A job is a list of steps, one a line:
//
//	off needs=dead after=on people=2: remove 4, 5; lift gearbox with hoist, sling; hold
//
// The actions stand in the dialect's words; "remove 2 of 4" is about some pieces. "hold" ends a step with a hold point,
// "stop" makes it a safe stop, "caution gearbox" warns about a thing, "read gearbox" measures something at it.
package statetest

import (
	"fmt"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/prose"
	"matchmark/procedure/text"
)

var fastenerKinds = map[string]procedure.FastenerKind{
	"bolt": procedure.Bolt, "screw": procedure.Screw, "nut": procedure.Nut, "stud": procedure.Stud, "pin": procedure.Pin,
	"circlip": procedure.Circlip, "washer": procedure.TabWasher, "clamp": procedure.Clamp, "key": procedure.Key, "plug": procedure.Plug,
}

var connectionKinds = map[string]string{
	"hose": "hose", "plug-in": "electrical connector", "belt": "belt", "chain": "chain", "cable": "cable", "strap": "earth strap",
}

var supportKinds = map[string]string{"hoist": "hoist", "sling": "sling", "jack": "jack", "stand": "stand", "hands": "hands"}

// Machine builds a machine from its lines. It panics when a line makes no sense.
func Machine(lines string) *procedure.Machine {
	m := &procedure.Machine{ID: "machine", Title: "Machine"}
	for _, line := range strings.Split(lines, "\n") {
		words := strings.Fields(line)
		if len(words) == 0 {
			continue
		}
		row(m, words[0], words[1], words[2:])
	}
	m.Index()
	return m
}

func row(m *procedure.Machine, kind, id string, rest []string) {
	var plain []string
	set := map[string]string{}
	for _, w := range rest {
		if k, v, ok := strings.Cut(w, "="); ok {
			set[k] = v
		} else {
			plain = append(plain, w)
		}
	}
	flag := func(word string) bool {
		for _, w := range plain {
			if w == word {
				return true
			}
		}
		return false
	}
	words := func(word string) string {
		if flag(word) {
			return word + " of " + id
		}
		return set[word]
	}
	// Things are joined by the plain words that are no flags.
	joins := func() []procedure.Ref {
		var out []procedure.Ref
		for _, w := range plain {
			switch w {
			case "single-use", "mark", "stand", "brought":
			default:
				out = append(out, procedure.Ref{ID: w})
			}
		}
		return out
	}
	mass := func() measure.Quantity {
		for _, w := range plain {
			if _, err := strconv.ParseFloat(w, 64); err == nil {
				return measure.Must(w + " kg")
			}
		}
		return measure.Quantity{}
	}
	head := procedure.Row{ID: id, Name: strings.ReplaceAll(id, "-", " "), Variants: Refs(set["variants"])}
	switch {
	case kind == "variant":
		m.Variants = append(m.Variants, &procedure.Variant{Row: head})
	case kind == "base" || kind == "part":
		m.Parts = append(m.Parts, &procedure.Part{
			Row: head, Mass: mass(), Base: kind == "base", Under: Refs(set["under"]), OnBench: procedure.Ref{ID: set["on-bench"]}, Twin: procedure.Ref{ID: set["twin"]}, HeldBy: procedure.Ref{ID: set["held-by"]}, Side: set["side"],
			Mark: words("mark"), Face: words("face"), Stand: words("stand"),
		})
	case fastenerKinds[kind] != "":
		f := &procedure.Fastener{
			Row: head, Kind: fastenerKinds[kind], Joins: joins(), Locks: Refs(set["locks"]), SingleUse: flag("single-use"), Brought: flag("brought"), Count: 1, Bag: set["bag"],
			Sequence: set["sequence"], Thread: set["thread"], TightAfter: Refs(set["after"]), Under: Refs(set["under"]), OnBench: procedure.Ref{ID: set["on-bench"]},
		}
		if n, err := strconv.Atoi(set["count"]); err == nil {
			f.Count = n
		}
		if set["torque"] != "" {
			f.Torque = measure.Must(set["torque"] + " N·m")
		}
		f.Number, _ = strconv.Atoi(id)
		m.Fasteners = append(m.Fasteners, f)
	case connectionKinds[kind] != "":
		m.Connections = append(m.Connections, &procedure.Connection{
			Row: head, Kind: connectionKinds[kind], Joins: joins(), Needs: Refs(set["needs"]), Carries: procedure.Ref{ID: set["carries"]}, Mark: words("mark"),
		})
	case kind == "fluid":
		m.Fluids = append(m.Fluids, &procedure.Fluid{Row: head, SingleUse: flag("single-use"), Flush: words("flush"), Quantity: measure.Must("2 L")})
	case supportKinds[kind] != "":
		m.Supports = append(m.Supports, &procedure.Support{Row: head, Kind: supportKinds[kind], Capacity: mass()})
	case kind == "condition" || kind == "energy":
		m.Conditions = append(m.Conditions, &procedure.Condition{
			Row: head, Needs: Refs(set["needs"]), LostBy: Refs(set["lost-by"]), Undo: words("undo"), Energy: kind == "energy",
		})
	case kind == "tool":
		m.Tools = append(m.Tools, &procedure.Tool{Row: head, Kind: procedure.HandTool})
	default:
		panic("statetest: no thing " + kind)
	}
}

// Refs reads names, also several with commas between them.
func Refs(lists ...string) []procedure.Ref {
	var out []procedure.Ref
	for _, id := range strings.Split(strings.Join(lists, ","), ",") {
		if id = strings.TrimSpace(id); id != "" {
			out = append(out, procedure.Ref{ID: id})
		}
	}
	return out
}

// Procedure builds a procedure on the machine from its steps. Each step stands on
// a line of a source file named job.md, and each action has its own words as its span.
func Procedure(m *procedure.Machine, lines string) *procedure.Procedure {
	file := text.NewFile("job.md", []byte(lines))
	p := &procedure.Procedure{ID: "job", Title: "Job", Machine: m, File: file, Span: file.Span(0, 0)}
	at := 0
	for _, line := range strings.SplitAfter(lines, "\n") {
		if strings.TrimSpace(line) != "" {
			p.Steps = append(p.Steps, step(file, at, line))
			p.Steps[len(p.Steps)-1].Number = len(p.Steps)
		}
		at += len(line)
	}
	return p
}

// Job builds a job from the lines of its machine and its steps. The machine has no variants.
func Job(machine, steps string) *procedure.Job {
	return Procedure(Machine(machine), steps).Jobs()[0]
}

func step(file *text.File, at int, line string) *procedure.Step {
	head, body, ok := strings.Cut(line, ":")
	if !ok {
		panic("statetest: no colon in " + line)
	}
	words := strings.Fields(head)
	s := &procedure.Step{
		ID: words[0], Title: "Step " + words[0], People: 1, Span: file.Span(at, at+len(head)),
		Time: procedure.Estimate{Optimistic: 1, Likely: 2, Pessimistic: 3},
	}
	for _, w := range words[1:] {
		k, v, _ := strings.Cut(w, "=")
		switch k {
		case "needs":
			s.Needs = refsAt(s.Span, v)
		case "after":
			s.After = refsAt(s.Span, v)
		case "people":
			s.People, _ = strconv.Atoi(v)
		case "variants":
			s.Variants = Refs(v)
		case "tools":
			s.Tools = refsAt(s.Span, v)
		default:
			panic("statetest: no attribute " + k)
		}
	}
	from := at + len(head) + 1
	for _, part := range strings.SplitAfter(body, ";") {
		start := from + len(part) - len(strings.TrimLeft(part, " "))
		words := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(part), ";"))
		if words != "" {
			block(s, file.Span(start, start+len(words)), words)
		}
		from += len(part)
	}
	return s
}

func block(s *procedure.Step, span text.Span, words string) {
	common := procedure.Common{Span: span}
	switch verb, rest, _ := strings.Cut(words, " "); verb {
	case "hold":
		s.Blocks = append(s.Blocks, &procedure.Hold{Common: common, Title: "Hold", Confirmations: []procedure.Prose{procedure.Words(text.Span{}, "Clear")}})
	case "stop":
		s.SafeStop = true
	case "caution":
		s.Blocks = append(s.Blocks, &procedure.Caution{Common: common, Signal: procedure.CautionWord, About: refsAt(span, rest)})
	case "read":
		s.Blocks = append(s.Blocks, &procedure.Readings{Common: common, Of: procedure.Ref{ID: rest, Span: span}, Rows: []procedure.Reading{{Name: "value", Words: "Value", Unit: "mm", Span: span}}})
	default:
		s.Blocks = append(s.Blocks, &procedure.ActionList{Common: common, Actions: Actions(span, words)})
	}
}

// Actions reads one item of an action list: a verb, names, and what its preposition leads to.
// "keep 6 until hoist-on" notes the step that the fastener is kept for.
func Actions(span text.Span, words string) []*procedure.Action {
	var verb procedure.Verb
	for _, r := range procedure.VerbRules {
		if strings.HasPrefix(words, string(r.Verb)+" ") && len(r.Verb) > len(verb) {
			verb = r.Verb
		}
	}
	if verb == "" {
		panic(fmt.Sprintf("statetest: no verb in %q", words))
	}
	rule, _ := verb.Rule()
	rest := strings.TrimPrefix(words, string(verb)+" ")
	var with []procedure.Ref
	var reason procedure.Prose
	if rule.Word != "" {
		objects, further, _ := strings.Cut(rest, " "+rule.Word+" ")
		rest, with = objects, refsAt(span, further)
	}
	if objects, until, ok := strings.Cut(rest, " until "); ok {
		rest, reason = objects, Mentioning(until)
	}
	var out []*procedure.Action
	for _, r := range refsAt(span, rest) {
		var count procedure.Count
		if some, of, partly := strings.Cut(r.ID, " of "); partly {
			r.ID, count.Span = of, span
			count.N, _ = strconv.Atoi(some)
		}
		out = append(out, &procedure.Action{Verb: verb, VerbSpan: span, Object: r, Count: count, With: with, Reason: reason, Span: span})
	}
	return out
}

// Mentioning returns prose that holds names in code marks.
func Mentioning(names string) procedure.Prose {
	var p procedure.Prose
	for _, r := range Refs(names) {
		p.Nodes = append(p.Nodes, prose.Node{Kind: prose.Mention, To: r.ID})
	}
	return p
}

func refsAt(span text.Span, list string) []procedure.Ref {
	refs := Refs(list)
	for i := range refs {
		refs[i].Span = span
	}
	return refs
}
