package check

import (
	"errors"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/lifting"
	"matchmark/procedure/lifts"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// judgeLifts runs the rules on lifts on every lift of a procedure, on every variant.
func judgeLifts(f *analysis.Procedure, log *diagnostic.Log) {
	if f.Machine == nil {
		return
	}
	rules := [...]*rule{&handLift, &gearCapacity, &liftUnknown, &eyeUnjudged}
	for _, j := range f.Jobs {
		var all []lifts.Lift
		if !diagnostic.GuardWork(say.That("working out the lifts"), f.Span, log.Add, func() { all = j.Lifts() }) {
			continue
		}
		for _, l := range all {
			for _, r := range rules {
				r.guard(l.Action.Span, log, func(report func(diagnostic.Diagnostic)) { r.lift(l, report) })
			}
		}
	}
}

// inUnitOf is a mass in the unit in which another was written. Large units take a decimal more.
func inUnitOf(like measure.Quantity, kg float64, places int) say.Text {
	value, unit := lifting.InUnitOf(kg, like)
	if kg > value {
		places += 2
	}
	return say.That("%number %unit", say.Decimal{Value: value, Places: places}, say.Word(unit))
}

func partPlace(l lifts.Lift) []diagnostic.Related {
	return []diagnostic.Related{{Span: l.Part.Span, Says: say.That("the part's row")}}
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
		who, do := say.That("one person"), say.That("Take a second person or a hoist")
		if l.Hand.People > 1 {
			do = say.That("Take a hoist")
			who = say.That("each of %people people", say.Count(l.Hand.People))
		}
		index := say.That("lifting index %index", say.Decimal{Value: l.Hand.Index, Places: 1})
		if len(l.Assumed) > 0 {
			index = say.That("%index, with assumed geometry", index)
			do = say.That("%do, or state the geometry: {reach=... from=... to=... twist=... grip=...}", do)
		}
		report(diagnostic.Diagnostic{
			Span:   l.Action.Span,
			Wrong:  say.That("%part weighs %mass: %load for %who, and the recommended limit is %limit (%index)", say.Name(l.Part.Name), say.Word(l.Mass.String()), inUnitOf(l.Mass, l.Hand.Lift.Load, 1), who, inUnitOf(l.Mass, l.Hand.Limit, 1), index),
			Advice: say.That("%do.", do),
			See:    partPlace(l),
		})
	},
}

var gearCapacity = rule{
	Rule: diagnostic.Rule{
		Code: "gear-capacity", Severity: diagnostic.Error, Title: "Lifting gear overloaded",
		Wrong: "A part is heavier than the weakest item of the gear that lifts it, with the sling's angle taken into account; or a leg pulls at an eye with more than the eye is rated for.",
		Why:   "The sling parts, and the load comes down on whoever guides it.",
		Do:    "Use gear with a higher rated capacity, more legs, or longer legs at a steeper angle.",
	},
	lift: func(l lifts.Lift, report func(diagnostic.Diagnostic)) {
		if l.Gear == nil {
			return
		}
		eyes(l, report)
		for _, i := range l.Gear.Items {
			if i.Reason == lifting.EyeSideways {
				report(diagnostic.Diagnostic{
					Span:   l.Action.Span,
					Wrong:  say.That("%support are pulled at %angle°, and eye bolts of the make %make must not be", say.Name(i.Support.Name), shortest(i.Flattest()), say.Word(i.Support.Eye)),
					Advice: say.That("Pull them straight with a spreader, or use swivel eyes."), See: append(partPlace(l), diagnostic.Related{Span: i.Support.Span, Says: say.That("registered here")}),
				})
			}
		}
		if l.Gear.Gear != lifting.Overloaded {
			return
		}
		w := l.Gear.Items[l.Gear.Weakest]
		wrong := say.That("%part weighs %mass; %support carries %capacity", say.Name(l.Part.Name), say.Word(l.Mass.String()), say.Name(w.Support.Name), inUnitOf(w.Support.Capacity, w.CanCarry, 0))
		if w.Angle > 0 {
			wrong = say.That("%weaker, on %legs legs at %angle°", wrong, say.Count(w.Legs), shortest(w.Angle))
		}
		report(diagnostic.Diagnostic{
			Span:   l.Action.Span,
			Wrong:  wrong,
			Advice: say.That("Use gear with a higher rated capacity, or a steeper sling."),
			See:    append(partPlace(l), diagnostic.Related{Span: w.Support.Span, Says: say.That("the weakest item")}),
		})
	},
}

// eyes holds the pull of the most loaded leg against what the eyes are rated for that it is hooked into. A rating holds for a straight
// pull unless the maker says more: less is never right at an angle.
func eyes(l lifts.Lift, report func(diagnostic.Diagnostic)) {
	if len(l.Balances) == 0 {
		return
	}
	for _, line := range l.Balances[0].Lines {
		for _, x := range line.Supports {
			i := slices.IndexFunc(l.Gear.Items, func(i lifting.Item) bool { return i.Support == x.Support })
			for _, eye := range x.Eyes {
				rated, known := lifting.Kilograms(eye.Rated)
				if i < 0 || !known {
					continue
				}
				wrong := say.That("a leg of %support pulls at fastener %number with %pull, and that is rated for %rated", say.Name(x.Name), say.Name(eye.ID), inUnitOf(eye.Rated, l.Gear.Items[i].Tension, 0), say.Word(eye.Rated.String()))
				if factor, known := lifting.EyeFactor(eye.Eye, l.Gear.Items[i].Flattest()); known && factor < 1 {
					rated *= factor
					wrong = say.That("%wrong, of which an eye bolt of the make %make keeps %kept at %angle°", wrong, say.Word(eye.Eye), inUnitOf(eye.Rated, rated, 0), shortest(l.Gear.Items[i].Flattest()))
				}
				if l.Gear.Items[i].Tension <= rated*(1+1e-9) {
					continue
				}
				report(diagnostic.Diagnostic{
					Span:   l.Action.Span,
					Wrong:  wrong,
					Advice: say.That("Use eyes with a higher rated capacity, or longer legs."), See: append(partPlace(l), diagnostic.Related{Span: eye.Span, Says: say.That("registered here")}),
				})
			}
		}
	}
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
				for _, stated := range []measure.Quantity{s.Angle, s.OtherAngle} {
					var angle *lifting.AngleError
					if _, err := lifting.Factor(stated.Float("deg")); !stated.IsZero() && errors.As(err, &angle) {
						report(diagnostic.Diagnostic{
							Span: s.Span, Wrong: flatLeg(s.Name, angle), Advice: say.That("Use longer legs, or a spreader; state the angle from the horizontal."),
						})
					}
				}
				if choke := s.Choke.Float("deg"); !s.Choke.IsZero() && lifting.ChokerFactor(choke) == 0 {
					report(diagnostic.Diagnostic{
						Span: s.Span, Wrong: say.That("%support: a choker hitch cannot have %angle° at its choke", say.Name(s.Name), shortest(choke)),
						Advice: say.That("State the angle between the two parts of the sling at the choke, up to 180 deg."),
					})
				}
			}
		}
	},
}

// flatLeg says what is wrong with the angle of a support's legs.
func flatLeg(support string, e *lifting.AngleError) say.Text {
	if e.TooFlat() {
		return say.That("%support: a sling leg at %angle° from the horizontal is flatter than %flattest°", say.Name(support), shortest(e.Angle), say.Count(lifting.FlattestAngle))
	}
	return say.That("%support: a sling leg cannot stand at %angle° from the horizontal", say.Name(support), shortest(e.Angle))
}

var slingRating = rule{
	Rule: diagnostic.Rule{
		Code: "sling-rating", Severity: diagnostic.Warning, Title: "Not said what a sling's capacity is that of",
		Wrong: "A sling with several legs states a capacity, and not whether one leg has it or the whole sling, or not for which angle the whole has it; or its legs stand flatter than that.",
		Why:   "A tag gives the capacity of the whole sling at an angle. Taken for that of one leg, two legs at 60° are thought to carry 1.73 times as much.",
		Do:    "Write leg or assembly under per; for assembly the angle from the tag under rated-angle, from the horizontal: 45 deg for 0 to 45° from the vertical, 30 deg for up to 60°. Or write what the tag allows in this arrangement under tag.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, s := range m.Supports {
				if !s.Ability().Between || s.Kind == procedure.EyeBolt || s.Legs < 2 || s.Capacity.IsZero() || !s.Tag.IsZero() {
					continue
				}
				switch {
				case s.Per == "":
					report(diagnostic.Diagnostic{
						Span: s.Span, Wrong: say.That("%support: %capacity may be that of one leg or that of all %legs; it is taken for that of one", say.Name(s.Name), say.Word(s.Capacity.String()), say.Count(s.Legs)),
						Advice: say.That("Write per leg; or per assembly, and the angle from its tag: rated-angle 45 deg."),
					})
				case s.Per == procedure.PerAssembly && !s.RatedAngle.IsZero() && !s.Angle.IsZero() && min(s.Angle.Float("deg"), flatter(s)) < s.RatedAngle.Float("deg"):
					report(diagnostic.Diagnostic{
						Span: s.Span, Wrong: say.That("%support: its legs stand at %angle, flatter than the %rated for which its tag gives %capacity", say.Name(s.Name), say.Word(s.Angle.String()), say.Word(s.RatedAngle.String()), say.Word(s.Capacity.String())),
						Advice: say.That("Use longer legs, or take what the tag allows at that angle."),
					})
				case s.Per == procedure.PerAssembly && s.RatedAngle.IsZero():
					report(diagnostic.Diagnostic{
						Span: s.Span, Wrong: say.That("%support: it is not said for which angle of the legs %capacity holds", say.Name(s.Name), say.Word(s.Capacity.String())),
						Advice: say.That("Write the angle from its tag, from the horizontal: rated-angle 45 deg."),
					})
				}
			}
		}
	},
}

// flatter is the angle of the second of two legs, in degrees, where one is stated.
func flatter(s *procedure.Support) float64 {
	if s.OtherAngle.IsZero() {
		return 90
	}
	return s.OtherAngle.Float("deg")
}

var liftUnknown = rule{
	Rule: diagnostic.Rule{
		Code: "lift-unknown", Severity: diagnostic.Warning, Title: "Lift that nobody can judge",
		Wrong: "A part is lifted whose mass, or that of something on it, is not stated, or with gear whose rated capacity is not.",
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
		var what, do say.Text
		switch reason {
		case lifting.NoMass:
			what, do = say.That("%part is lifted and its mass is not stated", say.Name(l.Part.Name)), say.That("Fill in the part's mass.")
		case lifting.NoCapacity, lifting.NoSupport:
			what, do = say.That("%part is lifted with gear whose rated capacity is not stated", say.Name(l.Part.Name)), say.That("Fill in the capacity of each support.")
		case lifting.TooManyPeople:
			what, do = say.That("%part is lifted by %people people; there is no published limit for more than three", say.Name(l.Part.Name), say.Count(l.Hand.People)), say.That("Use a hoist.")
		case lifting.PartlyWeighed:
			what, do = say.That("%part is lifted with %along on it, whose mass is not stated", say.Name(l.Part.Name), unweighed(l)), say.That("Fill in the mass of each part that comes along.")
		case lifting.EyeAngle:
			what, do = say.That("%part is lifted by eye bolts that are pulled at an angle, and how they are made is not stated: they keep nothing to seven tenths of their rating, by their make", say.Name(l.Part.Name)), say.That("Fill in the eye column, or in the tag column what the maker's table allows at this angle. Or pull them straight.")
		case lifting.UnequalLegs:
			what, do = say.That("%part is lifted by more than two legs that stand unequally, or by an unequal basket", say.Name(l.Part.Name)), say.That("Fill in the tag column: what the sling's table allows like this.")
		case lifting.BadGeometry:
			what, do = say.That("the geometry of this lift is not possible"), say.That("Correct reach, from, to and twist.")
		default:
			return
		}
		report(diagnostic.Diagnostic{Span: l.Action.Span, Wrong: what, Advice: do, See: partPlace(l)})
	},
}

// unweighed lists what comes along without a mass stated.
func unweighed(l lifts.Lift) say.List {
	out := say.List{Join: say.And}
	for _, p := range l.Unweighed {
		out.Parts = append(out.Parts, say.Name(p.Name))
	}
	return out
}

var idleGeometry = rule{
	Rule: diagnostic.Rule{
		Code: "idle-geometry", Severity: diagnostic.Error, Title: "Geometry of a lift that is not there",
		Wrong: "An actions block states the geometry of a lift by hand, and nothing in it is taken off or put back by hand.",
		Why:   "Its author believes that a lift was judged.",
		Do:    "Take reach, from, to, twist and grip out, or put them into the block with the lift.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		for _, b := range s.Blocks {
			shown := b.Shows()
			if shown.Lift == nil || *shown.Lift == (procedure.HandLift{}) || slices.ContainsFunc(shown.Actions, func(a *procedure.Action) bool { return mayBeByHand(m, a) }) {
				continue
			}
			report(diagnostic.Diagnostic{Span: b.Place(), Wrong: say.That("nothing in this block is lifted by hand, so its geometry does nothing"), Advice: say.That("Take reach, from, to, twist and grip out, or put them into the block with the lift.")})
		}
	}),
}

// mayBeByHand reports whether an action can be a lift by hand, as far as its words say. What a name that leads nowhere means is not known.
func mayBeByHand(m *procedure.Machine, a *procedure.Action) bool {
	if t := m.Thing(a.Object.ID); t != nil && t.Kind != procedure.PartThing {
		return false
	}
	switch a.Verb {
	case procedure.Remove, procedure.Fit:
		return true
	case procedure.Lift:
		return !slices.ContainsFunc(a.With, func(r procedure.Ref) bool {
			i := slices.IndexFunc(m.Supports, func(s *procedure.Support) bool { return s.ID == r.ID })
			return i >= 0 && !lifting.Hands(m.Supports[i])
		})
	}
	return false
}
