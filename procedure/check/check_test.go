package check_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/check"
	"matchmark/procedure/check/examples"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

// Each rule in each of its ways: the codes at the marks « and », file by file, and
// no other but advice. The messages page has one case for each code; these are the rest.
func TestReferences(t *testing.T) {
	quiz := "::: question q {type=single step=guard-off}\nWhich?\n- [x] a\n- [ ] b\n:::\n"
	fluids := func(row string) examples.Part {
		return examples.Part{Place: "machine", Text: "::: register fluids\n| id | name | container | variants |\n|---|---|---|---|\n" + row + "\n:::\n"}
	}
	step := func(text string) examples.Part { return examples.Part{Place: "step", Text: text} }
	steps := func(text string) examples.Part { return examples.Part{Place: "procedure", Text: text} }
	course := func(items string) examples.Part {
		return examples.Part{Place: "courses/b.md", Text: "---\nkind: course\nid: b\ntitle: B\nsessions:\n  - title: One\n    items:\n" + items + "---\n"}
	}
	drain := step("::: actions\n- drain oil into crate\n:::\n")
	for _, c := range []struct {
		name  string
		parts []examples.Part
		codes string
	}{
		{"tool", []examples.Part{steps("::: step a \"A\" {time=1 tools=«hammer»}\nWords.\n:::\n")}, "undefined-reference"},
		{"condition", []examples.Part{steps("::: step a \"A\" {time=1 needs=«isolatd»}\nWords.\n:::\n")}, "undefined-reference"},
		{"step before", []examples.Part{steps("::: step a \"A\" {time=1 after=«swich-off»}\nWords.\n:::\n")}, "undefined-reference"},
		{"variant of a step", []examples.Part{steps("::: step a \"A\" {time=1 variants=«cord»}\nWords.\n:::\n")}, "undefined-reference"},
		{"figure of a step", []examples.Part{steps("::: step a \"A\" {time=1 figure=«frnt»}\nWords.\n:::\n")}, "undefined-reference"},
		{"thing of a caution", []examples.Part{step("::: caution {about=\"guard, «belt»\"}\nHot.\n:::\n")}, "undefined-reference"},
		{"thing of an inspection", []examples.Part{step("::: inspect {of=«belt»}\n- Belt: dry\n:::\n")}, "undefined-reference"},
		{"part of an action", []examples.Part{step("::: actions\n- clean «belt»\n:::\n")}, "undefined-reference"},
		{"support of an action", []examples.Part{step("::: actions\n- support gearbox with «jack»\n:::\n")}, "undefined-reference"},
		{"figure of a callout", []examples.Part{step("::: fasteners {figure=«side»}\n- loosen 1\n:::\n")}, "undefined-reference"},
		{"variant of a block", []examples.Part{step("::: variant «cord»\nWords.\n:::\n")}, "undefined-reference"},

		{"container of a fluid", []examples.Part{fluids("| oil | Oil | «hoist» | |"), drain}, "undefined-row"},
		{"variant of a row", []examples.Part{fluids("| oil | Oil | crate | «cord» |"), drain}, "undefined-row"},
		{"balloon", []examples.Part{{Place: "machine", Text: "::: figure side \"Side\" {src=a.svg}\n- «9» at 1,1 balloon 2,2\n:::\n"}, step("::: fasteners {figure=side}\n- loosen 1\n:::\n")}, "undefined-row"},
		{"balloon on a condition", []examples.Part{{Place: "machine", Text: "::: figure side \"Side\" {src=a.svg}\n- «isolated» at 1,1 balloon 2,2\n:::\n"}, step("::: fasteners {figure=side}\n- loosen 1\n:::\n")}, "undefined-row"},
		{"balloon in a procedure", []examples.Part{step("::: figure own \"Own\" {src=a.svg}\n- «9» at 1,1 balloon 2,2\n:::\n")}, "undefined-row"},

		{"part in a callout", []examples.Part{step("::: fasteners\n- remove «guard»\n:::\n")}, "wrong-thing"},
		{"verb that is not for fasteners", []examples.Part{step("::: fasteners\n- «drain» 1 into crate\n:::\n")}, "wrong-thing"},
		{"fastener among conditions", []examples.Part{steps("::: step a \"A\" {time=1 needs=«guard»}\nWords.\n:::\n")}, "wrong-thing"},
		{"part among tools", []examples.Part{steps("::: step a \"A\" {time=1 tools=«guard»}\nWords.\n:::\n")}, "wrong-thing"},
		{"tool as a support", []examples.Part{step("::: actions\n- support gearbox with «crate»\n:::\n")}, "wrong-thing"},

		{"step taken twice", []examples.Part{steps("::: step a \"A\" {time=1}\nWords.\n:::\n«::: step a \"B\" {time=1}»\nWords.\n:::\n")}, "duplicate-row"},
		{"question taken twice", []examples.Part{{Place: "quiz", Text: quiz + strings.Replace(quiz, "::: question q {type=single step=guard-off}", "«::: question q {type=single step=guard-off}»", 1)}}, "duplicate-row"},
		{"name of another register", []examples.Part{fluids("| «guard» | Oil | crate | |")}, "duplicate-row"},
		{"figure of the machine's name", []examples.Part{step("::: figure «front» \"Front\" {src=a.svg}\n:::\n")}, "duplicate-row"},

		{"step of a question", []examples.Part{{Place: "quiz", Text: "::: question q {type=true-false answer=true step=«guard-of»}\nYes?\n:::\n"}}, "undefined-question-reference"},
		{"aim of a question", []examples.Part{{Place: "quiz", Text: "::: question q {type=true-false answer=true step=guard-off aim=«99»}\nYes?\n:::\n"}}, "undefined-question-reference"},
		{"figure of a question", []examples.Part{{Place: "quiz", Text: "::: question q {type=point figure=«side» answer=1}\nWhere?\n:::\n"}}, "undefined-question-reference"},

		{"first step of a session", []examples.Part{course("      - procedure: service\n        from: «nowhere»\n")}, "undefined-course-step"},
		{"last step of a session", []examples.Part{course("      - procedure: service\n        to: «nowhere»\n")}, "undefined-course-step"},
		{"session that ends before it starts", []examples.Part{course("      - procedure: service\n        from: lift-out\n        to: «guard-off»\n")}, "undefined-course-step"},

		{"thing of another variant", []examples.Part{fluids("| oil | Oil | crate | belt |"), step("::: actions\n- drain «oil» into crate\n:::\n")}, "unreachable"},
		{"thing of its variant", []examples.Part{fluids("| oil | Oil | crate | belt |"), step("::: variant belt\n::: actions\n- drain oil into crate\n:::\n:::\n")}, ""},

		{"machine without a procedure", []examples.Part{{Place: "machines/oven.md", Text: "---\nkind: machine\nid: «oven»\ntitle: Oven\n---\n"}}, "unused-row"},
		{"fluid that a row names", []examples.Part{fluids("| oil | Oil | crate | |"), {Place: "machine", Text: "::: figure tank \"Tank\" {src=a.svg}\n:::\n"}, step("::: fasteners {figure=tank}\n- loosen 1\n:::\n::: actions\n- fill oil\n:::\n")}, ""},
		{"figure of a procedure that no step shows", []examples.Part{steps("::: include isolate\n:::\n\n::: figure «own» \"Own\" {src=a.svg}\n:::\n")}, "unused-figure"},
	} {
		t.Run(c.name, func(t *testing.T) {
			files, err := examples.Compose(c.parts...)
			assert.NilError(t, err)
			all, marks := checkFiles(t, files)
			got, codes := map[string]bool{}, map[string]bool{}
			for _, d := range all {
				got[fmt.Sprintf("%s:%d-%d", d.Span.File.Name, d.Span.Start, d.Span.End)] = true
				codes[string(d.Code)] = true
			}
			if !maps.Equal(got, marks) || strings.Join(slices.Sorted(maps.Keys(codes)), " ") != c.codes {
				t.Errorf("messages at %v, marks at %v, want %s:\n%s", slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(marks)), c.codes, printed(t, all))
			}
		})
	}
}

// A torque wrench that no step names stands on the lists of tools wherever its range holds a torque of the machine's,
// so nobody is told to take it out.
func TestTorqueWrench(t *testing.T) {
	for name, used := range map[string]bool{
		"Torque wrench 5 N·m to 50 N·m":    true, // for the guard screw, 9 N·m
		"Torque wrench 100 N·m to 300 N·m": false,
		"Torque wrench":                    false,
	} {
		files, err := examples.Compose()
		assert.NilError(t, err)
		const place = "machines/mixer.md"
		before := files[place]
		files[place] = strings.Replace(before, "| crate | Crate", "| wrench | "+name+" | tool | 1 pcs |\n| wrench-large | Torque wrench 60 N·m to 200 N·m | tool | 1 pcs |\n| crate | Crate", 1)
		if files[place] == before {
			t.Fatal("the machine has no row of a crate any more")
		}
		all, _ := checkFiles(t, files)
		if got := len(all) == 0; got != used {
			t.Errorf("%s: used is %t, want %t:\n%s", name, got, used, printed(t, all))
		}
	}
}

// Nobody is told to take a second person who has two, nor to state a geometry that is stated.
func TestAdviceOnHandLifts(t *testing.T) {
	const stated = `{reach="60 cm" from="20 cm" to="100 cm" twist="30 deg" grip=poor}`
	for _, c := range []struct{ people, geometry, want string }{
		{"1", "", "Take a second person or a hoist, or state the geometry: {reach=... from=... to=... twist=... grip=...}."},
		{"1", stated, "Take a second person or a hoist."},
		{"2", "", "Take a hoist, or state the geometry: {reach=... from=... to=... twist=... grip=...}."},
		{"2", stated, "Take a hoist."},
	} {
		files, err := examples.Compose(examples.Part{Place: "procedure", Text: "::: step heavy \"Take the guard off\" {time=1 people=" + c.people + "}\n::: actions " + c.geometry + "\n- remove guard\n:::\n:::\n"})
		assert.NilError(t, err)
		files["machines/mixer.md"] = strings.Replace(files["machines/mixer.md"], "| 3 kg |", "| 60 kg |", 1)
		all, _ := checkFiles(t, files)
		var got []string
		for _, d := range all {
			if d.Code == "hand-lift" && strings.HasPrefix(d.Span.Text(), "remove") {
				got = append(got, d.Advice.String())
			}
		}
		if len(got) == 0 || got[0] != c.want { // the step of the library itself comes behind
			t.Errorf("%s people, geometry %q: %q, want %q", c.people, c.geometry, got, c.want)
		}
	}
}

// A link points at its words, and is reported wherever prose stands.
func TestLinks(t *testing.T) {
	for name, part := range map[string]examples.Part{
		"step":    {Place: "step", Text: "See [«it»](#nowhere).\n"},
		"caution": {Place: "step", Text: "::: caution\nSee [«it»](#nowhere).\n:::\n"},
		"reason":  {Place: "step", Text: "::: fasteners\n- loosen 1: see [«it»](#nowhere)\n:::\n"},
		"hold":    {Place: "step", Text: "::: hold\n- See [«it»](#nowhere)\n:::\n"},
		"accept":  {Place: "step", Text: "::: inspect\n- Oil: see [«it»](#nowhere)\n:::\n"},
		"point":   {Place: "step", Text: "::: key-point \"A\"\nSee [«it»](#nowhere).\n:::\n"},
	} {
		files, err := examples.Compose(part)
		assert.NilError(t, err)
		all, marks := checkFiles(t, files)
		if len(all) != 1 || all[0].Code != "undefined-reference" || !marks[fmt.Sprintf("%s:%d-%d", all[0].Span.File.Name, all[0].Span.Start, all[0].Span.End)] {
			t.Errorf("%s: marks at %v, got\n%s", name, marks, printed(t, all))
		}
	}
}

// checkFiles reads and checks marked files. Advice is left out.
func checkFiles(t *testing.T, files map[string]string) ([]diagnostic.Diagnostic, map[string]bool) {
	t.Helper()
	fsys, marks := fstest.MapFS{}, map[string]bool{}
	for name, text := range files {
		plain, marked := examples.Unmark(text)
		fsys[name] = &fstest.MapFile{Data: []byte(plain)}
		for _, m := range marked {
			marks[fmt.Sprintf("%s:%d-%d", name, m[0], m[1])] = true
		}
	}
	var log diagnostic.Log
	read, err := source.Read(fsys, &log)
	assert.NilError(t, err)
	check.Library(read.Resolve(&log), &log)
	all := slices.DeleteFunc(log.Sorted(), func(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Advice })
	return all, marks
}

func printed(t *testing.T, all []diagnostic.Diagnostic) string {
	t.Helper()
	var b strings.Builder
	assert.NilError(t, (diagnostic.Printer{Excerpt: true}).Print(&b, all))
	return b.String()
}
