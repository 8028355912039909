// Package room plans a session of several teams with one trainer: where he must be when a
// hold point is due, where two need him at once, and by how much the teams should
// start apart. It goes by expected times.
package room

import (
	"cmp"
	"math"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/sessions"
	"matchmark/procedure/state"
)

// Signing is how long the trainer is at a hold point, in minutes.
//
// Source: common practice, no source.
const Signing = 5.0

// Class is the teams of a session, each of which does all of it at a machine of its own.
type Class struct {
	Session *sessions.Session
	Teams   int
	// Apart is by how many minutes each team starts after the one before.
	Apart float64
}

// Visit is a hold point that the trainer signs.
type Visit struct {
	// Team is counted from 1.
	Team int
	Item *sessions.Item
	Step *procedure.Step
	Hold *procedure.Hold
	// Due is when the step's work is expected to be done, in minutes from the session's start.
	Due float64
}

// Visits are the trainer's, by time and then by team.
func (c Class) Visits() []Visit {
	var out []Visit
	for team := range c.Teams {
		for _, row := range c.Session.Rows {
			if row.Step == nil {
				continue
			}
			if hold := state.Hold(row.Step); hold != nil && hold.Signature != "" {
				out = append(out, Visit{team + 1, row.Item, row.Step, hold, row.End + float64(team)*c.Apart})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Visit) int { return cmp.Or(cmp.Compare(a.Due, b.Due), cmp.Compare(a.Team, b.Team)) })
	return out
}

// Clash is two visits that fall into each other: the second waits, with its load on the hoist.
type Clash struct {
	First, Second Visit
	// Wait is for how many minutes the second team waits at least.
	Wait float64
}

// Clashes are the visits during which another is due, each with the first one that it is held up by. Who
// waits is visited as soon as the trainer is free, in the order in which they fell due.
func Clashes(visits []Visit, signing float64) []Clash {
	var out []Clash
	free, busy := math.Inf(-1), 0
	for i, v := range visits {
		if v.Due < free-same {
			out = append(out, Clash{visits[busy], v, free - v.Due})
			free += signing
		} else {
			free = v.Due + signing
		}
		busy = i
	}
	return out
}

// same is how far two times may lie apart, in minutes, and still count as equal.
const same = 1e-9

// Sharing is a thing of which there is only one in the shop, and that two teams want at once.
type Sharing struct {
	Tool *procedure.Tool
	// First has it while Second wants it; teams are counted from 1.
	First, Second         int
	FirstStep, SecondStep *procedure.Step
	// At is when the second wants it for the first time, in minutes from the session's start, and Times how often a team wants it from another.
	At    float64
	Times int
}

// Shared lists what two teams want at once, each once: tools of which there is only one in the shop. What the register has
// by its quantity lies ready at each machine.
func (c Class) Shared() []Sharing {
	type use struct {
		team     int
		step     *procedure.Step
		from, to float64
	}
	uses := map[*procedure.Tool][]use{}
	var tools []*procedure.Tool
	for team := range c.Teams {
		for _, row := range c.Session.Rows {
			if row.Step == nil || row.Item.Job.Machine == nil {
				continue
			}
			for _, r := range row.Step.Tools {
				t := row.Item.Job.Machine.Thing(r.ID)
				if t == nil || t.Tool == nil || !t.Tool.Single {
					continue
				}
				if uses[t.Tool] == nil {
					tools = append(tools, t.Tool)
				}
				by := float64(team) * c.Apart
				uses[t.Tool] = append(uses[t.Tool], use{team + 1, row.Step, row.Start + by, row.End + by})
			}
		}
	}
	var out []Sharing
	for _, tool := range tools {
		list := uses[tool]
		slices.SortStableFunc(list, func(a, b use) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.team, b.team)) })
		for i, second := range list {
			for _, first := range list[:i] {
				if first.team == second.team || first.to <= second.from+same {
					continue
				}
				if n := len(out); n > 0 && out[n-1].Tool == tool {
					out[n-1].Times++
				} else {
					out = append(out, Sharing{tool, first.team, second.team, first.step, second.step, second.from, 1})
				}
				break
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Sharing) int { return cmp.Compare(a.At, b.At) })
	return out
}

// Stagger finds by how many whole minutes the teams should start apart, so that the least
// waits for the trainer, and of equals the least for tools, and of those the soonest. They start
// no further apart than leaves the last of them the time of a session of that length with its confidence.
func Stagger(s *sessions.Session, teams int, length, signing float64) Class {
	best := Class{Session: s, Teams: teams}
	bestWait, bestShared := math.Inf(1), 0
	for apart := 0.0; apart == 0 || teams > 1 && apart*float64(teams-1) <= length-s.CarefulEnd+same; apart++ {
		c := Class{Session: s, Teams: teams, Apart: apart}
		wait := 0.0
		for _, clash := range Clashes(c.Visits(), signing) {
			wait += clash.Wait
		}
		shared := 0
		for _, x := range c.Shared() {
			shared += x.Times
		}
		if wait < bestWait-same || math.Abs(wait-bestWait) <= same && shared < bestShared {
			best, bestWait, bestShared = c, wait, shared
		}
	}
	return best
}
