package main

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"matchmark/procedure"
	"matchmark/procedure/say"
	"matchmark/procedure/schedule"
	"matchmark/procedure/sessions"
)

// planWriter prints a plan.
type planWriter struct {
	course *procedure.Course
	items  []sessions.Item
	plan   *sessions.Plan
	// named is true when the user chose the variant.
	named bool
}

// verdict is nil when the work can be done as planned.
func (w *planWriter) verdict() error {
	if len(w.plan.Sessions) == 0 && len(w.plan.Obstacles) > 0 {
		return &failure{code: exitLibrary, problem: say.That("no split into such sessions works"), do: say.That("mark the steps named above as safe-stop where that is true, or plan longer sessions")}
	}
	if short := w.short(); len(short) > 0 {
		return &failure{code: exitLibrary, problem: say.That("%count %count(step takes|steps take) more people than there are", say.Count(len(short))), do: say.That("plan with more: --people N")}
	}
	return nil
}

// short lists the steps that take more people than there are.
func (w *planWriter) short() []string {
	var out []string
	seen := map[*procedure.Step]bool{}
	for _, it := range w.items {
		if it.Job == nil {
			continue
		}
		for _, s := range it.Job.Steps {
			if s.People > w.course.Pace.People && !seen[s] {
				seen[s] = true
				out = append(out, fmt.Sprintf("%s: %s", w.stepName(&it, s), plural(s.People, "person", "people")))
			}
		}
	}
	return out
}

// text prints for people.
func (w *planWriter) text(out io.Writer) error {
	var b bytes.Buffer
	r := w.plan.Rules
	fmt.Fprintf(&b, "%s\n", w.course.Title)
	fmt.Fprintf(&b, "Sessions of %s from %s, with %s to set up and %s to clear down", schedule.Duration(r.Length), r.Clock(0), schedule.Duration(r.SetUp), schedule.Duration(r.ClearDown))
	if r.Break.Length > 0 {
		fmt.Fprintf(&b, ", and %s of break after at most %s of work", schedule.Duration(r.Break.Length), schedule.Duration(r.Break.Every))
	}
	fmt.Fprintf(&b, "; kept %s times in 100. Times of one team have a correlation of %s percent.\n", number(100*r.Confidence), number(100*r.CommonPace))
	w.facts(&b)
	fmt.Fprintf(&b, "Expected work: %s ± %s", schedule.Duration(w.plan.Expected), schedule.Duration(w.plan.Deviation))
	if n := len(w.plan.Sessions); n > 0 {
		fmt.Fprintf(&b, ", in %s", plural(n, "session", "sessions"))
	}
	fmt.Fprint(&b, ".\n")
	for _, s := range w.plan.Sessions {
		w.session(&b, s)
	}
	w.obstacles(&b)
	_, err := out.Write(b.Bytes())
	return err
}

// facts prints what the plan was made with, besides its rules.
func (w *planWriter) facts(b *bytes.Buffer) {
	var variants []string
	for _, it := range w.items {
		if it.Job == nil || it.Job.Variant == nil {
			continue
		}
		if v := fmt.Sprintf("%s: %s", it.Job.Machine.Title, it.Job.Variant.Name); !slices.Contains(variants, v) {
			variants = append(variants, v)
		}
	}
	if len(variants) > 0 {
		why := " (it takes longest; --variant chooses another)"
		if w.named {
			why = ""
		}
		fmt.Fprintf(b, "Planned for %s%s.\n", strings.Join(variants, "; "), why)
	}
	if c := w.course.Pace.Learning; c.Rate > 0 {
		fmt.Fprintf(b, "Learning rate: %s percent (%s); the library's times are those of repetition %d.\n", number(100*c.Rate), c.Form, w.course.Pace.Stated)
	}
	for _, s := range w.short() {
		fmt.Fprintf(b, "Too few people (%d) for %s.\n", w.course.Pace.People, s)
	}
	for _, x := range w.plan.Breaches {
		fmt.Fprintf(b, "The course leaves a job where it is not safe to stop: after %s.\n", w.stepName(x.Item, x.Step))
	}
}

// session prints one session as a table.
func (w *planWriter) session(b *bytes.Buffer, s sessions.Session) {
	r := w.plan.Rules
	fmt.Fprintf(b, "\nSession %d, %s to %s, or %s with the confidence above; chance of overrunning %s%s\n", s.Number, r.Clock(0), r.Clock(s.End), r.Clock(s.CarefulEnd), chance(s.Overrun), w.allKeep(&s))
	table := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(table, "  start\tend\tlatest\n")
	var at *sessions.Item
	for _, row := range s.Rows {
		if row.Item != nil && row.Item != at {
			if at = row.Item; row.Step != nil {
				fmt.Fprintf(table, "  \t\t\t%s\n", at.Title)
			}
		}
		latest := ""
		if row.Checkpoint {
			latest = r.Clock(max(row.Latest, 0))
		}
		fmt.Fprintf(table, "  %s\t%s\t%s\t%s\n", r.Clock(row.Start), r.Clock(row.End), latest, rowName(row))
	}
	table.Flush() // to memory: nothing that could fail
	w.visits(b, s)
	if s.LongStretch {
		fmt.Fprintf(b, "  More than %s is worked here without a break: there is no safe stop in between.\n", schedule.Duration(r.Break.Every))
	}
}

// allKeep says how likely all teams keep a session's length; nothing for one team.
func (w *planWriter) allKeep(s *sessions.Session) string {
	if teams := w.course.Pace.Teams; teams > 1 {
		return fmt.Sprintf(", of all %d teams keeping it %s", teams, chance(s.AllKeep(teams, w.class(s).Apart)))
	}
	return ""
}

// rowName says what a row is.
func rowName(row sessions.Row) string {
	switch row.Kind {
	case sessions.SetUpRow:
		return "Set up"
	case sessions.BreakRow:
		return "Break"
	case sessions.ClearDownRow:
		return "Clear down"
	}
	out := row.Item.Title
	if row.Step != nil {
		out = fmt.Sprintf("%d %s", row.Step.Number, row.Step.Title)
	}
	if row.Kind == sessions.ProofRow {
		out += " [again, after the stop]"
	}
	switch row.Stop {
	case sessions.StepStop, sessions.HoldStop:
		out += " [safe stop]"
	case sessions.EndOfJob:
		out += " [end of the job]"
	}
	return out
}

// chance writes a chance as a percentage that says no more than is known.
func chance(p float64) string {
	switch percent := 100 * p; {
	case percent < 0.1:
		return "under 0.1 %"
	case percent > 99.9:
		return "over 99.9 %"
	default:
		return number(percent) + " %"
	}
}

// stepName names a step, with its job where there are several.
func (w *planWriter) stepName(it *sessions.Item, s *procedure.Step) string {
	return fmt.Sprintf("step %d %q", s.Number, s.Title) + w.of(it)
}

func (w *planWriter) of(it *sessions.Item) string {
	if len(w.items) < 2 {
		return ""
	}
	return " (" + it.Title + ")"
}

// obstacles says why there is no split.
func (w *planWriter) obstacles(b *bytes.Buffer) {
	for _, o := range w.plan.Obstacles {
		fmt.Fprintf(b, "\nThis cannot be interrupted and needs a session of %s: %s.\n", schedule.Duration(o.Needs), w.stretch(o.Item, o.From, o.To))
		for i, p := range o.Stops {
			words := "It would do if it were safe to stop after"
			if i > 0 {
				words = "and after"
			}
			fmt.Fprintf(b, "  %s %s.\n", words, w.stepName(p.Item, p.Step))
		}
		for _, p := range o.Others {
			fmt.Fprintf(b, "  Or, instead, after %s.\n", w.stepName(p.Item, p.Step))
		}
		for _, l := range o.TooLong {
			why := "is too long by itself"
			if l.Hangs != nil {
				why = fmt.Sprintf("cannot be interrupted while a load hangs (%s)", l.Hangs.Name)
			}
			fmt.Fprintf(b, "  No safe stop helps here: %s %s; it needs a session of %s.\n", w.stretch(l.Item, l.From, l.To), why, schedule.Duration(l.Needs))
		}
	}
}

// stretch names a run of steps, or an item without steps.
func (w *planWriter) stretch(it *sessions.Item, from, to *procedure.Step) string {
	switch {
	case from == nil:
		return it.Title
	case from == to:
		return w.stepName(it, from)
	}
	return fmt.Sprintf("step %d %q to step %d %q", from.Number, from.Title, to.Number, to.Title) + w.of(it)
}
