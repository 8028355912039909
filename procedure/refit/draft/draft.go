// Package draft writes a derived refitting as source, for an author to go on with: one step for each that nobody has
// written yet, under the name that it takes the place of.
//
// What the model knows stands there as it was derived: acts, cautions, times, tools, hold points. What only the words of the
// removal knew is a gap, a paragraph that begins with Gap: it quotes these words, and the author writes in its place
// how the thing goes back. Nothing is made up. The checks list the gaps that are left.
package draft

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/refit"
	"matchmark/procedure/schedule"
)

// Gap begins a paragraph that is still to be written.
const Gap = "???"

// Source writes the steps of a derived refitting that its author has not written, as a refit file; without front matter
// where the procedure has such a file already. It is empty when nothing is left to write.
func Source(forth, back *procedure.Procedure) string {
	var steps []*procedure.Step
	for _, s := range back.Steps {
		if !written(forth, s) {
			steps = append(steps, s)
		}
	}
	if len(steps) == 0 {
		return ""
	}
	var b strings.Builder
	if forth.RefitFile == nil {
		fmt.Fprintf(&b, "---\nkind: refit\nprocedure: %s\n---\n", forth.ID)
	}
	for i, s := range steps {
		if i > 0 || forth.RefitFile != nil {
			b.WriteString("\n")
		}
		step(&b, forth, s)
	}
	return b.String()
}

// written reports whether the author has written the step.
func written(forth *procedure.Procedure, s *procedure.Step) bool {
	return forth.RefitFile != nil && slices.ContainsFunc(forth.RefitFile.Steps, func(x *procedure.Step) bool { return x.ID == s.ID })
}

func step(b *strings.Builder, forth *procedure.Procedure, s *procedure.Step) {
	fmt.Fprintf(b, "## %s {#%s}\n{%s}\n", escaped(s.Title), s.ID, attributes(s))
	gap := ""
	if s.Gap {
		gap = removed(forth, s)
	}
	for _, block := range s.Blocks {
		shown := block.Shows()
		switch {
		case shown.Warning != nil && shown.Warning.Standing: // its chapter has it
		case shown.Warning != nil:
			fmt.Fprintf(b, "\n::: caution %s%s\n%s\n:::\n", shown.Warning.Signal, about(shown.Warning), escaped(shown.Warning.Prose.Plain()))
		case shown.Text != nil && gap == "" && !s.Gap:
			fmt.Fprintf(b, "\n%s\n", escaped(shown.Text.Plain()))
		case len(shown.Actions) > 0:
			if gap != "" {
				fmt.Fprintf(b, "\n%s How? The removal says: %s\n", Gap, gap)
				gap = ""
			}
			acts(b, shown)
		case shown.Point != nil:
			fmt.Fprintf(b, "\n> **%s**\n> %s\n", escaped(shown.Point.Point), escaped(shown.Point.Reason.Plain()))
		case shown.Must != nil:
			fmt.Fprintf(b, "\n- [ ] must: %s\n", escaped(shown.Must.Plain()))
		case shown.Hold != nil:
			hold(b, shown.Hold)
		}
	}
	if gap != "" {
		fmt.Fprintf(b, "\n%s How? The removal says: %s\n", Gap, gap)
	}
}

// attributes are the attributes of a step, in the order of the language page.
func attributes(s *procedure.Step) string {
	out := []string{"time=" + schedule.Format(rounded(s.Time))}
	if s.People > 1 {
		out = append(out, fmt.Sprintf("people=%d", s.People))
	}
	out = append(out, refs("who", s.Who)...)
	out = append(out, refs("tools", s.Tools)...)
	if len(s.Consumed) > 0 {
		var uses []string
		for i, r := range s.Consumed {
			uses = append(uses, r.ID+" "+s.Amounts[i].String())
		}
		out = append(out, fmt.Sprintf("uses=%q", strings.Join(uses, ", ")))
	}
	needs := refs("needs", s.Needs)
	if len(needs) == 0 {
		needs = []string{"needs=none"}
	}
	out = append(out, needs...)
	if s.Figure.ID != "" {
		out = append(out, "figure="+s.Figure.ID)
	}
	out = append(out, refs("variants", s.Variants)...)
	if s.SafeStop {
		out = append(out, "safe-stop")
	}
	return strings.Join(out, " ")
}

// refs writes an attribute that lists names; nothing for none.
func refs(name string, list []procedure.Ref) []string {
	var ids []string
	for _, r := range list {
		ids = append(ids, r.ID)
	}
	switch len(ids) {
	case 0:
		return nil
	case 1:
		return []string{name + "=" + ids[0]}
	}
	return []string{fmt.Sprintf("%s=%q", name, strings.Join(ids, ", "))}
}

// rounded rounds a share of a time to half minutes, and keeps it in order.
func rounded(e procedure.Estimate) procedure.Estimate {
	half := func(x float64) float64 { return max(math.Round(2*x)/2, 0.5) }
	e.Optimistic, e.Likely, e.Pessimistic = half(e.Optimistic), half(e.Likely), half(e.Pessimistic)
	return e
}

func about(c *procedure.Caution) string {
	of := refs("about", c.About)
	if len(of) == 0 {
		of = []string{"about=none"}
	}
	return " {" + strings.Join(of, " ") + "}"
}

// acts writes a list of acts; a callout on a figure of its own keeps its block.
func acts(b *strings.Builder, shown procedure.Shown) {
	boxed := shown.Figure != nil && shown.Figure.ID != ""
	if boxed || !strings.Contains(lastLine(b), "- [ ] ") { // a list goes on in the lines below it
		b.WriteString("\n")
	}
	if boxed {
		fmt.Fprintf(b, "::: fasteners %s\n", shown.Figure.ID)
	}
	for i, a := range shown.Actions {
		fmt.Fprintf(b, "- [ ] %s ", a.Verb)
		if a.Count.N > 0 {
			fmt.Fprintf(b, "%d of ", a.Count.N)
		}
		b.WriteString(a.Object.ID)
		if rule, ok := a.Verb.Rule(); ok && rule.Word != "" && len(a.With) > 0 {
			var ids []string
			for _, r := range a.With {
				ids = append(ids, r.ID)
			}
			fmt.Fprintf(b, " %s %s", rule.Word, strings.Join(ids, ", "))
		}
		if reason := a.Reason.Plain(); reason != "" {
			b.WriteString(": " + escaped(reason))
		}
		of := ofAct(a)
		if i == 0 && shown.Lift != nil {
			of = append(of, byHand(shown.Lift)...)
		}
		if len(of) > 0 {
			b.WriteString(" {" + strings.Join(of, " ") + "}")
		}
		b.WriteString("\n")
	}
	if boxed {
		b.WriteString("\n:::\n")
	}
}

// ofAct are the attributes of an act.
func ofAct(a *procedure.Action) []string {
	out := refs("who", a.Who)
	if len(a.At) > 0 {
		out = append(out, fmt.Sprintf("at=%q", a.At))
	}
	if len(a.Hook) > 0 {
		out = append(out, fmt.Sprintf("hook=%q", a.Hook))
	}
	if a.Locks.Stated() {
		out = append(out, fmt.Sprintf("locks=%s", a.Locks))
	}
	return out
}

// byHand are the attributes of a lift by hand.
func byHand(l *procedure.HandLift) (out []string) {
	for _, x := range []struct {
		name string
		q    measure.Quantity
	}{{"reach", l.Reach}, {"from", l.From}, {"to", l.To}, {"twist", l.Twist}} {
		if !x.q.IsZero() {
			out = append(out, fmt.Sprintf("%s=%q", x.name, x.q))
		}
	}
	if l.Grip != "" {
		out = append(out, "grip="+l.Grip)
	}
	return out
}

// lastLine is the last line that was written.
func lastLine(b *strings.Builder) string {
	all := strings.TrimSuffix(b.String(), "\n")
	return all[strings.LastIndexByte(all, '\n')+1:]
}

func hold(b *strings.Builder, h *procedure.Hold) {
	var out []string
	if h.Signature != "" {
		out = append(out, fmt.Sprintf("signature=%q", h.Signature))
	}
	if h.SafeStop {
		out = append(out, "safe-stop")
	}
	fmt.Fprintf(b, "\n::: hold %q", h.Title)
	if len(out) > 0 {
		fmt.Fprintf(b, " {%s}", strings.Join(out, " "))
	}
	b.WriteString("\n")
	for _, c := range h.Confirmations {
		b.WriteString("- " + escaped(c.Plain()) + "\n")
	}
	b.WriteString("\n:::\n")
}

// removed is what the words of the step say that a derived one turns round; empty for one that turns none round.
func removed(forth *procedure.Procedure, back *procedure.Step) string {
	i := slices.IndexFunc(forth.Steps, func(s *procedure.Step) bool {
		turned := s.ID + refit.Suffix
		return back.ID == turned || strings.HasPrefix(back.ID, turned+"-") // made ready for a lift, or of one variant
	})
	if i < 0 {
		return ""
	}
	var out []string
	for _, block := range forth.Steps[i].Blocks {
		if t := block.Shows().Text; t != nil && onSome(block.Base().Variants, back.Variants) {
			out = append(out, strings.Join(strings.Fields(t.Plain()), " "))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "“" + escaped(strings.Join(out, " ")) + "”"
}

// onSome reports whether what is for some variants, or for all, is for one of the others.
func onSome(a, b []procedure.Ref) bool {
	return len(a) == 0 || len(b) == 0 || slices.ContainsFunc(a, func(x procedure.Ref) bool {
		return slices.ContainsFunc(b, func(y procedure.Ref) bool { return x.ID == y.ID })
	})
}

// escaped writes words so that Markdown takes them as they stand.
func escaped(s string) string {
	return strings.NewReplacer("\n", " ", `\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "<", `\<`, "[", `\[`, "{", `\{`).Replace(s)
}
