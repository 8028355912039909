package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
)

var undefinedSteps = rule{
	Rule: diagnostic.Rule{
		Code: "undefined-reference", Severity: diagnostic.Error, Title: "Step names a thing that is not there",
		Wrong: "A step names a fastener, part, tool, condition, figure, variant or step that does not exist.",
		Why:   "The learner would look for a bolt number 14 that no picture shows.",
		Do:    "Correct the name, or register the thing in the machine file.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine == nil {
				continue
			}
			c := referencesOf(p, report)
			c.links(p.About)
			for _, s := range p.Steps {
				c.step(s)
			}
			if p.WayBack != nil {
				c.wayBack(p.WayBack)
			}
		}
	},
}

type stepReferences struct {
	p      *procedure.Procedure
	report func(diagnostic.Diagnostic)
	// names are those of the procedure's steps.
	names map[string]bool
}

func referencesOf(p *procedure.Procedure, report func(diagnostic.Diagnostic)) stepReferences {
	c := stepReferences{p, report, make(map[string]bool, len(p.Steps))}
	for _, s := range p.Steps {
		c.names[s.ID] = true
	}
	return c
}

// wayBack looks through the steps that an author adds to the derived refitting;
// they come after steps of the refitting.
func (c stepReferences) wayBack(w *procedure.WayBack) {
	for _, r := range w.Out {
		lookUp(c.p.Machine, r, c.report, procedure.PartThing, procedure.FastenerThing, procedure.ConnectionThing, procedure.FluidThing)
	}
	back := refit.Derive(c.p, refit.AdditionsOf(c.p), func(key string, _ ...any) string { return key })
	back.WayBack = nil
	derived := referencesOf(back, c.report)
	for _, s := range w.Steps {
		derived.step(s)
	}
}

func (c stepReferences) step(s *procedure.Step) {
	m := c.p.Machine
	for _, r := range s.Tools {
		lookUp(m, r, c.report, procedure.ToolThing)
	}
	for _, r := range s.Needs {
		lookUp(m, r, c.report, procedure.ConditionThing)
	}
	for _, r := range s.After {
		c.stepName(r)
	}
	variants(m, s.Variants, c.report)
	c.figure(s.Figure)
	for _, b := range s.Blocks {
		c.block(b)
	}
	s.EachProse(c.links)
}

func (c stepReferences) block(b procedure.Block) {
	m := c.p.Machine
	switch b := b.(type) {
	case *procedure.Instruction:
		variants(m, b.Variants, c.report)
	case *procedure.Caution:
		variants(m, b.Variants, c.report)
		for _, r := range b.About {
			lookUp(m, r, c.report, anyThing...)
		}
	case *procedure.Callout:
		variants(m, b.Variants, c.report)
		c.figure(b.Figure)
		c.actions(b.Actions, true)
	case *procedure.ActionList:
		variants(m, b.Variants, c.report)
		c.actions(b.Actions, false)
	case *procedure.Inspection:
		lookUp(m, b.Of, c.report, anyThing...)
	case *procedure.Illustration:
		c.figure(b.Figure)
	}
}

func (c stepReferences) actions(actions []*procedure.Action, fasteners bool) {
	for _, a := range actions {
		rule, _ := a.Verb.Rule()
		kinds := rule.Objects
		if fasteners {
			kinds = []procedure.ThingKind{procedure.FastenerThing}
		}
		lookUp(c.p.Machine, a.Object, c.report, kinds...)
		for _, w := range a.With {
			lookUp(c.p.Machine, w, c.report, rule.With...)
		}
	}
}

func (c stepReferences) figure(ref procedure.Ref) {
	if ref.ID == "" || c.p.Figure(ref.ID) != nil {
		return
	}
	var names []string
	for _, f := range append(append([]*procedure.Figure{}, c.p.Figures...), c.p.Machine.Figures...) {
		names = append(names, f.ID)
	}
	c.report(diagnostic.Diagnostic{
		Span: ref.Span, Message: "there is no figure " + quote(ref.ID),
		Do: diagnostic.Suggest(ref.ID, names, "Define the figure in the machine file, or correct the name."),
	})
}

func (c stepReferences) stepName(ref procedure.Ref) {
	if !c.names[ref.ID] {
		c.report(diagnostic.Diagnostic{
			Span: ref.Span, Message: "this procedure has no step " + quote(ref.ID),
			Do: diagnostic.Suggest(ref.ID, stepNames(c.p), "Write the step, or correct the name."),
		})
	}
}

// links reports links to steps that are not there.
func (c stepReferences) links(p procedure.Prose) {
	for _, r := range p.Links {
		c.stepName(r)
	}
}

func stepNames(p *procedure.Procedure) []string {
	var names []string
	for _, s := range p.Steps {
		names = append(names, s.ID)
	}
	return names
}
