package host

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"

	"matchmark/compile/host/building"
	"matchmark/compile/host/store"
	"matchmark/procedure/assessment"
	"matchmark/procedure/competence"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/quiz/retention"
	"matchmark/procedure/workorder"
)

func (h *Host) routeAssessments(mux *http.ServeMux) {
	mux.HandleFunc("POST /board/assessment", h.forTrainer(h.takeAssessment))
	mux.HandleFunc("GET /board/assessment/{hash}", h.forTrainer(h.downloadAssessment))
	mux.HandleFunc("GET /board/assessments", h.forTrainer(h.listAssessments))
	mux.HandleFunc("GET /board/competence", h.forTrainer(h.showCompetence))
}

// takeAssessment keeps a practical assessment that was filled in where the board is open, in the name of whoever opened it.
func (h *Host) takeAssessment(w http.ResponseWriter, r *http.Request, who string) error {
	content, err := h.body(w, r, "application/json", assessment.MostBytes)
	if err != nil {
		return err
	}
	in, err := assessment.Parse(h.Library, content, assessment.Latest(h.Now()))
	if err != nil {
		return no(http.StatusUnprocessableEntity, "assessment", err.Error())
	}
	by, err := h.trainer(r.Context(), cmp.Or(who, in.Observer))
	if err != nil {
		return err
	}
	if err := h.Store.TakeAssessment(r.Context(), by.ID, *in); errors.Is(err, store.ErrUnknown) {
		return no(http.StatusUnprocessableEntity, "assessed")
	} else if err != nil {
		return err
	}
	return done(w)
}

// listAssessments leads to the sheets of the library, and lists what is kept.
func (h *Host) listAssessments(w http.ResponseWriter, r *http.Request, _ string) error {
	if err := h.turn(r, h.Memory); err != nil {
		return err
	}
	kept, err := h.Store.Assessments(r.Context())
	if err != nil {
		return err
	}
	var list []building.KeptAssessment
	for _, a := range kept {
		list = append(list, building.KeptAssessment{Hash: a.Hash, Assessment: a.Assessment})
	}
	content, err := h.site.Assessments(list)
	return h.sendPage(w, r, http.StatusOK, content, err)
}

// downloadAssessment sends one assessment as the file that "matchmark competence" reads.
func (h *Host) downloadAssessment(w http.ResponseWriter, r *http.Request, who string) error {
	a, err := h.Store.Assessment(r.Context(), r.PathValue("hash"))
	if err != nil {
		return err
	}
	if err := h.noted(r, who, store.Step{What: "exported"}); err != nil {
		return err
	}
	content, err := a.JSON()
	if err != nil {
		return err
	}
	h.download(w, "assessment-"+a.Hash[:12]+".json", content)
	return nil
}

// showCompetence is what quizzes, records and assessments of this class show together.
func (h *Host) showCompetence(w http.ResponseWriter, r *http.Request, _ string) error {
	if err := h.turn(r, h.Memory); err != nil { // alone: it reads all of the class
		return err
	}
	answers, undated, left, err := h.allAnswers(r)
	if err != nil {
		return err
	}
	jobs, err := h.allOrders(r)
	if err != nil {
		return err
	}
	kept, err := h.Store.Assessments(r.Context())
	if err != nil {
		return err
	}
	var observed []*assessment.Assessment
	for _, a := range kept {
		observed = append(observed, a.Assessment)
	}
	months, today := cmp.Or(h.Retention.Valid, usualMonths), retention.DayOf(h.Now())
	all := competence.Assess(competence.Aims(h.Library), answers, jobs, observed, months, today)
	content, err := h.site.Competence(all, today, months, undated, left)
	if err != nil {
		return err
	}
	letStyles(w, content)
	return h.sendPage(w, r, http.StatusOK, content, nil)
}

// usualMonths is how long what was shown holds where the host keeps it for ever.
const usualMonths = 12

// allAnswers are the answers to all quizzes; undated is how many results have no date or no name, left how many learners could not be marked.
func (h *Host) allAnswers(r *http.Request) (out []competence.Answers, undated, left int, err error) {
	for _, q := range h.Library.Quizzes {
		var files []collect.File
		if err := h.Store.EachResult(r.Context(), q.ID, 0, func(x store.Result) {
			files = append(files, collect.File{Name: x.Hash[:12] + ".json", Data: x.Body})
		}); err != nil {
			return nil, 0, 0, err
		}
		found := h.plans.Mark(q, files...)
		learners, lost := retention.Memories(found)
		out = append(out, competence.Answers{Quiz: q.ID, Learners: learners})
		undated, left = undated+lost, left+len(found.NotMarked)
	}
	return out, undated, left, nil
}

// allOrders are the jobs of the class, but for those that are void or that the library has no place for.
func (h *Host) allOrders(r *http.Request) ([]*workorder.Order, error) {
	list, err := h.Store.AllSummaries(r.Context(), 0)
	if err != nil {
		return nil, err
	}
	var out []*workorder.Order
	for _, j := range list {
		plan := h.plans.Of(j.Procedure, j.Variant)
		if j.Void || plan == nil {
			continue
		}
		found, err := h.Store.Record(r.Context(), j.Job)
		switch {
		case errors.Is(err, store.ErrUnknown):
			continue // deleted meanwhile
		case err != nil:
			return nil, fmt.Errorf("reading job %s: %w", j.Job, err)
		}
		if made := workorder.New(found.WithoutPhotos(), plan.Procedure); made != nil {
			out = append(out, made)
		}
	}
	return out, nil
}
