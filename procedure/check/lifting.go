package check

import (
	"fmt"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/facts"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
)

// judgeLifts runs the rules on lifts on every lift of a procedure, on every variant.
func judgeLifts(f *facts.Procedure, log *diagnostic.Log) {
	if f.Machine == nil {
		return
	}
	rules := [...]*rule{&handLift, &gearCapacity, &liftUnknown}
	var reports [len(rules)]func(diagnostic.Diagnostic)
	for i, r := range rules {
		reports[i] = reportTo(log, r)
	}
	for _, j := range f.Jobs {
		for _, l := range j.Lifts() {
			for i, r := range rules {
				r.lift(l, reports[i])
			}
		}
	}
}

func partPlace(l lifts.Lift) []diagnostic.Related {
	return []diagnostic.Related{{Span: l.Part.Span, Why: "the part's row"}}
}

var handLift = rule{
	Rule: diagnostic.Rule{
		Code: "hand-lift", Severity: diagnostic.Warning, Title: "Heavy for the hands",
		Wrong: "A lift by hand is above the recommended weight limit (NIOSH revised lifting equation, lifting index above 1).",
		Why:   "Backs are hurt by one lift too many; above an index of 3 nearly everybody is at risk.",
		Do:    "Use a second person or a hoist, or state the real geometry: reach, from, to, twist, grip. It is a plausibility check, not a licence.",
	},
	lift: func(l lifts.Lift, report func(diagnostic.Diagnostic)) {
		if l.Hand == nil || (l.Hand.Band != lifting.Raised && l.Hand.Band != lifting.High) {
			return
		}
		who, do := "one person", "Take a second person or a hoist"
		if l.Hand.People > 1 {
			do = "Take a hoist"
			who = fmt.Sprintf("each of %d people", l.Hand.People)
		}
		assumed := ""
		if len(l.Assumed) > 0 {
			assumed = ", with assumed geometry"
			do += ", or state the geometry: {reach=... from=... to=... twist=... grip=...}"
		}
		report(diagnostic.Diagnostic{
			Span: l.Action.Span,
			Message: fmt.Sprintf("%s weighs %s: %.1f kg for %s, and the recommended limit is %.1f kg (lifting index %.1f%s)",
				l.Part.Name, l.Mass, l.Hand.Lift.Load, who, l.Hand.Result.RWL, l.Hand.Result.Index, assumed),
			Do:  do + ".",
			See: partPlace(l),
		})
	},
}

var gearCapacity = rule{
	Rule: diagnostic.Rule{
		Code: "gear-capacity", Severity: diagnostic.Error, Title: "Lifting gear overloaded",
		Wrong: "A part is heavier than the weakest item of the gear that lifts it, with the sling's angle taken into account.",
		Why:   "The sling parts, and the load comes down on whoever guides it.",
		Do:    "Use gear with a higher rated capacity, more legs, or longer legs at a steeper angle.",
	},
	lift: func(l lifts.Lift, report func(diagnostic.Diagnostic)) {
		if l.Gear == nil || l.Gear.Gear != lifting.Overloaded {
			return
		}
		w := l.Gear.Items[l.Gear.Weakest]
		how := ""
		if w.Angle > 0 {
			how = fmt.Sprintf(", on %d legs at %g°", w.Legs, w.Angle)
		}
		report(diagnostic.Diagnostic{
			Span: l.Action.Span,
			Message: fmt.Sprintf("%s weighs %s; %s carries %.0f kg%s",
				l.Part.Name, l.Mass, w.Support.Name, w.CanCarry, how),
			Do:  "Use gear with a higher rated capacity, or a steeper sling.",
			See: append(partPlace(l), diagnostic.Related{Span: w.Support.Span, Why: "the weakest item"}),
		})
	},
}

var slingAngle = rule{
	Rule: diagnostic.Rule{
		Code: "sling-angle", Severity: diagnostic.Error, Title: "Sling too flat",
		Wrong: "A sling's legs stand at less than 30° from the horizontal, or at an angle that cannot be.",
		Why:   "At 30° each leg of two already carries the whole load; flatter, the tension grows without limit.",
		Do:    "Use longer legs, or a spreader.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, s := range m.Supports {
				if s.Angle.IsZero() {
					continue
				}
				if _, err := lifting.Factor(s.Angle.Float("deg")); err != nil {
					report(diagnostic.Diagnostic{
						Span: s.Span, Message: s.Name + ": " + err.Error(), Do: "Use longer legs, or a spreader; state the angle from the horizontal.",
					})
				}
			}
		}
	},
}

var liftUnknown = rule{
	Rule: diagnostic.Rule{
		Code: "lift-unknown", Severity: diagnostic.Warning, Title: "Lift that nobody can judge",
		Wrong: "A part is lifted whose mass is not stated, or with gear whose rated capacity is not.",
		Why:   "Who does not know the load cannot choose the gear.",
		Do:    "State the mass and the rated capacity; the maker's data or the plate has them.",
	},
	lift: func(l lifts.Lift, report func(diagnostic.Diagnostic)) {
		var reason lifting.Reason
		switch {
		case l.Hand != nil && l.Hand.Band == lifting.NotJudged:
			reason = l.Hand.Reason
		case l.Gear != nil && l.Gear.Gear == lifting.GearNotJudged:
			reason = l.Gear.Reason
		}
		what, do := "", ""
		switch reason {
		case lifting.NoMass:
			what, do = l.Part.Name+" is lifted and its mass is not stated", "Fill in the part's mass."
		case lifting.NoCapacity, lifting.NoSupport:
			what, do = l.Part.Name+" is lifted with gear whose rated capacity is not stated", "Fill in the capacity of each support."
		case lifting.TooManyPeople:
			what, do = fmt.Sprintf("%s is lifted by %d people; more than two cannot share a load evenly", l.Part.Name, l.Hand.People), "Use a hoist."
		case lifting.BadGeometry:
			what, do = "the geometry of this lift is not possible", "Correct reach, from, to and twist."
		default:
			return
		}
		report(diagnostic.Diagnostic{Span: l.Action.Span, Message: what, Do: do, See: partPlace(l)})
	},
}
