package refit

import (
	"html"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Keys lists the keys of the words that derived steps ask for. {0}, {1} are names, quantities and the like.
func Keys() []string {
	return []string{
		"refit.title",       // {0} the job's title
		"refit.summary",     // {0} the job's title
		"refit.turns-round", // {0} the title of the job's step
		"refit.start", "refit.start.why",
		"refit.end", "refit.end.why",
		"refit.step.fit", "refit.step.fasteners", "refit.step.tighten", "refit.step.connect", "refit.step.fill", "refit.step.undo",
		"refit.step.support", "refit.step.release", // {0} names
		"refit.new", "refit.face", "refit.mark", "refit.side.left", "refit.side.right", "refit.twin",
		"refit.connect.check", "refit.fill.quantity", "refit.fill.new",
		"refit.tighten", "refit.tighten.angle", "refit.tighten.sequence", "refit.tighten.treatment", "refit.tighten.lock",
		"refit.hold.lift", "refit.hold.look", "refit.hold.floor", "refit.hold.gear", "refit.hold.people", "refit.hold.seat",
		"refit.final", "refit.final.bags", "refit.final.torque", "refit.final.tools", "refit.final.fluid", "refit.final.guards", "refit.final.people",
	}
}

// prose makes running text of plain words.
func prose(span text.Span, words string) procedure.Prose {
	if words == "" {
		return procedure.Prose{}
	}
	return procedure.Prose{
		Markup: "<p>" + html.EscapeString(words) + "</p>", Span: span,
		Paragraphs: []procedure.Paragraph{{Text: words, Pieces: []procedure.Piece{{At: 0, Span: span}}}},
	}
}

func (d *derivation) instruction(span text.Span, words string) *procedure.Instruction {
	return &procedure.Instruction{Common: procedure.Common{Span: span}, Prose: prose(span, words)}
}

// name is what people call a thing.
func name(r *procedure.Row) string {
	if r.Name == "" {
		return r.ID
	}
	return r.Name
}

// title says what a step does by its weightiest actions.
func (d *derivation) title(acts []*act) string {
	for _, kind := range []struct {
		key   string
		among func(a *act) bool
	}{
		{"refit.step.fit", func(a *act) bool { return a.verb == procedure.Fit && a.of.Part != nil }},
		{"refit.step.connect", func(a *act) bool { return a.verb == procedure.Connect }},
		{"refit.step.fill", func(a *act) bool { return a.verb == procedure.Fill }},
		{"refit.step.undo", func(a *act) bool { return a.verb == procedure.Undo }},
		{"refit.step.fasteners", func(a *act) bool { return a.verb == procedure.Fit }},
		{"refit.step.tighten", func(a *act) bool { return a.verb == procedure.Tighten }},
		{"refit.step.support", func(a *act) bool { return a.verb == procedure.Hang }},
		{"refit.step.release", func(a *act) bool { return true }},
	} {
		var names []string
		for _, a := range acts {
			if !kind.among(a) {
				continue
			}
			n := a.object.ID
			if t := d.out.Assembly.Machine.Thing(n); t != nil && t.Fastener == nil {
				n = name(t.Row)
			}
			if !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
		if len(names) > 0 {
			return d.words(kind.key, strings.Join(names, ", "))
		}
	}
	return ""
}

// details says what the action itself does not: new, which way round, how much, how tight.
func (d *derivation) details(a *act) procedure.Prose {
	var out []string
	say := func(key string, args ...any) { out = append(out, d.words(key, args...)) }
	switch e := a.of; {
	case a.verb == procedure.Fit && e.Part != nil:
		p := e.Part
		if p.Side == "left" || p.Side == "right" {
			say("refit.side." + p.Side)
		}
		if twin := d.out.Assembly.Part(p.Twin.ID); twin != nil {
			say("refit.twin", name(&twin.Row))
		}
		if p.Mark != "" {
			say("refit.mark", p.Mark)
		}
		if p.Face != "" {
			say("refit.face", p.Face)
		}
	case a.verb == procedure.Fit:
		if e.Fastener.SingleUse {
			say("refit.new")
		}
		if e.Fastener.Treatment != "" {
			say("refit.tighten.treatment", e.Fastener.Treatment)
		}
	case a.verb == procedure.Tighten:
		d.tightening(e.Fastener.Fastener, say)
	case a.verb == procedure.Connect:
		if e.Connection.Mark != "" {
			say("refit.mark", e.Connection.Mark)
		}
		say("refit.connect.check")
	case a.verb == procedure.Flush:
		out = append(out, e.Fluid.Flush)
	case a.verb == procedure.Fill:
		if !e.Fluid.Quantity.IsZero() {
			say("refit.fill.quantity", e.Fluid.Quantity, name(&e.Fluid.Row))
		}
		if e.Fluid.SingleUse {
			say("refit.fill.new")
		}
	case a.verb == procedure.Undo:
		out = append(out, e.Condition.Undo)
	}
	return prose(a.of.Action.Span, strings.Join(out, "; "))
}

func (d *derivation) tightening(f *procedure.Fastener, say func(key string, args ...any)) {
	switch {
	case f.Kind == procedure.TabWasher:
		say("refit.tighten.lock")
		return
	case !f.Torque.IsZero():
		say("refit.tighten", newtonMetres(f.Torque), footPounds(f.Torque))
	case f.NoTorque != "":
		say("refit.tighten.sequence", f.NoTorque)
	}
	if !f.Angle.IsZero() {
		say("refit.tighten.angle", f.Angle)
	}
	if f.Sequence != "" {
		say("refit.tighten.sequence", f.Sequence)
	}
}

// newtonMetres and footPounds write a torque to a whole unit from 10 on, else to a tenth.
func newtonMetres(q measure.Quantity) string { return rounded(q, "N·m") }
func footPounds(q measure.Quantity) string   { return rounded(q, "lbf·ft") }

func rounded(q measure.Quantity, unit string) string {
	if q.Float(unit) < 10 {
		return q.Format(unit, 1)
	}
	return q.Format(unit, 0)
}
