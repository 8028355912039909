package order

import (
	"regexp"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var notCounted = Check{
	Rule: diagnostic.Rule{
		Code: "not-counted", Severity: diagnostic.Advice, Title: "Closed without a count",
		Wrong: "Cloths, plugs or caps were used on the machine, and a cover goes on before anybody has counted them, or the count leaves some of them out.",
		Why:   "A cloth that stays inside blocks the cooler, or is found in the dough.",
		Do:    "Count before the cover goes on: an act such as `count cloths, port-plugs`, or a line of a hold point.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		if f.Out == nil {
			return
		}
		closes := find(f, 0, func(e *state.Event) bool {
			return e.Part != nil && e.Action.Verb == procedure.Fit && e.Before.Part(e.Part).Is != state.InPlace && len(e.Part.Beneath) > 0 && closing.MatchString(e.Part.Name)
		})
		if closes == nil {
			return
		}
		loose := looseThings(f, closes)
		if len(loose) == 0 {
			return
		}
		counted := map[string]bool{}
		var last *state.Event
		for i := range f.Trace.Events[:closes.Index] {
			if e := &f.Trace.Events[i]; e.Action.Verb == procedure.Tally {
				counted[e.Action.Object.ID], last = true, e
			}
		}
		if last == nil {
			if !counts(f, closes) {
				report(diagnostic.Diagnostic{
					Span: object(closes), Wrong: say.That("step %step closes %thing, and nobody has counted what may be left inside: %items", number(closes), the(closes.Part.ID), toolNames(loose)),
					Advice: say.That("Count before it: count %items.", toolNames(loose)), See: rowsOfTools(loose),
				})
			}
			return
		}
		missed := slices.DeleteFunc(loose, func(t *procedure.Tool) bool { return counted[t.ID] })
		if len(missed) > 0 {
			report(diagnostic.Diagnostic{
				Span: object(last), Wrong: say.That("the count before step %step leaves out %items", number(closes), toolNames(missed)),
				Advice: say.That("Count %items as well.", toolNames(missed)), See: rowsOfTools(missed),
			})
		}
	},
}

var (
	// closing are names of parts that close something in which things get lost.
	closing = regexp.MustCompile(`(?i)\b(?:cover|lid|hood|guard|panel|door|hatch|flap|casing|housing|shell|grid)|deckel|haube|abdeckung|klappe|tür|gehäuse|verkleidung|gitter`)
	// leavable are names of what stays behind in a machine.
	leavable = regexp.MustCompile(`(?i)cloth|\brags?\b|wipes?\b|\bplugs?\b|\bcaps?\b|\bbungs?\b|film|foam|sponge|paper|lappen|tücher|tuch\b|stopfen|kappen|folie|schwamm`)
	counting = regexp.MustCompile(`(?i)\bcount(?:s|ed|ing)?\b|\bzähl|gezählt|vollzählig`)
)

// looseThings are the consumables, of the job and of its refitting up to the event, that can stay behind.
func looseThings(f *Facts, until *state.Event) []*procedure.Tool {
	used := map[string]bool{}
	for _, s := range slices.Concat(f.Out.Job.Steps, f.Job.Steps[:until.Step.Number]) {
		for _, r := range s.Tools {
			used[r.ID] = true
		}
	}
	var out []*procedure.Tool
	for _, t := range f.Job.Machine.Tools {
		if used[t.ID] && t.Kind == procedure.Consumable && leavable.MatchString(t.Name) {
			out = append(out, t)
		}
	}
	return out
}

// counts reports whether the words of the steps up to the event, or a hold point before it, tell to count.
func counts(f *Facts, until *state.Event) bool {
	for _, s := range f.Job.Steps[:until.Step.Number] {
		for _, b := range s.Blocks {
			shown := b.Shows()
			if shown.Text != nil && counting.MatchString(shown.Text.Plain()) {
				return true
			}
			if shown.Hold == nil || s.Number == until.Step.Number {
				continue // a hold point ends its step
			}
			for _, c := range shown.Hold.Confirmations {
				if counting.MatchString(c.Plain()) {
					return true
				}
			}
		}
	}
	return false
}

func toolNames(list []*procedure.Tool) say.List {
	names := say.List{Join: say.Commas}
	for _, t := range list {
		names.Parts = append(names.Parts, say.Name(t.ID))
	}
	return names
}

func rowsOfTools(list []*procedure.Tool) (out []diagnostic.Related) {
	for _, t := range list {
		out = append(out, registered(&t.Row))
	}
	return out
}
