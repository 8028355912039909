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
		Wrong: "A part of 10 kg or more comes off and its row does not say how it stands; or a part that is round by its name stands on something that lets it roll; or a unit of 100 kg or more is set down on one jack; or its row names another place than the act that sets it down.",
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
			case e.Action.Verb == procedure.SetDown && elsewhere(p.Stand, e.Supports):
				d.Wrong = say.That("step %step sets the %part down on the %support, and its row says %stand", number(e), say.Name(p.ID), say.Name(e.Supports[0].ID), say.Quote(p.Stand))
				d.Advice = say.That("Correct the one that is wrong: the labels and the checklist show the row.")
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

var (
	onOrIn = regexp.MustCompile(`(?i)\b(?:on|in|auf|im)\b`)
	// itself is the part of a support's name that says what it is: "steel cradle" of "Steel cradle on the floor".
	itself = regexp.MustCompile(`(?i)^.*?(?:[,(]| (?:on|in|of|for|with|under|at|auf|im|für|mit|unter) |$)`)
	long   = regexp.MustCompile(`\pL{4,}`)
)

// elsewhere reports whether words say where something stands, and mean none of some supports.
func elsewhere(stand string, on []*state.Support) bool {
	stand = strings.ToLower(stand)
	if len(on) == 0 || !onOrIn.MatchString(stand) {
		return false
	}
	for _, x := range on {
		name := strings.ToLower(itself.FindString(x.Name) + " " + x.ID)
		for _, w := range long.FindAllString(name, -1) {
			if strings.Contains(stand, w) {
				return false
			}
		}
		for _, w := range long.FindAllString(stand, -1) {
			if strings.Contains(name, w) {
				return false
			}
		}
	}
	return true
}

// cradled reports whether what a part is set down on keeps it from rolling.
func cradled(e *state.Event) bool {
	for _, x := range e.Supports {
		if x.Ability().Rolling || strings.TrimSpace(x.Kind) == "" {
			return true
		}
	}
	return false
}
