// Package collect gathers the results of a quiz: the files that tablets save, and
// tables of answers from paper forms. What cannot be used is reported with its
// place and never counted; nothing is counted twice.
package collect

import (
	"bytes"
	"cmp"
	"path"
	"slices"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// File is a file of results.
type File struct {
	// Name is shown in messages; its ending, .json or .csv, says what the file is.
	Name string
	Data []byte
}

// IsResults reports whether a file can hold results, by its name's ending.
func IsResults(name string) bool { return IsTable(name) || ending(name) == ".json" }

// IsTable reports whether a file can hold a table, by its name's ending.
func IsTable(name string) bool { return ending(name) == ".csv" }

func ending(name string) string { return strings.ToLower(path.Ext(name)) }

// Result is one try of one learner.
type Result struct {
	// File and Line say where it stands; Line is 0 for a file with one result.
	File string
	Line int
	// Learner is the name without surplus spaces; it may be empty.
	Learner string
	// Try counts a learner's tries from 1.
	Try int
	// Started is when the try began; for paper the day that the table states, the zero time without one.
	Started time.Time
	Answers map[string]quiz.Answer
	// Missing names the present questions that the try does not answer for, or that had another
	// key: it was made with another wording of the quiz. Its score is that of the wording that was shown.
	Missing []string
	// Exact is true when the choices taken are those of the present wording.
	Exact bool
	Score quiz.Score
	// shown is the wording that was shown, for marking.
	shown *procedure.Quiz
}

// Unmarked is the code of the message on a sound result of a wording whose key is not known: it is neither passed nor failed.
const Unmarked diagnostic.Code = "unmarked"

// Learner is a learner with all tries, the first one first.
type Learner struct {
	// Name may be empty: whoever gave none is a learner for each try.
	Name  string
	Tries []Result
	// NotMarked is how many further results of the learner could not be marked.
	NotMarked int
}

// NotMarked is a learner of whom there are results, and none that can be marked: neither passed nor failed.
type NotMarked struct {
	// Name may be empty: whoever gave none is a learner for each result.
	Name string
	// File and Line say where the first of the results stands; Line is 0 for a file with one result.
	File string
	Line int
}

// First is the try that says what the class knew before it saw any answers.
func (l Learner) First() Result { return l.Tries[0] }

// Last is the try that counts.
func (l Learner) Last() Result { return l.Tries[len(l.Tries)-1] }

// Collection is what a set of files holds about one quiz.
type Collection struct {
	Quiz *procedure.Quiz
	// Learners are sorted by name, those without one last.
	Learners []Learner
	// NotMarked are those of whom nothing can be marked, sorted alike. Whoever counts the class counts them.
	NotMarked []NotMarked
	// Again are answers to questions that were asked again, some of the quiz at a time; no mark is made of them.
	Again []Result
	// Unread is how many files could not be read, or not to their end: who else is in them is not known.
	Unread int
	// Faults are in the order of the files and of their lines. An error is something in a file that
	// could not be used, and advice is worth knowing; a place without a line is the file as a whole.
	Faults []diagnostic.Diagnostic
}

// Lost reports whether anything in the files could not be used.
func (c *Collection) Lost() bool {
	return slices.ContainsFunc(c.Faults, Lost)
}

// Lost reports whether a fault keeps something in a file from being used.
func Lost(d diagnostic.Diagnostic) bool { return d.Severity == diagnostic.Error }

// Pick returns the quiz of a library that most of the files are about, the first
// of several; nil when none of them names a quiz of the library.
func Pick(lib *procedure.Library, files []File) *procedure.Quiz {
	votes := map[string]int{}
	for _, f := range files {
		votes[About(f)]++
	}
	var best *procedure.Quiz
	for _, q := range lib.Quizzes {
		if votes[q.ID] > 0 && (best == nil || votes[q.ID] > votes[best.ID]) {
			best = q
		}
	}
	return best
}

// Read gathers the results of one quiz from all files. known are other wordings of it: a try is marked
// by the wording that was shown, all its questions together. One whose wording is not known is not marked.
func Read(q *procedure.Quiz, files []File, known ...quiz.Wording) *Collection {
	g := &gathering{quiz: q, collection: &Collection{Quiz: q}, known: known}
	for i, f := range files {
		if at := slices.IndexFunc(files[:i], func(e File) bool { return bytes.Equal(e.Data, f.Data) }); at >= 0 {
			g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: f.Name}, Wrong: say.That("the file holds the same as %file; it is not counted again", say.Name(files[at].Name))})
			continue
		}
		switch {
		case len(f.Data) > largest:
			g.collection.Unread++
			g.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: f.Name}, Wrong: say.That("the file is larger than any result"), Advice: say.That("Name a file that a tablet saved, or a table of answers.")})
		case IsTable(f.Name):
			g.table(f)
		default:
			g.response(f)
		}
	}
	g.group()
	return g.collection
}

// The limits of a file: what is larger is no result, and of so many faults of a table no more are listed.
const (
	largest    = 4 << 20
	mostFaults = 100
	longest    = 80 // characters of a name
)

// gathering is a collection while files are read.
type gathering struct {
	quiz       *procedure.Quiz
	known      []quiz.Wording
	collection *Collection
	results    []Result
	notMarked  []NotMarked
}

// leave notes a learner whose result cannot be marked.
func (g *gathering) leave(name, file string, line int) {
	g.notMarked = append(g.notMarked, NotMarked{name, file, line})
}

func (g *gathering) fault(d diagnostic.Diagnostic) {
	g.collection.Faults = append(g.collection.Faults, d)
}

// add takes a result in, unless it is there already.
func (g *gathering) add(r Result) {
	paper := r.Line > 0
	for _, other := range g.results {
		if paper && r.Learner == "" || !sameName(r.Learner, other.Learner) || !r.Started.Equal(other.Started) || !paper && r.Try != other.Try {
			continue
		}
		at := say.That("%file", say.Name(other.File))
		if other.Line > 0 {
			at = say.That("%file:%line", say.Name(other.File), say.Count(other.Line))
		}
		switch {
		case same(r, other):
			g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: r.File, Line: r.Line}, Wrong: say.That("%learner has been read already, from %at; it is not counted again", called(r.Learner), at)})
			return
		case !paper:
			g.leave(r.Learner, r.File, r.Line)
			g.fault(diagnostic.Diagnostic{Severity: diagnostic.Error, Place: text.Position{File: r.File}, Wrong: say.That("this is the same try of %learner as in %at, with other answers; only the first one counts", called(r.Learner), at), Advice: say.That("Save the result from the tablet again, and leave the wrong file out.")})
			return
		}
	}
	if paper {
		g.again(&r)
	}
	if r.shown == nil {
		r.shown = g.quiz
	}
	r.Score = quiz.Mark(r.shown, r.Answers)
	g.results = append(g.results, r)
}

// again makes a further line of a learner a further try.
func (g *gathering) again(r *Result) {
	for _, other := range g.results {
		if r.Learner != "" && other.Line > 0 && sameName(r.Learner, other.Learner) {
			r.Try = other.Try + 1
		}
	}
	if r.Try > 1 && r.Started.IsZero() {
		g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: r.File, Line: r.Line}, Wrong: say.That("%learner has a line already, with other answers; this one is taken as try %try", called(r.Learner), say.Count(r.Try)), Advice: say.That("If they are two people, write names that differ.")})
	}
}

// group sorts the results by learners.
func (g *gathering) group() {
	c := g.collection
	for _, r := range g.results {
		i := slices.IndexFunc(c.Learners, func(l Learner) bool { return r.Learner != "" && sameName(l.Name, r.Learner) })
		if i < 0 {
			i, c.Learners = len(c.Learners), append(c.Learners, Learner{Name: r.Learner})
		}
		c.Learners[i].Tries = append(c.Learners[i].Tries, r)
	}
	for i := range c.Learners {
		l := &c.Learners[i]
		slices.SortStableFunc(l.Tries, func(a, b Result) int { return cmp.Or(a.Started.Compare(b.Started), a.Try-b.Try) })
		if most := g.quiz.Tries; most > 0 && len(l.Tries) > most {
			first := l.Tries[most]
			g.fault(diagnostic.Diagnostic{Severity: diagnostic.Advice, Place: text.Position{File: first.File, Line: first.Line}, Wrong: say.That("%learner has %tries tries, and the quiz allows %most; only the first count", called(l.Name), say.Count(len(l.Tries)), say.Count(most))})
			l.Tries = l.Tries[:most]
		}
		for n := range l.Tries {
			l.Tries[n].Try = n + 1
		}
	}
	slices.SortStableFunc(c.Learners, func(a, b Learner) int { return byName(a.Name, b.Name) })
	g.leftOut()
}

// leftOut tells the learners of whom nothing can be marked from those with another result that can.
func (g *gathering) leftOut() {
	c := g.collection
	for _, n := range g.notMarked {
		at := slices.IndexFunc(c.Learners, func(l Learner) bool { return n.Name != "" && sameName(l.Name, n.Name) })
		switch {
		case at >= 0:
			c.Learners[at].NotMarked++
		case n.Name == "" || !slices.ContainsFunc(c.NotMarked, func(other NotMarked) bool { return sameName(n.Name, other.Name) }):
			c.NotMarked = append(c.NotMarked, n)
		}
	}
	slices.SortStableFunc(c.NotMarked, func(a, b NotMarked) int { return byName(a.Name, b.Name) })
}

// byName sorts names whatever their case, those that are missing last.
func byName(a, b string) int {
	if (a == "") != (b == "") {
		return strings.Compare(b, a)
	}
	return strings.Compare(strings.ToLower(a), strings.ToLower(b))
}

// same reports whether two results hold the same answers.
func same(a, b Result) bool {
	if len(a.Answers) != len(b.Answers) {
		return false
	}
	for id, x := range a.Answers {
		y, ok := b.Answers[id]
		if !ok || x.Number != y.Number || x.Unit != y.Unit || x.Target != y.Target || !slices.Equal(x.Chosen, y.Chosen) {
			return false
		}
	}
	return true
}

func sameName(a, b string) bool { return strings.EqualFold(a, b) }

// called names a learner in a message.
func called(name string) say.Text {
	if name == "" {
		return say.That("a learner without a name")
	}
	return say.That("%name", say.Name(name))
}

// tidy takes what is no text, and surplus spaces, out of a name, and cuts it.
func tidy(name string) string {
	clean := strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 || r == '\ufeff' || r >= 0x200b && r <= 0x200f || r >= 0x2028 && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(name, " "))
	clean = strings.Join(strings.Fields(clean), " ")
	return short(clean, longest)
}

func short(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
