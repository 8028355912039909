package edition

import (
	"slices"

	"matchmark/procedure"
)

// item is one item of a list: what it is compared by, and what a reader sees.
type item struct{ key, text string }

// plain makes items of words that are compared as they stand.
func plain(list []string) []item {
	out := make([]item, len(list))
	for i, s := range list {
		out[i] = item{s, s}
	}
	return out
}

func paragraphs(p procedure.Prose) []item {
	var out []item
	for _, q := range p.Paragraphs {
		out = append(out, item{q.Text, q.Text})
	}
	return out
}

// changes collects what is different.
type changes []Change

// value notes two values when they differ.
func (c *changes) value(what, before, after string) {
	if before != after {
		*c = append(*c, Change{What: what, Old: before, New: after})
	}
}

// flag notes two flags when they differ.
func (c *changes) flag(what string, before, after bool) {
	word := map[bool]string{true: "yes"}
	c.value(what, word[before], word[after])
}

// list notes two lists when their items differ, or their order.
func (c *changes) list(what string, before, after []item) {
	gone, come := without(before, after), without(after, before)
	keptBefore, keptAfter := keys(without(before, gone)), keys(without(after, come))
	reordered := !slices.Equal(keptBefore, keptAfter)
	if len(gone) > 0 || len(come) > 0 || reordered {
		*c = append(*c, Change{What: what, Gone: words(gone), Come: words(come), Reordered: reordered})
	}
}

// set notes two lists when their items differ; their order means nothing.
func (c *changes) set(what string, before, after []item) {
	gone, come := without(before, after), without(after, before)
	if len(gone) > 0 || len(come) > 0 {
		*c = append(*c, Change{What: what, Gone: words(gone), Come: words(come)})
	}
}

// without returns the items of a list that another has not, counting how often each is there.
func without(list, other []item) []item {
	count := map[string]int{}
	for _, i := range other {
		count[i.key]++
	}
	var out []item
	for _, i := range list {
		if count[i.key]--; count[i.key] < 0 {
			out = append(out, i)
		}
	}
	return out
}

func keys(list []item) []string {
	var out []string
	for _, i := range list {
		out = append(out, i.key)
	}
	return out
}

func words(list []item) []string {
	var out []string
	for _, i := range list {
		out = append(out, i.text)
	}
	return out
}
