package fitting

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// The codes of what Tools finds wrong.
const (
	NoneFits diagnostic.Code = "no-tool-fits"
	FitAlike diagnostic.Code = "tools-fit-alike"
)

// Message says what is wrong, with one of the codes and no severity.
func (f Fault) Message(m *procedure.Machine) diagnostic.Diagnostic {
	d := diagnostic.Diagnostic{
		Code: NoneFits, Span: f.Act.Object.Span,
		See: []diagnostic.Related{{Span: f.Fastener.Span, Says: say.That("registered here")}},
	}
	switch {
	case len(f.Alike) > 0:
		var names []string
		for _, t := range f.Alike {
			names = append(names, t.ID)
		}
		d.Code = FitAlike
		d.Wrong = say.That("%tools fit %number equally", say.Each[say.Name](say.And, names), say.Name(f.Fastener.ID))
		d.Advice = say.That("List one of them in the step: {tools=%tool}. Or write into its column fits what it is kept for, such as %verb %number.",
			say.Name(names[0]), say.Word(f.Act.Verb), say.Name(f.Fastener.ID))
	case f.Torque:
		d.Wrong = say.That("no torque wrench of %machine reaches the %torque of %number", say.Quote(m.ID), say.Word(f.Fastener.Torque.String()), say.Name(f.Fastener.ID))
		d.Advice = say.That("Register one, with its range in the column fits.")
	default:
		d.Wrong = say.That("no tool of %machine fits the drive of %number, %drive", say.Quote(m.ID), say.Name(f.Fastener.ID), say.Quote(f.Fastener.Drive))
		d.Advice = say.That("Write %drive into the column fits of the tool that turns it.", say.Word(f.Fastener.Drive))
	}
	return d
}
