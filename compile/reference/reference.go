// Package reference writes what authors look up: the language of the dialect
// and the messages, as pages of the site and as plain text. Everything in it is
// generated from the grammar, the unit table and the rules; there is no second list.
package reference

import (
	"matchmark/compile/library"
	"matchmark/procedure/check"
	"matchmark/procedure/check/order"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

// The places of the pages in the site.
const (
	LanguagePath = "reference/language.html"
	MessagesPath = "reference/messages.html"
	GuidePath    = "reference/first-procedure.html"
)

// ruleSet is the rules of one package.
type ruleSet struct {
	// Name leads to the set's heading, "reference.set.NAME" in the words.
	Name  string
	Rules []diagnostic.Rule
}

// ruleSets lists all rules in the order of the messages page. A package with
// rules of its own is one line here, with a heading in themes/words; each of its
// codes needs a case in procedure/check/examples, which a test asks for.
func ruleSets() []ruleSet {
	return []ruleSet{
		{"reading", source.Rules()},
		{"checking", append(check.Rules(), order.NotChecked())},
		{"order", order.Rules()},
		{"pictures", library.Rules()},
		{"allowing", diagnostic.AllowRules()},
		{"own", []diagnostic.Rule{diagnostic.OwnFault()}},
	}
}

// Rules documents every code, in the order of the messages page.
func Rules() []diagnostic.Rule {
	var out []diagnostic.Rule
	for _, s := range ruleSets() {
		out = append(out, s.Rules...)
	}
	return out
}
