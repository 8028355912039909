package workorder

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"matchmark/compile/page"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
	"matchmark/procedure/schedule"
	"matchmark/procedure/workorder"
)

type timesView struct {
	Way   string
	Rows  []timeView
	Total string
}

type timeView struct{ Step, Worked, Estimate, Off, Note string }

// times lists the steps of each way that were worked on.
func (e *Emitter) times() []timesView {
	var out []timesView
	for _, total := range e.order.Totals {
		v := timesView{
			Way:   e.words.T("way." + string(total.Way)),
			Total: e.words.T("workorder.times.total", total.Steps, total.Of, schedule.Duration(total.Minutes), schedule.Duration(total.Expected)),
		}
		for _, t := range e.order.Times {
			if t.Way == total.Way {
				v.Rows = append(v.Rows, e.time(t))
			}
		}
		out = append(out, v)
	}
	return out
}

func (e *Emitter) time(t workorder.StepTime) timeView {
	v := timeView{Worked: schedule.Duration(t.Minutes)}
	if t.Interrupted {
		v.Note = e.words.T("workorder.times.interrupted", t.Spells, schedule.Duration(t.Paused().Minutes()))
	}
	if t.Step == nil {
		v.Step, v.Estimate, v.Off = e.words.T("workorder.step.gone", t.Name), "–", "–"
		return v
	}
	v.Step = fmt.Sprintf("%d %s", t.Step.Number, t.Step.Title)
	estimate := t.Step.Time
	v.Estimate = schedule.Duration(estimate.Likely)
	if estimate.Optimistic != estimate.Pessimistic {
		v.Estimate = e.words.T("time.range", schedule.Duration(estimate.Likely), schedule.Duration(estimate.Optimistic), schedule.Duration(estimate.Pessimistic))
	}
	v.Off = signed(t.Off)
	switch {
	case t.Fast:
		v.Note = joined(e.words.T("workorder.times.fast"), v.Note)
	case t.Slow:
		v.Note = joined(e.words.T("workorder.times.slow"), v.Note)
	}
	return v
}

// signed writes a difference in minutes, with a sign unless it rounds to nothing.
func signed(minutes float64) string {
	switch s := schedule.Duration(minutes); {
	case strings.Trim(s, "-0 min") == "":
		return "0 min"
	case minutes > 0:
		return "+" + s
	default:
		return "−" + strings.TrimPrefix(s, "-")
	}
}

type holdView struct {
	Step, Title string
	Rows        []confirmationView
	Signature   []confirmationView
}

// confirmationView is one line of a hold point; Mark is given, open or broken.
type confirmationView struct {
	Mark, Word string
	Text       template.HTML
	Who        string
}

func (e *Emitter) holds() []holdView {
	var out []holdView
	for _, h := range e.order.Holds {
		v := holdView{Step: e.words.T("workorder.hold.step", e.words.T("way."+string(h.Way)), h.Step.Number, h.Step.Title), Title: h.Title}
		for _, c := range h.Confirmations {
			row := confirmationView{Mark: "open", Word: e.words.T("workorder.hold.open"), Text: page.Inline(c.Prose)}
			if c.Given {
				row.Mark, row.Word, row.Who = "given", e.words.T("workorder.hold.given"), e.stamp(c.Stamp)
			}
			v.Rows = append(v.Rows, row)
		}
		if h.Signature != nil {
			v.Signature = e.signature(h.Signature)
		}
		out = append(out, v)
	}
	return out
}

// signer names who signed, or says that the name was deleted.
func (e *Emitter) signer(s record.Signature) string {
	return cmp.Or(s.Signer(), e.words.T("workorder.signed.nameless"))
}

// signature says what became of the signature: one line for each that there is, or one for none.
func (e *Emitter) signature(s *workorder.Signature) []confirmationView {
	text := func(key string, args ...any) template.HTML {
		return template.HTML(template.HTMLEscapeString(e.words.T("workorder.signed."+key, args...)))
	}
	var out []confirmationView
	if x := s.Sealed; x != nil {
		v := confirmationView{Mark: "given", Word: e.words.T("workorder.hold.holds"), Text: text("host", e.signer(*x), s.Key()), Who: e.moment(x.At)}
		if !s.Holds {
			v.Mark, v.Word, v.Text = "broken", e.words.T("workorder.hold.broken"), text("broken", e.signer(*x), s.Key())
		}
		out = append(out, v)
	}
	if s.Written.Given {
		v := confirmationView{Mark: "given", Word: e.words.T("workorder.hold.given"), Text: text("written", s.Written.Text), Who: e.stamp(s.Written.Stamp)}
		if s.Unproved() {
			v.Mark, v.Word = "broken", e.words.T("workorder.hold.unproved")
		}
		out = append(out, v)
	}
	if len(out) == 0 {
		out = append(out, confirmationView{Mark: "open", Word: e.words.T("workorder.hold.open"), Text: text("open", s.Who)})
	}
	return out
}

// turnView is one line on which way the job went.
type turnView struct{ Step, Text, Who string }

func (e *Emitter) turns() []turnView {
	var out []turnView
	for _, t := range e.order.Turns {
		v := turnView{Step: e.words.T("workorder.step", t.Step.Number, t.Step.Title), Who: e.stamp(t.Stamp)}
		if t.Round > 0 && t.Note != rows.Count && t.Note != rows.More {
			v.Step = joined(v.Step, e.words.T("workorder.round", t.Round))
		}
		switch {
		case t.Decision != nil && t.Yes:
			v.Text = e.words.T("workorder.ways.answer.yes", t.Decision.Question.Plain())
		case t.Decision != nil:
			v.Text = e.words.T("workorder.ways.answer.no", t.Decision.Question.Plain())
		case t.Note == rows.Count:
			v.Text = e.words.T("workorder.ways.round", t.Rounds)
		case t.Note == rows.More:
			v.Text = e.words.T("workorder.ways.more", t.Words)
		default:
			v.Text = e.words.T("workorder.ways.skipped", t.Words)
		}
		out = append(out, v)
	}
	return out
}

type measuredView struct {
	Step, Look, Value, Limits string
	// Found is what was read before the work; empty for what was not.
	Found         string
	Verdict, Mark string
	Finding       int
	Who           string
}

func (e *Emitter) measured() []measuredView {
	var out []measuredView
	for _, m := range e.order.Measured {
		v := measuredView{
			Look: m.Look, Value: e.number(m.Value) + " " + m.Unit, Finding: m.Finding, Who: e.stamp(m.Stamp),
			Verdict: e.words.T("workorder.verdict." + string(m.Verdict)), Mark: string(m.Verdict),
		}
		if m.Thing != "" && !strings.Contains(m.Look, m.Thing) {
			v.Look = m.Thing + ": " + m.Look
		}
		if m.Found != "" {
			v.Found = e.words.T("workorder.as-found", e.number(m.Found)+" "+m.Unit)
		}
		if m.Step != nil {
			v.Step = e.words.T("workorder.step", m.Step.Number, m.Step.Title)
		}
		if m.Round > 0 {
			v.Step = joined(v.Step, e.words.T("workorder.round", m.Round))
		}
		switch {
		case m.Low != "" && m.High != "":
			v.Limits = e.words.T("workorder.limits", e.number(m.Low), e.number(m.High))
		case m.Low != "":
			v.Limits = e.words.T("workorder.limits.low", e.number(m.Low))
		case m.High != "":
			v.Limits = e.words.T("workorder.limits.high", e.number(m.High))
		}
		out = append(out, v)
	}
	return out
}

// number writes a number with the language's decimal sign.
func (e *Emitter) number(s string) string {
	return strings.Replace(s, ".", e.words.T("number.decimal"), 1)
}

// lost lists what could not be placed. What there may be much of, such as ticks, is told in one line.
func (e *Emitter) lost() []labelled {
	var out []labelled
	for _, l := range e.order.Lost {
		v := labelled{e.words.T("workorder.lost." + l.Map), e.words.T("workorder.reason."+string(l.Reason), l.Name)}
		switch l.Map {
		case "findings":
			i := slices.IndexFunc(e.order.Findings, func(f *workorder.Finding) bool { return f.Key == l.Key })
			v.Label = e.words.T("workorder.lost.finding", e.order.Findings[i].Number)
		case "confirmed":
			v.Value = joined(v.Value, e.stamp(e.order.Record.Confirmed[l.Key].Stamp), e.order.Record.Confirmed[l.Key].Text)
		case "signed":
			v.Value = joined(v.Value, e.signer(e.order.Record.Signed[l.Key]))
		case "ticks", "passed", "work":
			way, _, _ := record.SplitKey(l.Key)
			v.Label = joined(v.Label, e.words.T("way."+string(way)))
			if n := len(out); n > 0 && out[n-1].Label == v.Label {
				out[n-1].Value += "; " + v.Value
				continue
			}
		}
		out = append(out, v)
	}
	return out
}
