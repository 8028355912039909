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
	// speaks is the language of its words.
	speaks say.Language
}

// print prints a line.
func (w *planWriter) print(b *bytes.Buffer, line say.Text) { fmt.Fprintln(b, line.In(w.speaks)) }

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
func (w *planWriter) short() []say.Text {
	var out []say.Text
	seen := map[*procedure.Step]bool{}
	for _, it := range w.items {
		if it.Job == nil {
			continue
		}
		for _, s := range it.Job.Steps {
			if s.People > w.course.Pace.People && !seen[s] {
				seen[s] = true
				out = append(out, say.That("%step: %count %count(person|people)", w.stepName(&it, s), say.Count(s.People)))
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
	var breaks, count say.Text
	if r.Break.Length > 0 {
		breaks = say.That(", and %length of break after at most %work of work", duration(r.Break.Length), duration(r.Break.Every))
	}
	w.print(&b, say.That("Sessions of %length from %start, with %setup to set up and %cleardown to clear down%breaks; kept %times times in 100. Times of one team have a correlation of %correlation percent.",
		duration(r.Length), say.Name(r.Clock(0)), duration(r.SetUp), duration(r.ClearDown), breaks, amount(100*r.Confidence), amount(100*r.CommonPace)))
	w.facts(&b)
	if n := len(w.plan.Sessions); n > 0 {
		count = say.That(", in %count %count(session|sessions)", say.Count(n))
	}
	w.print(&b, say.That("Expected work: %work ± %deviation%sessions.", duration(w.plan.Expected), duration(w.plan.Deviation), count))
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
		why := say.That(" (it takes longest; --variant chooses another)")
		if w.named {
			why = say.Text{}
		}
		w.print(b, say.That("Planned for %variants%why.", say.Name(strings.Join(variants, "; ")), why))
	}
	if c := w.course.Pace.Learning; c.Rate > 0 {
		w.print(b, say.That("Learning rate: %rate percent (%form); the library's times are those of repetition %stated.", amount(100*c.Rate), say.Word(c.Form), say.Count(w.course.Pace.Stated)))
	}
	for _, s := range w.short() {
		w.print(b, say.That("Too few people (%people) for %step.", say.Count(w.course.Pace.People), s))
	}
	for _, x := range w.plan.Breaches {
		w.print(b, say.That("The course leaves a job where it is not safe to stop: after %step.", w.stepName(x.Item, x.Step)))
	}
}

// session prints one session as a table.
func (w *planWriter) session(b *bytes.Buffer, s sessions.Session) {
	r := w.plan.Rules
	w.print(b, say.That("\nSession %number, %start to %end, or %late with the confidence above; chance of overrunning %chance%keep", say.Count(s.Number), say.Name(r.Clock(0)), say.Name(r.Clock(s.End)), say.Name(r.Clock(s.CarefulEnd)), chance(s.Overrun), w.allKeep(&s)))
	table := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, say.That("  start\tend\tlatest").In(w.speaks))
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
		fmt.Fprintf(table, "  %s\t%s\t%s\t%s\n", r.Clock(row.Start), r.Clock(row.End), latest, rowName(row).In(w.speaks))
	}
	table.Flush() // to memory: nothing that could fail
	w.visits(b, s)
	if s.LongStretch {
		w.print(b, say.That("  More than %length is worked here without a break: there is no safe stop in between.", duration(r.Break.Every)))
	}
}

// allKeep says how likely all teams keep a session's length; nothing for one team.
func (w *planWriter) allKeep(s *sessions.Session) say.Text {
	if teams := w.course.Pace.Teams; teams > 1 {
		return say.That(", of all %teams teams keeping it %chance", say.Count(teams), chance(s.AllKeep(teams, w.class(s).Apart)))
	}
	return say.Text{}
}

// rowName says what a row is.
func rowName(row sessions.Row) say.Text {
	switch row.Kind {
	case sessions.SetUpRow:
		return say.That("Set up")
	case sessions.BreakRow:
		return say.That("Break")
	case sessions.ClearDownRow:
		return say.That("Clear down")
	}
	name := row.Item.Title
	if row.Step != nil {
		name = fmt.Sprintf("%d %s", row.Step.Number, row.Step.Title)
	}
	out := say.That("%name", say.Name(name))
	if row.Kind == sessions.ProofRow {
		out = say.That("%name [again, after the stop]", out)
	}
	switch row.Stop {
	case sessions.StepStop, sessions.HoldStop:
		out = say.That("%name [safe stop]", out)
	case sessions.EndOfJob:
		out = say.That("%name [end of the job]", out)
	}
	return out
}

// chance writes a chance as a percentage that says no more than is known.
func chance(p float64) say.Text {
	switch percent := 100 * p; {
	case percent < 0.1:
		return say.That("under %percent %", amount(0.1))
	case percent > 99.9:
		return say.That("over %percent %", amount(99.9))
	default:
		return say.That("%percent %", amount(percent))
	}
}

// duration is a time as people write it.
func duration(minutes float64) say.Name { return say.Name(schedule.Duration(minutes)) }

// stepName names a step, with its job where there are several.
func (w *planWriter) stepName(it *sessions.Item, s *procedure.Step) say.Text {
	return say.That("step %number %title%job", say.Step(s.Number), say.Quoted(s.Title), w.of(it))
}

func (w *planWriter) of(it *sessions.Item) say.Name {
	if len(w.items) < 2 {
		return ""
	}
	return say.Name(" (" + it.Title + ")")
}

// obstacles says why there is no split.
func (w *planWriter) obstacles(b *bytes.Buffer) {
	for _, o := range w.plan.Obstacles {
		w.print(b, say.That("\nThis cannot be interrupted and needs a session of %length: %steps.", duration(o.Needs), w.stretch(o.Item, o.From, o.To)))
		for i, p := range o.Stops {
			if step := w.stepName(p.Item, p.Step); i == 0 {
				w.print(b, say.That("  It would do if it were safe to stop after %step.", step))
			} else {
				w.print(b, say.That("  and after %step.", step))
			}
		}
		for _, p := range o.Others {
			w.print(b, say.That("  Or, instead, after %step.", w.stepName(p.Item, p.Step)))
		}
		for _, l := range o.TooLong {
			if steps := w.stretch(l.Item, l.From, l.To); l.Hangs != nil {
				w.print(b, say.That("  No safe stop helps here: %steps cannot be interrupted while a load hangs (%load); it needs a session of %length.", steps, say.Name(l.Hangs.Name), duration(l.Needs)))
			} else {
				w.print(b, say.That("  No safe stop helps here: %steps is too long by itself; it needs a session of %length.", steps, duration(l.Needs)))
			}
		}
	}
}

// stretch names a run of steps, or an item without steps.
func (w *planWriter) stretch(it *sessions.Item, from, to *procedure.Step) say.Text {
	switch {
	case from == nil:
		return say.That("%name", say.Name(it.Title))
	case from == to:
		return w.stepName(it, from)
	}
	return say.That("step %from %first to step %to %last%job", say.Step(from.Number), say.Quoted(from.Title), say.Step(to.Number), say.Quoted(to.Title), w.of(it))
}
