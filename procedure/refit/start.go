package refit

import (
	"regexp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/fitting"
	"matchmark/procedure/state"
)

// start proves again what keeps energy away: in the words of the removal, since a proof is the same each time.
func (d *derivation) start() {
	proofs := d.proofs()
	if len(proofs) == 0 {
		return
	}
	s := d.step(proofs[len(proofs)-1].home, startStep, proofs, 1)
	s.Title = d.words("refit.start")
	s.Blocks = nil
	for i, a := range proofs {
		if i == 0 || proofs[i-1].home != a.home {
			s.Blocks = append(s.Blocks, d.carried(a.home, proofs)...)
		}
	}
	s.Blocks = append(s.Blocks, d.instruction(s.Span, d.words("refit.start.why")))
	var points []procedure.Block
	hold := &procedure.Hold{Common: procedure.Common{Span: s.Span}, Title: d.words("refit.start.hold")}
	var of *procedure.Step
	s.Blocks = append(s.Blocks, d.startless(d.worded(proofs))...)
	for i, a := range proofs {
		if a.of.Step == of {
			continue
		}
		if of = a.of.Step; i > 0 {
			s.Time = plus(s.Time, of.Time)
			s.Listed = union(s.Listed, of.Listed)
			s.People = max(s.People, of.People)
		} else {
			s.Time = of.Time
		}
		if provesOnly(d.out.Job, of) {
			points = append(points, d.points(of)...)
			join(hold, state.Hold(of))
		}
	}
	if d.hindered() != "" {
		tries := func(p procedure.Prose) bool { return startTried.MatchString(p.Plain()) }
		points = slices.DeleteFunc(points, func(b procedure.Block) bool {
			return startTried.MatchString(b.Shows().Point.Point) || tries(b.Shows().Point.Reason)
		})
		hold.Confirmations = slices.DeleteFunc(hold.Confirmations, tries)
	}
	s.Blocks = append(s.Blocks, points...)
	if len(hold.Confirmations) > 0 {
		hold.Confirmations = append(hold.Confirmations, procedure.Words(s.Span, d.words("refit.start.repaired")))
		s.Blocks = append(s.Blocks, hold)
	}
	s.Tools, _ = fitting.Tools(d.out.Job.Machine, s)
	d.steps = append(d.steps, s)
}

// startTried finds words on trying to start the machine.
var startTried = regexp.MustCompile(`(?i)\bstart (?:button|test)\b|\b(?:Starttaste|Startknopf|Startversuch|Einschaltversuch)`)

// hindered names what the machine may not start without at the end of the job, lock or no lock: a plug that is out, a cable or a guard that
// is off; empty for nothing.
func (d *derivation) hindered() string {
	for _, p := range d.out.Assembly.Parts {
		if d.end.Part(p).Is == state.Off && guarding.MatchString(p.ID+" "+p.Name) {
			return d.named(short(name(&p.Row)))
		}
	}
	for _, c := range d.out.Assembly.Connections {
		if d.end.Connection(c).Apart && (c.Kind == procedure.Connector || c.Kind == procedure.Cable) {
			return d.named(short(name(&c.Row)))
		}
	}
	return ""
}

// guarding finds names of what is often wired into the start of a machine.
var guarding = regexp.MustCompile(`(?i)guard|grid|grille|hood|fence|schutz|gitter|haube|zaun`)

// startless gives other words in place of a try to start a machine that would not start anyway: then a machine that stands still proves
// nothing.
func (d *derivation) startless(blocks []procedure.Block) []procedure.Block {
	without := d.hindered()
	if without == "" {
		return blocks
	}
	for i, b := range blocks {
		if t := b.Shows().Text; t != nil && startTried.MatchString(t.Plain()) {
			blocks[i] = d.instruction(b.Place(), d.words("refit.start.hindered", without))
		}
	}
	return blocks
}

// proofs are the last proofs of energy conditions that still hold at the end of the job.
func (d *derivation) proofs() (out []*act) {
	for i := range d.out.Events {
		e := &d.out.Events[i]
		c := e.Condition
		if c == nil || !c.Energy || e.Action.Verb != procedure.Verify || d.end.Condition(c).Is != state.Verified {
			continue
		}
		if again := slices.ContainsFunc(d.out.Events[i+1:], func(x state.Event) bool { return x.Condition == c && x.Action.Verb == procedure.Verify }); again {
			continue
		}
		out = append(out, &act{verb: procedure.Verify, object: e.Action.Object, of: e, home: e.Step.Number - 1})
	}
	return out
}

// provesOnly reports whether nothing is done in a step but to conditions: then all that it says is about them.
func provesOnly(job *procedure.Job, s *procedure.Step) bool {
	return !slices.ContainsFunc(s.Actions(), func(a *procedure.Action) bool {
		t := job.Machine.Thing(a.Object.ID)
		return t == nil || t.Condition == nil
	})
}

// points are the key points of a step of the job.
func (d *derivation) points(of *procedure.Step) (out []procedure.Block) {
	for _, b := range of.Blocks {
		if b.Shows().Point != nil {
			out = append(out, b)
		}
	}
	return out
}

// join adds what a hold point of the job asks for; it may be nil.
func join(to, h *procedure.Hold) {
	if h == nil {
		return
	}
	if h.Signature != "" {
		to.Signature = h.Signature
	}
	to.SafeStop = to.SafeStop || h.SafeStop
	to.Confirmations = append(to.Confirmations, h.Confirmations...)
}

func plus(a, b procedure.Estimate) procedure.Estimate {
	a.Optimistic, a.Likely, a.Pessimistic = a.Optimistic+b.Optimistic, a.Likely+b.Likely, a.Pessimistic+b.Pessimistic
	return a
}

// union returns the names of both lists, each once.
func union(a, b []procedure.Ref) []procedure.Ref {
	out := slices.Clone(a)
	for _, r := range b {
		if !slices.ContainsFunc(out, func(x procedure.Ref) bool { return x.ID == r.ID }) {
			out = append(out, r)
		}
	}
	return out
}
