package source

import (
	"strconv"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/learning"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// questionMinutes is how long a question of a quiz takes when its author states no time.
//
// Source: common practice, no source.
const questionMinutes = 2

// quizTime reads how long a quiz takes.
func (r *reader) quizTime(m *frontMatter, s string, questions int) procedure.Estimate {
	if s != "" {
		return r.estimate(s, m.spanOf("time"))
	}
	all := float64(questionMinutes * questions)
	return procedure.Estimate{Optimistic: all, Likely: all, Pessimistic: all}
}

// pace reads how a course is planned. What is not stated, or stated wrongly, is as usual.
func (r *reader) pace(m *frontMatter, f courseFields) procedure.Pace {
	p := procedure.UsualPace()
	r.wholeNumber(m, "repetition", f.Repetition, 1000, &p.Stated)
	r.wholeNumber(m, "people", f.People, 20, &p.People)
	for i, person := range f.Crew {
		at := m.spanOf("crew[" + strconv.Itoa(i) + "]")
		p.Crew = append(p.Crew, procedure.Person{Tickets: notNone(splitRefs(person, valueSpan(at, person)))})
	}
	switch n := len(p.Crew); {
	case n > 20:
		r.mismatch(m, "crew", say.That("%count people are in the crew", say.Count(n)), say.That("Give at most 20: those who work on one machine."))
		p.Crew = p.Crew[:20]
	case n > 0 && f.People != nil && p.People != n:
		r.mismatch(m, "people", say.That("%count %count(person works|people work) on one machine, and %crew are in the crew", say.Count(p.People), say.Count(n)), say.That("Take the line people out: the crew says it."))
	}
	if n := len(p.Crew); n > 0 {
		p.People = n
	}
	p.Shared = (len(p.Crew) > 0 || f.People != nil) && !f.Together
	r.duration(m, "session", f.Session, true, &p.Session)
	r.duration(m, "set-up", f.SetUp, false, &p.SetUp)
	r.duration(m, "clear-down", f.ClearDown, false, &p.ClearDown)
	r.duration(m, "break", f.Break, false, &p.Break)
	r.duration(m, "break-every", f.BreakEvery, true, &p.BreakEvery)
	if f.Confidence != nil {
		if *f.Confidence >= 50 && *f.Confidence <= 99.9 {
			p.Confidence = *f.Confidence / 100
		} else {
			r.mismatch(m, "confidence", say.That("%confidence % is no confidence to plan with", say.Decimal{Value: *f.Confidence, Places: say.Shortest}), say.That("Give percent from 50 to 99.9, such as 90."))
		}
	}
	if f.CommonPace != nil {
		if *f.CommonPace >= 0 && *f.CommonPace <= 100 {
			p.CommonPace = *f.CommonPace / 100
		} else {
			r.mismatch(m, "common-pace", say.That("%correlation % is no correlation", say.Decimal{Value: *f.CommonPace, Places: say.Shortest}), say.That("Give percent from 0 to 100, such as 30."))
		}
	}
	r.wholeNumber(m, "teams", f.Teams, 100, &p.Teams)
	if f.Start != "" {
		if at, err := time.Parse("15:04", f.Start); err == nil {
			p.Start = float64(at.Hour()*60 + at.Minute())
		} else {
			r.mismatch(m, "start", say.That("%start is no time of day", say.Quote(f.Start)), say.That(`Write hours and minutes in quotation marks, such as "08:30".`))
		}
	}
	if p.Break == 0 && f.BreakEvery != "" {
		r.mismatch(m, "break-every", say.That("without breaks nobody asks how often they come"), say.That("Give a break that is longer than 0 min, or take this line out."))
	}
	p.Learning = r.curve(m, f)
	if p.SetUp+p.ClearDown >= p.Session {
		at := m.spanOf("session")
		for _, stated := range []struct{ name, value string }{{"clear-down", f.ClearDown}, {"set-up", f.SetUp}, {"session", f.Session}} {
			if stated.value != "" {
				at = m.spanOf(stated.name)
			}
		}
		r.report("front-matter-value", at, say.That("set-up (%setUp min) and clear-down (%clearDown min) leave nothing of a session of %session min", say.Decimal{Value: p.SetUp, Places: say.Shortest}, say.Decimal{Value: p.ClearDown, Places: say.Shortest}, say.Decimal{Value: p.Session, Places: say.Shortest}),
			say.That("Give a longer session, or less time for the two."))
		usual := procedure.UsualPace()
		p.Session, p.SetUp, p.ClearDown = usual.Session, usual.SetUp, usual.ClearDown
	}
	return p
}

// curve reads the learning curve.
func (r *reader) curve(m *frontMatter, f courseFields) learning.Curve {
	c := learning.Curve{Form: learning.Crawford, Rate: 1}
	if f.Learning != "" {
		var names []string
		for _, form := range learning.Forms {
			names = append(names, string(form))
			if string(form) == f.Learning {
				c.Form = form
			}
		}
		if string(c.Form) != f.Learning {
			r.reportNear("front-matter-value", m.spanOf("learning"), say.That("%form is no form of a learning curve", say.Quote(f.Learning)), f.Learning, names, say.That("Write crawford or wright."))
		}
		if f.Rate == nil {
			r.mismatch(m, "learning", say.That("a learning curve needs a rate"), say.That("Add a line such as `rate: 85`."))
		}
	}
	if f.Rate == nil {
		return learning.Curve{}
	}
	if !(*f.Rate > 50 && *f.Rate <= 100) {
		r.mismatch(m, "rate", say.That("%rate % is no rate of a learning curve", say.Decimal{Value: *f.Rate, Places: say.Shortest}), say.That("Give percent over 50 and up to 100, such as 85."))
		return learning.Curve{}
	}
	c.Rate = *f.Rate / 100
	return c
}

// mismatch reports a line of the front matter whose value does not fit.
func (r *reader) mismatch(m *frontMatter, name string, wrong, advice say.Text) {
	r.report("front-matter-value", m.spanOf(name), wrong, advice)
}

// wholeNumber reads a number from 1 up to a greatest.
func (r *reader) wholeNumber(m *frontMatter, name string, stated *int, most int, into *int) {
	switch {
	case stated == nil:
	case *stated < 1 || *stated > most:
		r.mismatch(m, name, say.That("%name is %stated", say.Quote(name), say.Count(*stated)), say.That("Give a number from 1 to %most.", say.Count(most)))
	default:
		*into = *stated
	}
}

// duration reads a time with its unit, in minutes.
func (r *reader) duration(m *frontMatter, name, stated string, some bool, into *float64) {
	if stated == "" {
		return
	}
	q := r.quantity(stated, valueSpan(m.spanOf(name), stated), measure.Time)
	switch minutes := q.Float("min"); {
	case q.IsZero(): // reported
	case some && minutes == 0:
		r.mismatch(m, name, say.That("%name is no time at all", say.Quote(name)), say.That("Give a time such as 90 min."))
	case minutes > longestTime:
		r.mismatch(m, name, say.That("%stated is longer than a day", say.Quote(stated)), say.That("Give a time of 24 h at most."))
	default:
		*into = minutes
	}
}

// longestTime bounds what a course states, in minutes.
const longestTime = 24 * 60

// valueSpan is the place of a value without its quotation marks.
func valueSpan(s text.Span, value string) text.Span {
	if at := strings.Index(s.Text(), value); at > 0 {
		return s.Sub(at, at+len(value))
	}
	return s
}
