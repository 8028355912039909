package main

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"matchmark/compile"
	"matchmark/procedure/calendar"
	"matchmark/procedure/room"
	"matchmark/procedure/say"
	"matchmark/procedure/sessions"
)

// date is a day on the command line.
type date time.Time

// UnmarshalText reads a day, such as 2027-01-11.
func (d *date) UnmarshalText(text []byte) error {
	at, err := time.Parse(time.DateOnly, strings.TrimSpace(string(text)))
	if err != nil {
		return &badValue{say.That("%text is no day; write it as 2027-01-11", say.Quoted(string(text)))}
	}
	*d = date(at)
	return nil
}

// class is a session's teams, as far apart as suits the trainer.
func (w *planWriter) class(s *sessions.Session) room.Class {
	return room.Stagger(s, w.course.Pace.Teams, w.plan.Rules.Length, room.Signing)
}

// visits prints where the trainer must be when, for a session of several teams.
func (w *planWriter) visits(b *bytes.Buffer, s sessions.Session) {
	if w.course.Pace.Teams < 2 {
		return
	}
	c, r := w.class(&s), w.plan.Rules
	visits := c.Visits()
	if len(visits) > 0 {
		fmt.Fprintf(b, "  Hold points of %d teams, %s\n", c.Teams, apart(c))
		table := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
		for _, v := range visits {
			fmt.Fprintf(table, "  %s\tteam %d\t%d %s: %s\n", r.Clock(v.Due), v.Team, v.Step.Number, v.Step.Title, v.Hold.Title)
		}
		table.Flush() // to memory: nothing that could fail
	}
	for _, clash := range room.Clashes(visits, room.Signing) {
		fmt.Fprintf(b, "  Clash at %s: team %d waits %s, since the trainer is with team %d (%s).\n", r.Clock(clash.Second.Due), clash.Second.Team, minutesOf(clash.Wait), clash.First.Team, clash.First.Step.Title)
	}
	for _, x := range c.Shared() {
		fmt.Fprintf(b, "  Clash at %s: team %d wants the only %s (%s), and team %d has it%s.\n", r.Clock(x.At), x.Second, x.Tool.Name, x.SecondStep.Title, x.First, map[bool]string{true: fmt.Sprintf("; %d times in all", x.Times)}[x.Times > 1])
	}
}

// apart says how far apart the teams start.
func apart(c room.Class) string {
	if c.Apart == 0 {
		return "which start together"
	}
	return fmt.Sprintf("which start %s apart", minutesOf(c.Apart))
}

func minutesOf(x float64) string { return number(x) + " min" }

// calendar writes the sessions into a file, as events on the days given, one each.
func (w *planWriter) calendar(c *console, file string, days []date) error {
	if n := len(w.plan.Sessions); n != len(days) {
		return &failure{code: exitUsage, problem: say.That("%sessions %sessions(session|sessions), and --dates names %days %days(day|days)", say.Count(n), say.Count(len(days))), do: say.That("name a day for each session: --dates 2027-01-11,2027-01-13")}
	}
	r := w.plan.Rules
	var events []calendar.Event
	for i, s := range w.plan.Sessions {
		start := time.Time(days[i]).Add(minutes(r.Start).duration())
		e := calendar.Event{
			Key: fmt.Sprintf("%s session %d", w.course.ID, s.Number), Start: start, End: start.Add(minutes(r.Length).duration()),
			Summary: fmt.Sprintf("%s: session %d", w.course.Title, s.Number),
		}
		var lines []string
		var at *sessions.Item
		for _, row := range s.Rows {
			if row.Item != nil && row.Item != at {
				at = row.Item
				lines = append(lines, r.Clock(row.Start)+" "+at.Title)
			}
		}
		for _, v := range w.class(&s).Visits() {
			who := ""
			if w.course.Pace.Teams > 1 {
				who = fmt.Sprintf("team %d, ", v.Team)
			}
			lines = append(lines, fmt.Sprintf("%s hold point: %s%d %s", r.Clock(v.Due), who, v.Step.Number, v.Step.Title))
		}
		slices.Sort(lines) // by the clock
		e.Description = strings.Join(lines, "\n")
		events = append(events, e)
	}
	var b bytes.Buffer
	if err := calendar.Write(&b, w.course.Title, events); err != nil {
		return &compile.InternalError{Err: err}
	}
	return writeFile(c, file, fmt.Sprintf("It holds %s.", plural(len(events), "session", "sessions")), b.Bytes())
}

func (m minutes) duration() time.Duration { return time.Duration(float64(m) * float64(time.Minute)) }
