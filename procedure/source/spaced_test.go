package source

import (
	"strings"
	"testing"
)

// What to do is said in the author's own words, and messages show nothing of the program's inside.
func TestAdviceOnValues(t *testing.T) {
	for src, want := range map[string]string{
		"::: step a \"A\" {time=5 min}\nWords.\n:::\n":                                                      `Write time="5 min".`,
		"::: step a \"A\" {time=about 5 minutes}\nWords.\n:::\n":                                            "Write minutes: time=6, or time=4/6/10.",
		"::: step a \"A\" {time=4-6-10}\nWords.\n:::\n":                                                     "Write minutes, such as 6, or 4/6/10.",
		"::: step a \"A\" {time=4 / 6 / 10}\nWords.\n:::\n":                                                 `Write time="4 / 6 / 10".`,
		"::: step a \"A\" {time=6 tools='ratchet'}\nWords.\n:::\n":                                          `Write tools="ratchet".`,
		"::: step a \"A\" {time=6}\nWords.\n::: actions\n-\u00a0inspect guard\n- inspect guard\n:::\n:::\n": "Type the space behind the hyphen anew: it is a non-breaking one.",
		"::: step a \"A\" {time=6}\nWords.\n::: variant\nMore.\n:::\n:::\n":                                 "Write them behind the kind: ::: variant name, other-name.",
		"::: step a \"A\" {time=\"soon\"}\nWords.\n:::\n":                                                   "Write minutes, such as 6, or 4/6/10.",
		"::: step a \"A\" {time=6 tools=“ratchet, socket”}\nWords.\n:::\n":                                  `Write tools="ratchet, socket".`,
		"::: step a \"A\" {time=6}\n::: actions\n- remove 1 or 2\n:::\n:::\n":                               "Use names from the machine's registers, separated by commas; write a reason after a colon.",
	} {
		_, all := readProcedure(t, procedureHead+src)
		if len(all) != 1 || all[0].Advice.String() != want {
			t.Errorf("%s gives %v, want one message: %s", src, all, want)
		}
	}
	for value, want := range map[string]string{
		"pass: most":                  "a whole number is wanted here",
		"pass: 99999999999999999999":  "the number 99999999999999999999 is too large",
		"pass: 80\nwithout: torque-1": "a list is wanted here",
		"pass: 80\nsummary: [a, b]":   "one value is wanted here, not several",
	} {
		_, log := readFiles(t, map[string]string{"a.md": "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\n" + value + "\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n"})
		all := log.Sorted()
		if len(all) != 1 || !strings.Contains(all[0].Says().String(), want) {
			t.Errorf("%s gives %v, want one message: %s", value, all, want)
		}
	}
}
