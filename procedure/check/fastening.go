package check

import (
	"errors"
	"fmt"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fastening"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// eachFastener calls f for every fastener of every machine.
func eachFastener(lib *procedure.Library, f func(*procedure.Fastener)) {
	for _, m := range lib.Machines {
		for _, x := range m.Fasteners {
			f(x)
		}
	}
}

// designation reports a thread, class or drive that has the form of a standard's and is none of its.
func designation(what string, err error, span text.Span, report func(diagnostic.Diagnostic)) {
	var e *measure.ParseError
	if !errors.As(err, &e) {
		return // of another standard, which is not checked
	}
	do := e.Do
	if e.Suggest != "" {
		do = "did you mean " + quote(e.Input[:e.Offset]+e.Suggest+e.Input[e.End:]) + "?"
	}
	report(diagnostic.Diagnostic{Span: span, Message: what + ": " + e.Message, Do: diagnostic.Sentence(do)})
}

var threadDesignation = rule{
	Rule: diagnostic.Rule{
		Code: "thread-designation", Severity: diagnostic.Error, Title: "No such thread",
		Wrong: "A thread is written as a metric one but ISO 261/262 has no such diameter or pitch.",
		Why:   "The wrong bolt starts, binds and strips the thread.",
		Do:    "Correct the designation: M12 for the coarse pitch, M12x1.25 for a fine one.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		eachFastener(lib, func(f *procedure.Fastener) {
			if f.Thread == "" || !f.Kind.Threaded() {
				return
			}
			if _, err := fastening.ParseThread(f.Thread); err != nil {
				designation("the thread", err, f.ThreadSpan, report)
			}
		})
	},
}

var propertyClass = rule{
	Rule: diagnostic.Rule{
		Code: "property-class", Severity: diagnostic.Error, Title: "No such property class",
		Wrong: "A property class is written as one of ISO 898-1 but does not exist.",
		Why:   "A bolt of a weaker class than the joint needs breaks.",
		Do:    "Read the class off the bolt's head: 8.8, 10.9 or 12.9 are the usual ones.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		eachFastener(lib, func(f *procedure.Fastener) {
			if f.Class == "" {
				return
			}
			if _, err := fastening.ParseClass(f.Class); err != nil {
				designation("the property class", err, f.ClassSpan, report)
			}
		})
	},
}

var torqueWindow = rule{
	Rule: diagnostic.Rule{
		Code: "torque-window", Severity: diagnostic.Warning, Title: "Torque does not fit the fastener",
		Wrong: "A torque gives less than 40 % or more than 90 % of the fastener's proof load (T = K·F·d, ISO 898-1).",
		Why:   "Too little, and the joint works loose; too much, and the bolt stretches or breaks.",
		Do:    "Compare with the maker's figure. This is a plausibility check; the maker's data comes first.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		eachFastener(lib, func(f *procedure.Fastener) {
			v := fastening.CheckTorque(f)
			if v.Outcome != fastening.TooLow && v.Outcome != fastening.TooHigh {
				return
			}
			how := "too low"
			if v.Outcome == fastening.TooHigh {
				how = "too high"
			}
			friction := fmt.Sprintf("K = %g", v.Friction.Low)
			if v.Assumed {
				friction = fmt.Sprintf("K = %g to %g, assumed", v.Friction.Low, v.Friction.High)
			}
			report(diagnostic.Diagnostic{
				Span: f.TorqueSpan,
				Message: fmt.Sprintf("%s looks %s for %s of class %s: 40 %% to 90 %% of its proof load of %.1f kN takes %.0f to %.0f N·m (%s)",
					f.Torque, how, v.Thread, v.Class.Name, v.ProofLoad/1000, v.Low, v.High, friction),
				Do: "Compare with the maker's figure, and state the friction if it differs.",
			})
		})
	},
}

var driveSize = rule{
	Rule: diagnostic.Rule{
		Code: "drive-size", Severity: diagnostic.Advice, Title: "Unusual key size",
		Wrong: "A fastener's drive is not the standard size for its thread (ISO 4014 across flats, ISO 4762 hex key).",
		Why:   "The learner lays out the wrong socket, and a loose socket rounds the head.",
		Do:    "Measure the head, and correct the drive or the thread.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		eachFastener(lib, func(f *procedure.Fastener) {
			if f.Drive == "" {
				return
			}
			if _, err := fastening.ParseDrive(f.Drive); err != nil {
				designation("the drive", err, f.DriveSpan, report)
				return
			}
			v := fastening.CheckDrive(f)
			switch v.Fit {
			case fastening.FitOlder:
				report(diagnostic.Diagnostic{
					Span:    f.DriveSpan,
					Message: fmt.Sprintf("%s is the older DIN size for %s; %s gives %g mm", v.Drive, v.Thread, v.Standard, v.Size),
					Do:      "Measure the head; keep it when the machine has old bolts.",
				})
			case fastening.FitOdd:
				report(diagnostic.Diagnostic{
					Span:    f.DriveSpan,
					Message: fmt.Sprintf("%s is no standard size for %s; %s gives %g mm", v.Drive, v.Thread, v.Standard, v.Size),
					Do:      "Measure the head, and correct the drive or the thread.",
				})
			}
		})
	},
}
