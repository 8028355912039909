package source

import (
	"slices"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// actions reads the list of a fasteners or actions block.
func (r *reader) actions(b *block) []*procedure.Action {
	var out []*procedure.Action
	for _, item := range r.items(b) {
		out = r.action(out, item)
	}
	if len(out) == 0 && b.node.ChildCount() == 0 {
		r.report("empty-block", b.span, "this block lists no action", "Write a list: a verb, and what it is done to. Or take the block out.")
	}
	return out
}

// action reads "VERB NAMES [PREPOSITION NAMES][: REASON]" and adds one action for each name.
func (r *reader) action(out []*procedure.Action, item *ast.ListItem) []*procedure.Action {
	head, span, reason := r.head(item)
	src := span.Text()
	rule := ruleOf(head, src)
	if rule == nil {
		words := wordsOf(head, span)
		if len(words) == 0 {
			r.report("action-syntax", span, "this action is empty", "Write a verb and what it is done to.")
			return out
		}
		r.report("unknown-verb", words[0].Span, "there is no action "+quote(words[0].ID),
			diagnostic.Suggest(words[0].ID, verbNames(), "Use one of: "+strings.Join(verbNames(), ", ")+"."))
		return out
	}
	src = lineEnds.Replace(src)
	objects, with := len(src), len(src)
	if at := wordAt(src[len(rule.Verb):], rule.Word); at >= 0 {
		objects = len(rule.Verb) + at
		with = min(objects+len(rule.Word)+2, len(src))
	}
	names, written := r.names(src[len(rule.Verb):objects], span.Sub(len(rule.Verb), objects))
	if len(names) == 0 {
		if !written {
			r.report("action-syntax", span, quote(string(rule.Verb))+" names nothing", "Say what it is done to: "+actionForm(rule)+".")
		}
		return out
	}
	further, written := r.names(src[with:], span.Sub(with, len(src)))
	if rule.NeedsWith && !written {
		r.report("action-syntax", span, quote(string(rule.Verb))+" does not say "+rule.Word+" what", "Write: "+actionForm(rule)+".")
	}
	if rule.NeedsReason && reason.Empty() {
		r.report("missing-reason", span, quote(string(rule.Verb))+" has no reason",
			"Say why, after a colon: "+string(rule.Verb)+" "+names[0].ID+": carries the part until the hoist does.")
	}
	verb := span.Sub(0, len(rule.Verb))
	for _, n := range names {
		out = append(out, &procedure.Action{
			Verb: rule.Verb, VerbSpan: verb, Object: n, With: further, Reason: reason, Span: span,
		})
	}
	return out
}

func actionForm(rule *procedure.VerbRule) string {
	form := string(rule.Verb) + " name"
	if rule.Word != "" {
		form += " " + rule.Word + " name"
	}
	return form
}

// ruleOf finds the verb that an action starts with, as read and as written; nil when there is none.
func ruleOf(head, src string) *procedure.VerbRule {
	var found *procedure.VerbRule
	for i := range procedure.VerbRules {
		v := &procedure.VerbRules[i]
		word := string(v.Verb)
		if strings.HasPrefix(head, word) && strings.HasPrefix(src, word) && (len(head) == len(word) || head[len(word)] == ' ') {
			if found == nil || len(word) > len(found.Verb) {
				found = v
			}
		}
	}
	return found
}

// wordAt returns where the space before a word stands that has spaces around it or ends the text; -1 for none.
func wordAt(s, word string) int {
	if word == "" {
		return -1
	}
	for from := 1; from < len(s); from++ {
		at := strings.Index(s[from:], word)
		if at < 0 {
			break
		}
		from += at
		if end := from + len(word); s[from-1] == ' ' && (end == len(s) || s[end] == ' ') {
			return from - 1
		}
	}
	return -1
}

// names reads a comma-separated list of names and reports what is not one.
func (r *reader) names(s string, span text.Span) (names []procedure.Ref, written bool) {
	all := splitRefs(s, span)
	written = len(all) > 0
	names = slices.DeleteFunc(all, func(ref procedure.Ref) bool {
		if isName(ref.ID) || isCallout(ref.ID) {
			return false
		}
		r.report("bad-name", ref.Span, quote(ref.ID)+" is not a name or a callout number",
			"Use names from the machine's registers, separated by commas; write a reason after a colon.")
		return true
	})
	return names, written
}

// lineEnds turns line ends and tabs into spaces, byte for byte, so that places stay true.
var lineEnds = strings.NewReplacer("\n", " ", "\r", " ", "\t", " ")

func verbNames() []string {
	var out []string
	for _, v := range procedure.VerbRules {
		out = append(out, string(v.Verb))
	}
	return out
}

// handLift reads the geometry of a lift by hand.
func (r *reader) handLift(b *block) procedure.HandLift {
	amount := func(name string, d measure.Dimension) measure.Quantity {
		v := b.get(name)
		if v == nil {
			return measure.Quantity{}
		}
		return r.quantity(v.text, v.span, d)
	}
	return procedure.HandLift{
		Reach: amount("reach", measure.Length), From: amount("from", measure.Length), To: amount("to", measure.Length),
		Twist: amount("twist", measure.Angle), Grip: b.words("grip"),
	}
}
