package host

import (
	"net/http"

	"matchmark/compile/host/board"
	"matchmark/compile/host/holdpoint"
	"matchmark/compile/host/invite"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// holdOf reads the hold point that is to be signed: all that it covers has to be confirmed.
func (h *Host) holdOf(on *record.Record, key string) (*board.HoldPoint, error) {
	hold := h.plans.Hold(on, key)
	switch {
	case hold == nil:
		return nil, no(http.StatusUnprocessableEntity, "no-hold")
	case !hold.Confirmed(on):
		return nil, no(http.StatusConflict, "hold-open")
	}
	return hold, nil
}

// signing names what the trainer signs.
type signing struct{ Job, Key string }

// sign signs a hold point: all that it covers has to be confirmed.
func (h *Host) sign(r *http.Request, by store.Person, in signing) (any, error) {
	if err := h.maySign(r, by, in); err != nil {
		return nil, err
	}
	return h.seal(r, in, by)
}

// maySign looks whether somebody may sign, and waits until the job's record may be read.
func (h *Host) maySign(r *http.Request, by store.Person, in signing) error {
	switch {
	case by.ID == "":
		return no(http.StatusUnprocessableEntity, "who")
	case !jobName.MatchString(in.Job):
		return store.ErrUnknown
	}
	return h.turnFor(r, in.Job)
}

// seal gives a person's signature on a hold point.
func (h *Host) seal(r *http.Request, on signing, by store.Person) (record.Signature, error) {
	return h.Store.Sign(r.Context(), on.Job, on.Key, func(as *record.Record) (record.Signature, error) {
		hold, err := h.holdOf(as, on.Key)
		if err != nil {
			return record.Signature{}, err
		}
		return record.Seal(as, on.Key, record.Signature{
			Who: by.ID, Name: by.Name, Salt: by.Salt, At: h.Now().UnixMilli(), Step: hold.Step, Lines: hold.Lines(),
		}, h.Store.Key()), nil
	})
}

// shownCode is a code for a hold point as the board shows it.
type shownCode struct {
	Code  string `json:"code"`
	Until int64  `json:"until"`
}

// showHoldCode gives the board a code for a hold point, to be typed on the tablet that stands there.
func (h *Host) showHoldCode(r *http.Request, by store.Person, in signing) (any, error) {
	if err := h.maySign(r, by, in); err != nil {
		return nil, err
	}
	on, err := h.Store.Record(r.Context(), in.Job)
	if err != nil {
		return nil, err
	}
	hold, err := h.holdOf(on, in.Key)
	if err != nil {
		return nil, err
	}
	code := h.codes.Show(in.Job+" "+in.Key, holdpoint.Signing{Lines: hold.Lines(), Machine: on.Machine.Value, By: by}, h.Now())
	if err := h.Store.Note(r.Context(), store.Step{Person: by.ID, What: "showed-code", Job: in.Job, About: in.Key}); err != nil {
		return nil, err
	}
	return shownCode{code[:3] + " " + code[3:], h.Now().Add(holdpoint.CodeTime).UnixMilli()}, nil
}

// signByCode signs a hold point for a tablet on which the code was typed that the board shows for it.
func (h *Host) signByCode(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	var in struct {
		signing
		Code string
	}
	if err := h.form(w, r, &in); err != nil {
		return err
	}
	if err := h.mustWrite(r, t, in.Job); err != nil {
		return err
	}
	if err := h.turnFor(r, in.Job); err != nil {
		return err
	}
	on, err := h.Store.RecordFor(r.Context(), t, in.Job)
	if err != nil {
		return err
	}
	hold, err := h.holdOf(on, in.Key)
	if err != nil {
		return err
	}
	code, right := h.codes.Use(in.Job+" "+in.Key, invite.Typed(in.Code), h.Now())
	if !right || code.Lines != hold.Lines() || code.Machine != on.Machine.Value {
		return no(http.StatusForbidden, "hold-code")
	}
	given, err := h.seal(r, in.signing, code.By)
	if err != nil {
		return err
	}
	return h.answer(w, r, http.StatusOK, given)
}
