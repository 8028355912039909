package statetest

import (
	"matchmark/procedure"
	"matchmark/procedure/text"
)

// Row is a row of a register.
func Row(id, name string) procedure.Row { return procedure.Row{ID: id, Name: name} }

// Ref names a thing.
func Ref(id string) procedure.Ref { return procedure.Ref{ID: id} }

// Prose is a paragraph that stands nowhere.
func Prose(words string) procedure.Prose { return procedure.Words(text.Span{}, words) }
