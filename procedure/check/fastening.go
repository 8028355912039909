package check

import (
	"errors"
	"math"

	"matchmark/procedure"
	"matchmark/procedure/decimal"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// eachFastener makes a rule's run of what it asks of each fastener of every machine.
func eachFastener(ask func(f *procedure.Fastener, report func(diagnostic.Diagnostic))) func(*procedure.Library, func(diagnostic.Diagnostic)) {
	return func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, f := range m.Fasteners {
				ask(f, report)
			}
		}
	}
}

// designation reports a thread, class or drive that has the form of a standard's and is none of its.
func designation(what say.Text, err error, span text.Span, report func(diagnostic.Diagnostic)) {
	var e *measure.ParseError
	if !errors.As(err, &e) {
		return // of another standard, which is not checked
	}
	d := diagnostic.Diagnostic{Span: span, Wrong: say.That("%what: %why", what, e.Wrong), Advice: e.Advice}
	if e.Suggest != "" {
		meant := e.Input[:e.Offset] + e.Suggest + e.Input[e.End:]
		d.Advice = say.That("Did you mean %meant?", say.Quote(meant))
		if span.Text() == e.Input {
			d.Fixes = []diagnostic.Fix{diagnostic.Replace(span, meant, e.Sure)}
		}
	}
	report(d)
}

// shortest is a number with as many places as it needs.
func shortest(x float64) say.Decimal { return say.Decimal{Value: x, Places: say.Shortest} }

var threadDesignation = rule{
	Rule: diagnostic.Rule{
		Code: "thread-designation", Severity: diagnostic.Error, Title: "No such thread",
		Wrong: "A thread is written as a metric one but ISO 261/262 has no such diameter or pitch.",
		Why:   "The wrong bolt starts, binds and strips the thread.",
		Do:    "Correct the designation: M12 for the coarse pitch, M12x1.25 for a fine one.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		if f.Thread == "" || !f.Kind.Threaded() {
			return
		}
		if _, err := fastening.ParseThread(f.Thread); err != nil {
			designation(say.That("the thread"), err, f.ThreadSpan, report)
		}
	}),
}

var propertyClass = rule{
	Rule: diagnostic.Rule{
		Code: "property-class", Severity: diagnostic.Error, Title: "No such property class",
		Wrong: "A property class is written as one of ISO 898-1 but does not exist.",
		Why:   "A bolt of a weaker class than the joint needs breaks.",
		Do:    "Read the class off the bolt's head: 8.8, 10.9 or 12.9 are the usual ones.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		if f.Class == "" {
			return
		}
		if _, err := fastening.ParseClass(f.Class); err != nil {
			designation(say.That("the property class"), err, f.ClassSpan, report)
		}
	}),
}

var torqueWindow = rule{
	Rule: diagnostic.Rule{
		Code: "torque-window", Severity: diagnostic.Warning, Title: "Torque does not fit the fastener",
		Wrong: "A torque gives less than 40 % or more than 90 % of the fastener's proof load (T = K·F·d, ISO 898-1), or more than all of it if the thread turns as easily as it may.",
		Why:   "Too little, and the joint works loose; too much, and the bolt stretches or breaks.",
		Do:    "Compare with the maker's figure. This is a plausibility check; the maker's data comes first.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		v := fastening.CheckTorque(f)
		how := say.That("too low")
		switch v.Outcome {
		case fastening.TooLow:
		case fastening.TooHigh:
			how = say.That("too high")
		case fastening.MayBreak:
			report(diagnostic.Diagnostic{
				Span:   f.TorqueSpan,
				Wrong:  say.That("%torque may break %thread of class %class: with K = %low, which is assumed to be possible, it takes %share % of its proof load of %proofLoad kN", say.Word(f.Torque.String()), say.Word(v.Thread.String()), say.Word(v.Class.Name), shortest(v.Friction.Low), say.Decimal{Value: 100 * v.MostShare, Places: 0}, say.Decimal{Value: v.ProofLoad / 1000, Places: 1}),
				Advice: say.That("State the friction: K of the thread as it is put in. Compare with the maker's figure."),
			})
			return
		default:
			return
		}
		friction := say.That("K = %low", shortest(v.Friction.Low))
		if v.Assumed {
			friction = say.That("K = %low to %high, assumed", shortest(v.Friction.Low), shortest(v.Friction.High))
		}
		advice := say.That("Compare with the maker's figure, and state the friction if it differs.")
		if v.Mistaken != "" {
			advice = say.That("The same number in %unit is what tables give (75 %): look at the unit that the figure stands in.", say.Word(v.Mistaken))
		}
		report(diagnostic.Diagnostic{
			Span:   f.TorqueSpan,
			Wrong:  say.That("%torque looks %how for %thread of class %class: 40 % to 90 % of its proof load of %proofLoad kN takes %low to %high N·m (%friction)", say.Word(f.Torque.String()), how, say.Word(v.Thread.String()), say.Word(v.Class.Name), say.Decimal{Value: v.ProofLoad / 1000, Places: 1}, say.Decimal{Value: decimal.Up(v.Low, 0), Places: 0}, say.Decimal{Value: decimal.Down(v.High, 0), Places: 0}, friction),
			Advice: advice,
		})
	}),
}

var frictionMissing = rule{
	Rule: diagnostic.Rule{
		Code: "friction-missing", Severity: diagnostic.Advice, Title: "Torque without the state of the thread",
		Wrong: "A torque is stated, and neither the friction (K) nor a treatment that tells it: dry, zinc, oil, anti-seize or wax.",
		Why:   "The same torque pulls an oiled bolt a third tighter than a dry one. What it does to the bolt cannot be judged.",
		Do:    "State the treatment, or K in the friction column.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		if v := fastening.CheckTorque(f); v.Outcome != fastening.NotChecked && v.Asks {
			report(diagnostic.Diagnostic{
				Span:   f.TorqueSpan,
				Wrong:  say.That("%torque for fastener %number: how the thread is put in is not stated, so K may be %low to %high", say.Word(f.Torque.String()), say.Name(f.ID), shortest(v.Friction.Low), shortest(v.Friction.High)),
				Advice: say.That("State the treatment, or the friction."),
			})
		}
	}),
}

var torqueUnit = rule{
	Rule: diagnostic.Rule{
		Code: "torque-unit", Severity: diagnostic.Warning, Title: "Torque as if in another unit",
		Wrong: "A torque is unusual for its fastener, and the same number in the other of N·m and lbf·ft is what tables give (75 % of the proof load).",
		Why:   "A number read off a table in the wrong unit is wrong by a third, and nothing else shows it.",
		Do:    "Look at the heading of the table. If the torque is meant like this, allow it with a reason.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		v := fastening.CheckTorque(f)
		if v.Mistaken == "" || v.Outcome == fastening.TooLow || v.Outcome == fastening.TooHigh { // torque-window says it
			return
		}
		report(diagnostic.Diagnostic{
			Span:   f.TorqueSpan,
			Wrong:  say.That("%torque takes %share % of the proof load of %thread of class %class; tables give 75 %, and that is the same number in %unit", say.Word(f.Torque.String()), say.Decimal{Value: 100 * v.LeastShare, Places: 0}, say.Word(v.Thread.String()), say.Word(v.Class.Name), say.Word(v.Mistaken)),
			Advice: say.That("Compare with the maker's figure, and with the unit that it stands in."),
		})
	}),
}

var driveSize = rule{
	Rule: diagnostic.Rule{
		Code: "drive-size", Severity: diagnostic.Advice, Title: "Unusual key size",
		Wrong: "A fastener's drive is not the standard size for its thread (ISO 4014 across flats, ISO 4762 hex key).",
		Why:   "The learner lays out the wrong socket, and a loose socket rounds the head.",
		Do:    "Measure the head, and correct the drive or the thread.",
	},
	run: eachFastener(func(f *procedure.Fastener, report func(diagnostic.Diagnostic)) {
		if f.Drive == "" {
			return
		}
		if _, err := fastening.ParseDrive(f.Drive); err != nil {
			designation(say.That("the drive"), err, f.DriveSpan, report)
			return
		}
		v := fastening.CheckDrive(f)
		switch v.Fit {
		case fastening.FitOlder:
			report(diagnostic.Diagnostic{
				Span:   f.DriveSpan,
				Wrong:  say.That("%drive is the older DIN size for %thread; %standard gives %size mm", say.Word(v.Drive.String()), say.Word(v.Thread.String()), say.Word(v.Standard), shortest(math.Round(1000*v.Size)/1000)),
				Advice: say.That("Measure the head; keep it when the machine has old bolts."),
			})
		case fastening.FitOdd:
			report(diagnostic.Diagnostic{
				Span:   f.DriveSpan,
				Wrong:  say.That("%drive is no standard size for %thread; %standard gives %size mm", say.Word(v.Drive.String()), say.Word(v.Thread.String()), say.Word(v.Standard), shortest(math.Round(1000*v.Size)/1000)),
				Advice: say.That("Measure the head, and correct the drive or the thread."),
			})
		}
	}),
}
