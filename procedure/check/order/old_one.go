package order

import (
	"regexp"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var oldOneBack = Check{
	Rule: diagnostic.Rule{
		Code: "old-one-back", Severity: diagnostic.Warning, Title: "The old one goes back in",
		Wrong: "A row says that a new one goes in, and the step cleans the old one, takes it out of its bag, or says that the old one goes back.",
		Why:   "What is used once has done its work: it leaks, or lets go.",
		Do:    "Fit a new one in the step, or write no into the column single-use of its row.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		cleaned := map[*procedure.Row]*state.Event{}
		each(f, func(e *state.Event) {
			row, is := once(e)
			if row == nil {
				return
			}
			switch e.Action.Verb {
			case procedure.Clean:
				if away(e) {
					cleaned[row] = e
				}
				return
			case procedure.Fit:
			default:
				return
			}
			d := diagnostic.Diagnostic{Span: object(e), Advice: say.That("Fit a new one, or write no into the column single-use of its row."), See: []diagnostic.Related{registered(row)}}
			words := oldIn(e.Action.Reason.Plain(), nil)
			if words == "" {
				words = oldInStep(e.Step, is)
			}
			switch clean := cleaned[row]; {
			case words != "":
				d.Wrong = say.That("%thing is used once, and the old one goes back in step %step: %words", name(e), number(e), say.Quote(words))
			case clean != nil:
				d.Wrong = say.That("%thing is used once, and the old one is cleaned and goes back in step %step", name(e), number(e))
				d.See = append(see(clean, say.That("the old one is cleaned here")), d.See...)
			default:
				return
			}
			report(d)
		})
	},
}

// once returns the row of a single-use fastener or part that an event is about, and the nouns that it is called by; nil for none.
func once(e *state.Event) (row *procedure.Row, nouns []string) {
	switch {
	case e.Fastener != nil && e.Fastener.SingleUse:
		return &e.Fastener.Row, []string{nounOf(e.Fastener.Name), nounOf(string(e.Fastener.Kind))}
	case e.Part != nil && e.Part.SingleUse:
		return &e.Part.Row, []string{nounOf(e.Part.Name)}
	}
	return nil, nil
}

// away reports whether what the event is about is out of its place.
func away(e *state.Event) bool {
	if e.Fastener != nil {
		return !e.Before.Fastener(e.Fastener).In()
	}
	return e.Before.Part(e.Part).Is != state.InPlace
}

var (
	theOld   = regexp.MustCompile(`(?i)\b(?:old|same|used|alte[nrs]?|dieselbe[n]?|gebrauchte[nrs]?)\b`)
	outOfBag = regexp.MustCompile(`(?i)\bout of (?:its|the|his) (?:bag|tray|box)|\bout of (?:bag|tray|box)\b|\bfrom (?:its|the) (?:bag|tray|box)|aus (?:dem|seinem|ihrem) (?:beutel|kasten)`)
	goesAway = regexp.MustCompile(`(?i)\b(?:no|not|never|nor|instead|bin|throw|scrap|discard|waste|scrape|remove|take .{0,20}\boff|nicht|nie|kein\pL*|wirf|werfen|weg|entsorg\pL*|neue[nrs]?|new)\b`)
)

// oldIn returns the words that say that the old one is taken; empty for none. The sentence must speak of one of the nouns, if there are any.
func oldIn(sentence string, nouns []string) string {
	if sentence == "" || goesAway.MatchString(sentence) || !theOld.MatchString(sentence) && !outOfBag.MatchString(sentence) {
		return ""
	}
	for _, n := range nouns {
		if n != "" && speaksOf(sentence, n) {
			return sentence
		}
	}
	if len(nouns) == 0 {
		return strings.TrimSpace(sentence)
	}
	return ""
}

func oldInStep(s *procedure.Step, nouns []string) string {
	for _, b := range s.Blocks {
		shown := b.Shows()
		if shown.Text == nil {
			continue
		}
		for _, x := range hazard.Sentences(shown.Text.Plain()) {
			if words := oldIn(x, nouns); words != "" {
				return words
			}
		}
	}
	return ""
}

var oldOneKept = Check{
	Rule: diagnostic.Rule{
		Code: "old-one-kept", Severity: diagnostic.Advice, Title: "What is renewed is kept",
		Wrong: "A part of single use comes off, and its row gives it a place to stand for the way back.",
		Why:   "What lies in the tray goes back in. What is thrown away does not.",
		Do:    "Write thrown away, or where it is thrown, into the column stand.",
	},
	Written: true,
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		told := map[*procedure.Row]bool{}
		each(f, func(e *state.Event) {
			if e.Part == nil || !e.Part.SingleUse || e.Part.Stand == "" || !e.Departs() || told[&e.Part.Row] || discarded.MatchString(e.Part.Stand) {
				return
			}
			told[&e.Part.Row] = true
			report(diagnostic.Diagnostic{
				Span: e.Part.Span, Wrong: say.That("%thing is renewed, and the old one is kept: %stand", name(e), say.Quote(e.Part.Stand)),
				Advice: say.That("Write thrown away into the column stand."), See: see(e, say.That("it comes off here")),
			})
		})
	},
}

var discarded = regexp.MustCompile(`(?i)thrown|throw|\bbin\b|scrap|waste|dispos|discard|rubbish|recycl|weg\b|wegwerfen|abfall|entsorg|müll|schrott`)
