package order

import (
	"fmt"

	"matchmark/procedure"
)

// Kind says why one step comes before another. Pages have words for each kind;
// Text gives English ones for messages.
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

// Text says the reason in a few English words, for messages.
func (r Reason) Text() string {
	thing := "it"
	if r.Thing != nil {
		thing = r.Thing.Name
		if thing == "" {
			thing = r.Thing.ID
		}
	}
	switch r.Kind {
	case Stated:
		return "the author says so"
	case HoldPoint:
		return "the hold point shuts what comes after it"
	case LoadInAir:
		return "nothing else is done while a load is lifted"
	}
	return fmt.Sprintf(texts[r.Kind], thing)
}

var texts = map[Kind]string{
	Needed:     "%s is established before it is needed",
	Proved:     "%s is proved before work on the machine",
	Joined:     "%s comes off before the part that it joins leaves",
	Covered:    "%s leaves before the part that it covers",
	Seated:     "%s is in place before something is fitted to it",
	Locked:     "%s and what it locks are turned in their order",
	Emptied:    "%s is drained before its circuit is opened",
	Closed:     "%s is closed before the circuit is filled",
	Marked:     "%s is marked before it comes apart",
	Held:       "a support carries %s before its last fastener is out",
	Carried:    "%s is in before the support is taken away",
	Kept:       "%s is kept until then",
	Warned:     "the caution about %s stands before the action",
	Looked:     "%s is looked at as it is then",
	Same:       "both act on %s",
	AsItWas:    "%s is needed as it was before",
	OneSupport: "%s cannot do two things at once",
}
