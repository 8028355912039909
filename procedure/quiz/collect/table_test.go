package collect

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure/quiz"
	"matchmark/procedure/text"
)

// The sample is not shuffled, so A is the first choice; the lines to sort are
// mixed on the form, and letters read that.
func TestTables(t *testing.T) {
	q := sample()
	sorted := ""
	for _, c := range []int{1, 2, 3} {
		sorted += LetterOf(q, q.Questions[4], c)
	}
	const head = "mixer-quiz,why,signs,lock,oil,sort,bolt\n"
	all := "A,AC,false,3.6," + sorted + ",B\n"
	tests := []struct{ name, table, want string }{
		{"all right", head + "Ada," + all, `
"Ada" try 1: 7/7 passed
`},
		{"every way to write an answer", "\xef\xbb\xbfmixer-quiz ba7816bf8f01;2;1;oil;lock;5;bolt\r\nAda; c a ;a;3,6 L;B;" + strings.ToLower(strings.Join(strings.Split(sorted, ""), " ")) + ";b\r\n\r\n;;;;;;\r\n", `
"Ada" try 1: 7/7 passed
`},
		{"left open", head + "Ada,-,–,,—\nBen\n", `
"Ada" try 1: 0/7
"Ben" try 1: 0/7
`},
		{"two boxes ticked where one is right", head + "Ada,AB,AC,f,3600 mL," + sorted + ",A\n", `
"Ada" try 1: 4/7
`},
		{"a unit that does not fit", head + "Ada,A,AC,false,3.6 kg," + sorted + ",B\n", `
"Ada" try 1: 6/7 passed
`},
		{"a line twice", head + "Ada," + all + "ada ," + all + "," + all + "," + all, `
"Ada" try 1: 7/7 passed
"" try 1: 7/7 passed
"" try 1: 7/7 passed
note 1.csv:3: ada has been read already, from 1.csv:2; it is not counted again
`},
		{"a name twice", head + "Ada," + all + "Ada,B\nAda,B\n", `
"Ada" try 1: 7/7 passed try 2: 0/7
note 1.csv:3: Ada has a line already, with other answers; this one is taken as try 2
note 1.csv:4: Ada has been read already, from 1.csv:3; it is not counted again
`},
		{"cells that are no answers", head + "Ada,D,AA,perhaps,much,A,C\nBäh,€\nCid," + all + "Dan,A,A,true,1,-,-,A\n", `
"Cid" try 1: 7/7 passed
lost 1.csv:2:5: "D" is no answer to question "why"
lost 1.csv:2:7: "AA" is no answer to question "signs"
lost 1.csv:2:10: "perhaps" is no answer to question "lock"
lost 1.csv:2:18: "much" is no answer to question "oil"
lost 1.csv:2:23: "A" is no answer to question "sort"
lost 1.csv:2:25: "C" is no answer to question "bolt"
lost 1.csv:3:5: "€" is no answer to question "why"
lost 1.csv:5:20: the line has 8 cells, and there are 7 columns
`},
		{"a stranger", "oven-quiz,why\nAda,A\n", `
lost 1.csv:1:1: this is a result of the quiz "oven-quiz", not of "mixer-quiz"
`},
		{"no quiz", ",why\nAda,A\n", `
lost 1.csv:1:1: the file does not say which quiz it is on
`},
		{"columns that are not there", "mixer-quiz,wy,7,why,why\nAda,A\n", `
lost 1.csv:1:12: the quiz has no question "wy"
lost 1.csv:1:15: the quiz has no question "7"
lost 1.csv:1:21: question "why" is there twice
`},
		{"columns that are missing", "mixer-quiz,why,signs,lock,oil\nAda,A\n", `
lost 1.csv:1:1: the column of question "sort" is missing
lost 1.csv:1:1: the column of question "bolt" is missing
`},
		{"a quotation mark", head + "Ada \"B\"," + all, `
lost 1.csv:2:5: this line is no line of a table: a quotation mark stands in a cell that does not begin with one
`},
		{"a quotation that never ends", head + "Ada," + all + "\"Ben," + all, `
"Ada" try 1: 7/7 passed
lost 1.csv:3:1: this line is no line of a table: a quotation mark is missing, or there is one too many
`},
		{"nobody", head + "\n,,\n", `
lost 1.csv:1:1: the table has no learners
`},
		{"nothing", "\n", `
lost 1.csv:1:1: the table is empty
`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) { expect(t, Read(q, named(".csv", []byte(tt.table))), tt.want) })
	}
}

// Dates part the tries of paper, and what was asked again is no try.
func TestDates(t *testing.T) {
	q := sample()
	table := "mixer-quiz,Date,why,signs,lock,oil,sort,bolt\nAda,2026-03-09,-,-,-,-,-,-\nAda,2026-03-02,A,-,-,-,-,-\nBen,,A,-,-,-,-,-\nCid,9.3.2026,A,-,-,-,-,-\n"
	again := "mixer-quiz ba7816bf8f01 again,date,why,lock\nAda,2026-03-20,B,\nBen,2026-03-20,,-\nCid,,A,t\nDan,2026-03-20,Z,t\n"
	c := Read(q, []File{{"1.csv", []byte(table)}, {"2.csv", []byte(again)}})
	expect(t, c, `
"Ada" try 1: 2/7 try 2: 0/7
"Ben" try 1: 2/7
lost 1.csv:5:5: "9.3.2026" is no date
lost 2.csv:4:5: "" is no date
lost 2.csv:5:16: "Z" is no answer to question "why"
note 2.csv: the table holds questions that were asked again; no mark is made of them
`)
	if len(c.Again) != 2 || len(c.Again[0].Answers) != 1 || c.Again[0].Answers["why"].Chosen[0] != 2 || c.Again[1].Started.Day() != 20 || leftOut(c) != "marked Ada Ben; left Cid 1.csv:5" {
		t.Errorf("%+v %s", c.Again, leftOut(c))
	}
	expect(t, Read(q, named(".csv", []byte("mixer-quiz again,why\nAda,A\n"))), `
lost 1.csv:1:1: the column date is missing
`)
}

// Letters of another wording may stand for anything, and a part of the questions is not the quiz.
func TestOlderForms(t *testing.T) {
	expect(t, Read(sample(), named(".csv", []byte("mixer-quiz 0123456789ab,why,lock,oil,2,gone\nAda,A,false,3.6,A,B\n"))), `
lost 1.csv:1:1: the forms have another wording of the quiz (0123456789ab); they are not marked
`)
}

// On a shuffled form letters and numbers stand for what is printed there.
func TestShuffledForm(t *testing.T) {
	q := sample()
	q.Seed = 7
	q.File = text.NewFile("q.md", []byte("shuffled"))
	places := quiz.Arrange(q, 1)
	head, line := "mixer-quiz", "Ada"
	for i, p := range places {
		question := q.Questions[p.Question]
		head += "," + string(rune('1'+i))
		line += "," + map[string]string{"lock": "B", "oil": "3.6", "bolt": "B"}[question.ID]
		for _, right := range quiz.RightChoices(question) {
			if question.ID != "lock" {
				line += LetterOf(q, question, right)
			}
		}
	}
	expect(t, Read(q, named(".csv", []byte(head+"\n"+line+"\n"))), `
"Ada" try 1: 7/7 passed
`)
}

// Each learner's letters and numbers are those of the form at hand.
func TestForms(t *testing.T) {
	q := sample()
	q.Seed, q.Forms = 7, 3
	table := "mixer-quiz,form,1,2,3,4,5,6\n"
	for n, name := range []string{"Ada", "Ben", "Cid"} {
		f := newForm(q, n+1)
		table += name + "," + string(rune('a'+n))
		for _, p := range f.places {
			question := q.Questions[p.Question]
			cell := map[string]string{"lock": "B", "oil": "3.6", "bolt": "B"}[question.ID]
			for i, c := range f.chosen(question) {
				switch {
				case question.ID == "sort":
					cell += string(rune('0' + c)) // the boxes from A on
				case question.ID != "lock" && question.Choices[c-1].Right:
					cell += quiz.Letter(i)
				}
			}
			table += "," + cell
		}
		table += "\n"
	}
	expect(t, Read(q, named(".csv", []byte(table+"Dan,D\n"))), `
"Ada" try 1: 7/7 passed
"Ben" try 1: 7/7 passed
"Cid" try 1: 7/7 passed
lost 1.csv:5:5: there is no form "D"
`)
	expect(t, Read(q, named(".csv", []byte("mixer-quiz,form,1,"+q.Questions[newForm(q, 1).places[1].Question].ID+",3,4,5,6\nAda,A\n"))), `
lost 1.csv:1:1: some questions are named by id and some by number, and there are several forms
`)
}

func TestBoxes(t *testing.T) {
	for cell, want := range map[string]string{"2 3 1": "[2 0 1] true", "231": "[2 0 1] true", "1,2,2": "[] false", "1 2": "[] false", "1 2 4": "[] false", "0 1 2": "[] false", "": "[0 0 0] false"} {
		got, ok := boxes(cell, 3)
		if s := fmt.Sprint(got, ok); s != want {
			t.Errorf("%q: %s, want %s", cell, s, want)
		}
	}
}

func TestLetter(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := quiz.Letter(i); got != want {
			t.Errorf("%d: %s, want %s", i, got, want)
		}
	}
	if at, ok := letters("ab AA", 30); !ok || len(at) != 2 || at[0] != 27 || at[1] != 26 {
		t.Errorf("letters beyond Z: %v %v", at, ok)
	}
}

// Whatever a table holds, nothing panics, and what is counted can be marked.
func FuzzTable(f *testing.F) {
	q := sample()
	f.Add([]byte("mixer-quiz,why,signs,lock,oil,sort,bolt\nAda,A,AC,false,3.6 L,ABC,B\n"))
	f.Add([]byte("mixer-quiz 0123;1;2;3;4;5;6\r\n\"Ada\";;;;;;\r\n"))
	f.Add([]byte("mixer-quiz,lock\n\"Ada"))
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, q, File{"x.csv", data}) })
}
