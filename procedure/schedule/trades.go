package schedule

import (
	"cmp"
	"slices"
	"strings"

	"matchmark/procedure"
)

// Tickets are the trades and tickets of each of some people.
type Tickets [][]string

// TicketsOf are those of a crew.
func TicketsOf(crew []procedure.Person) Tickets {
	var out Tickets
	for _, p := range crew {
		var has []string
		for _, r := range p.Tickets {
			has = append(has, r.ID)
		}
		out = append(out, has)
	}
	return out
}

// has reports whether a person has a ticket.
func (t Tickets) has(person int, ticket string) bool { return slices.Contains(t[person], ticket) }

// Trades lists the trades that the activities take, in the order of their first use.
func (n *Network) Trades() []string {
	var out []string
	for i := range n.Activities {
		for _, t := range n.Activities[i].Who {
			if !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	return out
}

// Assumed are the tickets of so many people where nobody states who they are: the trades of the network go round among them.
func (n *Network) Assumed(people int) Tickets {
	out := make(Tickets, people)
	for i, t := range n.Trades() {
		out[i%people] = append(out[i%people], t)
	}
	return out
}

// CanDo reports whether there are people enough: one for each of the trades, and so many in all.
func CanDo(people Tickets, trades []procedure.Ref, crew int) bool {
	who := make([]string, len(trades))
	for i, r := range trades {
		who[i] = r.ID
	}
	return people.choose(who, max(crew, len(who)), func(int) bool { return true }) != nil
}

// choose returns the people, ascending and counted from 0, who do something that takes one for each trade and so many in all; nil
// when the free ones are not enough. Those go first who have the fewest tickets, so that the others stay free; of those the
// lowest numbers.
func (t Tickets) choose(who []string, crew int, free func(person int) bool) []int {
	order := make([]int, 0, len(t))
	for p := range t {
		if free(p) {
			order = append(order, p)
		}
	}
	if len(order) < crew {
		return nil
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(len(t[a]), len(t[b])) })
	of := make([]int, len(t)) // the trade that a person does, from 1
	for k := range who {
		if !t.augment(who, k, order, of, make([]bool, len(t))) {
			return nil
		}
	}
	out := make([]int, 0, crew)
	for p := range t {
		if of[p] > 0 {
			out = append(out, p)
		}
	}
	for _, p := range order {
		if len(out) < crew && of[p] == 0 {
			out = append(out, p)
		}
	}
	slices.Sort(out)
	return out
}

// augment finds somebody for a trade, if need be by giving those who have one another.
//
// Source: augmenting paths in bipartite graphs, Berge, 1957 (from memory).
func (t Tickets) augment(who []string, k int, order, of []int, seen []bool) bool {
	for _, p := range order {
		if seen[p] || !t.has(p, who[k]) {
			continue
		}
		seen[p] = true
		if of[p] == 0 || t.augment(who, of[p]-1, order, of, seen) {
			of[p] = k + 1
			return true
		}
	}
	return false
}

// mostTrades is of how many trades together all combinations limit a schedule; of more, each by itself does.
const mostTrades = 6

// limit is a group of trades as a resource: the people who have one of them.
type limit struct {
	trades []string
	people int
}

// limits are what a crew's tickets limit: for each combination of trades the people who have one of them. At every moment a
// crew can do what goes on if no combination takes more of them.
//
// Source: the marriage theorem, Hall, 1935 (from memory).
func (t Tickets) limits(trades []string) []limit {
	var groups [][]string
	if len(trades) > mostTrades {
		for _, x := range trades {
			groups = append(groups, []string{x})
		}
	} else {
		for bits := 1; bits < 1<<len(trades); bits++ {
			var group []string
			for i, x := range trades {
				if bits&(1<<i) != 0 {
					group = append(group, x)
				}
			}
			groups = append(groups, group)
		}
	}
	var out []limit
	for _, g := range groups {
		l := limit{trades: g}
		for p := range t {
			if slices.ContainsFunc(g, func(x string) bool { return t.has(p, x) }) {
				l.people++
			}
		}
		out = append(out, l)
	}
	return out
}

// takes is how many of the people that the limit counts an activity takes.
func (l limit) takes(a *Activity) (n int) {
	for _, t := range a.Who {
		if slices.Contains(l.trades, t) {
			n++
		}
	}
	return n
}

// name tells the limit from the things of a network.
func (l limit) name() string { return "trades " + strings.Join(l.trades, " ") }
