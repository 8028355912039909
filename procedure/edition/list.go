package edition

// item is one item of a list: what it is compared by, and what a reader sees. An item without
// text is seen in no list: it says where a block begins, how words are marked up, or with an empty key that a value is not stated.
type item struct{ key, text string }

// plain makes items of words that are compared as they stand.
func plain(list []string) []item {
	out := make([]item, len(list))
	for i, s := range list {
		out[i] = item{s, s}
	}
	return out
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

// words are what a reader sees of the items.
func words(list []item) []string {
	var out []string
	for _, i := range list {
		if i.text != "" {
			out = append(out, i.text)
		}
	}
	return out
}
