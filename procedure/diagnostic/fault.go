package diagnostic

import (
	"fmt"
	"runtime/debug"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// ownFault is the rule for a fault of matchmark's own outside of any other rule.
var ownFault = Rule{
	Code: "own-fault", Severity: Error, Title: "Fault in matchmark itself",
	Wrong: "matchmark failed while it read a file, followed the machine through its states, derived a refitting or made pages. A rule that fails says so under its own code.",
	Why:   "What it was at work on could not be judged; the library may be right.",
	Do:    "Report it, with the file if you can, and with what the same command prints with --trace. Until then, try to write the place in another way.",
}

// OwnFault documents the code of a fault of matchmark's own.
func OwnFault() Rule { return ownFault }

// Fault is a fault of matchmark's own that a message tells of.
type Fault struct {
	// Cause is what the panic said, and Stack where it happened, for a report.
	Cause any
	Stack []byte
}

// Guard does some work of a rule. When the work panics, that is reported as an
// error of the rule at the place given, and what the work had reported until then
// stands. It returns false then.
func Guard(r Rule, at text.Span, report func(Diagnostic), work func()) (sound bool) {
	return guard(r.Code, say.That("the rule %code", say.Word(r.Code)), at, report, work)
}

// GuardWork is Guard for work that belongs to no rule; doing says what it is, such as "deriving the refitting".
func GuardWork(doing say.Text, at text.Span, report func(Diagnostic), work func()) (sound bool) {
	return guard(ownFault.Code, doing, at, report, work)
}

func guard(code Code, what say.Text, at text.Span, report func(Diagnostic), work func()) (sound bool) {
	defer func() {
		if cause := recover(); cause != nil {
			report(Diagnostic{
				Code: code, Severity: Error, Span: at, Advice: say.That(ownFault.Do),
				Wrong: say.That("%work failed here: this is a fault of matchmark's own, not of the library (%cause)", what, say.Foreign(fmt.Sprint(cause))),
				Fault: &Fault{Cause: cause, Stack: debug.Stack()},
			})
		}
	}()
	work()
	return true
}
