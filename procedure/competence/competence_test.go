package competence

import (
	"crypto/ed25519"
	"fmt"
	"strings"
	"testing"
	"time"

	"matchmark/procedure"
	"matchmark/procedure/assessment"
	"matchmark/procedure/quiz/retention"
	"matchmark/procedure/record"
	"matchmark/procedure/text"
	"matchmark/procedure/workorder"
)

func at(day string) retention.Day {
	d, err := time.Parse(time.DateOnly, day)
	if err != nil {
		panic(err)
	}
	return retention.DayOf(d)
}

func millis(day string) int64 { return int64(at(day))*24*60*60*1000 + 1000 }

// workshop has a procedure of three steps, a hold point to be signed in the second, and a quiz on its aims: the first is about look
// and lift, the second about the way of a bolt, and no question is about the third.
func workshop() *procedure.Library {
	p := &procedure.Procedure{ID: "out", Machine: &procedure.Machine{}, Aims: []string{"Lift it", "Put it down", "Sing"}, Steps: []*procedure.Step{
		{ID: "look", Number: 1, Title: "Look"},
		{ID: "lift", Number: 2, Title: "Lift", Blocks: []procedure.Block{&procedure.Hold{Title: "Before", Signature: "trainer", Confirmations: []procedure.Prose{procedure.Words(text.Span{}, "Clear")}}}},
		{ID: "down", Number: 3, Title: "Down"},
	}}
	p.Machine.Index()
	q := &procedure.Quiz{ID: "quiz", Procedure: p}
	for i, step := range []string{"look", "lift", "lift", "down"} {
		q.Questions = append(q.Questions, &procedure.Question{ID: fmt.Sprint("q", i+1), Step: procedure.Ref{ID: step}, Aim: 1 + i/3})
	}
	return &procedure.Library{Procedures: []*procedure.Procedure{p}, Quizzes: []*procedure.Quiz{q}}
}

const row = "out/lift--sign"

// work is a job that Ada and Ben do on a day, each on an own tablet: Ada all steps, Ben the last. how signs it.
func work(lib *procedure.Library, job, day string, how func(r *record.Record)) *workorder.Order {
	p := lib.Procedures[0]
	tablet := func(letter string) string { return letter + strings.Repeat("0", 25) }
	r := &record.Record{Format: record.Format, Version: record.Version, Job: job, Procedure: p.ID, Content: record.Content(p), Machine: record.Entry[string]{Value: "No. 4"}}
	r.Tablets = map[string]record.Tablet{tablet("a"): {Learner: "Ada "}, tablet("b"): {Learner: "Ben"}}
	r.Passed, r.Work = map[string]record.Entry[bool]{}, map[string]record.Interval{}
	for _, s := range p.Steps {
		r.Passed["out/"+s.ID] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: millis(day), By: "ada"}}
	}
	r.Work[fmt.Sprintf("out/down@%s@%d", tablet("b"), millis(day))] = record.Interval{From: millis(day), To: millis(day) + 1000}
	r.Work[fmt.Sprintf("out/gone@%s@%d", tablet("b"), millis(day))] = record.Interval{From: millis(day), To: millis(day) + 1000}
	how(r)
	return workorder.New(r, p)
}

func unsigned(*record.Record) {}

func typed(r *record.Record) {
	r.Confirmed = map[string]record.Confirmation{row: {Given: true, Text: "T. Holm"}}
}

func sealed(r *record.Record) {
	private := ed25519.NewKeyFromSeed([]byte(strings.Repeat("k", ed25519.SeedSize)))
	r.Signed = map[string]record.Signature{row: record.Seal(r, row, record.Signature{Who: record.Pseudonym("T. Holm", "salt"), Name: "T. Holm", Salt: "salt", At: 9}, private)}
}

func forged(r *record.Record) {
	sealed(r)
	s := r.Signed[row]
	s.Step = "another"
	r.Signed[row] = s
}

// quizzed is Ada's answers on a day: the numbers of the questions that she has right, of those asked.
func quizzed(day string, right string) []retention.Answer {
	var out []retention.Answer
	for i, c := range right {
		if c != ' ' {
			out = append(out, retention.Answer{Question: fmt.Sprint("q", i+1), On: at(day), Right: c == '+'})
		}
	}
	return out
}

func TestOf(t *testing.T) {
	lib := workshop()
	aims := Aims(lib)
	if len(aims) != 3 || fmt.Sprint(aims[0].Steps, aims[1].Steps, aims[2].Steps) != "[look lift] [down] []" {
		t.Fatalf("%+v", aims)
	}
	all := func(list ...[]retention.Answer) []retention.Answer {
		var out []retention.Answer
		for _, l := range list {
			out = append(out, l...)
		}
		return out
	}
	tests := []struct {
		name    string
		answers []retention.Answer
		jobs    []*workorder.Order
		want    string // of Ada, by aim
	}{
		{"nothing but a name", nil, []*workorder.Order{work(lib, "j", "2026-03-05", func(r *record.Record) { r.Passed = nil })}, "none; none; none"},
		{"the quiz alone", quizzed("2026-03-02", "++++"), nil, "part knows 2026-03-02; part knows 2026-03-02; none"},
		{"one question of three wrong", quizzed("2026-03-02", "+-++"), nil, "none; part knows 2026-03-02; none"},
		{"right later", all(quizzed("2026-03-02", "+-++"), quizzed("2026-03-09", " +")), nil, "part knows 2026-03-02; part knows 2026-03-02; none"},
		{"forgotten later", all(quizzed("2026-03-02", "++++"), quizzed("2026-05-09", "-")), nil, "none; part knows 2026-03-02; none"},
		{"all of it", quizzed("2026-03-02", "++++"), []*workorder.Order{work(lib, "j", "2026-03-05", sealed)},
			"shown knows 2026-03-02 does 2026-03-05 T. Holm until 2027-03-02; shown knows 2026-03-02 does 2026-03-05 T. Holm until 2027-03-02; none"},
		{"too long ago", quizzed("2025-01-02", "++++"), []*workorder.Order{work(lib, "j", "2026-03-05", sealed)},
			"run-out knows 2025-01-02 does 2026-03-05 T. Holm until 2026-01-02; run-out knows 2025-01-02 does 2026-03-05 T. Holm until 2026-01-02; none"},
		{"a name that was typed", quizzed("2026-03-02", "++++"), []*workorder.Order{work(lib, "j", "2026-03-05", typed)},
			"part knows 2026-03-02 does 2026-03-05 T. Holm?; part knows 2026-03-02 does 2026-03-05 T. Holm?; none"},
		{"a seal that does not hold", nil, []*workorder.Order{work(lib, "j", "2026-03-05", forged)}, "part does 2026-03-05 open 1; part does 2026-03-05 open 1; none"},
		{"nobody signed", nil, []*workorder.Order{work(lib, "j", "2026-03-05", unsigned)}, "part does 2026-03-05 open 1; part does 2026-03-05 open 1; none"},
		{"the later job counts", nil, []*workorder.Order{work(lib, "j", "2026-03-05", sealed), work(lib, "k", "2026-04-05", typed)}, "part does 2026-04-05 T. Holm?; part does 2026-04-05 T. Holm?; none"},
		{"of one day the one that was seen", nil, []*workorder.Order{work(lib, "j", "2026-03-05", unsigned), work(lib, "k", "2026-03-05", sealed)}, "part does 2026-03-05 T. Holm; part does 2026-03-05 T. Holm; none"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			answers := []Answers{{"quiz", []retention.Memory{{Name: "ADA", Answers: tt.answers}}}}
			var told []string
			for _, e := range Assess(aims, answers, tt.jobs, nil, 12, at("2026-06-01")) {
				if strings.EqualFold(e.Learner, "Ada") {
					told = append(told, tell(e))
				}
			}
			if got := strings.Join(told, "; "); got != tt.want {
				t.Errorf("got  %s\nwant %s", got, tt.want)
			}
		})
	}
	// Ben did the last step and no other.
	ben := Assess(aims, nil, []*workorder.Order{work(lib, "j", "2026-03-05", sealed)}, nil, 12, at("2026-06-01"))[3:]
	if got := tell(ben[0]) + "; " + tell(ben[1]); ben[0].Learner != "Ben" || got != "none; part does 2026-03-05 T. Holm" {
		t.Errorf("%s: %s", ben[0].Learner, got)
	}
}

// What an observer saw alone stands for record and signature; what was seen not reached is open until a later day shows it.
func TestObserved(t *testing.T) {
	lib := workshop()
	aims := Aims(lib)
	seen := func(day string, role assessment.Role, verdict assessment.Verdict, missed bool) *assessment.Assessment {
		return &assessment.Assessment{Procedure: "out", Learner: "ada", Role: role, Attempt: 1, Finished: day,
			Aims: []assessment.Aim{{Number: 1, Words: "Lift it", Verdict: verdict}, {Number: 2, Words: "other words", Verdict: verdict}}, Lines: []assessment.Seen{{Line: "x", Must: true, Seen: !missed}}}
	}
	know := []Answers{{"quiz", []retention.Memory{{Name: "Ada", Answers: []retention.Answer{
		{Question: "q1", On: at("2026-03-02"), Right: true}, {Question: "q2", On: at("2026-03-02"), Right: true}, {Question: "q3", On: at("2026-03-02"), Right: true},
	}}}}}
	sealedOn := func(day string) []*workorder.Order { return []*workorder.Order{work(lib, "j", day, sealed)} }
	for _, tt := range []struct {
		name     string
		answers  []Answers
		jobs     []*workorder.Order
		observed []*assessment.Assessment
		want     Status
		until    string
	}{
		{"seen and known", know, nil, []*assessment.Assessment{seen("2026-03-05", assessment.Does, assessment.Alone, false)}, Shown, "2027-03-02"},
		{"seen and not known", nil, nil, []*assessment.Assessment{seen("2026-03-05", assessment.Does, assessment.Alone, false)}, Part, ""},
		{"a line with Must missed", know, nil, []*assessment.Assessment{seen("2026-03-05", assessment.Does, assessment.Alone, true)}, Part, ""},
		{"only the one who checks", know, nil, []*assessment.Assessment{seen("2026-03-05", assessment.Checks, assessment.Alone, false)}, Part, ""},
		{"with help, then alone", know, nil, []*assessment.Assessment{seen("2026-03-08", assessment.Does, assessment.Alone, false), seen("2026-03-05", assessment.Does, assessment.WithHelp, false)}, Shown, "2027-03-02"},
		{"not yet, after a signed job", know, sealedOn("2026-03-04"), []*assessment.Assessment{seen("2026-03-05", assessment.Does, assessment.NotYet, false)}, Part, ""},
		{"not yet, before a signed job", know, sealedOn("2026-03-06"), []*assessment.Assessment{seen("2026-03-05", assessment.Does, assessment.NotYet, false)}, Shown, "2027-03-02"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			all := Assess(aims, tt.answers, tt.jobs, tt.observed, 12, at("2026-06-01"))
			if e := all[0]; e.Status != tt.want || tt.until != "" && e.Until.String() != tt.until {
				t.Errorf("%s until %s, want %s %s", e.Status, e.Until, tt.want, tt.until)
			}
			if e := all[1]; e.Observed != nil || e.Checked != nil {
				t.Error("a verdict went to an aim of other words")
			}
		})
	}
}

func tell(e Evidence) string {
	out := string(e.Status)
	if e.Knows {
		out += " knows " + e.Known.String()
	}
	if e.Does {
		out += " does " + e.Done.String()
	}
	for _, x := range e.Seen {
		out += " " + x.Name
		if !x.Proved {
			out += "?"
		}
	}
	if e.Open > 0 {
		out += fmt.Sprint(" open ", e.Open)
	}
	if e.Until > 0 {
		out += " until " + e.Until.String()
	}
	return out
}
