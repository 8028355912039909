package check

import (
	"regexp"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

var limitUnread = rule{
	Rule: diagnostic.Rule{
		Code: "limit-unread", Severity: diagnostic.Advice, Title: "Temperature that nobody reads",
		Wrong: "A condition names a temperature, and no step verifies it; or a step does, and no step so far brings the thermometer that the machine's tools have.",
		Why:   "A hand tells hot from cold, not 40 °C from 60 °C, and oil at 60 °C scalds.",
		Do:    "Verify the condition in the step that waits for it, and list the thermometer there.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, p := range lib.Procedures {
			if p.Machine != nil {
				unread(p, report)
			}
		}
	},
}

var (
	degrees     = regexp.MustCompile(`[0-9][ \x{a0}]?°[CF]`)
	thermometer = regexp.MustCompile(`(?i)thermometer|pyrometer`)
)

func unread(p *procedure.Procedure, report func(diagnostic.Diagnostic)) {
	var reads *procedure.Tool
	for _, t := range p.Machine.Tools {
		if thermometer.MatchString(t.Name) {
			reads = t
		}
	}
	verified := map[string]bool{}
	for _, s := range p.Steps {
		for _, a := range s.Actions() {
			verified[a.Object.ID] = verified[a.Object.ID] || a.Verb == procedure.Verify
		}
	}
	brought, told := false, map[string]bool{}
	for _, s := range p.Steps {
		for _, r := range s.Tools {
			t := p.Machine.Thing(r.ID)
			brought = brought || t != nil && t.Tool != nil && thermometer.MatchString(t.Row.Name)
		}
		for _, a := range s.Actions() {
			t := p.Machine.Thing(a.Object.ID)
			if t == nil || t.Condition == nil || !degrees.MatchString(t.Row.Name) || told[a.Object.ID] {
				continue
			}
			d := diagnostic.Diagnostic{Span: a.Object.Span, See: []diagnostic.Related{{Span: t.Row.Span, Says: say.That("registered here")}}}
			switch {
			case a.Verb == procedure.Establish && !verified[a.Object.ID]:
				d.Wrong = say.That("%condition (%name) is established, and no step verifies it", say.Name(a.Object.ID), say.Name(t.Row.Name))
				d.Advice = say.That("Write verify %condition where it is read.", say.Name(a.Object.ID))
			case a.Verb == procedure.Verify && reads != nil && !brought:
				d.Wrong = say.That("%condition (%name) is verified, and no step so far brings the %tool", say.Name(a.Object.ID), say.Name(t.Row.Name), say.Name(reads.ID))
				d.Advice = say.That("List %tool in step %step.", say.Name(reads.ID), say.Name(s.ID))
			default:
				continue
			}
			told[a.Object.ID] = true
			report(d)
		}
	}
}
