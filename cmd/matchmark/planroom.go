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
		w.print(b, apart(c))
		table := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
		for _, v := range visits {
			fmt.Fprintf(table, "  %s\t%s\t%d %s: %s\n", r.Clock(v.Due), say.That("team %team", say.Count(v.Team)).In(w.speaks), v.Step.Number, v.Step.Title, v.Hold.Title)
		}
		table.Flush() // to memory: nothing that could fail
	}
	for _, clash := range room.Clashes(visits, room.Signing) {
		w.print(b, say.That("  Clash at %time: team %team waits %wait min, since the trainer is with team %other (%step).", say.Name(r.Clock(clash.Second.Due)), say.Count(clash.Second.Team), amount(clash.Wait), say.Count(clash.First.Team), say.Name(clash.First.Step.Title)))
	}
	for _, x := range c.Shared() {
		var times say.Text
		if x.Times > 1 {
			times = say.That("; %times times in all", say.Count(x.Times))
		}
		w.print(b, say.That("  Clash at %time: team %team wants the only %tool (%step), and team %other has it%times.", say.Name(r.Clock(x.At)), say.Count(x.Second), say.Name(x.Tool.Name), say.Name(x.SecondStep.Title), say.Count(x.First), times))
	}
}

// apart says how far apart the teams start.
func apart(c room.Class) say.Text {
	if c.Apart == 0 {
		return say.That("  Hold points of %teams teams, which start together", say.Count(c.Teams))
	}
	return say.That("  Hold points of %teams teams, which start %apart min apart", say.Count(c.Teams), amount(c.Apart))
}

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
			Summary: say.That("%course: session %number", say.Name(w.course.Title), say.Count(s.Number)).In(w.speaks),
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
			time, step := say.Name(r.Clock(v.Due)), say.Name(fmt.Sprintf("%d %s", v.Step.Number, v.Step.Title))
			line := say.That("%time hold point: %step", time, step)
			if w.course.Pace.Teams > 1 {
				line = say.That("%time hold point: team %team, %step", time, say.Count(v.Team), step)
			}
			lines = append(lines, line.In(w.speaks))
		}
		slices.Sort(lines) // by the clock
		e.Description = strings.Join(lines, "\n")
		events = append(events, e)
	}
	var b bytes.Buffer
	if err := calendar.Write(&b, w.course.Title, events); err != nil {
		return &compile.InternalError{Err: err}
	}
	return writeFile(c, file, say.That("It holds %count %count(session|sessions).", say.Count(len(events))), b.Bytes())
}

func (m minutes) duration() time.Duration { return time.Duration(float64(m) * float64(time.Minute)) }
