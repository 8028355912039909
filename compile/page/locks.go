package page

import (
	"matchmark/procedure"
	"matchmark/themes"
)

// Locks says which locks an act hangs on or takes off; empty when it does not say.
func Locks(words *themes.Words, a *procedure.Action) string {
	l, on := a.Locks, a.Verb != procedure.Undo
	switch {
	case l.Each && on:
		return words.T("locks.each.on")
	case l.Each:
		return words.T("locks.each.off")
	case l.N > 0 && on:
		return words.T("locks.on", l.N)
	case l.N > 0:
		return words.T("locks.off", l.N)
	}
	return ""
}
