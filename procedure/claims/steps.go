package claims

import (
	"slices"

	"matchmark/procedure"
)

// StepNamed is the index of the only step whose title has all the words of a line, such as "Take the caps off" for "Take both
// caps off"; -1 when there is none, or more than one.
func StepNamed(line string, steps []*procedure.Step) int {
	want := content(line)
	if len(want) < 2 {
		return -1
	}
	found := -1
	for i, s := range steps {
		title := content(s.Title)
		if slices.ContainsFunc(want, func(w string) bool { return !slices.Contains(title, w) }) {
			continue
		}
		if slices.Equal(want, title) {
			return i
		}
		if found >= 0 {
			return -1
		}
		found = i
	}
	return found
}

// content are the words of a line that say something, in the singular.
func content(line string) (out []string) {
	for _, w := range words(line) {
		if !articles[w] && !numbered(w) {
			out = append(out, singular(w))
		}
	}
	return out
}
