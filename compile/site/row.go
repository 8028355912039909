package site

import (
	"html/template"
	"strings"

	"matchmark/compile/liftwords"
	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/procedure/hazard"
	"matchmark/procedure/lifts"
	"matchmark/procedure/text"
)

// rowView is one action with its tick box.
type rowView struct {
	// ID is that of a row that a balloon leads to, STEP--VERB-THING. Others have only
	// their thing; unfold.js names them the same way.
	ID, Thing string
	Icon      string // the verb's sign
	// VerbWord, Name and With are read together: "Drain", "gear oil", "into drip tray".
	VerbWord, Name, With string
	// Several is true where With names more than one thing, which would make the line too long.
	Several bool
	// Number is a fastener's callout number or a part's letter; empty for neither.
	Number string
	// Torque is what a fastener is tightened to; empty for anything else.
	Torque  string
	Details string
	Reason  template.HTML
	Facts   []factView
	// Kept marks a fastener that stays in: there is nothing to tick.
	Kept bool
}

// factView is one thing worth knowing about an action, with its sign.
type factView struct {
	Icon string
	Text string
}

// addFact adds the fact with the words of "fact.KEY", unless its value is empty.
type addFact func(sign, key, value string, more ...any)

func (b *stepBuilder) rows(actions []*procedure.Action) []*rowView {
	out := make([]*rowView, 0, len(actions))
	for _, a := range actions {
		out = append(out, b.row(a))
	}
	return out
}

func (b *stepBuilder) row(a *procedure.Action) *rowView {
	v := &rowView{
		ID:       b.linked[a],
		Thing:    a.Object.ID,
		Icon:     page.Sign(a.Verb),
		VerbWord: b.words.T("verb." + string(a.Verb)),
		Name:     b.name(a.Object.ID),
		Reason:   page.Inline(a.Reason),
		Kept:     a.Verb == procedure.Keep,
	}
	if rule, ok := a.Verb.Rule(); ok && rule.Word != "" && len(a.With) > 0 {
		v.With, v.Several = b.words.T("with."+rule.Word, b.inSentence(a.With)), len(a.With) > 1
	}
	if len(a.Who) > 0 {
		v.Facts = append(v.Facts, factView{"person", strings.Join(b.lib.TradeNames(a.Who), " · ")})
	}
	if locks := page.Locks(b.words, a); locks != "" {
		v.Facts = append(v.Facts, factView{"person", locks})
	}
	t := b.job.Machine.Thing(a.Object.ID)
	if t == nil {
		return v
	}
	switch {
	case t.Condition != nil && a.Verb == procedure.Undo && t.Condition.Undo != "":
		// What is done says more than what it ends.
		v.VerbWord, v.Name, v.Details = text.Capitalised(t.Condition.Undo), "", b.words.T("step.ends", v.Name)
	case t.Condition != nil:
		v.VerbWord += ":" // a state is no thing that the verb could govern
	case t.Fastener != nil:
		v.Number = t.Row.ID
		v.Details = b.fastenerDetails(t.Fastener)
		if some := a.Some(t.Fastener); some > 0 {
			v.Details = b.words.T("step.pieces.of", some, t.Fastener.Count) + " · " + v.Details
		}
		if a.Verb == procedure.Tighten {
			v.Torque = b.shell.Tightening(t.Fastener)
		}
	case t.Part != nil:
		v.Number = t.Part.Letter
	}
	v.Facts = append(v.Facts, b.facts(a, t)...)
	return v
}

// fastenerDetails says what to look for and which key to take; when the step has
// said it before, only which key.
func (b *stepBuilder) fastenerDetails(f *procedure.Fastener) string {
	if !b.first("details", f.ID) {
		return f.Drive
	}
	var out []string
	add := func(s string) {
		if s != "" {
			out = append(out, s)
		}
	}
	if f.Count > 1 {
		add(b.words.T("step.pieces", f.Count))
	}
	add(b.shell.ThreadAndLength(f))
	add(f.Class)
	add(f.Drive)
	return strings.Join(out, " · ")
}

// first reports whether the step has not yet told this of a thing.
func (b *stepBuilder) first(what, thing string) bool {
	key := saying{what, thing}
	if b.told[key] {
		return false
	}
	b.told[key] = true
	return true
}

// facts are where a thing goes, what it weighs, and what to heed with it.
func (b *stepBuilder) facts(a *procedure.Action, t *procedure.Thing) []factView {
	var out []factView
	add := func(sign, key, value string, more ...any) {
		if value != "" && value != strings.TrimSpace(a.Reason.Plain()) {
			out = append(out, factView{sign, b.words.T("fact."+key, append([]any{value}, more...)...)})
		}
	}
	switch {
	case t.Fastener != nil:
		b.fastenerFacts(a.Verb, t.Fastener, add)
		b.hazard(t.Row.ID, t.Fastener.Hazard, add)
	case t.Part != nil:
		b.partFacts(a, t.Part, add)
		b.hazard(t.Row.ID, t.Part.Hazard, add)
	case t.Connection != nil:
		c := t.Connection
		switch a.Verb {
		case procedure.Disconnect:
			add("mark", "mark", c.Mark)
			add("drain", "carries", b.nameIf(c.Carries))
			add("stand", "stand", c.Stand)
		case procedure.Connect:
			add("mark", "align", c.Mark)
		}
		b.hazard(c.ID, c.Hazard, add)
	case t.Fluid != nil:
		f := t.Fluid
		switch a.Verb {
		case procedure.Drain:
			add("drain", "drain", f.Drain)
			add("fill", "quantity", b.shell.Quantity(f.Quantity))
			add("drain", "waste", f.Waste)
		case procedure.Fill:
			add("flush", "flush", f.Flush)
			add("fill", "quantity", b.shell.Quantity(f.Quantity))
		}
		if f.Hazard != hazard.None {
			add("hazard", "hazard", f.Hazard)
		}
	}
	if b.first("note", t.Row.ID) {
		add("note", "note", t.Row.Note)
	}
	return out
}

// hazard says once in a step what a thing does to people.
func (b *stepBuilder) hazard(id, words string, add addFact) {
	if words != hazard.None && b.first("hazard", id) {
		add("hazard", "hazard", words)
	}
}

func (b *stepBuilder) fastenerFacts(v procedure.Verb, f *procedure.Fastener, add addFact) {
	add("hazard", "hand", b.shell.Hand(f, v))
	switch v {
	case procedure.Remove:
		add("bag", "bag", f.Bag)
		add("bag", "with", f.With)
		if f.SingleUse {
			add("new", "single-use", f.ID)
		}
		add("drain", "waste", f.Waste)
	case procedure.Fit, procedure.Tighten:
		if v == procedure.Fit {
			add("bag", "with", f.With)
		}
		if f.SingleUse && v == procedure.Fit {
			add("new", "new", f.ID)
		}
		if b.first("treatment", f.ID) {
			add("flush", "treatment", f.Treatment)
		}
		if v == procedure.Tighten {
			add("torque", "no-torque", f.NoTorque)
			add("steps", "sequence", b.shell.Order(f))
			add("torque", "retorque", f.Retorque)
		}
	}
}

func (b *stepBuilder) partFacts(a *procedure.Action, p *procedure.Part, add addFact) {
	switch a.Verb {
	case procedure.Remove, procedure.SetDown:
		if a.Verb == procedure.Remove {
			add("mark", "mark", p.Mark)
			add("twin", "twin", b.nameIf(p.Twin))
			if p.SingleUse {
				add("new", "single-use", p.ID)
			}
			add("drain", "waste", p.Waste)
		}
		add("stand", "stand", p.Stand)
	case procedure.Fit:
		if p.SingleUse {
			add("new", "new", p.ID)
		}
		add("twin", "twin", b.nameIf(p.Twin))
		add("mark", "align", p.Mark)
		add("face", "face", p.Face)
	case procedure.Mark:
		add("mark", "mark", p.Mark)
		add("twin", "twin", b.nameIf(p.Twin))
	}
	if _, shown := b.lifts[a]; shown {
		return // the panel above has what it weighs and what carries it
	}
	switch a.Verb {
	case procedure.Remove, procedure.Hang, procedure.Lift, procedure.SetDown:
		mass := b.shell.Quantity(p.Mass)
		if l := lifts.With(b.worked(b.job).Lifts(), b.step, a); l != nil && len(l.Along) > 0 {
			mass = liftwords.WithAlong(b.words, *l, b.shell.Quantity)
		}
		add("mass", "mass", mass)
	}
	for _, r := range a.With {
		if t := b.job.Machine.Thing(r.ID); t != nil && t.Support != nil && !t.Support.Capacity.IsZero() && a.Verb != procedure.Release {
			add("support", "capacity", b.shell.Quantity(t.Support.Capacity), t.Row.Name)
		}
	}
}

// inSentence lists things by name within a sentence.
func (b *stepBuilder) inSentence(refs []procedure.Ref) string {
	var names []string
	for _, r := range refs {
		names = append(names, b.name(r.ID))
	}
	return strings.Join(names, " "+b.words.T("list.and")+" ")
}

// nameIf is the name of a reference that may be left out.
func (b *stepBuilder) nameIf(r procedure.Ref) string {
	if r.ID == "" {
		return ""
	}
	return b.name(r.ID)
}

// class names a row's sign, and whether it stays in on purpose.
func (r *rowView) class() string {
	if r.Kept {
		return "kept i-" + r.Icon
	}
	return "i-" + r.Icon
}
