package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"matchmark/procedure"
	"matchmark/procedure/decimal"
	"matchmark/procedure/feedback"
	"matchmark/procedure/revise"
	"matchmark/procedure/say"
	"matchmark/procedure/schedule"
)

// revised prints what recorded times, and a class's words, say of a library's estimates.
type revised struct {
	*console
	places []recordPlace
	report revise.Report
}

// times prints old and new times, file by file, and what does not count.
func (r *revised) times() {
	all := r.report.Revisions
	for start := 0; start < len(all); {
		end := start
		for end < len(all) && sameGroup(all[start], all[end]) {
			end++
		}
		r.group(all[start:end])
		start = end
	}
	if len(r.report.Unplaced) > 0 {
		r.print(say.That("Left out, since %count(it belongs|they belong) to no step:", say.Count(len(r.report.Unplaced))))
		for _, l := range r.report.Unplaced {
			r.print(say.That("  %record", r.leftOut(l)))
		}
		fmt.Fprintln(r.out)
	}
}

// sameGroup reports whether two steps stand below one heading.
func sameGroup(a, b revise.Revision) bool {
	return a.Procedures[0] == b.Procedures[0] && a.Step.Span.File == b.Step.Span.File
}

// group prints the steps of one procedure that stand in one file.
func (r *revised) group(group []revise.Revision) {
	first := group[0]
	fmt.Fprintf(r.out, "%s (%s)\n", first.Procedures[0].Title, first.Step.Span.File.Name)
	var shared []string
	for _, p := range first.Procedures[1:] {
		shared = append(shared, p.ID)
	}
	if len(shared) > 0 {
		r.print(say.That("  A shared file: the new times hold for %procedures too.", say.Each[say.Name](say.Commas, shared)))
	}
	table := tabwriter.NewWriter(r.out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, r.in(say.That("  step\told\tnew\trecords\tused\tmean\tin 95 of 100 cases")))
	for _, v := range group {
		fmt.Fprintf(table, "  %s\t%s\t%s\t%d\t%d\t%s\t%s\n", v.Step.ID, r.in(oldTime(v)), r.in(newTime(v)), v.Records, v.Used, r.in(meanOf(v)), r.in(interval(v)))
	}
	table.Flush()
	for _, v := range group {
		step := say.Name(v.Step.ID)
		if v.Before > 0 {
			r.print(say.That("  %step: %count %count(record was|records were) counted before", step, say.Count(v.Before)))
		}
		if v.Rework > 0 {
			r.print(say.That("  %step: %percent percent of the work was done twice and took %minutes min more", step, amount(100*v.Rework), amount(v.Extra)))
		}
		for _, l := range v.LeftOut {
			r.print(say.That("  left out: %record", r.leftOut(l)))
		}
		if v.Changed && !v.Writable {
			r.print(say.That("  %step has no time in its file; write {time=%time} there by hand", step, say.Word(v.Value)))
		}
	}
	fmt.Fprintln(r.out)
}

// nothing stands in the place of a figure that there is not.
var nothing = say.That("-")

// meanOf is the mean time of the records that count; a dash without any.
func meanOf(v revise.Revision) say.Text {
	if v.Used == 0 {
		return nothing
	}
	return say.That("%mean", amount(v.Mean))
}

// interval is where the mean lies; a dash where the records are too few to say.
func interval(v revise.Revision) say.Text {
	if v.High == 0 {
		return nothing
	}
	return say.That("%low to %high", amount(v.Low), amount(v.High))
}

// paces prints what the records say of teams: whether they have a pace of their own, and how fast they get faster.
func (r *revised) paces(pace procedure.Pace) {
	percent := func(x float64) say.Decimal { return amount(100 * x) }
	if p := r.report.Pace; p.Known {
		r.print(say.That("Common pace: the times of one team have a correlation of %correlation percent (%low to %high in 95 of 100 cases; %teams teams, %records times). The course plans with %pace: write common-pace: %correlation into it.",
			percent(p.Correlation), percent(p.Low), percent(p.High), say.Count(p.Teams), say.Count(p.Records), percent(pace.CommonPace)))
	}
	f := r.report.Learning
	if !f.Known {
		return
	}
	found := say.That("Learning rate: %rate percent (%low to %high in 95 of 100 cases; %series series of repetitions, %times times).", percent(f.Rate), percent(f.Low), percent(f.High), say.Count(f.Groups), say.Count(f.Times))
	switch rate := pace.Learning.Rate; {
	case rate == 0:
		r.print(say.That("%found The course states none.", found))
	case rate < f.Low || rate > f.High:
		r.print(say.That("%found The course plans with %rate, which these records speak against.", found, percent(rate)))
	default:
		r.print(say.That("%found The course plans with %rate, which these records do not speak against.", found, percent(rate)))
	}
}

// said prints what classes said of the steps, and which of them need another look.
func (r *revised) said(said []feedback.Said) {
	for start := 0; start < len(said); {
		end := start
		for end < len(said) && said[end].Procedure == said[start].Procedure {
			end++
		}
		r.print(say.That("What the class said: %procedure", say.Name(said[start].Procedure.Title)))
		table := tabwriter.NewWriter(r.out, 0, 0, 2, ' ', 0)
		fmt.Fprintln(table, r.in(say.That("  step\tclear\thad to ask\twrong or missing\ttook longer")))
		for _, s := range said[start:end] {
			fmt.Fprintf(table, "  %s\t%d\t%d\t%d\t%d\n", s.Step.ID, s.Clear, s.Asked, s.Wrong, s.Longer)
		}
		table.Flush()
		for _, s := range said[start:end] {
			step := say.Name(s.Step.ID)
			for _, words := range look(&s, r.report) {
				r.print(say.That("  %step: %words", step, words))
			}
			for _, words := range s.Remarks {
				r.print(say.That("  %step: said: %words", step, say.Name(strings.Join(strings.Fields(words), " "))))
			}
		}
		fmt.Fprintln(r.out)
		start = end
	}
}

// look says why a step needs another look, by what the class said and by its recorded times.
func look(s *feedback.Said, report revise.Report) (out []say.Text) {
	if s.Wrong > 0 {
		out = append(out, say.That("%count %count(learner found|learners found) something wrong or missing: compare the step with the machine", say.Count(s.Wrong)))
	}
	if s.Unclear() {
		out = append(out, say.That("%asked of %count %count(learner|learners) had to ask: say it more plainly, or show it in a figure or a key point", say.Count(s.Asked), say.Count(s.Answers())))
	}
	if s.Longer == 0 {
		return out
	}
	words := say.That("no times are recorded: time it in the next class")
	if i := slices.IndexFunc(report.Revisions, func(v revise.Revision) bool { return v.Used > 0 && s.Step.Span.Valid() && v.Step.Span == s.Step.Span }); i >= 0 {
		words = say.That("the recorded times do not say so")
		if v := report.Revisions[i]; v.Changed && v.New.Likely > v.Old.Likely {
			words = say.That("the recorded times say so too: %time", say.Word(v.Value))
		}
	}
	return append(out, say.That("%count %count(learner took|learners took) longer than planned; %words", say.Count(s.Longer), words))
}

func oldTime(v revise.Revision) say.Text {
	if !v.Writable {
		return say.That("none")
	}
	return say.That("%time", say.Word(schedule.Format(v.Old)))
}

func newTime(v revise.Revision) say.Text {
	if !v.Changed {
		return say.That("as it is")
	}
	return say.That("%time", say.Word(v.Value))
}

// leftOut says why a record does not count.
func (r *revised) leftOut(l revise.LeftOut) say.Text {
	step, took := say.Name(l.Record.Step), amount(l.Record.Minutes)
	if l.Record.Line < 0 {
		return say.That("remembered: %step, %minutes min: %why", step, took, why(l))
	}
	at := r.places[l.Record.Line]
	return say.That("%place: %step, %minutes min: %why", say.Name(fmt.Sprintf("%s:%d", at.file, at.line)), step, took, why(l))
}

func why(l revise.LeftOut) say.Text {
	var out say.Text
	switch l.Why {
	case revise.Interrupted:
		return say.That("the record says that it was interrupted")
	case revise.TooLong:
		return say.That("more than %limit min: most likely a break", amount(l.Limit))
	case revise.TooShort:
		return say.That("less than %limit min: most likely a slip", amount(l.Limit))
	case revise.AmbiguousStep:
		return say.That("several procedures have a step of this name; the record must name the procedure")
	case revise.OtherVariant:
		return say.That("the step is not done on the variant %variant", say.Quoted(l.Record.Variant))
	case revise.UnknownVariant:
		out = say.That("the machine has no variant %id", say.Quoted(l.Record.Variant))
	case revise.UnknownProcedure:
		out = say.That("there is no procedure %id", say.Quoted(l.Record.Procedure))
	case revise.DerivedStep:
		return say.That("the refitting derives it, so it takes its time from the step that it turns round; write it into the refit file to give it a time of its own")
	case revise.UnknownStep:
		out = say.That("there is no step %step", say.Quoted(l.Record.Step))
		if l.Record.Procedure != "" {
			out = say.That("there is no step %step in %procedure", say.Quoted(l.Record.Step), say.Name(l.Record.Procedure))
		}
	}
	if l.Suggest != "" {
		out = say.That("%problem; did you mean %near?", out, say.Quoted(l.Suggest))
	}
	return out
}

// number writes a number of minutes with at most one decimal.
func number(x float64) string {
	return strings.TrimSuffix(decimal.Format(x, 1), ".0")
}

// amount is a number of minutes, or of percent, with at most one decimal.
func amount(x float64) say.Decimal {
	rounded, err := strconv.ParseFloat(number(x), 64)
	if err != nil {
		panic(err) // number writes numbers
	}
	return say.Decimal{Value: rounded, Places: say.Shortest}
}
