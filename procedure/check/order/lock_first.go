package order

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var lockFirst = Check{
	Rule: diagnostic.Rule{
		Code: "lock-first", Severity: diagnostic.Error, Title: "Locked fastener turns before its lock is undone",
		Wrong: "A fastener is turned while a tab washer is not flattened, a lock nut not loosened or a lock pin not out.",
		Why:   "The tab digs in and strips the thread, or the pin shears and stays in its hole.",
		Do:    "Undo the lock first.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		each(f, func(e *state.Event) {
			if e.Fastener == nil || e.Action.Verb != procedure.Loosen && e.Action.Verb != procedure.Remove {
				return
			}
			for _, l := range e.Fastener.Lockers {
				if !locks(e.Before, l) {
					continue
				}
				undone := find(f, e.Index, func(x *state.Event) bool { return x.Fastener == l && !locks(x.After, l) })
				report(diagnostic.Diagnostic{
					Span:   object(e),
					Wrong:  say.That("fastener %fastener turns in step %step while the %kind %lock still locks it; %when", say.Name(e.Fastener.ID), number(e), say.Word(l.Kind), say.Name(l.ID), when(e, undone, say.That("that is undone only"), say.That("nothing undoes that"))),
					Advice: say.That("Write %undo %lock before step %step.", say.Name(undo(l)), say.Name(l.ID), number(e)), See: append(see(undone, say.That("here")), registered(&l.Row)),
				})
			}
		})
	},
}

// locks reports whether a lock keeps what it locks from turning: a pin, circlip
// or key while it is in, anything else while it is tight.
func locks(s *state.State, l *state.Fastener) bool {
	if l.Rigid() {
		return s.Fastener(l).In()
	}
	return s.Fastener(l).Is == state.Tight
}

// undo is the verb that undoes a lock.
func undo(l *state.Fastener) procedure.Verb {
	if l.Rigid() {
		return procedure.Remove
	}
	return procedure.Loosen
}
