package order

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/hazard"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/state"
)

var newOneMissing = Check{
	Rule: diagnostic.Rule{
		Code: "new-one-missing", Severity: diagnostic.Warning, Title: "New part that does not lie ready",
		Wrong: "A step, or the note of a fastener that goes in, asks for a new gasket, ring or washer, and none is among the tools of the step or fitted by it; or there are fewer than go in.",
		Why:   "Nobody fetches it before the job, and the old one goes back in.",
		Do:    "List it in the step, say what it fits (column fits of the tools), or raise its quantity.",
	},
	Run: func(f *Facts, report func(diagnostic.Diagnostic)) {
		used := map[*procedure.Tool]*taken{}
		for i, s := range f.Job.Steps {
			events := f.Trace.Step(i)
			told := map[string]bool{}
			for j := range events {
				e := &events[j]
				if e.Fastener == nil || e.Action.Verb != procedure.Fit || e.Before.Fastener(e.Fastener).In() {
					continue
				}
				noun, each := newIn(e.Fastener.Note)
				if noun == "" {
					continue
				}
				t := lying(f, s, noun)
				if t == nil {
					told[noun] = true
					report(diagnostic.Diagnostic{
						Span: object(e), Wrong: say.That("step %step fits fastener %number, whose row asks for %note, and none lies ready", number(e), say.Name(e.Fastener.ID), say.Quote(e.Fastener.Note)),
						Advice: say.That("List it in step %step, or write fit %number into the column fits of its row.", say.Name(s.ID), say.Name(e.Fastener.ID)), See: []diagnostic.Related{registered(&e.Fastener.Row)},
					})
					continue
				}
				if used[t] == nil {
					used[t] = &taken{}
				}
				used[t].add(e, each)
			}
			for _, b := range s.Blocks {
				if text := b.Shows().Text; text != nil {
					f.newInWords(s, events, *text, told, report)
				}
			}
		}
		for _, t := range f.Job.Machine.Tools {
			have := stocked(t)
			if u := used[t]; u != nil && have > 0 && u.pieces > have {
				report(diagnostic.Diagnostic{
					Span: t.Span, Wrong: say.That("%pieces pieces of %thing go in, and there %have(is|are) %have", say.Count(u.pieces), say.Name(t.ID), say.Count(have)),
					Advice: say.That("Raise its quantity to %pieces pcs.", say.Count(u.pieces)), See: u.at,
				})
			}
		}
	},
}

// taken is how many pieces of a consumable go in, and where.
type taken struct {
	pieces int
	at     []diagnostic.Related
}

func (t *taken) add(e *state.Event, each int) {
	t.pieces += each * max(e.Fastener.Count, 1)
	t.at = append(t.at, see(e, say.That("goes in here: %note", say.Quote(e.Fastener.Note)))...)
}

func stocked(t *procedure.Tool) int {
	if t.Quantity.Dimension() != measure.Count {
		return 0
	}
	return int(t.Quantity.Float("pcs"))
}

// newPart finds what is commonly renewed in words such as "two new sealing rings each": how many, and the noun.
var newPart = regexp.MustCompile(`(?i)(?:\b(\d+|a|an|one|two|three|four|five|six|ein|eine|einen|zwei|drei|vier|fünf|sechs) )?\b(?:new|neue[nrs]?) (?:[\pL-]+ ){0,2}?([\pL-]*(?:gaskets?|seals?|rings?|washers?|circlips?|clips?|split pins?|packings?|membranes?|diaphragms?|dichtung(?:en)?|dichtringe?|ringe?|scheiben?|splinte?))\b`)

var figures = map[string]int{"two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "zwei": 2, "drei": 3, "vier": 4, "fünf": 5, "sechs": 6}

// newIn reads a note: the noun of what is new, in the singular, and how many go to each piece; an empty noun for none.
func newIn(note string) (noun string, each int) {
	m := newPart.FindStringSubmatch(note)
	if m == nil {
		return "", 0
	}
	each = 1
	if n, err := strconv.Atoi(m[1]); err == nil {
		each = n
	} else if n := figures[strings.ToLower(m[1])]; n > 0 {
		each = n
	}
	return newNoun(m[2]), each
}

// newNoun is the noun that a consumable is looked for by: "ring" for "sealing-rings".
func newNoun(s string) string {
	all := lastWord.FindAllString(strings.ToLower(s), -1)
	return singular(all[len(all)-1])
}

// lying returns the consumable among the step's tools that has the noun in its name; nil for none.
func lying(f *Facts, s *procedure.Step, noun string) *procedure.Tool {
	for _, r := range s.Tools {
		if t := f.Job.Machine.Thing(r.ID); t != nil && t.Tool != nil && (speaksOf(t.Tool.Name, noun) || strings.HasSuffix(nounOf(t.Tool.Name), noun)) {
			return t.Tool
		}
	}
	return nil
}

// newInWords reports a new part that the words of a step take, where none lies ready and none is fitted by an act.
func (f *Facts) newInWords(s *procedure.Step, events []state.Event, p procedure.Prose, told map[string]bool, report func(diagnostic.Diagnostic)) {
	for _, q := range p.Paragraphs() {
		for _, x := range hazard.Sentences(q.Text) {
			if low := strings.ToLower(x); !strings.Contains(low, "new ") && !strings.Contains(low, "neue") { // most say neither
				continue
			}
			m := newPart.FindStringSubmatch(x)
			if m == nil || refused.MatchString(x) {
				continue
			}
			noun := newNoun(m[2])
			fitted := slices.ContainsFunc(events, func(e state.Event) bool {
				_, nouns := once(&e)
				return e.Action.Verb == procedure.Fit && slices.Contains(nouns, noun)
			})
			if told[noun] || fitted || lying(f, s, noun) != nil {
				continue
			}
			told[noun] = true
			d := diagnostic.Diagnostic{
				Span: q.SpanOf(0, len(q.Text)), Wrong: say.That("the words say %words, and no %noun is among the tools of step %step", say.Quote(x), say.Word(noun), say.Name(s.ID)),
				Advice: say.That("List it in step %step, or fit it by an act, with yes in the column single-use of its row.", say.Name(s.ID)),
			}
			for _, t := range f.Job.Machine.Tools {
				if t.Kind == procedure.Consumable && speaksOf(t.Name, noun) {
					d.See = append(d.See, registered(&t.Row))
				}
			}
			report(d)
		}
	}
}

var refused = regexp.MustCompile(`(?i)\b(?:no|not|never|until|later|order|nicht|kein\pL*|nie|später|bestell\pL*)\b`)
