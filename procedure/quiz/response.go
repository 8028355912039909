package quiz

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"html"

	"matchmark/procedure"
)

// ResponseFormat and ResponseVersion head every saved response.
const (
	ResponseFormat  = "matchmark quiz response"
	ResponseVersion = 1
)

// Response is a try as the quiz page saves it: one JSON file per try. Times are
// RFC 3339 in UTC by the device's clock.
type Response struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	// Quiz and Edition say which quiz it was, and in which wording; see Edition.
	Quiz    string `json:"quiz"`
	Edition string `json:"edition"`
	// Procedure and ProcedureEdition are the procedure that the quiz is on.
	Procedure        string `json:"procedure"`
	ProcedureEdition string `json:"procedureEdition"`
	// Learner is the name as typed; it may be empty.
	Learner string `json:"learner"`
	// Try counts this learner's tries on the device, from 1.
	Try      int    `json:"try"`
	Started  string `json:"started"`
	Finished string `json:"finished"`
	// Answers holds all questions in the order in which the try showed them.
	Answers []Marked `json:"answers"`
	Score   Score    `json:"score"`
}

// Marked is an answer with what it was worth.
type Marked struct {
	Question string                 `json:"question"`
	Kind     procedure.QuestionKind `json:"kind"`
	Answer
	Right  bool `json:"right"`
	Points int  `json:"points"`
	// Seconds is the time from showing the question to answering it.
	Seconds int `json:"seconds"`
}

// Edition names the wording of a quiz: the first 12 hexadecimal digits of the
// SHA-256 of its source file and of the questions that were made for it.
// Responses of two editions do not compare.
func Edition(q *procedure.Quiz) string {
	if q.File == nil {
		return ""
	}
	sum := sha256.New()
	sum.Write(q.File.Source) // a hash takes everything
	for _, x := range q.Questions {
		if !x.Generated {
			continue
		}
		fmt.Fprintf(sum, "\n%q %q %q %q", x.ID, wording(x.Stem), x.Figure.ID, x.Target.ID)
		for _, c := range x.Choices {
			fmt.Fprintf(sum, " %q %t", wording(c.Prose), c.Right)
		}
	}
	return hex.EncodeToString(sum.Sum(nil))[:12]
}

// wording is the form in which the words of a generated question, all of one plain
// paragraph, go into an edition's name: another one would part the responses that exist from those to come.
func wording(p procedure.Prose) string { return "<p>" + html.EscapeString(p.Plain()) + "</p>" }

// ByQuestion returns the response's answers by question, for Mark.
func (r Response) ByQuestion() map[string]Answer {
	out := make(map[string]Answer, len(r.Answers))
	for _, a := range r.Answers {
		out[a.Question] = a.Answer
	}
	return out
}
