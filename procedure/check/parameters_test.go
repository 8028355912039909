package check_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure"
	"matchmark/procedure/check"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/source"
)

const valveMachine = `---
kind: machine
id: m
title: Pump
no-energy: a model on the desk
---
::: register parts
| id | name | mass | base |
|---|---|---|---|
| frame | Frame | | yes |
| hub | Hub | 2 kg | |
:::

::: register connections
| id | name | kind | joins | stand |
|---|---|---|---|---|
| inlet | Inlet hose | hose | hub, frame | on the shelf |
| outlet | Outlet hose | hose | hub, frame | on the shelf |
| drain | Drain hose | pipe | hub, frame | on the shelf |
:::
`

const hoseSteps = `# Take {hose} off

## Take {hose} off {#{hose}-off}
{time=3}

Hold {hose}; ` + "`{hose}`" + ` may drip.

- [ ] mark {hose}
- [ ] disconnect {hose}
- [ ] read drip-{hose} in mm: at most 2 mm {of={hose}}
- [ ] read wanted-{hose} in mm
- [ ] compute rest-{hose} in mm = drip-{hose} - wanted-{hose}

## Plug {hose} {#{hose}-plug}
{time=2 after={hose}-off if="drip-{hose} out"}

Plug [it](#{hose}-off). It was ` + "`drip-{hose}.value`" + `.
`

// valveJob joins a job with shared steps that are called hose-off and have the parameters.
func valveJob(t *testing.T, parameters, steps, job string) (*procedure.Library, []diagnostic.Diagnostic) {
	t.Helper()
	fsys := fstest.MapFS{
		"m.md":     {Data: []byte(valveMachine)},
		"job.md":   {Data: []byte("---\nkind: procedure\nid: job\ntitle: Job\nmachine: m\nedition: \"1\"\n---\n" + job)},
		"hoses.md": {Data: []byte("---\nkind: steps\nid: hose-off\ntitle: Take a hose off\nparameters: " + parameters + "\n---\n" + steps)},
	}
	var log diagnostic.Log
	read, err := source.Read(fsys, &log)
	assert.NilError(t, err)
	lib := read.Resolve(&log)
	check.Library(lib, &log)
	return lib, log.Sorted()
}

const bothHoses = "::: include hose-off {hose=inlet}\n:::\n\n::: include hose-off {hose=outlet}\n:::\n"

// Each taking of steps with a parameter is steps of its own, out and back.
func TestStepsTakenInWithValues(t *testing.T) {
	lib, found := valveJob(t, "[hose]", hoseSteps, bothHoses)
	for _, d := range found {
		if d.Severity == diagnostic.Error {
			t.Error(d.Says())
		}
	}
	p := lib.Procedures[0]
	var got strings.Builder
	for _, s := range p.Steps {
		fmt.Fprintf(&got, "%s|%s|%s|%s", s.Chapter, s.ID, s.Title, s.If)
		for _, b := range s.Blocks {
			shown := b.Shows()
			if shown.Text != nil {
				fmt.Fprintf(&got, "|%s", shown.Text.Plain())
			}
			if r := shown.Readings; r != nil {
				for i := range r.Rows {
					fmt.Fprintf(&got, "|%s %s=%s", r.Rows[i].Name, r.Rows[i].Words, r.Rows[i].Sum)
				}
			}
			for _, a := range shown.Actions {
				fmt.Fprintf(&got, "|%s %s at %s", a.Verb, a.Object.ID, a.Object.Span.At())
			}
		}
		got.WriteString("\n")
	}
	want := "Take Inlet hose off|inlet-off|Take Inlet hose off||Hold Inlet hose; Inlet hose may drip.|mark inlet at job.md:8:28|disconnect inlet at job.md:8:28|drip-inlet Drip Inlet hose=|wanted-inlet Wanted Inlet hose=|rest-inlet Rest Inlet hose=drip-inlet - wanted-inlet\n" +
		"Take Inlet hose off|inlet-plug|Plug Inlet hose|drip-inlet|Plug it. It was Drip Inlet hose, mm.\n" +
		"Take Outlet hose off|outlet-off|Take Outlet hose off||Hold Outlet hose; Outlet hose may drip.|mark outlet at job.md:11:28|disconnect outlet at job.md:11:28|drip-outlet Drip Outlet hose=|wanted-outlet Wanted Outlet hose=|rest-outlet Rest Outlet hose=drip-outlet - wanted-outlet\n" +
		"Take Outlet hose off|outlet-plug|Plug Outlet hose|drip-outlet|Plug it. It was Drip Outlet hose, mm.\n"
	if got.String() != want {
		t.Errorf("got\n%s\nwant\n%s", got.String(), want)
	}
	var back []string
	for _, s := range refit.Derive(p, refit.AdditionsOf(p), func(key string, _ ...any) string { return key }).Steps {
		back = append(back, s.ID)
	}
	if all := strings.Join(back, " "); !strings.Contains(all, "outlet-off-back") || !strings.Contains(all, "inlet-off-back") {
		t.Errorf("on the way back there is %s", all)
	}
}

// Slips with parameters: each has one error, or one warning, at the place where it is mended.
func TestSlipsWithParameters(t *testing.T) {
	taken := "::: include hose-off {hose=inlet}\n:::\n"
	for name, x := range map[string]struct{ parameters, steps, job, want string }{
		"sense":                        {"[hose]", hoseSteps, bothHoses, ""},
		"parameter that is not listed": {"[hose]", "## Take {house} off {#{hose}-off}\n{time=3}\n\nLook.\n", taken, "unknown-parameter house"},
		"no parameter is listed":       {"[]", "## Take off {#off}\n{time=3}\n\nHold {hose}.\n", "::: include hose-off\n:::\n", "unknown-parameter hose"},
		"value for none of them":       {"[hose]", hoseSteps, "::: include hose-off {hose=inlet side=left}\n:::\n", "unknown-parameter side"},
		"parameter with a slip":        {"[hose]", hoseSteps, "::: include hose-off {hsoe=inlet}\n:::\n", "parameter-value hose-off, unknown-parameter hsoe"},
		"no value":                     {"[hose]", hoseSteps, "::: include hose-off\n:::\n", "parameter-value hose-off"},
		"value forgotten":              {"[hose]", hoseSteps, "::: include hose-off {hose}\n:::\n", "parameter-value hose-off, parameter-value hose"},
		"value that is no name":        {"[hose]", hoseSteps, "::: include hose-off {hose=\"Inlet hose\"}\n:::\n", "parameter-value hose-off, bad-name Inlet hose"},
		"value that nothing has":       {"[hose]", hoseSteps, "::: include hose-off {hose=inlett}\n:::\n", "undefined-reference inlett"},
		"listed and not used":          {"[hose, side]", hoseSteps, "::: include hose-off {hose=inlet side=left}\n:::\n", "unused-parameter side"},
		"listed twice":                 {"[hose, hose]", hoseSteps, taken, "front-matter-value hose"},
		"name of an attribute":         {"[hose, safe-stop]", hoseSteps, taken, "front-matter-value safe-stop"},
		"listed with capitals":         {"[hose, Side]", hoseSteps, taken, "front-matter-value Side"},
		"the same value twice":         {"[hose]", hoseSteps, taken + "\n" + taken, "repeated-include hose-off"},
		"names without the parameter":  {"[hose]", "## Take {hose} off {#off}\n{time=3}\n\nLook.\n", bothHoses, "repeated-include hose-off"},
		"reading without it":           {"[hose]", "## Take {hose} off {#off-{hose}}\n{time=3}\n\n- [ ] read drip in mm\n", bothHoses, "repeated-include hose-off"},
		"steps that take in themselves": {"[hose]", "## Take {hose} off {#off-{hose}}\n{time=3}\n\nLook.\n\n::: include hose-off {hose=outlet}\n:::\n", taken,
			"include-cycle hose-off"},
		"parameter in a figure": {"[hose]", hoseSteps + "\n::: figure side \"Side of {hose}\" {src=a.svg}\n:::\n", taken, "parameter-value side"},
		"fault in the steps": {"[hose]", "## Take {hose} off {#off-{hose}}\n{time=3}\n\n- [x] disconnect {hose}\n", taken,
			"task-form [x]"},
	} {
		_, all := valveJob(t, x.parameters, x.steps, x.job)
		var got []string
		for _, d := range all {
			says := string(d.Code) + " " + d.Span.Text()
			if (d.Severity == diagnostic.Error || d.Code == "unused-parameter") && !slices.Contains(got, says) {
				got = append(got, says)
			}
			if strings.Contains(d.Says().String()+d.Advice.String(), "hoseq") {
				t.Errorf("%s: a stand-in is told: %s %s", name, d.Says(), d.Advice)
			}
		}
		if said := strings.Join(got, ", "); said != x.want {
			t.Errorf("%s is told as %q, want %q", name, said, x.want)
		}
	}
}
