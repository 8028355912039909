package comparison

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
)

// Text writes the comparison for a terminal.
func (v *View) Text(w io.Writer) error {
	var b bytes.Buffer
	for i, c := range v.Compared {
		if i > 0 {
			b.WriteByte('\n')
		}
		c.text(&b, v)
	}
	if len(v.Compared) > 0 && len(v.Others()) > 0 {
		b.WriteByte('\n')
	}
	for _, l := range v.Others() {
		fmt.Fprintln(&b, l)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// Others says which procedures are the same, new or gone.
func (v *View) Others() []string {
	var out []string
	add := func(names []string, words string) {
		if len(names) > 0 {
			out = append(out, words)
		}
	}
	add(v.Same, v.words.T("compare.same", joined(v.Same)))
	add(v.ByMachine, v.words.T("compare.by-machine", joined(v.ByMachine)))
	add(v.ByTerms, v.words.T("compare.by-terms", joined(v.ByTerms)))
	add(v.Added, v.words.T("compare.only-new", joined(v.Added)))
	add(v.Removed, v.words.T("compare.only-old", joined(v.Removed)))
	return out
}

func (c *Compared) text(b *bytes.Buffer, v *View) {
	fmt.Fprintf(b, "%s\n%s\n", c.Title, c.Editions)
	for _, line := range []string{c.Note, c.NotRaised} {
		if line != "" {
			fmt.Fprintln(b, line)
		}
	}
	if len(c.Short) > 0 {
		fmt.Fprintf(b, "%s\n", strings.Join(c.Short, " · "))
	}
	if len(c.Totals) > 0 {
		fmt.Fprintf(b, "\n  %s\n", v.words.T("compare.times"))
		table := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
		for _, t := range c.Totals {
			if t.Variant != "" {
				fmt.Fprintf(table, "    %s\t", t.Variant)
			} else {
				fmt.Fprint(table, "    ")
			}
			fmt.Fprintf(table, "%s → %s\t%s\n", t.Old, t.New, t.Difference)
		}
		table.Flush() // to memory: nothing that could fail
	}
	for _, s := range c.Sections {
		fmt.Fprintf(b, "\n  %s\n", s.Title)
		for _, e := range s.Entries {
			e.text(b, v)
		}
	}
}

func (e *Entry) text(b *bytes.Buffer, v *View) {
	fmt.Fprintf(b, "    %s: %s\n", e.Word, e.Title)
	for _, n := range e.Notes {
		fmt.Fprintf(b, "      %s\n", n)
	}
	if e.Was != nil {
		fmt.Fprintf(b, "      %s %s: %s\n", v.words.T("compare.was"), strings.ToUpper(e.Was.Word), e.Was.Text)
	}
	if e.Is != nil {
		fmt.Fprintf(b, "      %s %s: %s\n", v.words.T("compare.is"), strings.ToUpper(e.Is.Word), e.Is.Text)
	}
	for _, l := range e.Lines {
		switch {
		case l.Old != "" || l.New != "":
			fmt.Fprintf(b, "      %s: %s → %s\n", l.Label, l.Old, l.New)
		default:
			fmt.Fprintf(b, "      %s:", l.Label)
			if l.Note != "" {
				fmt.Fprintf(b, " %s", l.Note)
			}
			b.WriteByte('\n')
		}
		for _, s := range l.Gone {
			fmt.Fprintf(b, "        - %s\n", s)
		}
		for _, s := range l.Come {
			fmt.Fprintf(b, "        + %s\n", s)
		}
	}
}
