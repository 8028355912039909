package balloon

import (
	"errors"
	"strings"
	"testing"
	"testing/fstest"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/source"
)

const machine = `---
kind: machine
id: m
title: Rührwerk
---
<!-- - 4 at 120,80 balloon 60,40 -->

::: figure feet "Füße"  {src=feet.svg describe="Two feet"}
- 4 at 120,80 balloon 60,40
-	5 at 300,80	340.5,80.25  balloon 320,40  
* 4 at 120,80 balloon 90,40
- 6 at <!-- was 1,2 --> 1,2 balloon 7,8 <!-- balloon 7,8 -->
- 7 at 10,20
  30,40
  balloon 50,60
- **8** at 1,2 balloon 3,4
- 9 at 1,2 balloon 3&#44;4
- 10 at 1e2,-0 balloon +5,.5
:::

::: figure other "Other" {src=feet.svg describe="Two feet"}
- 4 at 120,80 balloon 60,40
:::`

// feet reads the figure from a machine file.
func feet(t *testing.T, src string) *procedure.Figure {
	t.Helper()
	var log diagnostic.Log
	lib, err := source.Read(fstest.MapFS{"m.md": {Data: []byte(src)}}, &log)
	if err != nil || len(lib.Machines) != 1 || lib.Machines[0].Figure("feet") == nil {
		t.Fatalf("%v, %v", err, log.Sorted())
	}
	f := lib.Machines[0].Figure("feet")
	f.Width, f.Height = 800, 600.5
	return f
}

// The numbers of one point change, and every other byte is as it was.
func TestNothingElseChanges(t *testing.T) {
	sources := map[string]string{
		"plain": machine, "CRLF": strings.ReplaceAll(machine, "\n", "\r\n"), "BOM": "\ufeff" + machine, "newline at the end": machine + "\n",
	}
	for name, c := range map[string]struct {
		move     Move
		from, to string // with what stands around it, where the file first has it
	}{
		"balloon":               {Move{"4", 0, 0, "60,40", "61,40"}, "\n- 4 at 120,80 balloon 60,40", "\n- 4 at 120,80 balloon 61,40"},
		"leader":                {Move{"4", 0, 1, "120,80", "0,0"}, "\n- 4 at 120,80 balloon 60,40", "\n- 4 at 0,0 balloon 60,40"},
		"tabs, trailing spaces": {Move{"5", 0, 0, "320,40", "320.5,600.5"}, "balloon 320,40  ", "balloon 320.5,600.5  "},
		"one of two leaders":    {Move{"5", 0, 2, "340.5,80.25", "341,80"}, "\t340.5,80.25", "\t341,80"},
		"second of a thing":     {Move{"4", 1, 1, "120,80", "121,80"}, "* 4 at 120,80 ", "* 4 at 121,80 "},
		"comments":              {Move{"6", 0, 1, "1,2", "3,4"}, "--> 1,2 ", "--> 3,4 "},
		"comment behind":        {Move{"6", 0, 0, "7,8", "8,8"}, "balloon 7,8 <", "balloon 8,8 <"},
		"several lines":         {Move{"7", 0, 2, "30,40", "31,40"}, "  30,40", "  31,40"},
		"last of several lines": {Move{"7", 0, 0, "50,60", "51,60"}, "50,60", "51,60"},
		"numbers as few write":  {Move{"10", 0, 0, "+5,.5", "5,1"}, "+5,.5", "5,1"},
	} {
		for kind, src := range sources {
			edit, err := c.move.Edit(feet(t, src))
			if err != nil {
				t.Errorf("%s, %s: %v", name, kind, err)
				continue
			}
			out, err := rewrite.Make([]rewrite.Edit{edit})
			if err != nil || len(out) != 1 || string(out[0].Source) != strings.Replace(src, c.from, c.to, 1) {
				t.Errorf("%s, %s: %v\n%v", name, kind, err, out)
				continue
			}
			// And back again.
			back := c.move
			back.From, back.To = back.To, back.From
			if name == "numbers as few write" {
				continue // the refitting is not to numbers like these
			}
			edit, err = back.Edit(feet(t, string(out[0].Source)))
			if err != nil {
				t.Errorf("%s, %s, back: %v", name, kind, err)
				continue
			}
			if again, err := rewrite.Make([]rewrite.Edit{edit}); err != nil || string(again[0].Source) != src {
				t.Errorf("%s, %s, back: %v\n%v", name, kind, err, again)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	for name, c := range map[string]struct {
		move Move
		want error
	}{
		"other value":            {Move{"4", 0, 0, "60,41", "61,40"}, ErrChanged},
		"same number, other way": {Move{"4", 0, 0, "60.0,40", "61,40"}, ErrChanged},
		"no such thing":          {Move{"11", 0, 0, "60,40", "61,40"}, ErrChanged},
		"no third of it":         {Move{"4", 2, 0, "60,40", "61,40"}, ErrChanged},
		"before the first":       {Move{"4", -1, 0, "60,40", "61,40"}, ErrChanged},
		"no such point":          {Move{"4", 0, 2, "60,40", "61,40"}, ErrChanged},
		"point below zero":       {Move{"4", 0, -1, "60,40", "61,40"}, ErrChanged},
		"too far right":          {Move{"4", 0, 0, "60,40", "800.1,40"}, ErrOutside},
		"too far down":           {Move{"4", 0, 0, "60,40", "60,601"}, ErrOutside},
		"left of it":             {Move{"4", 0, 0, "60,40", "-1,40"}, ErrNoPoint},
		"one number":             {Move{"4", 0, 0, "60,40", "60"}, ErrNoPoint},
		"a space":                {Move{"4", 0, 0, "60,40", "60, 40"}, ErrNoPoint},
		"a line more":            {Move{"4", 0, 0, "60,40", "60,40\n"}, ErrNoPoint},
		"more than a point":      {Move{"4", 0, 0, "60,40", "60,40 <b>"}, ErrNoPoint},
		"no number":              {Move{"4", 0, 0, "60,40", "NaN,40"}, ErrNoPoint},
		"hexadecimal":            {Move{"4", 0, 0, "60,40", "0x1p4,40"}, ErrNoPoint},
		"endless":                {Move{"4", 0, 0, "60,40", "1,1." + strings.Repeat("0", 99)}, ErrNoPoint},
		"empty":                  {Move{"4", 0, 0, "60,40", ""}, ErrNoPoint},
		"emphasis":               {Move{"8", 0, 0, "3,4", "4,4"}, ErrByHand},
		"character reference":    {Move{"9", 0, 0, "3,4", "4,4"}, ErrByHand},
	} {
		if edit, err := c.move.Edit(feet(t, machine)); !errors.Is(err, c.want) {
			t.Errorf("%s: %+v, %v, want %v", name, edit, err, c.want)
		}
	}
}
