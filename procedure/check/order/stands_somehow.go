package order

import (
	"regexp"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var standsSomehow = Check{
	Rule: diagnostic.Rule{
		Code: "stands-somehow", Severity: diagnostic.Advice, Title: "Not said how a part stands once it is off",
		Wrong: "A part of 10 kg or more comes off and its row does not say how it stands; or a part that is round by its name stands on something that lets it roll; or a unit of 100 kg or more is set down on one jack.",
		Why:   "It is put down somewhere in a hurry, and it rolls, tips or lies on its sealing face.",
		Do:    "State under stand where it goes and in what attitude; of round parts, what keeps them from rolling.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*state.Part]bool{}
		each(f, func(e *state.Event) {
			p := e.Part
			if p == nil || told[p] || e.Action.Verb != procedure.SetDown && (e.Action.Verb != procedure.Remove || !e.Departs()) {
				return
			}
			d := diagnostic.Diagnostic{Span: object(e), See: []diagnostic.Related{registered(&p.Row)}}
			switch {
			case e.Action.Verb == procedure.SetDown && p.Kg >= unitKg && len(e.Supports) == 1 && e.Supports[0].Kind == procedure.Jack:
				d.Wrong = say.That("the %part (%mass) is set down on one jack, which is no stand", say.Name(p.ID), mass(p.Kg, p.Mass))
				d.Advice = say.That("Name a stand, a cradle or a pallet.")
			case p.Stand == "" && p.Kg >= state.RestKg:
				d.Wrong = say.That("it is not said how the %part (%mass) stands once it is off", say.Name(p.ID), mass(p.Kg, p.Mass))
				d.Advice = say.That("Write into its row where it stands and in what attitude: stand on the pallet, feet down.")
			case p.Stand != "" && (p.Round || round.MatchString(p.Name)) && !kept.MatchString(p.Stand) && !cradled(e):
				d.Wrong = say.That("the %part is round, and %stand does not keep it from rolling", say.Name(p.ID), say.Quote(p.Stand))
				d.Advice = say.That("Say what keeps it from rolling: a tray, a cradle, chocks, or that it lies flat.")
			default:
				return
			}
			told[p] = true
			report(d)
		})
	},
}

// round are names of parts that roll, and kept words of stands that keep them from it, in the languages of the words table. They are the project's own choice.
var (
	round = regexp.MustCompile(`(?i)\b(\w*wheel|roller|cylinder|\w*drum|bundle|shaft|pipe|tube|barrel|pulley|rad|\w*walze|zylinder|\w*trommel|\w*welle|\w*rohr|rolle)\b`)
	kept  = regexp.MustCompile(`(?i)flat|tray|crate|box|bin\b|cradle|chock|wedge|v-|rack|peg|hook|strap|tied|upright|\bend\b|bag|clamp|pallet|stand|trestle|soft|flach|wanne|kiste|keil|gestell|haken|aufrecht|stehend|palette|bock`)
)

// cradled reports whether what a part is set down on keeps it from rolling.
func cradled(e *state.Event) bool {
	for _, x := range e.Supports {
		if x.Ability().Rolling || strings.TrimSpace(x.Kind) == "" {
			return true
		}
	}
	return false
}
