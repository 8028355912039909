package check_test

import (
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/procedure/check/examples"
)

// TestAnswersOfReadings: what is asked about a reading, a table, a round or a wait agrees with what its step says.
func TestAnswersOfReadings(t *testing.T) {
	const step = `- [ ] read gap in mm: 2 mm to 4 mm {of=gearbox title="Gap at the flange"}

::: readings runout "Run-out" {of=gearbox unit=mm limits="at most 0.05 mm"}
| at | rim |
|---|---|
| 12 o'clock | |
| 6 o'clock | at most 0.03 mm |
:::

- [ ] wait 10 min: the gearbox cools
`
	for _, c := range []struct{ question, want string }{
		{`{type=number step=hoist-on answer="4 mm" tolerance="0.1 mm"}` + "\nHow wide may the gap be at most?", ""},
		{`{type=number step=hoist-on answer="0.03 mm" tolerance="0.001 mm"}` + "\nHow much may the rim run out below?", ""},
		{`{type=number step=hoist-on answer="5 mm" tolerance="0.1 mm"}` + "\nHow wide may the gap be at most?", `the answer is "5 mm", and what the question is about says "2 mm"`},
		{`{type=number step=hoist-on answer="10 min" tolerance="1 min"}` + "\nHow long does the gearbox cool?", ""},
		{`{type=number step=hoist-on answer="30 min" tolerance="1 min"}` + "\nHow long does the gearbox cool?", `the answer is "30 min", and what the question is about says "10 min"`},
		{`{type=single step=hoist-on}` + "\nHow wide may the gap be at most?\n- [x] 4 mm\n- [ ] 6 mm\n- [ ] 8 mm", ""},
		{`{type=single step=hoist-on}` + "\nHow wide may the gap be at most?\n- [ ] 4 mm\n- [x] 6 mm\n- [ ] 8 mm", `the answer is "6 mm", and what the question is about says "2 mm"`},
		{`{type=single step=hoist-on}` + "\nHow wide may the gap be at most?\n- [ ] 4 mm\n- [x] As the plate says\n- [ ] 8 mm", ""},
	} {
		files, err := examples.Compose(examples.Part{Place: "quiz", Text: "::: question asked " + c.question + "\n:::\n"})
		assert.NilError(t, err)
		const place = "procedures/service.md"
		files[place] = strings.Replace(files[place], "- [ ] remove 3\n", "- [ ] remove 3\n\n"+step, 1)
		all, _ := checkFiles(t, files)
		got := ""
		for _, d := range all {
			switch {
			case d.Code == "answer-differs":
				got = d.Wrong.String()
			case d.Code == "question-syntax" || d.Code == "block-syntax":
				t.Errorf("%s: %s", c.question, d.Wrong)
			}
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q\n%s", c.question, got, c.want, printed(t, all))
		}
	}
}
