package source

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure/diagnostic"
)

// broken is a source with marks, and what it brings: the codes at the marks, in order.
type broken struct {
	name, src string
	codes     []string
}

// What authors get wrong, each with the places that the messages point at, in
// file order. Anything that is reported besides fails the test.
func TestBroken(t *testing.T) {
	eachBroken(func(file, head string, c broken) {
		t.Run(file+"/"+c.name, func(t *testing.T) {
			src, marked := unmark(head + c.src)
			expect(t, file, marked, c.codes, readBroken(t, file, src))
		})
	})
}

func eachBroken(f func(file, head string, c broken)) {
	for _, c := range brokenProcedures() {
		f("job.md", procedureHead, c)
	}
	for _, c := range brokenMachines() {
		f("mixer.md", machineHead, c)
	}
	for _, c := range brokenQuizzes() {
		f("check.md", quizHead, c)
	}
}

// readBroken reads one file; a procedure has a machine beside it.
func readBroken(t *testing.T, file, src string) []diagnostic.Diagnostic {
	t.Helper()
	if file == "job.md" {
		_, all := readProcedure(t, src)
		return all
	}
	_, log := readFiles(t, map[string]string{file: src})
	return log.Sorted()
}

// Where a fault stands does not depend on how the file is stored: line endings
// of two bytes, a byte-order mark, words of several bytes before it.
func TestPlacesInOtherFiles(t *testing.T) {
	places := func(all []diagnostic.Diagnostic, down int) []string {
		var out []string
		for _, d := range all {
			from, to := d.Span.At(), d.Span.File.Position(d.Span.End)
			out = append(out, fmt.Sprintf("%s %d:%d-%d:%d %s %s", d.Code, from.Line-down, from.Column, to.Line-down, to.Column, d.Says(), d.Advice))
			for _, r := range d.See {
				out = append(out, fmt.Sprintf("  %d:%d %s", r.Span.At().Line-down, r.Span.At().Column, r.Says))
			}
		}
		return out
	}
	eachBroken(func(file, head string, c broken) {
		t.Run(file+"/"+c.name, func(t *testing.T) {
			src, _ := unmark(head + c.src)
			want := places(readBroken(t, file, src), 0)
			for how, other := range map[string]string{
				"CRLF":                       strings.ReplaceAll(src, "\n", "\r\n"),
				"byte-order mark":            "\uFEFF" + src,
				"no last newline":            strings.TrimSuffix(src, "\n"),
				"spaces at the end of lines": strings.ReplaceAll(src, ":::\n", ":::  \n"),
			} {
				if got := places(readBroken(t, file, other), 0); !slices.Equal(got, want) {
					t.Errorf("%s: got\n%s\nwant\n%s", how, strings.Join(got, "\n"), strings.Join(want, "\n"))
				}
			}
			down := strings.Replace(src, "title: ", "summary: Größe ½ 🔩\ntitle: ", 1)
			if got := places(readBroken(t, file, down), 1); !slices.Equal(got, want) {
				t.Errorf("a line of other letters before it: got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
			}
		})
	})
}

func brokenProcedures() []broken {
	return []broken{
		{"unclosed at the end", "«::: step a \"A\" {time=6}»\nWords.\n", []string{"unclosed-block"}},
		{"unclosed at the end without newline", "«::: step a \"A\" {time=6}»\nWords.", []string{"unclosed-block"}},
		{"unclosed before the next step",
			"«::: step a \"A\" {time=6}»\nWords.\n::: step b \"B\" {time=6}\nWords.\n:::\n::: step c \"C\" {time=6}\nWords.\n:::\n",
			[]string{"unclosed-block"}},
		{"two unclosed before the next step",
			"«::: step a \"A\" {time=6}»\n«::: tip»\nWords.\n::: step b \"B\" {time=6}\nWords.\n:::\n",
			[]string{"unclosed-block", "unclosed-block"}},
		{"unclosed inside a longer fence", ":::: step a \"A\" {time=6}\n«::: tip»\nWords.\n::::\n", []string{"unclosed-block"}},
		{"unclosed inner block takes the outer one's closing line",
			"«::: step a \"A\" {time=6}»\n::: tip\nWords.\n:::\n", []string{"unclosed-block"}},
		{"stray closing line", stepHead + "Words.\n:::\n\n«:::»\n", []string{"stray-fence"}},
		{"closing line of another length", ":::: step a \"A\" {time=6}\nWords.\n«:::»\n::::\n", []string{"stray-fence"}},
		{"closing line behind the front matter", "«::::»\n" + stepHead + "Words.\n:::\n", []string{"stray-fence"}},
		{"block in a procedure that belongs in a step", "::: «tip»\nWords.\n:::\n" + stepHead + "Words.\n:::\n", []string{"misplaced-block"}},
		{"block in a block that takes none", stepHead + "::: tip\nWords.\n::: «tip»\nWords.\n:::\n:::\n:::\n", []string{"misplaced-block"}},
		{"block of a quiz in a step", stepHead + "Words.\n::: «question» q {type=single}\nWhat?\n:::\n:::\n", []string{"misplaced-block"}},
		{"fence in a list", stepHead + "- item\n  «::: tip»\n  Words.\n  :::\n:::\n", []string{"misplaced-block"}},
		{"fence in a quotation", stepHead + "> «::: tip»\n> Words.\n> :::\n:::\n", []string{"misplaced-block"}},
		{"closing line that is indented", stepHead + "- item\n  :::\n«:::»\n", []string{"stray-fence"}},
		{"unknown kind", stepHead + "Words.\n::: «tipp»\nWords.\n:::\n:::\n", []string{"unknown-block"}},
		{"kind in capitals", stepHead + "Words.\n::: «Tip»\nWords.\n:::\n:::\n", []string{"unknown-block"}},
		{"title without its closing mark", "::: step a \"«Look {time=6}»\nWords.\n:::\n", []string{"fence-syntax"}},
		{"value without its closing mark", "::: step a \"A\" {time=6 tools=\"«socket-13}»\nWords.\n:::\n", []string{"fence-syntax"}},
		{"brace not closed", "::: step a \"A\" «{»time=6\nWords.\n:::\n", []string{"fence-syntax"}},
		{"words behind the braces", "::: step a \"A\" {time=6} «and more»\nWords.\n:::\n", []string{"fence-syntax"}},
		{"curly quotation marks", "::: step a «“Look” {time=6}»\nWords.\n:::\n", []string{"fence-syntax"}},
		{"no name before the equals sign", "::: step a \"A\" {time=6 «=»«6»}\nWords.\n:::\n", []string{"fence-syntax", "unknown-attribute"}},
		{"name missing", "::: «step» \"A\" {time=6}\nWords.\n:::\n", []string{"missing-name"}},
		{"name with a capital", "::: step «Look» \"A\" {time=6}\nWords.\n:::\n", []string{"bad-name"}},
		{"title missing", "«::: step a {time=6}»\nWords.\n:::\n", []string{"missing-title"}},
		{"title blank", "«::: step a \" \" {time=6}»\nWords.\n:::\n", []string{"missing-title"}},
		{"time missing", "«::: step a \"A\"»\nWords.\n:::\n", []string{"missing-attribute"}},
		{"time without a value", "::: step a \"A\" {«time»}\nWords.\n:::\n", []string{"attribute-value"}},
		{"time with nothing behind the sign", "::: step a \"A\" {«time»=}\nWords.\n:::\n", []string{"attribute-value"}},
		{"empty list of names", "::: step a \"A\" {time=6 «needs»=\"\" «tools»=,}\nWords.\n:::\n", []string{"attribute-value", "attribute-value"}},
		{"time negative", "::: step a \"A\" {time=«-4»}\nWords.\n:::\n", []string{"bad-time"}},
		{"optimistic over likely", "::: step a \"A\" {time=«6/4»/10}\nWords.\n:::\n", []string{"bad-time"}},
		{"likely over pessimistic", "::: step a \"A\" {time=4/«10/6»}\nWords.\n:::\n", []string{"bad-time"}},
		{"two times", "::: step a \"A\" {time=«4/6»}\nWords.\n:::\n", []string{"bad-time"}},
		{"time in the wrong unit", "::: step a \"A\" {time=\"«6 kg»\"}\nWords.\n:::\n", []string{"bad-time"}},
		{"time in words", "::: step a \"A\" {time=«six»}\nWords.\n:::\n", []string{"bad-time"}},
		{"no people", "::: step a \"A\" {time=6 people=«0»}\nWords.\n:::\n", []string{"attribute-value"}},
		{"half a person", "::: step a \"A\" {time=6 people=«1.5»}\nWords.\n:::\n", []string{"attribute-value"}},
		{"flag with a value", "::: step a \"A\" {time=6 safe-stop=«yes»}\nWords.\n:::\n", []string{"attribute-value"}},
		{"attribute twice", "::: step a \"A\" {time=6 «time»=7}\nWords.\n:::\n", []string{"repeated-attribute"}},
		{"time with a unit and no quotation marks", "::: step a \"A\" {time=«5 min» people=2}\nWords.\n:::\n", []string{"attribute-value"}},
		{"time in words", "::: step a \"A\" {time=«about 5 minutes» people=2}\nWords.\n:::\n", []string{"attribute-value"}},
		{"time in words in quotation marks", "::: step a \"A\" {time=\"«about 5 minutes»\"}\nWords.\n:::\n", []string{"bad-time"}},
		{"names without quotation marks", "::: step a \"A\" {time=6 tools=«ratchet, socket» safe-stop}\nWords.\n:::\n", []string{"attribute-value"}},
		{"names in curly quotation marks", "::: step a \"A\" {time=6 tools=«“ratchet, socket”» safe-stop}\nWords.\n:::\n", []string{"attribute-value"}},
		{"one name in curly quotation marks", "::: step a \"A\" {tools=«“ratchet”» time=6}\nWords.\n:::\n", []string{"attribute-value"}},
		{"one name in single quotation marks", "::: step a \"A\" {tools=«'ratchet'» time=6}\nWords.\n:::\n", []string{"attribute-value"}},
		{"time with spaces", "::: step a \"A\" {time=«4 / 6 / 10» people=2}\nWords.\n:::\n", []string{"attribute-value"}},
		{"time with hyphens", "::: step a \"A\" {time=4«-6-10» people=2}\nWords.\n:::\n", []string{"bad-time"}},
		{"commas between attributes", "::: step a \"A\" {time=«6,» people=\"2\"«,» safe-stop}\nWords.\n:::\n", []string{"attribute-value", "unknown-attribute"}},
		{"spaces around the equals sign", "::: step a \"A\" {«time» = 4/6/10 «people» =2 safe-stop}\nWords.\n:::\n", []string{"fence-syntax", "fence-syntax"}},
		{"quantity without quotation marks", stepHead + "::: actions {reach=«30 cm» grip=good}\n- inspect guard\n:::\n:::\n", []string{"attribute-value"}},
		{"path without quotation marks", "::: figure a \"A\" {src=«my saw.svg» describe=\"A\"}\n:::\n" + stepHead + "Words.\n:::\n", []string{"attribute-value"}},
		{"flag mistyped behind a time", "::: step a \"A\" {time=6 «safestop»}\nWords.\n:::\n", []string{"unknown-attribute"}},
		{"word behind a time", "::: step a \"A\" {time=6 «urgent»}\nWords.\n:::\n", []string{"unknown-attribute"}},
		{"block with two colons", stepHead + "Words.\n«:: tip»\nMore.\n:::\n", []string{"fence-syntax"}},
		{"block behind a tab", stepHead + "Words.\n\n\t«::: tip»\n\tMore.\n\t:::\n:::\n", []string{"fence-syntax"}},
		{"block behind a tab, below a line of text", stepHead + "Words.\n\t«::: tip»\nMore.\n:::\n", []string{"fence-syntax"}},
		{"closing line behind spaces", stepHead + "::: tip\nWords.\n    «:::»\n:::\n:::\n", []string{"fence-syntax"}},
		{"attribute unknown", "::: step a \"A\" {time=6 «need»=isolated}\nWords.\n:::\n", []string{"unknown-attribute"}},
		{"two names for one figure", "::: step a \"A\" {time=6 figure=«front,side»}\nWords.\n:::\n", []string{"bad-name"}},
		{"signal word", stepHead + "::: caution «alert»\nHot.\n:::\n:::\n", []string{"attribute-value"}},
		{"word where a kind takes none", stepHead + "::: tip «first»\nWords.\n:::\n:::\n", []string{"fence-syntax"}},
		{"title where a kind takes none", stepHead + "::: tip \"«First»\"\nWords.\n:::\n:::\n", []string{"fence-syntax"}},
		{"empty caution", stepHead + "«::: caution»\n:::\n:::\n", []string{"empty-block"}},
		{"empty key point", stepHead + "«::: key-point \"Pull it off by hand\"»\n:::\n:::\n", []string{"missing-reason"}},
		{"empty hold", stepHead + "Words.\n«::: hold»\n:::\n:::\n", []string{"empty-block"}},
		{"empty list of actions", stepHead + "«::: actions»\n:::\n:::\n", []string{"empty-block"}},
		{"empty inspection", stepHead + "«::: inspect»\n:::\n:::\n", []string{"empty-block"}},
		{"empty step", "«::: step a \"A\" {time=6}»\n:::\n", []string{"empty-step"}},
		{"step of a comment", "«::: step a \"A\" {time=6}»\n<!-- later -->\n:::\n", []string{"empty-step"}},
		{"text between steps", stepHead + "Words.\n:::\n\n«More words.»\n", []string{"text-between-steps"}},
		{"hold before other blocks", stepHead + "«::: hold»\n- Clear\n:::\nWords.\n:::\n", []string{"hold-not-last"}},
		{"text in a block of actions", stepHead + "::: actions\n«Take it off.»\n:::\n:::\n", []string{"list-only"}},
		{"unknown verb", stepHead + "::: actions\n- «unscrew» 4\n:::\n:::\n", []string{"unknown-verb"}},
		{"verb without a name", stepHead + "::: actions\n- «remove»\n:::\n:::\n", []string{"action-syntax"}},
		{"verb without its second name", stepHead + "::: actions\n- «support gearbox»\n:::\n:::\n", []string{"action-syntax"}},
		{"not a name", stepHead + "::: actions\n- remove «the bolt», 5\n:::\n:::\n", []string{"bad-name"}},
		{"kept without a reason", stepHead + "::: fasteners\n- «keep 6»\n:::\n:::\n", []string{"missing-reason"}},
		{"kept with a colon and no reason", stepHead + "::: fasteners\n- «keep 6»:\n:::\n:::\n", []string{"missing-reason"}},
		{"action that is empty", stepHead + "::: actions\n«»- \n- remove 4\n:::\n:::\n", []string{"action-syntax"}},
		{"nothing acceptable", stepHead + "::: inspect\n- «Belt»\n:::\n:::\n", []string{"missing-limit"}},
		{"picture in the text", stepHead + "See ![«the front»](front.svg).\n:::\n", []string{"picture-in-text"}},
		{"HTML", stepHead + "Press «<b>» hard.\n:::\n", []string{"raw-html"}},
		{"block of HTML", stepHead + "«<div>\nWords.\n</div>»\n:::\n", []string{"raw-html"}},
		{"link to a file", stepHead + "See [«this»](other.md).\n:::\n", []string{"link-target"}},
		{"link that runs something", stepHead + "See [«this»](javascript:alert(1)).\n:::\n", []string{"link-target"}},
		{"reference link without a target", stepHead + "See «[the drawing][front]».\n:::\n", []string{"undefined-link"}},
		{"target without a link", stepHead + "Words.\n\n«[Note]: torque»\n:::\n", []string{"unused-link"}},
		{"cell too many in a table of the text", stepHead + "| a | b |\n|---|---|\n| 1 | 2 |« 3 |»\n:::\n", []string{"extra-cell"}},
	}
}

// Faults of machine files, marked in the same way.
func brokenMachines() []broken {
	parts := "::: register parts\n| id | name | mass |\n|---|---|---|\n"
	fasteners := "::: register fasteners\n| no | name | kind | torque | count |\n|---|---|---|---|---|\n"
	return []broken{
		{"no table", "«::: register parts»\n:::\n", []string{"register-table"}},
		{"words in place of a table", "::: register parts\n«The guard.»\n:::\n", []string{"register-table"}},
		{"line of dashes too short", "::: register parts\n«| id | name |\n|---|\n| a | A |»\n:::\n", []string{"register-table"}},
		{"line of dashes too long", "::: register parts\n| id | «name» |\n|---|---|---|\n| a | A |\n:::\n", []string{"register-table"}},
		{"column without a name", "::: register parts\n| id | name | «»|\n|---|---|---|\n| a | A | |\n:::\n", []string{"unknown-column"}},
		{"words behind a table", parts + "| a | A | |\n\n«And more.»\n:::\n", []string{"register-table"}},
		{"list item without a key", parts + "| a | A | |\n\n- «note heavy»\n:::\n", []string{"register-table"}},
		{"list item on no row", parts + "| a | A | |\n\n- «b»: note heavy\n:::\n", []string{"undefined-name"}},
		{"list item of no column", parts + "| a | A | |\n\n- a: «wait» 3 kg\n:::\n", []string{"unknown-column"}},
		{"list item without a value", parts + "| a | A | |\n\n- a: «note»\n:::\n", []string{"cell-value"}},
		{"list item without anything", parts + "| a | A | |\n\n- a:«»\n:::\n", []string{"cell-value"}},
		{"said twice", parts + "| a | A | 3 kg |\n\n- a: mass «4 kg»\n:::\n", []string{"repeated-column"}},
		{"name of all rows", "::: register parts\nEach: id «b»; note heavy\n\n| id | name |\n|---|---|\n| a | A |\n:::\n", []string{"cell-value"}},
		{"torque with two tolerances", "::: register fasteners\n| no | name | kind | torque | tolerance |\n|---|---|---|---|---|\n| 1 | Bolt | bolt | 45 ± 5 N·m | «5 %» |\n:::\n", []string{"cell-value"}},
		{"register twice", parts + "| a | A | |\n:::\n::: register «parts»\n| id | name |\n|---|---|\n| b | B |\n:::\n", []string{"repeated-register"}},
		{"unknown register", "::: register «part»\n| id | name |\n|---|---|\n| a | A |\n:::\n", []string{"attribute-value"}},
		{"register without a kind", "::: «register»\n| id | name |\n|---|---|\n| a | A |\n:::\n", []string{"missing-name"}},
		{"unknown column", "::: register parts\n| id | name | «price» |\n|---|---|---|\n| a | A | 3 kg |\n:::\n", []string{"unknown-column"}},
		{"column twice", "::: register parts\n| id | name | «name» |\n|---|---|---|\n| a | A | B |\n:::\n", []string{"repeated-column"}},
		{"column missing", "::: register parts\n| id | «mass» |\n|---|---|\n| a | 3 kg |\n:::\n", []string{"missing-column"}},
		{"row too long", parts + "| a | A | 3 kg |« more |»\n:::\n", []string{"extra-cell"}},
		{"row too long behind an empty cell", parts + "| a | A | |« more |»\n:::\n", []string{"extra-cell"}},
		{"row without a name", parts + "| «a» | | 3 kg |\n:::\n", []string{"cell-value"}},
		{"not a name", parts + "| «Guard» | A | |\n:::\n", []string{"bad-name"}},
		{"pipe in a name", parts + "| «a\\|b» | A | |\n:::\n", []string{"bad-name"}},
		{"mass without a unit", parts + "| a | A | «3» |\n:::\n", []string{"bad-quantity"}},
		{"mass in a unit of length", parts + "| a | A | «3 mm» |\n:::\n", []string{"bad-quantity"}},
		{"mass in no unit", parts + "| a | A | 3 «kilogramms» |\n:::\n", []string{"bad-quantity"}},
		{"mass negative", parts + "| a | A | «-3 kg» |\n:::\n", []string{"bad-quantity"}},
		{"torque in pounds", fasteners + "| 1 | Bolt | bolt | «45 kg» | |\n:::\n", []string{"bad-quantity"}},
		{"torque with a decimal comma", fasteners + "| 1 | Bolt | bolt | «4,5» N·m | |\n:::\n", []string{"bad-quantity"}},
		{"callout number zero", fasteners + "| «0» | Bolt | bolt | | |\n:::\n", []string{"cell-value"}},
		{"callout number in words", fasteners + "| «one» | Bolt | bolt | | |\n:::\n", []string{"cell-value"}},
		{"kind of fastener", fasteners + "| 1 | Bolt | «blot» | | |\n:::\n", []string{"cell-value"}},
		{"half a bolt", fasteners + "| 1 | Bolt | bolt | | «1.5» |\n:::\n", []string{"cell-value"}},
		{"faults in several cells", parts + "| «A» | A | «3» |\n| b | B | «x» |\n:::\n", []string{"bad-name", "bad-quantity", "bad-quantity"}},
		{"short row and a line with pipes before the register",
			"| a | b | c |\n\n" + parts + "| a | A |\n:::\n", []string{}},
		{"figure without a picture", "«::: figure front \"Front\"»\n:::\n", []string{"missing-attribute"}},
		{"balloon without its word", "::: figure front \"Front\" {src=a.svg}\n- 4 at 120,80 «60,40»\n:::\n", []string{"balloon-syntax"}},
		{"balloon without a point", "::: figure front \"Front\" {src=a.svg}\n- «4 balloon 60,40»\n:::\n", []string{"balloon-syntax"}},
		{"balloon with half a point", "::: figure front \"Front\" {src=a.svg}\n- 4 at «120» balloon 60,40\n:::\n", []string{"balloon-syntax"}},
		{"balloon with a point that is no number", "::: figure front \"Front\" {src=a.svg}\n- 4 at «1,NaN» balloon 60,40\n:::\n", []string{"balloon-syntax"}},
		{"balloon with a reason", "::: figure front \"Front\" {src=a.svg}\n- «4 at 1,2 balloon 60,40»: the bolt\n:::\n", []string{"balloon-syntax"}},
		{"step in a machine", "::: «step» a \"A\" {time=6}\nWords.\n:::\n", []string{"misplaced-block"}},
	}
}

// Faults of quiz files.
func brokenQuizzes() []broken {
	choices := "- [x] a\n- [ ] b\n"
	return []broken{
		{"type missing", "«::: question a»\nWhat?\n" + choices + ":::\n", []string{"missing-attribute"}},
		{"type unknown", "::: question a {type=«multiple»}\nWhat?\n" + choices + ":::\n", []string{"attribute-value"}},
		{"nothing asked", "«::: question a {type=single}»\n" + choices + ":::\n", []string{"question-form"}},
		{"one choice", "«::: question a {type=single}»\nWhat?\n- [x] a\n:::\n", []string{"question-form"}},
		{"two right choices", "«::: question a {type=single}»\nWhat?\n- [x] a\n- [x] b\n:::\n", []string{"question-form"}},
		{"no right choice", "«::: question a {type=several}»\nWhat?\n- [ ] a\n- [ ] b\n:::\n", []string{"question-form"}},
		{"choice without a mark", "::: question a {type=single}\nWhat?\n- [x] a\n- «b»\n:::\n", []string{"question-form"}},
		{"choice that is empty", "::: question a {type=single}\nWhat?\n- [x] a\n- «[ ]»\n:::\n", []string{"question-form"}},
		{"same choices", "::: question a {type=single}\nWhat?\n- [x] a\n- «[ ] A»\n:::\n", []string{"question-form"}},
		{"text behind the choices", "::: question a {type=single}\nWhat?\n" + choices + "\n«More.»\n:::\n", []string{"question-form"}},
		{"second list", "::: question a {type=single}\nWhat?\n" + choices + "\n1. «c\n2. d»\n:::\n", []string{"question-form"}},
		{"answer beside choices", "::: question a {type=single «answer»=a}\nWhat?\n" + choices + ":::\n", []string{"idle-attribute"}},
		{"choices beside an answer", "::: question a {type=true-false answer=true}\nWhat?\n- «[x] a»\n:::\n", []string{"question-form"}},
		{"answer missing", "«::: question a {type=true-false}»\nWhat?\n:::\n", []string{"question-form"}},
		{"neither true nor false", "::: question a {type=true-false answer=«yes»}\nWhat?\n:::\n", []string{"attribute-value"}},
		{"number without a unit", "::: question a {type=number answer=«45»}\nWhat?\n:::\n", []string{"bad-quantity"}},
		{"tolerance of another kind", "::: question a {type=number answer=\"45 N·m\" tolerance=\"«2 mm»\"}\nWhat?\n:::\n", []string{"bad-quantity"}},
		{"two to put in order", "«::: question a {type=order}»\nWhat?\n1. a\n2. b\n:::\n", []string{"question-form"}},
		{"order without numbers", "::: question a {type=order}\nWhat?\n- «a\n- b\n- c»\n:::\n", []string{"question-form"}},
		{"nothing to point at", "«::: question a {type=point answer=4}»\nWhat?\n:::\n", []string{"question-form"}},
		{"points", "::: question a {type=single points=«0»}\nWhat?\n" + choices + ":::\n", []string{"attribute-value"}},
		{"fence in a choice", "::: question a {type=single}\nWhat?\n- [x] a\n  «::: tip»\n  b\n  :::\n- [ ] c\n:::\n", []string{"misplaced-block"}},
	}
}

// Faults of whole files and of the front matter.
func TestBrokenFile(t *testing.T) {
	for _, c := range []struct {
		name, file, src string
		codes           []string
	}{
		{"no front matter", "a.md", "«»Words.\n", []string{"front-matter-missing"}},
		{"empty file", "a.md", "«»", []string{"front-matter-missing"}},
		{"only a byte-order mark", "a.md", "\uFEFF«»", []string{"front-matter-missing"}},
		{"front matter not closed", "a.md", "«---»\nkind: machine\n", []string{"front-matter-syntax"}},
		{"front matter empty", "a.md", "---\n«»---\n", []string{"front-matter-syntax"}},
		{"front matter of a comment", "a.md", "---\n«# nothing\n»---\n", []string{"front-matter-syntax"}},
		{"front matter that is a list", "a.md", "---\n«- kind\n»---\n", []string{"front-matter-syntax"}},
		{"colon in a value", "a.md", "---\nkind: machine\nid: a\ntitle: «Mixer»: the belt\n---\n", []string{"front-matter-syntax"}},
		{"quotation mark not closed", "a.md", "---\nkind: machine\nid: a\ntitle: «\"Mixer»\n---\n", []string{"front-matter-syntax"}},
		{"kind missing", "a.md", "«---»\nid: a\n---\n", []string{"unknown-kind"}},
		{"kind unknown", "a.md", "---\nkind: «machines»\nid: a\ntitle: A\n---\n", []string{"unknown-kind"}},
		{"title missing", "a.md", "«---»\nkind: machine\nid: a\n---\n", []string{"front-matter-value"}},
		{"id with capitals", "a.md", "---\nkind: machine\nid: «Mixer»\ntitle: A\n---\n", []string{"front-matter-value"}},
		{"line unknown", "a.md", "---\nkind: machine\nid: a\ntitle: A\n«tilte»: B\n---\n", []string{"front-matter-field"}},
		{"line twice", "a.md", "---\nkind: machine\nid: a\ntitle: A\n«title»: B\n---\n", []string{"front-matter-field"}},
		{"pass mark in words", "a.md", "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: «eighty»\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n", []string{"front-matter-value"}},
		{"pass mark over 100", "a.md", "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: «120»\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n", []string{"front-matter-value"}},
		{"negative seed", "a.md", "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: 80\nseed: «-1»\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n", []string{"front-matter-value"}},
		{"forms without a seed", "a.md", "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: 80\nforms: «3»\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n", []string{"front-matter-value"}},
		{"too many forms", "a.md", "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: 80\nseed: 1\nforms: «7»\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n", []string{"front-matter-value"}},
		{"aim that is empty", "a.md", "---\nkind: procedure\nid: a\ntitle: A\nmachine: m\nedition: \"1\"\naims:\n  - «\"\"»\n---\n" + stepHead + "Words.\n:::\n", []string{"front-matter-value"}},
		{"session without items", "a.md", "---\nkind: course\nid: a\ntitle: A\nsessions:\n  - «title»: One\n---\n", []string{"front-matter-value"}},
		{"item of nothing", "a.md", "---\nkind: course\nid: a\ntitle: A\nsessions:\n  - title: One\n    items:\n      - «from»: a\n---\n", []string{"front-matter-value"}},
		{"item of both", "a.md", "---\nkind: course\nid: a\ntitle: A\nsessions:\n  - title: One\n    items:\n      - procedure: «job»\n        quiz: check\n---\n", []string{"front-matter-value"}},
		{"line of an item unknown", "a.md", "---\nkind: course\nid: a\ntitle: A\nsessions:\n  - title: One\n    items:\n      - procedure: job\n        «form»: a\n---\n", []string{"front-matter-field"}},
		{"learning of no form", "a.md", "---\nkind: course\nid: a\ntitle: A\nlearning: «crawfort»\nrate: 85\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"learning without a rate", "a.md", "---\nkind: course\nid: a\ntitle: A\nlearning: «wright»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"rate of half", "a.md", "---\nkind: course\nid: a\ntitle: A\nrate: «50»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"rate that is no number", "a.md", "---\nkind: course\nid: a\ntitle: A\nrate: «.nan»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"rate in words", "a.md", "---\nkind: course\nid: a\ntitle: A\nrate: «eighty»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"repetition of none", "a.md", "---\nkind: course\nid: a\ntitle: A\nrepetition: «0»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"people of none", "a.md", "---\nkind: course\nid: a\ntitle: A\npeople: «0»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"session without a unit", "a.md", "---\nkind: course\nid: a\ntitle: A\nsession: «3»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"bad-quantity"}},
		{"session as a mass", "a.md", "---\nkind: course\nid: a\ntitle: A\nsession: «3 kg»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"bad-quantity"}},
		{"session of a unit unknown", "a.md", "---\nkind: course\nid: a\ntitle: A\nsession: 3 «shifts»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"bad-quantity"}},
		{"session of nothing", "a.md", "---\nkind: course\nid: a\ntitle: A\nsession: «0 min»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"session of days", "a.md", "---\nkind: course\nid: a\ntitle: A\nsession: «25 h»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"set-up below nothing", "a.md", "---\nkind: course\nid: a\ntitle: A\nset-up: «-5 min»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"bad-quantity"}},
		{"clear-down in quotation marks", "a.md", "---\nkind: course\nid: a\ntitle: A\nclear-down: \"«5 mm»\"\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"bad-quantity"}},
		{"breaks all the time", "a.md", "---\nkind: course\nid: a\ntitle: A\nbreak-every: «0 min»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"confidence that is none", "a.md", "---\nkind: course\nid: a\ntitle: A\nconfidence: «40»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"confidence of certainty", "a.md", "---\nkind: course\nid: a\ntitle: A\nconfidence: «100»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"start that is no time", "a.md", "---\nkind: course\nid: a\ntitle: A\nstart: «\"25:00\"»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"session of set-up and clear-down", "a.md", "---\nkind: course\nid: a\ntitle: A\nsession: «25 min»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"set-up that fills the session", "a.md", "---\nkind: course\nid: a\ntitle: A\nset-up: «3 h»\nsessions:\n  - title: One\n    items:\n      - procedure: job\n---\n", []string{"front-matter-value"}},
		{"pass mark in words", "a.md", "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: «most»\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n", []string{"front-matter-value"}},
		{"aims on one line", "a.md", "---\nkind: procedure\nid: a\ntitle: A\nmachine: m\nedition: \"1\"\naims: «learn»\n---\n", []string{"front-matter-value"}},
		{"tab in the front matter", "a.md", "---\nkind: procedure\nid: a\naims:\n«\t»- Learn\n---\n", []string{"front-matter-syntax"}},
		{"time of a quiz", "a.md", "---\nkind: quiz\nid: a\ntitle: A\nprocedure: job\npass: 80\ntime: «soon»\n---\n::: question a {type=true-false answer=true}\nYes?\n:::\n", []string{"bad-time"}},
		{"not UTF-8", "a.md", "---\nkind: machine\nid: a\ntitle: K«\xFC»chenmaschine\n---\n", []string{"not-utf8"}},
		{"UTF-16", "a.md", "«\xFF»\xFE-\x00-\x00-\x00", []string{"not-utf8"}},
		{"control character", "a.md", machineHead + "Words «\x1b»[31m.\n", []string{"control-character"}},
		{"zero byte", "a.md", machineHead + "Words «\x00».\n", []string{"control-character"}},
		{"front matter and body", "a.md", "---\nkind: machine\nid: a\ntitle: A\n«foo»: B\n---\n::: «regster» parts\n| id | name |\n|---|---|\n:::\n", []string{"front-matter-field", "unknown-block"}},
		{"settings: unknown line", "library.yaml", "title: A\n«adress»: b\n", []string{"front-matter-field"}},
		{"settings: address", "library.yaml", "title: A\naddress: «b»\n", []string{"front-matter-value"}},
		{"settings: language", "library.yaml", "title: A\nlanguage: «Deutsch!»\n", []string{"front-matter-value"}},
		{"settings: no title", "library.yaml", "«language: en»\n", []string{"front-matter-value"}},
		{"settings: empty", "library.yaml", "«»", []string{"front-matter-syntax"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			src, marked := unmark(c.src)
			files := map[string]string{"mixer.md": machineHead, c.file: src}
			_, log := readFiles(t, files)
			expect(t, c.file, marked, c.codes, log.Sorted())
		})
	}
}

// A run of blocks that nobody closed is reported block by block, and costs no more than its length.
func TestNestedDeep(t *testing.T) {
	_, all := readProcedure(t, procedureHead+stepHead+strings.Repeat("::: tip\n", 1000))
	unclosed := 0
	for _, d := range all {
		switch d.Code {
		case "unclosed-block":
			unclosed++
		case "empty-block": // the tips are empty
		default:
			t.Fatalf("got\n%s", printed(all))
		}
	}
	if unclosed < deepestNesting {
		t.Errorf("%d blocks are reported as not closed, %d are open at once", unclosed, deepestNesting)
	}
}
