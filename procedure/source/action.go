package source

import (
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
		out = append(out, r.action(item)...)
	}
	if len(out) == 0 && b.node.ChildCount() == 0 {
		r.report("empty-block", b.span, "this block lists no action", "Write a list: a verb, and what it is done to. Or take the block out.")
	}
	return out
}

// action reads "VERB NAMES [PREPOSITION NAMES][: REASON]"; one action for each name.
func (r *reader) action(item *ast.ListItem) []*procedure.Action {
	head, span, reason := r.head(item)
	rule, verbSpan, rest := splitVerb(head, span)
	if rule.Verb == "" {
		words := wordsOf(head, span)
		if len(words) == 0 {
			r.report("action-syntax", span, "this action is empty", "Write a verb and what it is done to.")
			return nil
		}
		r.report("unknown-verb", words[0].Span, "there is no action "+quote(words[0].ID),
			diagnostic.Suggest(words[0].ID, verbNames(), "Use one of: "+strings.Join(verbNames(), ", ")+"."))
		return nil
	}
	objects, with := rest, text.Span{}
	if rule.Word != "" {
		if at := strings.Index(flat(rest)+" ", " "+rule.Word+" "); at >= 0 {
			objects = rest.Sub(0, at)
			with = rest.Sub(min(at+len(rule.Word)+2, len(rest.Text())), len(rest.Text()))
		}
	}
	names := r.names(objects)
	if len(names) == 0 {
		r.report("action-syntax", span, quote(string(rule.Verb))+" names nothing", "Say what it is done to: "+actionForm(rule)+".")
		return nil
	}
	var further []procedure.Ref
	if with.Valid() {
		further = r.names(with)
	}
	if rule.NeedsWith && len(further) == 0 {
		r.report("action-syntax", span, quote(string(rule.Verb))+" does not say "+rule.Word+" what", "Write: "+actionForm(rule)+".")
	}
	if rule.NeedsReason && reason.Empty() {
		r.report("missing-reason", span, quote(string(rule.Verb))+" has no reason",
			"Say why, after a colon: "+string(rule.Verb)+" "+names[0].ID+": carries the part until the hoist does.")
	}
	var out []*procedure.Action
	for _, n := range names {
		out = append(out, &procedure.Action{
			Verb: rule.Verb, VerbSpan: verbSpan, Object: n, With: further, Reason: reason, Span: span,
		})
	}
	return out
}

func actionForm(rule procedure.VerbRule) string {
	form := string(rule.Verb) + " name"
	if rule.Word != "" {
		form += " " + rule.Word + " name"
	}
	return form
}

// splitVerb finds the verb at the start of an action; a zero rule means that there is none.
func splitVerb(head string, span text.Span) (rule procedure.VerbRule, verb, rest text.Span) {
	src := span.Text()
	for _, v := range procedure.VerbRules {
		word := string(v.Verb)
		if strings.HasPrefix(head, word) && strings.HasPrefix(src, word) && (len(head) == len(word) || head[len(word)] == ' ') {
			if len(word) > len(rule.Verb) {
				rule = v
			}
		}
	}
	n := len(rule.Verb)
	return rule, span.Sub(0, n), span.Sub(n, len(src))
}

// names reads a comma-separated list of names and reports what is not one.
func (r *reader) names(span text.Span) []procedure.Ref {
	var out []procedure.Ref
	for _, ref := range splitRefs(flat(span), span) {
		if !isName(ref.ID) && !isCallout(ref.ID) {
			r.report("bad-name", ref.Span, quote(ref.ID)+" is not a name or a callout number",
				"Use names from the machine's registers, separated by commas; write a reason after a colon.")
			continue
		}
		out = append(out, ref)
	}
	return out
}

// flat is a span's text with its line ends turned into spaces, byte for byte, so that places stay true.
func flat(span text.Span) string {
	return strings.NewReplacer("\n", " ", "\r", " ", "\t", " ").Replace(span.Text())
}

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
