package workorder

import (
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/record"
	"matchmark/procedure/rows"
	"matchmark/procedure/state"
)

// Hold is a hold point with who gave it.
type Hold struct {
	Way  record.Phase
	Step *procedure.Step
	*procedure.Hold
	// Confirmations are what must be confirmed, in order, the signature not among them.
	Confirmations []Confirmation
	// Signature is nil when nobody has to sign.
	Signature *Signature
}

// Confirmation is one confirmation of a hold point.
type Confirmation struct {
	Prose procedure.Prose
	record.Confirmation
}

// Signature is what became of the signature that a hold point asks for.
type Signature struct {
	// Who is to sign.
	Who string
	// Written is the name that was typed on a tablet, which proves nothing; Given is false for none.
	Written record.Confirmation
	// Sealed is the signature that the class host gave; nil for none.
	Sealed *record.Signature
	// Holds reports whether the seal is that of the key it names, over just this hold point of this job.
	Holds bool
}

// Given reports whether the hold point is signed: by a seal that holds. A name on the tablet anybody can have written there.
func (s *Signature) Given() bool { return s.Sealed != nil && s.Holds }

// Unproved reports whether nothing but a name on the tablet says that it was signed.
func (s *Signature) Unproved() bool { return s.Written.Given && !s.Given() }

// Digits is how many digits of a key are shown: enough to tell two class hosts apart.
const Digits = 8

// Key is the first digits of the key that sealed.
func (s *Signature) Key() string { return s.Sealed.Key[:min(Digits, len(s.Sealed.Key))] }

func (o *Order) holds(others []string) {
	for _, way := range record.Phases {
		job := o.Out
		if way == record.Refitting {
			job = o.Back
		}
		if job == nil {
			continue
		}
		for _, s := range job.Steps {
			if h := state.Hold(s); h != nil {
				o.hold(way, s, h, others)
			}
		}
	}
}

// hold adds a hold point, unless the work has not come so far.
func (o *Order) hold(way record.Phase, s *procedure.Step, h *procedure.Hold, others []string) {
	out := Hold{Way: way, Step: s, Hold: h}
	reached := o.Record.Passed[string(way)+"/"+s.ID].Value
	for _, row := range rows.List(s) {
		if row.Hold != h {
			continue
		}
		key := string(way) + "/" + row.ID
		given := o.Record.Confirmed[key]
		reached = reached || given.Given
		if row.Confirmation >= 0 {
			out.Confirmations = append(out.Confirmations, Confirmation{h.Confirmations[row.Confirmation], given})
			continue
		}
		out.Signature = o.signature(key, others)
		out.Signature.Who = h.Signature
		reached = reached || out.Signature.Sealed != nil
	}
	if reached {
		o.Holds = append(o.Holds, out)
	}
}

// signature says what became of what the trainer signs under a key.
func (o *Order) signature(key string, others []string) *Signature {
	out := &Signature{Written: o.Record.Confirmed[key]}
	if sealed, ok := o.Record.Signed[key]; ok {
		out.Sealed, out.Holds = &sealed, o.verified(key, sealed, others)
	}
	return out
}

// verified reports whether a seal holds for the job under any of its names.
func (o *Order) verified(key string, s record.Signature, others []string) bool {
	return slices.ContainsFunc(append([]string{o.Record.Job}, others...), func(name string) bool {
		r := *o.Record
		r.Job = name
		return record.Verify(&r, key, s)
	})
}
