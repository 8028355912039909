package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"matchmark/procedure"
	"matchmark/procedure/decimal"
	"matchmark/procedure/feedback"
	"matchmark/procedure/revise"
	"matchmark/procedure/schedule"
)

// printReport prints old and new times, file by file, and what does not count.
func printReport(w io.Writer, report revise.Report, places []recordPlace) {
	for start := 0; start < len(report.Revisions); {
		end := start
		for end < len(report.Revisions) && sameGroup(report.Revisions[start], report.Revisions[end]) {
			end++
		}
		printGroup(w, report.Revisions[start:end], places)
		start = end
	}
	if len(report.Unplaced) > 0 {
		fmt.Fprintf(w, "Left out, since %s:\n", map[bool]string{true: "it belongs to no step", false: "they belong to no step"}[len(report.Unplaced) == 1])
		for _, l := range report.Unplaced {
			fmt.Fprintf(w, "  %s\n", leftOut(l, places))
		}
		fmt.Fprintln(w)
	}
}

// sameGroup reports whether two steps stand below one heading.
func sameGroup(a, b revise.Revision) bool {
	return a.Procedures[0] == b.Procedures[0] && a.Step.Span.File == b.Step.Span.File
}

// printGroup prints the steps of one procedure that stand in one file.
func printGroup(w io.Writer, group []revise.Revision, places []recordPlace) {
	first := group[0]
	fmt.Fprintf(w, "%s (%s)\n", first.Procedures[0].Title, first.Step.Span.File.Name)
	var shared []string
	for _, p := range first.Procedures[1:] {
		shared = append(shared, p.ID)
	}
	if len(shared) > 0 {
		fmt.Fprintf(w, "  A shared file: the new times hold for %s too.\n", strings.Join(shared, ", "))
	}
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(table, "  step\told\tnew\trecords\tused\tmean\tin 95 of 100 cases\n")
	for _, v := range group {
		fmt.Fprintf(table, "  %s\t%s\t%s\t%d\t%d\t%s\t%s\n", v.Step.ID, oldTime(v), newTime(v), v.Records, v.Used, meanOf(v), interval(v))
	}
	table.Flush()
	for _, v := range group {
		if v.Before > 0 {
			fmt.Fprintf(w, "  %s: %s counted before\n", v.Step.ID, plural(v.Before, "record was", "records were"))
		}
		if v.Rework > 0 {
			fmt.Fprintf(w, "  %s: %s percent of the work was done twice and took %s min more\n", v.Step.ID, number(100*v.Rework), number(v.Extra))
		}
		for _, l := range v.LeftOut {
			fmt.Fprintf(w, "  left out: %s\n", leftOut(l, places))
		}
		if v.Changed && !v.Writable {
			fmt.Fprintf(w, "  %s has no time in its file; write {time=%s} there by hand\n", v.Step.ID, v.Value)
		}
	}
	fmt.Fprintln(w)
}

// meanOf is the mean time of the records that count; a dash without any.
func meanOf(v revise.Revision) string {
	if v.Used == 0 {
		return "-"
	}
	return number(v.Mean)
}

// interval is where the mean lies; a dash where the records are too few to say.
func interval(v revise.Revision) string {
	if v.High == 0 {
		return "-"
	}
	return number(v.Low) + " to " + number(v.High)
}

// printPaces prints what the records say of teams: whether they have a pace of their own, and how fast they get faster.
func printPaces(w io.Writer, report revise.Report, pace procedure.Pace) {
	percent := func(x float64) string { return number(100 * x) }
	if p := report.Pace; p.Known {
		fmt.Fprintf(w, "Common pace: the times of one team have a correlation of %s percent (%s to %s in 95 of 100 cases; %d teams, %d times). The course plans with %s: write common-pace: %s into it.\n",
			percent(p.Correlation), percent(p.Low), percent(p.High), p.Teams, p.Records, percent(pace.CommonPace), percent(p.Correlation))
	}
	f := report.Learning
	if !f.Known {
		return
	}
	fmt.Fprintf(w, "Learning rate: %s percent (%s to %s in 95 of 100 cases; %s of repetitions, %d times).", percent(f.Rate), percent(f.Low), percent(f.High), plural(f.Groups, "series", "series"), f.Times)
	switch rate := pace.Learning.Rate; {
	case rate == 0:
		fmt.Fprintf(w, " The course states none.\n")
	case rate < f.Low || rate > f.High:
		fmt.Fprintf(w, " The course plans with %s, which these records speak against.\n", percent(rate))
	default:
		fmt.Fprintf(w, " The course plans with %s, which these records do not speak against.\n", percent(rate))
	}
}

// printSaid prints what classes said of the steps, and which of them need another look.
func printSaid(w io.Writer, said []feedback.Said, report revise.Report) {
	for start := 0; start < len(said); {
		end := start
		for end < len(said) && said[end].Procedure == said[start].Procedure {
			end++
		}
		fmt.Fprintf(w, "What the class said: %s\n", said[start].Procedure.Title)
		table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
		fmt.Fprintf(table, "  step\tclear\thad to ask\twrong or missing\ttook longer\n")
		for _, s := range said[start:end] {
			fmt.Fprintf(table, "  %s\t%d\t%d\t%d\t%d\n", s.Step.ID, s.Clear, s.Asked, s.Wrong, s.Longer)
		}
		table.Flush()
		for _, s := range said[start:end] {
			for _, words := range look(&s, report) {
				fmt.Fprintf(w, "  %s: %s\n", s.Step.ID, words)
			}
			for _, words := range s.Remarks {
				fmt.Fprintf(w, "  %s: said: %s\n", s.Step.ID, strings.Join(strings.Fields(words), " "))
			}
		}
		fmt.Fprintln(w)
		start = end
	}
}

// look says why a step needs another look, by what the class said and by its recorded times.
func look(s *feedback.Said, report revise.Report) (out []string) {
	if s.Wrong > 0 {
		out = append(out, fmt.Sprintf("%s something wrong or missing: compare the step with the machine", plural(s.Wrong, "learner found", "learners found")))
	}
	if s.Unclear() {
		out = append(out, fmt.Sprintf("%d of %s had to ask: say it more plainly, or show it in a figure or a key point", s.Asked, plural(s.Answers(), "learner", "learners")))
	}
	if s.Longer == 0 {
		return out
	}
	words := "no times are recorded: time it in the next class"
	if i := slices.IndexFunc(report.Revisions, func(v revise.Revision) bool { return v.Used > 0 && s.Step.Span.Valid() && v.Step.Span == s.Step.Span }); i >= 0 {
		words = "the recorded times do not say so"
		if v := report.Revisions[i]; v.Changed && v.New.Likely > v.Old.Likely {
			words = "the recorded times say so too: " + v.Value
		}
	}
	return append(out, fmt.Sprintf("%s longer than planned; %s", plural(s.Longer, "learner took", "learners took"), words))
}

func oldTime(v revise.Revision) string {
	if !v.Writable {
		return "none"
	}
	return schedule.Format(v.Old)
}

func newTime(v revise.Revision) string {
	if !v.Changed {
		return "as it is"
	}
	return v.Value
}

// leftOut says why a record does not count.
func leftOut(l revise.LeftOut, places []recordPlace) string {
	if l.Record.Line < 0 {
		return fmt.Sprintf("remembered: %s, %s min: %s", l.Record.Step, number(l.Record.Minutes), why(l))
	}
	at := places[l.Record.Line]
	return fmt.Sprintf("%s:%d: %s, %s min: %s", at.file, at.line, l.Record.Step, number(l.Record.Minutes), why(l))
}

func why(l revise.LeftOut) string {
	var out string
	switch l.Why {
	case revise.Interrupted:
		return "the record says that it was interrupted"
	case revise.TooLong:
		return fmt.Sprintf("more than %s min: most likely a break", number(l.Limit))
	case revise.TooShort:
		return fmt.Sprintf("less than %s min: most likely a slip", number(l.Limit))
	case revise.AmbiguousStep:
		return "several procedures have a step of this name; the record must name the procedure"
	case revise.OtherVariant:
		return fmt.Sprintf("the step is not done on the variant %q", l.Record.Variant)
	case revise.UnknownVariant:
		out = fmt.Sprintf("the machine has no variant %q", l.Record.Variant)
	case revise.UnknownProcedure:
		out = fmt.Sprintf("there is no procedure %q", l.Record.Procedure)
	case revise.DerivedStep:
		return "the refitting derives it, so it takes its time from the step that it turns round; write it into the refit file to give it a time of its own"
	case revise.UnknownStep:
		out = fmt.Sprintf("there is no step %q", l.Record.Step)
		if l.Record.Procedure != "" {
			out += " in " + l.Record.Procedure
		}
	}
	if l.Suggest != "" {
		out += fmt.Sprintf("; did you mean %q?", l.Suggest)
	}
	return out
}

// number writes a number of minutes with at most one decimal.
func number(x float64) string {
	return strings.TrimSuffix(decimal.Format(x, 1), ".0")
}
