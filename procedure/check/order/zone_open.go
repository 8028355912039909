package order

import (
	"slices"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var zoneOpen = Check{
	Rule: diagnostic.Rule{
		Code: "zone-open", Severity: diagnostic.Error, Title: "Lift without a barred zone",
		Wrong: "A part is lifted with lifting gear, and the condition that bars the zone does not hold.",
		Why:   "Somebody who has nothing to do with the job walks under the load.",
		Do:    "Establish the condition before the lift, and leave it until the load stands.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		var zones []*state.Condition
		for _, c := range f.Trace.Assembly.Conditions {
			if c.BarsZone() {
				zones = append(zones, c)
			}
		}
		if len(zones) == 0 {
			return // told by zone-unstated
		}
		each(f, func(e *state.Event) {
			if !liftsOnHook(e) || slices.ContainsFunc(zones, func(c *state.Condition) bool { return e.Before.Condition(c).Holds() }) {
				return
			}
			c := zones[0]
			why, at := whyNot(f, e, c)
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("the %part is lifted in step %step, and the zone is not barred: of %condition, %why", say.Name(e.Part.ID), number(e), say.Name(c.ID), why),
				Advice: say.That("Establish %condition before step %step.", say.Name(c.ID), number(e)), See: append(see(at, say.That("here")), registered(&c.Row)),
			})
		})
	},
}

var zoneUnstated = Check{
	Rule: diagnostic.Rule{
		Code: "zone-unstated", Severity: diagnostic.Advice, Title: "Lift, and no zone to bar",
		Wrong: "A part is lifted with lifting gear, and the machine has no condition that bars a zone.",
		Why:   "Nothing keeps people from under the load.",
		Do:    "Add a row to the register of conditions, such as `| zone-barred | Lifting zone barred off |`, and establish it before the lift.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		if slices.ContainsFunc(f.Trace.Assembly.Conditions, func(c *state.Condition) bool { return c.BarsZone() }) {
			return
		}
		if e := find(f, 0, liftsOnHook); e != nil {
			report(diagnostic.Diagnostic{
				Span: object(e), Wrong: say.That("the %part is lifted in step %step, and the machine has no condition that bars the zone", say.Name(e.Part.ID), number(e)),
				Advice: say.That("Add one to the register of conditions, and establish it before step %step.", number(e)),
			})
		}
	},
}
