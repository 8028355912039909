package order

import "matchmark/procedure"

// Kind says why one step comes before another. Pages have words for each kind.
type Kind string

// The kinds of reason.
const (
	Stated     Kind = "stated"      // the author says so
	Needed     Kind = "needed"      // a condition is established before it is needed
	Proved     Kind = "proved"      // energy is proved away before work
	Joined     Kind = "joined"      // what ties a part comes off before the part leaves
	Covered    Kind = "covered"     // what covers a part leaves before it
	Seated     Kind = "seated"      // a part is in place before something is fitted to it
	Locked     Kind = "locked"      // a lock and what it locks are turned in their order
	Emptied    Kind = "emptied"     // a circuit is drained before it is opened
	Closed     Kind = "closed"      // a circuit is closed before it is filled
	Marked     Kind = "marked"      // a thing is marked before it comes apart
	Held       Kind = "held"        // a support is on before the last fastener that holds is out
	Carried    Kind = "carried"     // fasteners are in before the support that carries is taken away
	Kept       Kind = "kept"        // a fastener stays until what it is kept for is done
	Warned     Kind = "warned"      // a caution stands before the action that it is about
	Looked     Kind = "looked"      // a thing is looked at or cleaned as it is then
	HoldPoint  Kind = "hold-point"  // a hold point shuts what comes after it
	LoadInAir  Kind = "load-in-air" // nothing else is done while a load is lifted
	Same       Kind = "same"        // one thing, one action after the other
	AsItWas    Kind = "as-it-was"   // a thing is used before it is changed
	Found      Kind = "found"       // what is found decides whether it is done, or goes into it
	Round      Kind = "round"       // both are steps of one round
	Waited     Kind = "waited"      // a wait is over before the thing is touched
	OneSupport Kind = "one-support" // one support cannot do two things at once
)

// Reason is why one step comes before another.
type Reason struct {
	Kind Kind
	// Thing is what the two steps share; nil for none.
	Thing *procedure.Row
	// From and To are the actions; nil when the step as a whole is meant.
	From, To *procedure.Action
}

func (r Reason) sameAs(q Reason) bool { return r.Kind == q.Kind && r.Thing == q.Thing }
