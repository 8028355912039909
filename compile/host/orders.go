package host

import (
	"errors"
	"net/http"

	"matchmark/compile/host/building"
)

// showOrder is the work order of a job, as its records stand.
func (h *Host) showOrder(w http.ResponseWriter, r *http.Request, _ string) error {
	return h.order(w, r, false)
}

// showChecklist is the checklist of the refitting with the job's repairs in it.
func (h *Host) showChecklist(w http.ResponseWriter, r *http.Request, _ string) error {
	return h.order(w, r, true)
}

func (h *Host) order(w http.ResponseWriter, r *http.Request, checklist bool) error {
	found, err := h.named(r)
	if err != nil {
		return err
	}
	there, err := h.Store.Photos(r.Context(), found.Job)
	if err != nil {
		return err
	}
	content, err := h.site.WorkOrder(building.Order{Record: found, Zone: h.Now().Location(), There: there, Checklist: checklist})
	switch {
	case errors.Is(err, building.ErrUnplaced):
		return no(http.StatusNotFound, "procedure")
	case err == nil && content == nil:
		return errMissing // nothing goes back
	}
	return h.sendPage(w, r, http.StatusOK, content, err)
}
