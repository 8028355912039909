// Package collect gathers the results of a quiz: the files that tablets save, and
// tables of answers from paper forms. What cannot be used is reported with its
// place and never counted; nothing is counted twice.
package collect

import (
	"bytes"
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// File is a file of results.
type File struct {
	// Name is shown in messages; its ending, .json or .csv, says what the file is.
	Name string
	Data []byte
}

// IsResults reports whether a file can hold results, by its name's ending.
func IsResults(name string) bool { return isTable(name) || ending(name) == ".json" }

func isTable(name string) bool { return ending(name) == ".csv" }

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
	// Started is when the try began; the zero time for paper.
	Started time.Time
	Answers map[string]quiz.Answer
	// Missing names the questions that the try does not answer for: it was made
	// with another wording of the quiz. Its score is that of the other questions.
	Missing []string
	// Exact is true when the choices taken are those of the present wording.
	Exact bool
	Score quiz.Score
}

// Fault is what is wrong with a file, or worth knowing about it.
type Fault struct {
	File string
	// Line and Column are counted from 1, a column in characters; 0 for the file as a whole.
	Line, Column int
	// Lost is true when something in the file could not be used.
	Lost bool
	// Message says what is wrong, Do what to do; Do may be empty.
	Message, Do string
}

// Place is where the fault is: file, file:line or file:line:column.
func (f Fault) Place() string {
	switch {
	case f.Line == 0:
		return f.File
	case f.Column == 0:
		return fmt.Sprintf("%s:%d", f.File, f.Line)
	}
	return fmt.Sprintf("%s:%d:%d", f.File, f.Line, f.Column)
}

// Learner is a learner with all tries, the first one first.
type Learner struct {
	// Name may be empty: whoever gave none is a learner for each try.
	Name  string
	Tries []Result
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
	// Faults are in the order of the files and of their lines.
	Faults []Fault
}

// Lost reports whether anything in the files could not be used.
func (c *Collection) Lost() bool {
	return slices.ContainsFunc(c.Faults, func(f Fault) bool { return f.Lost })
}

// Pick returns the quiz of a library that most of the files are about, the first
// of several; nil when none of them names a quiz of the library.
func Pick(lib *procedure.Library, files []File) *procedure.Quiz {
	votes := map[string]int{}
	for _, f := range files {
		votes[about(f)]++
	}
	var best *procedure.Quiz
	for _, q := range lib.Quizzes {
		if votes[q.ID] > 0 && (best == nil || votes[q.ID] > votes[best.ID]) {
			best = q
		}
	}
	return best
}

// Read gathers the results of one quiz from all files.
func Read(q *procedure.Quiz, files []File) *Collection {
	g := &gathering{quiz: q, collection: &Collection{Quiz: q}}
	for i, f := range files {
		if at := slices.IndexFunc(files[:i], func(e File) bool { return bytes.Equal(e.Data, f.Data) }); at >= 0 {
			g.fault(Fault{File: f.Name, Message: fmt.Sprintf("the file holds the same as %s; it is not counted again", files[at].Name)})
			continue
		}
		switch {
		case len(f.Data) > largest:
			g.fault(Fault{File: f.Name, Lost: true, Message: "the file is larger than any result", Do: "Name a file that a tablet saved, or a table of answers."})
		case isTable(f.Name):
			g.table(f)
		default:
			g.response(f)
		}
	}
	g.group()
	return g.collection
}

// The limits of a file: what is larger is no result, and after so many faults more do not help.
const (
	largest    = 4 << 20
	mostFaults = 100
	longest    = 80 // characters of a name
)

// gathering is a collection while files are read.
type gathering struct {
	quiz       *procedure.Quiz
	collection *Collection
	results    []Result
}

func (g *gathering) fault(f Fault) { g.collection.Faults = append(g.collection.Faults, f) }

// add takes a result in, unless it is there already.
func (g *gathering) add(r Result) {
	paper := r.Line > 0
	for _, other := range g.results {
		if paper && r.Learner == "" || !sameName(r.Learner, other.Learner) || !r.Started.Equal(other.Started) || !paper && r.Try != other.Try {
			continue
		}
		at := Fault{File: other.File, Line: other.Line}.Place()
		switch {
		case same(r, other):
			g.fault(Fault{File: r.File, Line: r.Line, Message: fmt.Sprintf("%s has been read already, from %s; it is not counted again", called(r.Learner), at)})
			return
		case !paper:
			g.fault(Fault{File: r.File, Lost: true, Message: fmt.Sprintf("this is the same try of %s as in %s, with other answers; only the first one counts", called(r.Learner), at), Do: "Save the result from the tablet again, and leave the wrong file out."})
			return
		}
	}
	if paper {
		g.again(&r)
	}
	r.Score = quiz.Mark(asked(g.quiz, r.Missing), r.Answers)
	g.results = append(g.results, r)
}

// again makes a further line of a learner a further try.
func (g *gathering) again(r *Result) {
	for _, other := range g.results {
		if r.Learner != "" && other.Line > 0 && sameName(r.Learner, other.Learner) {
			r.Try = other.Try + 1
		}
	}
	if r.Try > 1 {
		g.fault(Fault{File: r.File, Line: r.Line, Message: fmt.Sprintf("%s has a line already, with other answers; this one is taken as try %d", called(r.Learner), r.Try), Do: "If they are two people, write names that differ."})
	}
}

// asked is the quiz without the questions that a try does not answer for.
func asked(q *procedure.Quiz, missing []string) *procedure.Quiz {
	if len(missing) == 0 {
		return q
	}
	out := *q
	out.Questions = slices.DeleteFunc(slices.Clone(q.Questions), func(question *procedure.Question) bool {
		return slices.Contains(missing, question.ID)
	})
	return &out
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
			g.fault(Fault{File: first.File, Line: first.Line, Message: fmt.Sprintf("%s has %d tries, and the quiz allows %d; only the first count", called(l.Name), len(l.Tries), most)})
			l.Tries = l.Tries[:most]
		}
		for n := range l.Tries {
			l.Tries[n].Try = n + 1
		}
	}
	slices.SortStableFunc(c.Learners, func(a, b Learner) int {
		if (a.Name == "") != (b.Name == "") {
			return strings.Compare(b.Name, a.Name)
		}
		return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name))
	})
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
func called(name string) string {
	if name == "" {
		return "a learner without a name"
	}
	return name
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
