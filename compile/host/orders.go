package host

import (
	"errors"
	"net/http"

	"matchmark/compile/page"
	"matchmark/compile/served"
	"matchmark/compile/workorder"
	"matchmark/procedure/record"
)

// showOrder is the work order of a job, as its records stand.
func (h *Host) showOrder(w http.ResponseWriter, r *http.Request, _ string) {
	h.order(w, r, (*workorder.Emitter).Page)
}

// showChecklist is the checklist of the way back with the job's repairs in it.
func (h *Host) showChecklist(w http.ResponseWriter, r *http.Request, _ string) {
	h.order(w, r, func(e *workorder.Emitter) ([]byte, error) {
		if !e.HasChecklist() {
			return nil, errNoChecklist
		}
		return e.Checklist()
	})
}

// errNoChecklist means that nothing goes back.
var errNoChecklist = errors.New("nothing goes back")

func (h *Host) order(w http.ResponseWriter, r *http.Request, make func(*workorder.Emitter) ([]byte, error)) {
	found, ok := h.named(w, r)
	if !ok {
		return
	}
	there, err := h.Store.Photos(r.Context(), found.Job)
	if err != nil {
		h.failed(w, r, err)
		return
	}
	e, err := workorder.New(h.Library, h.theme, found, h.orderOptions(found, there))
	var content []byte
	if err == nil {
		content, err = make(e)
	}
	var unplaced *workorder.Unplaced
	switch {
	case errors.As(err, &unplaced):
		h.refuse(w, r, http.StatusNotFound, "procedure")
	case errors.Is(err, errNoChecklist):
		h.missing(w, r)
	case err != nil:
		h.failed(w, r, err)
	default:
		w.Header().Set("Content-Type", served.ContentType(".html"))
		w.Header().Set("Cache-Control", "no-store")
		w.Write(content)
	}
}

func (h *Host) orderOptions(found *record.Record, there map[string]bool) workorder.Options {
	out := workorder.Options{
		Zone: h.Now().Location(), Root: "/", Order: "/board/workorder/" + found.Job,
		Crumbs: []page.Crumb{{Title: h.words.T("board.title"), Link: "/board/"}},
		Photo: func(name string) string {
			if !there[name] {
				return ""
			}
			return "/board/photo/" + found.Job + "/" + name
		},
	}
	if plan := h.plans.Of(found.Procedure, found.Variant); plan != nil && plan.Ways[record.Back] != nil {
		out.Checklist = "/board/checklist/" + found.Job
	}
	return out
}
