package workorder

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"
	"time"

	"matchmark/compile/page"
	"matchmark/compile/sheet"
	"matchmark/procedure/record"
	"matchmark/procedure/workorder"
)

// view is what the work order's page is made from.
type view struct {
	sheet.Head
	About   []labelled
	Notices []string
	// Stop warns of what stops the work; empty for nothing.
	Stop      string
	Summary   []string
	Checklist string
	Findings  []findingView
	Wants     []wantView
	Renewals  []renewalView
	Times     []timesView
	Holds     []holdView
	Measured  []measuredView
	Turns     []turnView
	Lost      []labelled
}

type labelled struct{ Label, Value string }

func (e *Emitter) view() *view {
	o := e.order
	v := &view{Checklist: e.options.Checklist}
	if !e.HasChecklist() {
		v.Checklist = ""
	}
	variant := ""
	if o.Out.Variant != nil {
		variant = o.Out.Variant.Name
	}
	v.Head = sheet.NewHead(e.lib, e.words, page.StartPath, e.words.T("workorder.title"), o.Procedure.Title, variant, page.Crumb{})
	e.place(&v.Head)
	v.On = o.Out.Machine.Title
	if o.Procedure.Edition != "" {
		v.Edition = e.words.T("sheet.edition", o.Procedure.Edition)
	}
	for _, key := range []string{"number", "to", "due"} {
		v.Fields = append(v.Fields, e.words.T("workorder.field."+key))
	}
	v.About = e.about()
	v.Notices = e.notices()
	v.Stop = e.stop()
	v.Summary = e.summary()
	for _, f := range o.Findings {
		v.Findings = append(v.Findings, e.finding(f))
	}
	v.Wants, v.Renewals = e.wants(v.Shell), e.renewals(v.Shell)
	v.Times, v.Holds, v.Measured, v.Turns, v.Lost = e.times(), e.holds(), e.measured(), e.turns(), e.lost()
	return v
}

// about says what the record is of.
func (e *Emitter) about() []labelled {
	o := e.order
	var out []labelled
	add := func(key, value string) {
		if value != "" {
			out = append(out, labelled{e.words.T("workorder.about." + key), value})
		}
	}
	add("machine", o.Record.Machine.Value)
	add("people", strings.Join(o.People, ", "))
	if o.Begun > 0 {
		add("when", e.words.T("workorder.from-to", e.moment(o.Begun), e.moment(o.Ended), e.zone()))
	}
	add("job", o.Record.Job)
	return out
}

// notices are what a reader must know before trusting the rest.
func (e *Emitter) notices() []string {
	var out []string
	if e.order.Older {
		out = append(out, e.words.T("workorder.older", e.order.Record.Edition))
	}
	unproved := 0
	for _, h := range e.order.Holds {
		if h.Signature != nil && h.Signature.Unproved() {
			unproved++
		}
	}
	for _, f := range e.order.Findings {
		if f.Unproved() {
			out = append(out, e.words.T("workorder.look.notice", f.Number))
		}
	}
	if unproved > 0 {
		out = append(out, e.words.Count("workorder.unproved", unproved))
	}
	if n := len(e.order.Lost); n > 0 {
		out = append(out, e.words.Count("workorder.unplaced", n))
	}
	return out
}

func (e *Emitter) stop() string {
	var numbers []string
	for _, f := range e.order.Findings {
		if f.Stops() {
			numbers = append(numbers, strconv.Itoa(f.Number))
		}
	}
	if len(numbers) == 0 {
		return ""
	}
	return e.words.Count("workorder.stop", len(numbers), strings.Join(numbers, ", "))
}

// summary counts the findings.
func (e *Emitter) summary() []string {
	repaired, watched := 0, 0
	for _, f := range e.order.Findings {
		switch {
		case f.Repaired:
			repaired++
		case f.Severity == record.Watch:
			watched++
		}
	}
	out := []string{e.words.Count("workorder.open", e.order.Open())}
	if repaired > 0 {
		out = append(out, e.words.Count("workorder.repaired", repaired))
	}
	if watched > 0 {
		out = append(out, e.words.Count("workorder.watched", watched))
	}
	if n := e.order.Withdrawn; n > 0 {
		out = append(out, e.words.Count("workorder.withdrawn", n))
	}
	return out
}

// moment writes milliseconds since 1970 as a clock time in the options' zone.
func (e *Emitter) moment(at int64) string {
	return time.UnixMilli(at).In(e.options.Zone).Format("2006-01-02 15:04")
}

// zone names the zone of all clock times.
func (e *Emitter) zone() string {
	_, offset := time.UnixMilli(e.order.Begun).In(e.options.Zone).Zone()
	if offset == 0 {
		return "UTC"
	}
	return "UTC" + time.Unix(0, 0).In(time.FixedZone("", offset)).Format("-07:00")
}

// numbered numbers the tablets of a record from 1, by their names, those that only a stamp names included.
func numbered(r *record.Record) map[string]int {
	var names []string
	for name := range r.Tablets {
		names = append(names, name)
	}
	for _, c := range r.Confirmed {
		names = append(names, c.Tablet)
	}
	for _, f := range r.Findings {
		names = append(names, f.Tablet)
	}
	slices.Sort(names)
	out := map[string]int{}
	for i, name := range slices.Compact(names) {
		out[name] = i + 1
	}
	return out
}

// stamp says who did something, on which tablet, and when.
func (e *Emitter) stamp(s record.Stamp) string {
	by := s.By
	if by == "" {
		by = e.order.Record.Tablets[s.Tablet].Learner
	}
	if by == "" {
		return e.words.T("workorder.stamp.tablet", e.tablets[s.Tablet], e.moment(s.At))
	}
	if len(e.tablets) < 2 {
		return e.words.T("workorder.stamp.by", by, e.moment(s.At))
	}
	return e.words.T("workorder.stamp", by, e.tablets[s.Tablet], e.moment(s.At))
}

// step names a step by number and title, or by its own name when it has gone.
func (e *Emitter) step(way record.Phase, id string) string {
	s := e.order.Step(way, id)
	if s == nil {
		return e.words.T("workorder.step.gone", id)
	}
	return e.words.T("workorder.step", s.Number, s.Title)
}

// thing names what a finding is about.
func (e *Emitter) thing(f *workorder.Finding) string {
	if f.At.Thing != nil {
		return called(f.At.Thing)
	}
	return cmp.Or(f.Other, f.Name, f.Thing, e.words.T("workorder.unnamed"))
}

// joined puts the parts that are not empty on one line.
func joined(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " · ")
}

// lines keeps the line breaks that a person typed.
func lines(s string) template.HTML {
	escaped := template.HTMLEscapeString(strings.TrimSpace(strings.ReplaceAll(s, "\r\n", "\n")))
	return template.HTML(strings.ReplaceAll(escaped, "\n", "<br>"))
}
