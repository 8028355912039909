package check

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/say"
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
			c.trades = lib.Trades
			c.links(p.About)
			for _, s := range p.Steps {
				c.step(s)
			}
			if p.RefitFile != nil {
				c.wayBack(p.RefitFile)
			}
		}
	},
}

type stepReferences struct {
	p      *procedure.Procedure
	report func(diagnostic.Diagnostic)
	// names are those of the procedure's steps.
	names  map[string]bool
	trades []procedure.Trade
}

func referencesOf(p *procedure.Procedure, report func(diagnostic.Diagnostic)) stepReferences {
	c := stepReferences{p: p, report: report, names: make(map[string]bool, len(p.Steps))}
	for _, s := range p.Steps {
		c.names[s.ID] = true
	}
	return c
}

// wayBack looks through the steps that an author adds to the derived refitting;
// they come after steps of the refitting.
func (c stepReferences) wayBack(w *procedure.RefitFile) {
	for _, r := range w.Out {
		lookUp(c.p.Machine, r, c.report, procedure.PartThing, procedure.FastenerThing, procedure.ConnectionThing, procedure.FluidThing)
	}
	back := refit.Derive(c.p, refit.AdditionsOf(c.p), func(key string, _ ...any) string { return key })
	back.RefitFile = nil
	derived := referencesOf(back, c.report)
	derived.trades = c.trades
	for _, s := range w.Steps {
		derived.step(s)
	}
}

func (c stepReferences) step(s *procedure.Step) {
	procedure.EachField(s, c.field)
	for _, b := range s.Blocks {
		procedure.EachField(b, c.field)
	}
	s.EachProse(c.links)
}

// field looks up the names in a field of a step or of one of its blocks.
func (c stepReferences) field(f *procedure.Field, value any) {
	switch v := value.(type) {
	case *procedure.Ref:
		c.name(f, *v)
	case *[]procedure.Ref:
		for _, r := range *v {
			c.name(f, r)
		}
	case *[]*procedure.Action:
		c.actions(*v, f)
	}
}

func (c stepReferences) name(f *procedure.Field, r procedure.Ref) {
	switch f.Refers {
	case "step":
		c.stepName(r)
	case "trade":
		knownTrade(c.trades, r, c.report)
	case "figure":
		c.figure(r)
	case "variant":
		variants(c.p.Machine, []procedure.Ref{r}, c.report)
	default:
		lookUp(c.p.Machine, r, c.report, kindsIn(f)...)
	}
}

// referred are the kinds of thing by their names in the declaration of a field.
var referred = map[string]procedure.ThingKind{
	"fastener": procedure.FastenerThing, "part": procedure.PartThing, "connection": procedure.ConnectionThing,
	"fluid": procedure.FluidThing, "support": procedure.SupportThing, "condition": procedure.ConditionThing,
	"tool": procedure.ToolThing,
}

// kindsIn are the kinds of thing that a field's names may lead to.
func kindsIn(f *procedure.Field) []procedure.ThingKind {
	var out []procedure.ThingKind
	for word := range strings.SplitSeq(f.Refers, ",") {
		if kind, ok := referred[word]; ok {
			out = append(out, kind)
		}
	}
	if out == nil {
		return anyThing
	}
	return out
}

func (c stepReferences) actions(actions []*procedure.Action, f *procedure.Field) {
	for _, a := range actions {
		rule, _ := a.Verb.Rule()
		kinds := rule.Objects
		if f.Refers != "" {
			kinds = kindsIn(f)
		}
		lookUp(c.p.Machine, a.Object, c.report, kinds...)
		for _, w := range a.With {
			lookUp(c.p.Machine, w, c.report, rule.With...)
		}
		for _, r := range a.Who {
			knownTrade(c.trades, r, c.report)
		}
	}
}

// knownTrade reports a trade that library.yaml does not list.
func knownTrade(trades []procedure.Trade, ref procedure.Ref, report func(diagnostic.Diagnostic)) {
	var names []string
	for _, t := range trades {
		if t.ID == ref.ID {
			return
		}
		names = append(names, t.ID)
	}
	unknownName(ref, names, report, say.That("library.yaml lists no trade %name", say.Quote(ref.ID)), say.That("Add it to the line trades in library.yaml, or correct the name."))
}

func (c stepReferences) figure(ref procedure.Ref) {
	if ref.ID == "" || c.p.Figure(ref.ID) != nil {
		return
	}
	var names []string
	for _, f := range append(append([]*procedure.Figure{}, c.p.Figures...), c.p.Machine.Figures...) {
		names = append(names, f.ID)
	}
	unknownName(ref, names, c.report, say.That("there is no figure %name", say.Quote(ref.ID)),
		say.That("Define the figure in the machine file, or correct the name."))
}

func (c stepReferences) stepName(ref procedure.Ref) {
	if !c.names[ref.ID] {
		unknownName(ref, stepNames(c.p), c.report, say.That("this procedure has no step %name", say.Quote(ref.ID)),
			say.That("Write the step, or correct the name."))
	}
}

// links reports links to steps that are not there.
func (c stepReferences) links(p procedure.Prose) {
	for _, r := range p.Links() {
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
