package source

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
)

// shownActions writes actions as "verb object [with further] [: reason]".
func shownActions(actions []*procedure.Action) string {
	var out []string
	for _, a := range actions {
		s := string(a.Verb) + " " + a.Object.ID
		var with []string
		for _, w := range a.With {
			with = append(with, w.ID)
		}
		if len(with) > 0 {
			s += " [" + strings.Join(with, " ") + "]"
		}
		if !a.Reason.Empty() {
			s += ": " + markup(a.Reason)
		}
		if a.Object.Span.Text() != a.Object.ID || a.VerbSpan.Text() != string(a.Verb) {
			s += fmt.Sprintf(" (places %q %q)", a.VerbSpan.Text(), a.Object.Span.Text())
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

func TestActions(t *testing.T) {
	for _, c := range []struct{ list, want string }{
		{"- remove 4", "remove 4"},
		{"- remove 4, 5", "remove 4; remove 5"},
		{"* remove 4\n* remove 5", "remove 4; remove 5"},
		{"1. remove 4\n2. remove 5", "remove 4; remove 5"},
		{"- remove 4,\n  5", "remove 4; remove 5"},
		{"- remove 4,\n5", "remove 4; remove 5"},
		{"- remove\t4", "remove 4"},
		{"- keep 6: carries the gearbox until `hoist-on`", "keep 6: carries the gearbox until <code>hoist-on</code>"},
		{"- keep 6: carries\n  the gearbox", "keep 6: carries\nthe gearbox"},
		{"- keep 6:\n  carries it", "keep 6: carries it"},
		{"- keep 6: *carries* it: yes", "keep 6: <em>carries</em> it: yes"},
		{"- keep 6: one\n\n  Two.", "keep 6: <p>one</p>\n<p>Two.</p>"},
		{"- remove 7\n\n  Two turns.", "remove 7: Two turns."},
		{"- remove 7\n  - two turns", "remove 7: <ul>\n<li>two turns</li>\n</ul>"},
		{"- keep 6, 7: carry it", "keep 6: carry it; keep 7: carry it"},
		{"- support gearbox with hoist, sling", "support gearbox [hoist sling]"},
		{"- support gearbox\n  with hoist", "support gearbox [hoist]"},
		{"- support gearbox\nwith hoist", "support gearbox [hoist]"},
		{"- lift gearbox with hoist: slowly", "lift gearbox [hoist]: slowly"},
		{"- set down gearbox on pallet", "set down gearbox [pallet]"},
		{"- drain oil, grease into tray", "drain oil [tray]; drain grease [tray]"},
		{"- release gearbox from sling", "release gearbox [sling]"},
		{"- mark left-foot", "mark left-foot"},
		{"<!-- later -->\n- remove 4", "remove 4"},
	} {
		s := readStep(t, "::: actions\n"+c.list+"\n:::\n")
		if got := shownActions(s.Actions()); got != c.want {
			t.Errorf("%q gives\n%s\nwant\n%s", c.list, got, c.want)
		}
	}
}

func TestCautionOfTakingOut(t *testing.T) {
	for _, c := range []struct {
		braces string
		want   bool
	}{{"", false}, {" {about=gearbox}", false}, {" {about=gearbox out-only}", true}} {
		s := readStep(t, "::: caution"+c.braces+"\nIt can drop.\n:::\n")
		if got := s.Blocks[0].(*procedure.Caution).OutOnly; got != c.want {
			t.Errorf("caution%s: out only is %v", c.braces, got)
		}
	}
}

func TestInspections(t *testing.T) {
	for _, c := range []struct{ item, look, accept, low, high string }{
		{"Oil: no flakes", "Oil", "no flakes", "", ""},
		{"Belt width: 12 mm to 13 mm", "Belt width", "12 mm to 13 mm", "12 mm", "13 mm"},
		{"Play: at most 0.1 mm.", "Play", "at most 0.1 mm.", "", "0.1 mm"},
		{"Tread: at least 3 mm", "Tread", "at least 3 mm", "3 mm", ""},
		{"Tread: at least 3 mm, at most 5 mm", "Tread", "at least 3 mm, at most 5 mm", "3 mm", "5 mm"},

		{"*Oil* in `tank`: clear", "Oil in tank", "clear", "", ""},
		{"Colour\n  and smell: clear", "Colour and smell", "clear", "", ""},
		{"At 12:30 o'clock: dry", "At 12:30 o'clock", "dry", "", ""},
		{"Belt\n\n  no cracks", "Belt", "no cracks", "", ""},
	} {
		s := readStep(t, "::: inspect {of=belt}\n- "+c.item+"\n:::\n")
		x := s.Blocks[0].(*procedure.Inspection)
		if len(x.Items) != 1 {
			t.Errorf("%q gives %d things to look at", c.item, len(x.Items))
			continue
		}
		i := x.Items[0]
		low, high := "", ""
		if i.Limits != nil && i.Limits.Low != nil {
			low = i.Limits.Low.String()
		}
		if i.Limits != nil && i.Limits.High != nil {
			high = i.Limits.High.String()
		}
		if i.Look != c.look || markup(i.Accept) != c.accept || low != c.low || high != c.high || x.Of.ID != "belt" {
			t.Errorf("%q gives %q, %q, %q to %q", c.item, i.Look, markup(i.Accept), low, high)
		}
	}
}

// Blocks come in the author's order, the text between them included, and a
// variant block's content knows its variants.
func TestBlocksOfAStep(t *testing.T) {
	s := readStep(t, `One.
::: caution danger {about="4, gearbox"}
Hot.
:::
Two.
::: tip
Use a lamp.
:::
::: key-point "Say \"stop\" first"
Or it runs.
:::
::: variant belt,chain
Three.
::: actions
- remove guard
:::
:::
::: figure front "The front" {src=front.svg}
- 4 at 1,2 3.5,-4 balloon 5,6
:::
Four.
:::: fasteners {figure=front}
- remove 4
::::
::: hold "Now" {signature=trainer safe-stop}
- One
- Two

  More
:::
`)
	var got []string
	for _, b := range s.Blocks {
		words := ""
		switch b := b.(type) {
		case *procedure.Instruction:
			words = b.Prose.Plain()
		case *procedure.Caution:
			words = string(b.Signal) + " " + b.About[0].ID + " " + b.About[1].ID + " " + b.Prose.Plain()
		case *procedure.Tip:
			words = b.Prose.Plain()
		case *procedure.KeyPoint:
			words = b.Point + " " + b.Reason.Plain()
		case *procedure.ActionList:
			words = shownActions(b.Actions)
		case *procedure.Callout:
			words = b.Figure.ID + " " + shownActions(b.Actions)
		case *procedure.Illustration:
			words = b.Figure.ID
		case *procedure.Hold:
			words = fmt.Sprint(b.Title, " ", b.Signature, " ", b.SafeStop, " ", b.Confirmations[0].Plain(), " ", b.Confirmations[1].Plain())
		}
		for _, on := range []string{"belt", "chain", "cord"} {
			if !b.Applies(&procedure.Variant{Row: procedure.Row{ID: on}}) {
				words += " -" + on
			}
		}
		got = append(got, fmt.Sprintf("%s %s", strings.TrimPrefix(fmt.Sprintf("%T", b), "*procedure."), words))
	}
	want := `Instruction One.
Caution danger 4 gearbox Hot.
Instruction Two.
Tip Use a lamp.
KeyPoint Say "stop" first Or it runs.
Instruction Three. -cord
ActionList remove guard -cord
Illustration front
Instruction Four.
Callout front remove 4
Hold Now trainer true One Two More`
	if strings.Join(got, "\n") != want {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), want)
	}
}

func TestOpeningOfAStep(t *testing.T) {
	p, all := readProcedure(t, procedureHead+
		"  :::: step look-1 \"Look: \\\"stop\\\" \\\\ here\"\t{ time=\"0.5/1/2 h\" people=2 tools=\"a, b\" needs=c after=\"d,e\" variants=f figure=g safe-stop }  \nWords.\n::::\n")
	if len(all) > 0 {
		t.Fatal(printed(all))
	}
	s := p.Steps[0]
	got := fmt.Sprint(s.ID, "|", s.Title, "|", s.Time.Optimistic, s.Time.Likely, s.Time.Pessimistic, "|", s.People, "|", ids(s.Tools), ids(s.Needs), ids(s.After), ids(s.Variants), s.Figure.ID, s.SafeStop)
	if want := `look-1|Look: "stop" \ here|30 60 120|2|[a b] [c] [d e] [f]gtrue`; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

func ids(refs []procedure.Ref) []string {
	var out []string
	for _, r := range refs {
		out = append(out, r.ID)
	}
	return out
}
