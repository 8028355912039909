package check

import (
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// reportTo adds what a rule finds to the log.
func reportTo(log *diagnostic.Log, r *rule) func(diagnostic.Diagnostic) {
	return func(d diagnostic.Diagnostic) {
		d.Code, d.Severity = r.Code, r.Severity
		log.Add(d)
	}
}

// guard runs a piece of the rule; a panic becomes a message of the rule at the place given.
func (r *rule) guard(at text.Span, log *diagnostic.Log, work func(report func(diagnostic.Diagnostic))) {
	diagnostic.Guard(r.Rule, at, log.Add, func() { work(reportTo(log, r)) })
}

// judge runs the rule on a library. When it panics it is run again on each thing by
// itself, so that the message names the thing, and the others are judged all the same.
func (r *rule) judge(lib *procedure.Library, log *diagnostic.Log) {
	if diagnostic.Guard(r.Rule, text.Span{}, func(diagnostic.Diagnostic) {}, func() { r.run(lib, reportTo(log, r)) }) {
		return
	}
	for _, piece := range pieces(lib) {
		r.guard(piece.at, log, func(report func(diagnostic.Diagnostic)) { r.run(piece.lib, report) })
	}
}

// piece is one thing of a library by itself.
type piece struct {
	lib *procedure.Library
	at  text.Span
}

// pieces takes a library apart.
func pieces(lib *procedure.Library) (out []piece) {
	add := func(at text.Span, fill func(*procedure.Library)) {
		one := *lib
		one.Machines, one.Procedures, one.Quizzes, one.Courses = nil, nil, nil, nil
		fill(&one)
		out = append(out, piece{&one, at})
	}
	for i, m := range lib.Machines {
		add(m.Span, func(one *procedure.Library) { one.Machines = lib.Machines[i : i+1] })
	}
	for i, p := range lib.Procedures {
		add(p.Span, func(one *procedure.Library) { one.Procedures = lib.Procedures[i : i+1] })
	}
	for i, q := range lib.Quizzes {
		add(q.Span, func(one *procedure.Library) { one.Quizzes = lib.Quizzes[i : i+1] })
	}
	for i, c := range lib.Courses {
		add(c.Span, func(one *procedure.Library) { one.Courses = lib.Courses[i : i+1] })
	}
	return out
}
