package host

import (
	"encoding/json"
	"errors"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"unicode/utf8"

	"matchmark/compile/host/classlist"
	"matchmark/compile/host/guard"
	"matchmark/compile/host/store"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/record"
)

// The largest bodies.
const (
	mostRecord = 4 << 20
	mostResult = 64 << 10
	mostForm   = 8 << 10
)

// The forms of names in addresses. Nothing else reaches the store.
var (
	jobName   = regexp.MustCompile(`^[0-9a-z]{26}$`)
	photoName = regexp.MustCompile(`^[0-9a-f]{64}$`)
)

func (h *Host) routeTablets(mux *http.ServeMux) {
	mux.HandleFunc("GET /class/hello", h.answering(h.hello))
	mux.HandleFunc("POST /class/record", h.forTablet(h.takeRecord))
	mux.HandleFunc("GET /class/record/{job}", h.forTablet(h.sendRecord))
	mux.HandleFunc("PUT /class/photo/{job}/{hash}", h.forTablet(h.takePhoto))
	mux.HandleFunc("GET /class/photo/{job}/{hash}", h.forTablet(h.sendPhotoTo))
	mux.HandleFunc("POST /class/result", h.forTablet(h.takeResult))
	mux.HandleFunc("GET /class/{file}", h.answering(h.serveOwn))
}

// hello says who the host is. A tablet that was at another one, or at this one
// before a backup was brought back, sends everything anew.
func (h *Host) hello(w http.ResponseWriter, r *http.Request) error {
	name, err := h.Store.Name(r.Context())
	if err != nil {
		return err
	}
	ended, err := h.Store.Ended(r.Context())
	if err != nil {
		return err
	}
	return h.answer(w, r, http.StatusOK, struct {
		Host  string `json:"host"`
		Title string `json:"title"`
		Time  int64  `json:"time"`
		// Ended is when the class was ended last: tablets that joined before empty themselves.
		Ended int64 `json:"ended,omitempty"`
	}{name, h.site.Title, h.Now().UnixMilli(), ended})
}

// takeRecord brings a tablet's record in. The answer comes when it is on the disk. "clock" is what the
// tablet's clock shows, so that what it stamped is set right.
func (h *Host) takeRecord(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	content, err := h.body(w, r, "application/json", mostRecord)
	if err != nil {
		return err
	}
	if err := h.turn(r, heavy*int64(len(content))); err != nil {
		return err
	}
	in, err := record.Read(content)
	var faults diagnostic.Faults
	switch {
	case errors.As(err, &faults):
		return no(http.StatusUnprocessableEntity, "record", faults.Error())
	case err != nil:
		return err
	case !h.plans.Knows(in.Procedure):
		return no(http.StatusUnprocessableEntity, "procedure")
	}
	in.Machine.Value = classlist.Name(in.Machine.Value)
	// Only this host signs. What else calls itself a signature is left out.
	maps.DeleteFunc(in.Signed, func(row string, g record.Signature) bool { return g.Key != h.key || !record.Sealed(in, row, g) })
	if err := h.mayBegin(r, in.Job); err != nil {
		return err
	}
	clock, err := strconv.ParseInt(r.URL.Query().Get("clock"), 10, 64)
	if err != nil {
		clock = 0
	}
	stored, err := h.Store.RecordSize(r.Context(), in.Job)
	if err != nil && !errors.Is(err, store.ErrUnknown) {
		return err
	}
	if err := h.turn(r, heavy*(int64(len(content))+stored)); err != nil {
		return err
	}
	merged, wanted, err := h.Store.TakeRecord(r.Context(), t, in, clock)
	var other *record.OtherJobError
	var overfull *store.OverfullError
	switch {
	case errors.Is(err, store.ErrNotYours):
		if err := h.Store.Ask(r.Context(), t, in.Job); err != nil {
			return err
		}
		return no(http.StatusForbidden, "not-yours")
	case errors.As(err, &other):
		return no(http.StatusConflict, "other-job")
	case errors.As(err, &overfull):
		return no(http.StatusUnprocessableEntity, "overfull")
	case err != nil:
		return err
	}
	return h.answer(w, r, http.StatusOK, struct {
		Kept   bool           `json:"kept"`
		Record *record.Record `json:"record"`
		Wanted []string       `json:"wanted"`
	}{true, merged, append([]string{}, wanted...)})
}

// mayBegin bounds how many new jobs one address brings.
func (h *Host) mayBegin(r *http.Request, job string) error {
	known, err := h.Store.Has(r.Context(), job)
	if err != nil || known {
		return err
	}
	if wait := h.jobs.Wait(guard.Address(r)); wait > 0 {
		return later("too-fast", wait)
	}
	return nil
}

// sendRecord sends a job's record to a tablet that writes on it, without the data of photos and without the names of others.
func (h *Host) sendRecord(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	job := r.PathValue("job")
	if err := h.mustWrite(r, t, job); err != nil {
		return err
	}
	if err := h.turnFor(r, job); err != nil {
		return err
	}
	found, err := h.Store.RecordFor(r.Context(), t, job)
	if err != nil {
		return err
	}
	body, err := found.Write()
	if err != nil {
		return err
	}
	answerTagged(w, r, body, tag(body))
	return nil
}

// named reads the record of the job that the address names.
func (h *Host) named(r *http.Request) (*record.Record, error) {
	job := r.PathValue("job")
	if !jobName.MatchString(job) {
		return nil, store.ErrUnknown
	}
	if err := h.turnFor(r, job); err != nil {
		return nil, err
	}
	return h.Store.Record(r.Context(), job)
}

// turnFor waits until the request may read a job's record.
func (h *Host) turnFor(r *http.Request, job string) error {
	size, err := h.Store.RecordSize(r.Context(), job)
	if err != nil {
		return err
	}
	return h.turn(r, heavy*size)
}

// takePhoto brings in a photo that a record names. Its name is the hash of its bytes.
func (h *Host) takePhoto(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	job, hash := r.PathValue("job"), r.PathValue("hash")
	if !jobName.MatchString(job) || !photoName.MatchString(hash) {
		return no(http.StatusNotFound, "photo-name")
	}
	if err := h.mustWrite(r, t, job); err != nil {
		return err
	}
	switch wants, err := h.Store.WantsPhoto(r.Context(), job, hash); {
	case errors.Is(err, store.ErrUnknown):
		return no(http.StatusNotFound, "photo-stranger")
	case err != nil:
		return err
	case !wants:
		return done(w) // it is there already
	}
	content, err := h.body(w, r, record.PhotoType, record.MostPhotoBytes)
	if err != nil {
		return err
	}
	name, _, err := record.NewPhoto(content)
	if err == nil && name == hash {
		frame, _ := record.ReadFrame(content) // sound, or the name would not be
		if err := h.turn(r, frame.Memory()); err != nil {
			return err
		}
		err = record.Whole(r.Context(), content)
	}
	switch {
	case r.Context().Err() != nil:
		return r.Context().Err() // its sender has gone
	case err != nil:
		return no(http.StatusUnprocessableEntity, "photo")
	case name != hash:
		return no(http.StatusUnprocessableEntity, "photo-hash")
	}
	switch err := h.Store.PutPhoto(r.Context(), t, job, hash, content); {
	case errors.Is(err, store.ErrUnknown):
		return no(http.StatusNotFound, "photo-stranger")
	case err != nil:
		return err
	}
	return done(w)
}

// sendPhotoTo sends a photo of a job to a tablet that writes on it.
func (h *Host) sendPhotoTo(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	if err := h.mustWrite(r, t, r.PathValue("job")); err != nil {
		return err
	}
	return h.sendPhoto(w, r)
}

func (h *Host) sendPhoto(w http.ResponseWriter, r *http.Request) error {
	job, hash := r.PathValue("job"), r.PathValue("hash")
	if !jobName.MatchString(job) || !photoName.MatchString(hash) {
		return no(http.StatusNotFound, "photo-name")
	}
	size, err := h.Store.PhotoSize(r.Context(), job, hash)
	if err != nil {
		return err
	}
	if err := h.room(r, size); err != nil {
		return err
	}
	content, err := h.Store.Photo(r.Context(), job, hash)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", record.PhotoType)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(content)
	return nil
}

// takeResult brings in a try of a quiz, as one of the tablet's learner.
func (h *Host) takeResult(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	content, err := h.body(w, r, "application/json", mostResult)
	if err != nil {
		return err
	}
	var in quiz.Response
	if err := json.Unmarshal(content, &in); err != nil {
		return no(http.StatusBadRequest, "json")
	}
	in.Learner = classlist.Name(in.Learner)
	q := h.plans.Quiz(in.Quiz)
	switch {
	case q == nil:
		return no(http.StatusUnprocessableEntity, "quiz")
	case utf8.RuneCountInString(in.Learner) > record.LongestName:
		return no(http.StatusUnprocessableEntity, "name", record.LongestName)
	}
	found := h.plans.Mark(q, collect.File{Name: "result.json", Data: content})
	if at := slices.IndexFunc(found.Faults, func(d diagnostic.Diagnostic) bool { return collect.Lost(d) && d.Code != collect.Unmarked }); at >= 0 {
		return no(http.StatusUnprocessableEntity, "result", found.Faults[at].Says().String())
	}
	if err := h.Store.TakeResult(r.Context(), t, in); err != nil {
		return err
	}
	return h.answer(w, r, http.StatusOK, struct {
		Kept bool `json:"kept"`
	}{true})
}
