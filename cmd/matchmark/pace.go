package main

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// paceFlags say what a session must keep to. What is not given stays as the course has it.
type paceFlags struct {
	Session    *minutes `placeholder:"TIME" help:"Length of a session, set-up and clear-down included."`
	Break      *minutes `placeholder:"TIME" help:"Length of a break; 0 for none."`
	BreakEvery *minutes `placeholder:"TIME" help:"Longest work between breaks."`
	SetUp      *minutes `placeholder:"TIME" help:"Set-up time of each session."`
	ClearDown  *minutes `placeholder:"TIME" help:"Clear-down time of each session."`
	Confidence *percent `placeholder:"PERCENT" help:"Percent of sessions that must end on time, from 50 to below 100."`
	CommonPace *percent `placeholder:"PERCENT" help:"How much a team that is slow at one step is slow at the next: the correlation of their times, from 0 to 100."`
	Teams      *int     `placeholder:"N" help:"How many teams work side by side."`
	Start      *daytime `placeholder:"HH:MM" help:"When a session starts."`
	People     *int     `placeholder:"N" help:"People at one machine. Steps that need more are listed."`
	learningFlags
}

// apply puts what was given over the course's own pace.
func (f *paceFlags) apply(p *procedure.Pace) error {
	for _, t := range []struct {
		given *minutes
		to    *float64
	}{{f.Session, &p.Session}, {f.Break, &p.Break}, {f.BreakEvery, &p.BreakEvery}, {f.SetUp, &p.SetUp}, {f.ClearDown, &p.ClearDown}} {
		if t.given != nil {
			*t.to = float64(*t.given)
		}
	}
	if f.Confidence != nil {
		if *f.Confidence < 50 || *f.Confidence >= 100 {
			return &failure{code: exitUsage, problem: say.That("--confidence %confidence is out of range; write a percentage from 50 to below 100, such as 90", say.Decimal{Value: float64(*f.Confidence), Places: say.Shortest})}
		}
		p.Confidence = float64(*f.Confidence) / 100
	}
	if f.CommonPace != nil {
		p.CommonPace = float64(*f.CommonPace) / 100
	}
	if f.Teams != nil {
		if p.Teams = *f.Teams; p.Teams < 1 {
			return &failure{code: exitUsage, problem: say.That("--teams %teams: there is one at least", say.Count(p.Teams))}
		}
	}
	if f.Start != nil {
		p.Start = float64(*f.Start)
	}
	if f.People != nil {
		if p.People = *f.People; p.People < 1 {
			return &failure{code: exitUsage, problem: say.That("--people %people: it takes at least one", say.Count(p.People))}
		}
	}
	return f.learningFlags.apply(p)
}

// minutes is a time on the command line.
type minutes float64

// UnmarshalText reads a quantity of time, or a time as programmers write it.
func (m *minutes) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	if s == "0" {
		*m = 0
		return nil
	}
	q, err := measure.ParseAs(s, measure.Time)
	if err == nil {
		*m = minutes(q.Float("min"))
	} else if d, badDuration := time.ParseDuration(s); badDuration == nil {
		*m, err = minutes(d.Minutes()), nil
	}
	var wrong *measure.ParseError
	switch {
	case errors.As(err, &wrong):
		return &badValue{say.That("%time is not a valid time: %wrong; write it as \"3 h\", \"15 min\" or 1h30m", say.Quoted(s), wrong.Wrong)}
	case err == nil && *m < 0:
		return &badValue{say.That("%time: a time cannot be negative", say.Quoted(s))}
	}
	return err
}

// percent is a percentage on the command line; the sign may be left out.
type percent float64

// UnmarshalText reads a percentage.
func (p *percent) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	n, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(s, "%")), 64)
	if err != nil || !(n >= 0 && n <= 100) {
		return &badValue{say.That("%percent is not a percentage from 0 to 100", say.Quoted(s))}
	}
	*p = percent(n)
	return nil
}

// daytime is a time of day in minutes past midnight.
type daytime float64

// UnmarshalText reads a time of day, such as 08:30.
func (d *daytime) UnmarshalText(text []byte) error {
	at, err := time.Parse("15:04", strings.TrimSpace(string(text)))
	if err != nil {
		return &badValue{say.That("%time is not a valid time of day; write it as 08:30", say.Quoted(string(text)))}
	}
	*d = daytime(at.Hour()*60 + at.Minute())
	return nil
}
