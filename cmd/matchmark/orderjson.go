package main

import (
	"fmt"

	"matchmark/procedure"
	"matchmark/procedure/rows"
	"matchmark/procedure/supplies"
	order "matchmark/procedure/workorder"
)

// orderJSON is a work order for scripts. Moments are milliseconds since 1970.
type orderJSON struct {
	Job       string `json:"job"`
	Procedure string `json:"procedure"`
	Variant   string `json:"variant"`
	// Older says that the record was made with another version of the procedure.
	Older  bool     `json:"older"`
	People []string `json:"people"`
	Begun  int64    `json:"begun"`
	Ended  int64    `json:"ended"`
	// Open is how many repairs are open; Stopped, that a supervisor must inspect before anything goes on.
	Open     int             `json:"openRepairs"`
	Stopped  bool            `json:"workStopped"`
	Findings []findingJSON   `json:"findings"`
	Parts    []partJSON      `json:"parts"`
	Renewals []renewalJSON   `json:"renewals"`
	Turns    []turnJSON      `json:"turns"`
	Measured []measuredJSON  `json:"measured"`
	Holds    []holdJSON      `json:"holdPoints"`
	Times    []orderTimeJSON `json:"times"`
	Lost     []lostEntryJSON `json:"lost"`
}

type findingJSON struct {
	Number   int      `json:"number"`
	Way      string   `json:"way"`
	Step     string   `json:"step"`
	Thing    string   `json:"thing"`
	Name     string   `json:"name"`
	Kind     string   `json:"kind"`
	Severity string   `json:"severity"`
	Words    string   `json:"words"`
	Repair   string   `json:"repair"`
	Before   string   `json:"before"`
	Photos   []string `json:"photos"`
	Found    int64    `json:"found"`
	FoundBy  string   `json:"foundBy"`
	Repaired bool     `json:"repaired"`
	Stops    bool     `json:"stopsWork"`
}

// partJSON is a thing to order or to repair, with the numbers of the findings on it.
type partJSON struct {
	Thing    string `json:"thing"`
	Name     string `json:"name"`
	Findings []int  `json:"findings"`
}

type measuredJSON struct {
	Way     string `json:"way"`
	Step    string `json:"step"`
	Look    string `json:"look"`
	Thing   string `json:"thing"`
	Value   string `json:"value"`
	Unit    string `json:"unit"`
	Low     string `json:"low"`
	High    string `json:"high"`
	Verdict string `json:"verdict"`
	Finding int    `json:"finding"`
	// Round counts from 1; 0 for a value outside of rounds. Found is what the removal read under the same name, empty for none.
	Round int    `json:"round"`
	Found string `json:"asFound"`
}

// turnJSON is what decided which way the job went: an "answer" to a question, what was "skipped" and why, how many rounds there were, or who
// let the work go on after the last of them ("more").
type turnJSON struct {
	Way      string `json:"way"`
	Step     string `json:"step"`
	Kind     string `json:"kind"`
	Question string `json:"question"`
	Yes      bool   `json:"yes"`
	Words    string `json:"words"`
	Rounds   int    `json:"rounds"`
	Round    int    `json:"round"`
}

// renewalJSON is what goes in new on the way back, whatever was found.
type renewalJSON struct {
	Thing    string `json:"thing"`
	Name     string `json:"name"`
	Quantity string `json:"quantity"`
	Findings []int  `json:"findings"`
}

// holdJSON is a hold point. Signed is true only for a signature of the class host whose seal holds; SignedBy may also be a name written on a tablet, which proves nothing.
type holdJSON struct {
	Way       string `json:"way"`
	Step      string `json:"step"`
	Title     string `json:"title"`
	Confirmed int    `json:"confirmed"`
	Of        int    `json:"of"`
	Signature bool   `json:"needsSignature"`
	Signed    bool   `json:"signed"`
	SignedBy  string `json:"signedBy"`
}

type orderTimeJSON struct {
	Way         string  `json:"way"`
	Step        string  `json:"step"`
	Minutes     float64 `json:"minutes"`
	MoreThan    float64 `json:"moreThanExpected"`
	Interrupted bool    `json:"interrupted"`
}

// lostEntryJSON is an entry of the record that has no place in the procedure as it is now.
type lostEntryJSON struct {
	In     string `json:"in"`
	Key    string `json:"key"`
	Name   string `json:"name"`
	Reason string `json:"reason"`
}

// orderForJSON returns a work order for scripts. Lists are lists, also when they are empty.
func orderForJSON(o *order.Order) orderJSON {
	out := orderJSON{
		Job: o.Record.Job, Procedure: o.Record.Procedure, Variant: o.Record.Variant, Older: o.Older, People: append([]string{}, o.People...),
		Begun: o.Begun, Ended: o.Ended, Open: o.Open(), Stopped: o.OpenStops(),
		Findings: []findingJSON{}, Parts: []partJSON{}, Renewals: []renewalJSON{}, Turns: []turnJSON{}, Measured: []measuredJSON{}, Holds: []holdJSON{}, Times: []orderTimeJSON{}, Lost: []lostEntryJSON{},
	}
	for _, f := range o.Findings {
		out.Findings = append(out.Findings, findingJSON{
			Number: f.Number, Way: string(f.Phase), Step: f.Step, Thing: f.Thing, Name: f.Name, Kind: string(f.Kind), Severity: string(f.Severity),
			Words: f.Words, Repair: f.Finding.Repair, Before: f.Before, Photos: append([]string{}, f.Photos...), Found: f.Found, FoundBy: f.Finder(), Repaired: f.Repaired, Stops: f.Stops(),
		})
	}
	for _, w := range o.Wants {
		part := partJSON{Name: w.Name, Findings: w.Findings}
		if w.Thing != nil {
			part.Thing = w.Thing.Row.ID
		}
		out.Parts = append(out.Parts, part)
	}
	for _, m := range o.Measured {
		out.Measured = append(out.Measured, measuredJSON{string(m.Way), idOf(m.Step), m.Look, m.Thing, m.Value, m.Unit, m.Low, m.High, string(m.Verdict), m.Finding, m.Round, m.Found})
	}
	for _, r := range o.Renewals {
		out.Renewals = append(out.Renewals, renewalJSON{r.Row().ID, r.Row().Name, amountOf(r.Renewal), append([]int{}, r.Findings...)})
	}
	for _, t := range o.Turns {
		turn := turnJSON{Way: string(t.Way), Step: idOf(t.Step), Kind: "answer", Yes: t.Yes, Words: t.Words, Rounds: t.Rounds, Round: t.Round}
		switch {
		case t.Decision != nil:
			turn.Question, turn.Words = t.Decision.Question.Plain(), ""
		case t.Note == rows.Skip:
			turn.Kind = "skipped"
		case t.Note == rows.Count:
			turn.Kind, turn.Words, turn.Round = "rounds", "", 0
		default:
			turn.Kind, turn.Round = "more", 0
		}
		out.Turns = append(out.Turns, turn)
	}
	for _, h := range o.Holds {
		hold := holdJSON{Way: string(h.Way), Step: idOf(h.Step), Title: h.Title, Of: len(h.Confirmations)}
		for _, c := range h.Confirmations {
			if c.Given {
				hold.Confirmed++
			}
		}
		if s := h.Signature; s != nil {
			hold.Signature, hold.Signed, hold.SignedBy = true, s.Given(), s.Written.Text
			if s.Sealed != nil {
				hold.SignedBy = s.Sealed.Name
			}
		}
		out.Holds = append(out.Holds, hold)
	}
	for _, t := range o.Times {
		out.Times = append(out.Times, orderTimeJSON{string(t.Way), idOf(t.Step), hundredths(t.Minutes), hundredths(t.Off), t.Interrupted})
	}
	for _, l := range o.Lost {
		out.Lost = append(out.Lost, lostEntryJSON{l.Map, l.Key, l.Name, string(l.Reason)})
	}
	return out
}

// idOf is a step's id; empty for one that has gone.
func idOf(s *procedure.Step) string {
	if s == nil {
		return ""
	}
	return s.ID
}

// amountOf is how much of what is renewed goes in; empty where its row does not say.
func amountOf(r supplies.Renewal) string {
	switch {
	case r.Fastener != nil:
		return fmt.Sprintf("%d pcs", r.Fastener.Count)
	case r.Part != nil:
		return "1 pcs"
	case r.Tool != nil:
		return r.Tool.Quantity.String()
	}
	return r.Fluid.Quantity.String()
}
