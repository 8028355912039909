package check

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/fastening"
	"matchmark/procedure/fitting"
	"matchmark/procedure/say"
)

var noToolFits = rule{
	Rule: diagnostic.Rule{
		Code: fitting.NoneFits, Severity: diagnostic.Warning, Title: "No tool fits what a step does",
		Wrong: "The tools register says what its tools fit, and none of them turns this drive or reaches this torque.",
		Why:   "The tool is missing on the list, and nobody fetches it before the job.",
		Do:    "Register the tool, or say in its row what it fits.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		eachFault(m, s, fitting.NoneFits, report)
	}),
}

var toolsFitAlike = rule{
	Rule: diagnostic.Rule{
		Code: fitting.FitAlike, Severity: diagnostic.Warning, Title: "Several tools fit equally",
		Wrong: "Two tools of the register turn the same drive, or have the same greatest torque, and the step lists neither.",
		Why:   "Neither is filled in, since only the author knows which one has room there.",
		Do:    "List the one that is meant in the step, or say in its row for which acts it is kept.",
	},
	run: eachStep(func(m *procedure.Machine, s *procedure.Step, report func(diagnostic.Diagnostic)) {
		eachFault(m, s, fitting.FitAlike, report)
	}),
}

// eachFault reports the faults of one code, once for what turns a fastener and once for its torque.
func eachFault(m *procedure.Machine, s *procedure.Step, code diagnostic.Code, report func(diagnostic.Diagnostic)) {
	type need struct {
		fastener *procedure.Fastener
		torque   bool
	}
	seen := map[need]bool{}
	_, faults := fitting.Tools(m, s)
	for _, x := range faults {
		if d, n := x.Message(m), (need{x.Fastener, x.Torque}); d.Code == code && !seen[n] {
			seen[n] = true
			report(d)
		}
	}
}

var unknownDrive = rule{
	Rule: diagnostic.Rule{
		Code: "unknown-drive", Severity: diagnostic.Warning, Title: "A tool fits a drive that nothing has",
		Wrong: "A tool's column fits holds words that are taken for a drive, and no fastener of the machine has that drive.",
		Why:   "The tool is filled in nowhere, and nobody is told.",
		Do:    "Write the drive as the fasteners have it, or what else is meant: hex 18 mm, 40-200 N·m, remove hub, hub.",
	},
	run: func(lib *procedure.Library, report func(diagnostic.Diagnostic)) {
		for _, m := range lib.Machines {
			for _, t := range m.Tools {
				for _, drive := range t.Use.Drives {
					_, err := fastening.ParseDrive(drive)
					if err == nil || m.Taken(t.Span) || slices.ContainsFunc(m.Fasteners, func(f *procedure.Fastener) bool { return fitting.SameDrive(drive, f.Drive) }) {
						continue // a hexagon may be there for another machine
					}
					report(diagnostic.Diagnostic{Span: t.Span, Wrong: say.That("%tool fits %drive, and no fastener of %machine has such a drive", say.Quote(t.ID), say.Quote(drive), say.Quote(m.ID)),
						Advice: say.That("Write the drive as the fasteners have it, or what else is meant: hex 18 mm, 40-200 N·m, remove hub, hub.")})
				}
			}
		}
	},
}
