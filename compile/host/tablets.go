package host

import (
	"bytes"
	"encoding/json"
	"errors"
	"image/jpeg"
	"maps"
	"net/http"
	"regexp"
	"slices"
	"unicode/utf8"

	"matchmark/compile/host/guard"
	"matchmark/compile/host/store"
	"matchmark/procedure/quiz"
	"matchmark/procedure/quiz/collect"
	"matchmark/procedure/record"
)

// The largest bodies.
const (
	mostRecord = 4 << 20
	mostResult = 256 << 10
	mostForm   = 8 << 10
)

// The forms of names in addresses. Nothing else reaches the store.
var (
	jobName   = regexp.MustCompile(`^[0-9a-z]{26}$`)
	photoName = regexp.MustCompile(`^[0-9a-f]{64}$`)
)

func (h *Host) routeTablets(mux *http.ServeMux) {
	mux.HandleFunc("GET /class/hello", h.hello)
	mux.HandleFunc("POST /class/record", h.takeRecord)
	mux.HandleFunc("GET /class/record/{job}", h.sendRecord)
	mux.HandleFunc("GET /class/jobs", h.listJobs)
	mux.HandleFunc("PUT /class/photo/{job}/{hash}", h.takePhoto)
	mux.HandleFunc("GET /class/photo/{job}/{hash}", h.sendPhoto)
	mux.HandleFunc("POST /class/result", h.takeResult)
	mux.HandleFunc("GET /class/{file}", h.serveOwn)
}

// hello says who the host is. A tablet that was at another one, or at this one
// before a backup was brought back, sends everything anew.
func (h *Host) hello(w http.ResponseWriter, r *http.Request) {
	name, err := h.Store.Name(r.Context())
	if err != nil {
		h.failed(w, r, err)
		return
	}
	h.answer(w, r, http.StatusOK, struct {
		Host  string `json:"host"`
		Title string `json:"title"`
		Time  int64  `json:"time"`
	}{name, h.title, h.Now().UnixMilli()})
}

// takeRecord brings a tablet's record in. The answer comes when it is on the disk.
func (h *Host) takeRecord(w http.ResponseWriter, r *http.Request) {
	content, ok := h.body(w, r, "application/json", mostRecord)
	if !ok {
		return
	}
	in, err := record.Read(content)
	var faults record.Faults
	switch {
	case errors.As(err, &faults):
		h.answer(w, r, http.StatusUnprocessableEntity, refusal{h.words.T("host.refuse.record", faults.Error()), h.words.T("host.refuse.record-do")})
		return
	case err != nil:
		h.failed(w, r, err)
		return
	case !h.plans.Knows(in.Procedure):
		h.refuse(w, r, http.StatusUnprocessableEntity, "procedure")
		return
	}
	// Only this host signs. What else calls itself a signature is left out.
	maps.DeleteFunc(in.Signed, func(row string, g record.Signature) bool { return g.Key != h.key || !record.Verify(in, row, g) })
	if !h.mayBegin(w, r, in.Job) {
		return
	}
	merged, wanted, err := h.Store.TakeRecord(r.Context(), in)
	var other *record.OtherJobError
	var overfull *store.OverfullError
	switch {
	case errors.As(err, &other):
		h.refuse(w, r, http.StatusConflict, "other-job")
	case errors.As(err, &overfull):
		h.refuse(w, r, http.StatusUnprocessableEntity, "overfull")
	case err != nil:
		h.failed(w, r, err)
	default:
		if wanted == nil {
			wanted = []string{}
		}
		h.answer(w, r, http.StatusOK, struct {
			Kept   bool           `json:"kept"`
			Record *record.Record `json:"record"`
			Wanted []string       `json:"wanted"`
		}{true, merged, wanted})
	}
}

// mayBegin bounds how many new jobs one address brings; false when the request was refused.
func (h *Host) mayBegin(w http.ResponseWriter, r *http.Request, job string) bool {
	known, err := h.Store.Has(r.Context(), job)
	if err != nil {
		h.failed(w, r, err)
		return false
	}
	if known {
		return true
	}
	if wait := h.jobs.Wait(guard.Address(r)); wait > 0 {
		h.wait(w, r, "too-fast", wait)
		return false
	}
	return true
}

// sendRecord sends a job's record, without the data of photos.
func (h *Host) sendRecord(w http.ResponseWriter, r *http.Request) {
	found, ok := h.named(w, r)
	if !ok {
		return
	}
	body, err := found.Write()
	if err != nil {
		h.failed(w, r, err)
		return
	}
	answerTagged(w, r, body, tag(body))
}

// named reads the record of the job that the address names; false when the request was refused.
func (h *Host) named(w http.ResponseWriter, r *http.Request) (*record.Record, bool) {
	job := r.PathValue("job")
	if !jobName.MatchString(job) {
		h.refuse(w, r, http.StatusNotFound, "unknown")
		return nil, false
	}
	found, err := h.Store.Record(r.Context(), job)
	if err != nil {
		h.failed(w, r, err)
		return nil, false
	}
	return found, true
}

// listJobs lists today's jobs of a procedure that a tablet may join. It names nobody.
func (h *Host) listJobs(w http.ResponseWriter, r *http.Request) {
	type joinable struct {
		Job     string `json:"job"`
		Machine string `json:"machine"`
		Tablets int    `json:"tablets"`
		Begun   int64  `json:"begun"`
	}
	jobs, err := h.Store.Jobs(r.Context(), h.today())
	if err != nil {
		h.failed(w, r, err)
		return
	}
	out := []joinable{}
	q := r.URL.Query()
	for _, j := range jobs {
		if j.Record.Procedure == q.Get("procedure") && j.Record.Variant == q.Get("variant") {
			out = append(out, joinable{j.Record.Job, j.Record.Machine.Value, len(j.Record.Tablets), j.Began})
		}
	}
	h.answer(w, r, http.StatusOK, out)
}

// takePhoto brings in a photo that a record names. Its name is the hash of its bytes.
func (h *Host) takePhoto(w http.ResponseWriter, r *http.Request) {
	job, hash := r.PathValue("job"), r.PathValue("hash")
	if !jobName.MatchString(job) || !photoName.MatchString(hash) {
		h.refuse(w, r, http.StatusNotFound, "photo-name")
		return
	}
	content, ok := h.body(w, r, record.PhotoType, record.MostPhotoBytes)
	if !ok {
		return
	}
	name, _, err := record.NewPhoto(content)
	if err == nil {
		_, err = jpeg.Decode(bytes.NewReader(content)) // to its end
	}
	switch {
	case err != nil:
		h.refuse(w, r, http.StatusUnprocessableEntity, "photo")
		return
	case name != hash:
		h.refuse(w, r, http.StatusUnprocessableEntity, "photo-hash")
		return
	}
	switch err := h.Store.PutPhoto(r.Context(), job, hash, content); {
	case errors.Is(err, store.ErrUnknown):
		h.refuse(w, r, http.StatusNotFound, "photo-stranger")
	case err != nil:
		h.failed(w, r, err)
	default:
		w.WriteHeader(http.StatusNoContent)
	}
}

func (h *Host) sendPhoto(w http.ResponseWriter, r *http.Request) {
	job, hash := r.PathValue("job"), r.PathValue("hash")
	if !jobName.MatchString(job) || !photoName.MatchString(hash) {
		h.refuse(w, r, http.StatusNotFound, "photo-name")
		return
	}
	content, err := h.Store.Photo(r.Context(), job, hash)
	if err != nil {
		h.failed(w, r, err)
		return
	}
	w.Header().Set("Content-Type", record.PhotoType)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(content)
}

// takeResult brings in a try of a quiz.
func (h *Host) takeResult(w http.ResponseWriter, r *http.Request) {
	content, ok := h.body(w, r, "application/json", mostResult)
	if !ok {
		return
	}
	var in quiz.Response
	if err := json.Unmarshal(content, &in); err != nil {
		h.refuse(w, r, http.StatusBadRequest, "json")
		return
	}
	q := h.plans.Quiz(in.Quiz)
	switch {
	case q == nil:
		h.refuse(w, r, http.StatusUnprocessableEntity, "quiz")
		return
	case utf8.RuneCountInString(in.Learner) > record.LongestName:
		h.refuse(w, r, http.StatusUnprocessableEntity, "name", record.LongestName)
		return
	}
	found := collect.Read(q, []collect.File{{Name: "result.json", Data: content}})
	if at := slices.IndexFunc(found.Faults, func(f collect.Fault) bool { return f.Lost }); at >= 0 {
		h.refuse(w, r, http.StatusUnprocessableEntity, "result", found.Faults[at].Message)
		return
	}
	switch err := h.Store.TakeResult(r.Context(), in); {
	case errors.Is(err, store.ErrForgotten):
		h.refuse(w, r, http.StatusGone, "forgotten")
	case err != nil:
		h.failed(w, r, err)
	default:
		h.answer(w, r, http.StatusOK, struct {
			Kept bool `json:"kept"`
		}{true})
	}
}
