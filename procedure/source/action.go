package source

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/yuin/goldmark/ast"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// actions reads the list of a fasteners or actions block.
func (r *reader) actions(b *block) []*procedure.Action {
	var out []*procedure.Action
	for _, item := range r.items(b) {
		out = r.action(out, item)
	}
	if len(out) == 0 && b.node.ChildCount() == 0 {
		r.report("empty-block", b.span, say.That("this block lists no action"), say.That("Write a list: a verb, and what it is done to. Or take the block out."))
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
			r.report("action-syntax", span, say.That("this action is empty"), say.That("Write a verb and what it is done to."))
			return out
		}
		if small := strings.ToLower(words[0].ID); slices.Contains(verbNames(), small) {
			r.report("unknown-verb", words[0].Span, say.That("there is no action %verb", say.Quote(words[0].ID)), say.That("Write it in small letters: %verb.", say.Word(small)), diagnostic.Replace(words[0].Span, small, true))
			return out
		}
		if verb, ok := verbsByWord[strings.ToLower(words[0].ID)]; ok {
			r.report("unknown-verb", words[0].Span, say.That("there is no action %verb", say.Quote(words[0].ID)), say.That("Write our word for it: %verb.", say.Word(verb)), diagnostic.Replace(words[0].Span, string(verb), false))
			return out
		}
		otherwise := oneOf(verbNames())
		if r.isTask(item) {
			otherwise = say.That("%verbs Where nothing of that is done, take the box out.", otherwise)
		}
		r.reportNear("unknown-verb", words[0].Span, say.That("there is no action %verb", say.Quote(words[0].ID)), words[0].ID, verbNames(), otherwise)
		return out
	}
	src = lineEnds.Replace(src)
	objects, with := len(src), len(src)
	if at := wordAt(src[len(rule.Verb):], rule.Word); at >= 0 {
		objects = len(rule.Verb) + at
		with = min(objects+len(rule.Word)+2, len(src))
	}
	counts := map[int]procedure.Count{}
	names, written := r.names(src[len(rule.Verb):objects], span.Sub(len(rule.Verb), objects), counts)
	if len(names) == 0 {
		if !written {
			r.report("action-syntax", span, say.That("%verb names nothing", say.Quote(rule.Verb)), say.That("Say what it is done to: %form.", say.Word(actionForm(rule))))
		}
		return out
	}
	further, written := r.names(src[with:], span.Sub(with, len(src)), nil)
	if rule.NeedsWith && !written {
		r.report("action-syntax", span, say.That("%verb does not say %word what", say.Quote(rule.Verb), say.Word(rule.Word)), say.That("Write: %form.", say.Word(actionForm(rule))))
	}
	if rule.NeedsReason && reason.Empty() {
		r.report("missing-reason", span, say.That("%verb has no reason", say.Quote(rule.Verb)),
			say.That("Say why, after a colon: %verb %name: carries the part until the hoist does.", say.Word(rule.Verb), say.Name(names[0].ID)))
	}
	verb := span.Sub(0, len(rule.Verb))
	for _, n := range names {
		out = append(out, &procedure.Action{
			Verb: rule.Verb, VerbSpan: verb, Object: n, Count: counts[n.Span.Start], With: further, Reason: reason, Span: span,
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

// names reads a comma-separated list of names and reports what is not one. What was
// likely meant is read on. Counts in front of names, as in "4 of 6", go into counts by the
// place of the name; nil takes none.
func (r *reader) names(s string, span text.Span, counts map[int]procedure.Count) (names []procedure.Ref, written bool) {
	all := splitRefs(s, span)
	for _, ref := range all {
		if isReference(ref.ID) {
			names = append(names, ref)
			continue
		}
		if at := counted.FindStringSubmatchIndex(ref.ID); at != nil && counts != nil {
			n, _ := strconv.Atoi(ref.ID[at[2]:at[3]]) // four digits at most
			count := procedure.Count{N: n, Span: ref.Span.Sub(at[2], at[3])}
			ref = procedure.Ref{ID: ref.ID[at[4]:at[5]], Span: ref.Span.Sub(at[4], at[5])}
			counts[ref.Span.Start] = count
			if isReference(ref.ID) {
				names = append(names, ref)
				continue
			}
		}
		names = append(names, r.badName(ref)...)
	}
	return names, len(all) > 0
}

// counted is a name with a count in front of it.
var counted = regexp.MustCompile(`^([1-9][0-9]{0,3})\s+of\s+([a-z0-9-]+)$`)

// between are what people write between names where a comma belongs.
var between = regexp.MustCompile(`\s*(?:;|&|\+|\band\b|\s)\s*`)

// badName reports what is no name, and returns the names that were likely meant.
func (r *reader) badName(ref procedure.Ref) (meant []procedure.Ref) {
	what := say.That("%name is not a name or a callout number", say.Quote(ref.ID))
	words := strings.TrimRight(ref.ID, ".;")
	reason := strings.IndexAny(words, "(–—")
	if dash := strings.Index(words, " - "); reason < 0 {
		reason = dash
	}
	switch {
	case strings.Contains(ref.Span.Text(), "\n"):
		r.report("bad-name", ref.Span, what, say.That("Put an empty line between the list and the text below it."))
		return nil
	case strings.ContainsAny(words, "{}"):
		r.report("bad-name", ref.Span, what, say.That("Write attributes at the end of the line, in braces that are closed."))
		return nil
	case reason > 0 && isReference(strings.TrimSpace(words[:reason])):
		r.report("bad-name", ref.Span, what, say.That("Write a reason after a colon: %name: %reason.", say.Name(strings.TrimSpace(words[:reason])), say.Name(strings.Trim(words[reason:], " ()-–—"))))
		return []procedure.Ref{{ID: strings.TrimSpace(words[:reason]), Span: ref.Span}}
	}
	parts := between.Split(words, -1)
	for _, part := range parts {
		if !isCallout(part) && (len(parts) > 1 || !isName(part)) {
			parts = nil
			break
		}
		meant = append(meant, procedure.Ref{ID: part, Span: ref.Span})
	}
	switch {
	case len(parts) > 0:
		list := strings.Join(parts, ", ")
		r.report("bad-name", ref.Span, what, say.That("Write %names: commas stand between names.", say.Name(list)), diagnostic.Replace(ref.Span, list, true))
		return meant
	case slug(words) != words && isName(slug(words)) && !startsWithDigit(words) && len(strings.Fields(words)) < 4:
		r.reportNear("bad-name", ref.Span, what, slug(words), []string{slug(words)}, say.That("Use lower-case letters, digits and hyphens."))
		return nil
	}
	r.report("bad-name", ref.Span, what, say.That("Use names from the machine's registers, separated by commas; write a reason after a colon."))
	return nil
}

// isReference reports whether a word can name a thing.
func isReference(s string) bool { return isName(s) || isCallout(s) }

// lineEnds turns line ends and tabs into spaces, byte for byte, so that places stay true.
var lineEnds = strings.NewReplacer("\n", " ", "\r", " ", "\t", " ")

func verbNames() []string {
	var out []string
	for _, v := range procedure.VerbRules {
		out = append(out, string(v.Verb))
	}
	return out
}
