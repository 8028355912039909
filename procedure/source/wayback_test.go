package source

import (
	"matchmark/procedure"
	"strings"
	"testing"
)

const waysBackJob = `---
kind: procedure
id: round
title: Round
machine: mixer
edition: "1"
---
::: step hoist-on "Hang it on the hoist" {time=2}
Watch the load until ` + "`feet-tight`" + ` is done.
:::
::: step foot-off "Take the foot off" {time=2}
Lift it off.
:::
`

func TestMentionsOfTheWayBack(t *testing.T) {
	for _, c := range []struct{ mention, want string }{
		{"feet-tight", "Tighten the feet"},
		{"foot-off-back", "Put the foot on"},      // the author's own title
		{"hoist-on-back", "Hang it on the hoist"}, // its title is not known yet
		{"hoist-on", "Hang it on the hoist"},
		{"nothing-back", "nothing-back"},
		{"refit-end", "refit-end"},
	} {
		lib, log := readFiles(t, map[string]string{"mixer.md": machineHead, "round.md": waysBackJob, "back.md": `---
kind: refit
procedure: round
---
::: step foot-off-back "Put the foot on" {time=2}
It stays loose until ` + "`" + c.mention + "`" + `.
:::
::: step feet-tight "Tighten the feet" {time=2}
Pull once.
:::
`})
		p := lib.Resolve(log).Procedures[0]
		if all := log.Sorted(); len(all) > 0 {
			t.Fatal(printed(all))
		}
		var got string
		for _, text := range procedure.Texts(p.RefitFile.Steps[0].Blocks[0]) {
			got += text.Plain()
		}
		if want := "It stays loose until " + c.want + "."; got != want {
			t.Errorf("%s: the text is %q, want %q", c.mention, got, want)
		}
		if got := procedure.Texts(p.Steps[0].Blocks[0])[0].Plain(); got != "Watch the load until Tighten the feet is done." {
			t.Errorf("the procedure itself says %q", got)
		}
	}
}

func TestNameOfARefitting(t *testing.T) {
	named := func(id string) string { return strings.Replace(waysBackJob, "id: round", "id: "+id, 1) }
	for _, c := range []struct{ other, want string }{
		{"round-back", `b.md:3:5: error duplicate-name: the refitting that is derived from "round" is called "round-back" too`},
		{"square-back", ""},
		{"roundback", ""},
	} {
		lib, log := readFiles(t, map[string]string{"mixer.md": machineHead, "a.md": waysBackJob, "b.md": named(c.other)})
		lib.Resolve(log)
		all := log.Sorted()
		if got := printed(all); !strings.HasPrefix(got, c.want) || len(all) > 0 != (c.want != "") {
			t.Errorf("%s: got %q, want %q", c.other, got, c.want)
		}
		for _, d := range all {
			if d.Span.Text() != c.other || len(d.See) != 1 || d.See[0].Span.Text() != "round" {
				t.Errorf("%s: the message stands at %q, see %v", c.other, d.Span.Text(), d.See)
			}
		}
	}
}

// TestTimeOfTheWayBack: a step that takes a derived one's place has the time of that one.
func TestTimeOfTheWayBack(t *testing.T) {
	for _, c := range []struct{ heading, want string }{
		{"## Put the foot on {#foot-off-back}", ""},
		{"## Clean the foot {#foot-clean}", "missing-attribute"},
	} {
		lib, log := readFiles(t, map[string]string{"mixer.md": machineHead, "round.md": waysBackJob, "back.md": "---\nkind: refit\nprocedure: round\n---\n" + c.heading + "\n\nPull once.\n"})
		lib.Resolve(log)
		got := ""
		for _, d := range log.Sorted() {
			got += string(d.Code)
		}
		if got != c.want {
			t.Errorf("%s: the messages are %q, want %q", c.heading, got, c.want)
		}
	}
}
