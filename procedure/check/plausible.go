package check

import (
	"math"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

var classThread = rule{
	Rule: diagnostic.Rule{
		Code: "class-thread", Severity: diagnostic.Error, Title: "Class of another system than the thread",
		Wrong: "A metric thread has an inch grade, or an inch thread a metric property class.",
		Why:   "One of the two is read off wrongly, and nothing that follows from it can be right.",
		Do:    "Read both off the bolt: 8.8 and its like stand on metric heads, lines or a grade on inch heads.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		t, err := fastening.ParseThread(f.Thread)
		c, bad := fastening.ParseClass(f.Class)
		if err != nil || bad != nil || f.Class == "" || c.Inch == (t.Inch != "") {
			return
		}
		report(diagnostic.Diagnostic{
			Span: f.Span, Wrong: say.That("fastener %number is %thread, and its class %class belongs to the other system: one is metric, the other is not", say.Name(f.ID), say.Word(t.String()), say.Quote(f.Class)),
			Advice: say.That("Correct the class or the thread."), See: []diagnostic.Related{{Span: f.ClassSpan, Says: say.That("the class")}},
		})
	}),
}

var frictionTreatment = rule{
	Rule: diagnostic.Rule{
		Code: "friction-treatment", Severity: diagnostic.Warning, Title: "Friction of another treatment",
		Wrong: "A row states a friction K that lies far outside what its treatment gives.",
		Why:   "With half the friction the same torque pulls the bolt twice as hard.",
		Do:    "Correct the treatment, or K.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		usual, doubted := fastening.FrictionDoubt(f)
		if !doubted {
			return
		}
		report(diagnostic.Diagnostic{
			Span:   f.Span,
			Wrong:  say.That("fastener %number has K = %friction with the treatment %treatment; tables give %low to %high for that", say.Name(f.ID), shortest(f.Friction), say.Quote(f.Treatment), shortest(usual.Low), shortest(usual.High)),
			Advice: say.That("Correct the treatment, or K."),
		})
	}),
}

// The deviations of a torque that are doubted, in percent. Common practice, no source: nobody tightens closer than one in
// a hundred with a wrench, and what may be off by more than two fifths is no torque.
const (
	leastDeviation = 1
	mostDeviation  = 40
)

var toleranceOdd = rule{
	Rule: diagnostic.Rule{
		Code: "tolerance-odd", Severity: diagnostic.Warning, Title: "Tolerance that no torque has",
		Wrong: "A torque may deviate by more than 40 %, or by less than 1 %.",
		Why:   "The first says nothing, the second no wrench can do.",
		Do:    "Look at the tolerance or the range, and at its unit.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		percent, ok := fastening.Deviation(f)
		if !ok || percent >= leastDeviation && percent <= mostDeviation {
			return
		}
		report(diagnostic.Diagnostic{
			Span: f.TorqueSpan, Wrong: say.That("the torque of fastener %number, %torque, has a tolerance of %percent %", say.Name(f.ID), say.Word(f.Torque.String()), say.Decimal{Value: math.Round(10*percent) / 10, Places: say.Shortest}),
			Advice: say.That("Compare with the maker's figure."),
		})
	}),
}

// What is doubted of masses, lengths and times. Common practice, no source.
const (
	leastLiftedKg  = 0.5     // lifting gear is put on for more
	mostKg         = 50000.0 // more stands on no workshop's floor
	leastDiameters = 0.5
	mostDiameters  = 60.0
	mostMinutes    = 600.0 // more than a shift, likely
)

var figureOdd = rule{
	Rule: diagnostic.Rule{
		Code: "figure-odd", Severity: diagnostic.Warning, Title: "Figure that cannot be meant",
		Wrong: "A mass is zero, or too small for the gear that lifts it, or more than any workshop has; a fastener is far too short or too long for its thread; a step takes more than ten hours.",
		Why:   "A slip of the unit, grams for kilograms, passes every check that only adds up.",
		Do:    "Look at the number and its unit. If it is meant, allow it with a reason.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, p := range m.Parts {
				kg := p.Mass.Float("kg")
				switch {
				case p.Mass.IsZero():
				case kg <= 0:
					report(odd(p.Span, say.That("the mass of %part is %mass: nothing weighs nothing", say.Quote(p.ID), say.Word(p.Mass.String()))))
				case kg > mostKg:
					report(odd(p.Span, say.That("the mass of %part is %mass", say.Quote(p.ID), say.Word(p.Mass.String()))))
				}
			}
			for _, f := range m.Fasteners {
				t, err := fastening.ParseThread(f.Thread)
				if length := f.Length.Float("mm"); err == nil && !f.Length.IsZero() && (length < leastDiameters*t.Diameter || length > mostDiameters*t.Diameter) {
					report(odd(f.Span, say.That("fastener %number is %thread and %length long", say.Name(f.ID), say.Word(t.String()), say.Word(f.Length.String()))))
				}
			}
		}
		for _, p := range lib.Procedures {
			for _, x := range liftedIn(p) {
				if !x.Mass.IsZero() && x.Mass.Float("kg") < leastLiftedKg {
					report(odd(x.Span, say.That("%part is lifted with lifting gear, and its mass is %mass", say.Quote(x.ID), say.Word(x.Mass.String()))))
				}
			}
			for _, s := range p.WrittenSteps() {
				if s.Time.Likely > mostMinutes {
					report(odd(s.Span, say.That("step %step takes %minutes min", say.Name(s.ID), say.Decimal{Value: s.Time.Likely, Places: say.Shortest})))
				}
			}
		}
	},
}

func odd(span text.Span, wrong say.Text) diagnostic.Diagnostic {
	return diagnostic.Diagnostic{Span: span, Wrong: wrong, Advice: say.That("Look at the number and its unit.")}
}

// liftedIn lists the parts that a procedure lifts with gear, each once.
func liftedIn(p *procedure.Procedure) (out []*procedure.Part) {
	if p.Machine == nil {
		return nil
	}
	for _, s := range p.WrittenSteps() {
		for _, a := range s.Actions() {
			gear := slices.ContainsFunc(a.With, func(r procedure.Ref) bool {
				t := p.Machine.Thing(r.ID)
				return t != nil && t.Support != nil && t.Support.Kind != procedure.HandSupport
			})
			t := p.Machine.Thing(a.Object.ID)
			if gear && t != nil && t.Part != nil && (a.Verb == procedure.Lift || a.Verb == procedure.Hang) && !slices.Contains(out, t.Part) {
				out = append(out, t.Part)
			}
		}
	}
	return out
}

var unknownToTables = rule{
	Rule: diagnostic.Rule{
		Code: "not-in-tables", Severity: diagnostic.Advice, Title: "Torque that nobody checked",
		Wrong: "A fastener has a torque, and its thread or its class is in none of the tables, so that the torque is not compared with anything.",
		Why:   "It stands among figures that were checked, and looks like one of them.",
		Do:    "Compare it with the maker's figure by hand; allow it with a reason once that is done.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		if f.Torque.Dimension() != measure.Torque {
			return
		}
		var why say.Text
		switch v := fastening.CheckTorque(f); v.Reason {
		case fastening.OtherThread:
			why = say.That("the thread %thread is neither ISO metric nor UNC or UNF", say.Quote(f.Thread))
		case fastening.OtherClass:
			why = say.That("the class %class is neither of ISO 898-1 nor of SAE J429", say.Quote(f.Class))
		case fastening.NotInClass:
			why = say.That("%class does not cover %thread", say.Quote(f.Class), say.Word(f.Thread))
		case fastening.NoProof:
			why = say.That("%class has no proof stress", say.Quote(f.Class))
		default:
			return
		}
		report(diagnostic.Diagnostic{
			Span: f.TorqueSpan, Wrong: say.That("the %torque of fastener %number is not checked: %why", say.Word(f.Torque.String()), say.Name(f.ID), why),
			Advice: say.That("Compare it with the maker's figure."),
		})
	}),
}
