package host

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"mime"
	"net/http"
	"strconv"
	"time"

	"matchmark/compile/host/building"
	"matchmark/compile/host/guard"
	"matchmark/compile/host/store"
)

// refusal is the answer to a request that is not met: what is wrong, and what to do.
type refusal struct {
	Problem string `json:"problem"`
	Do      string `json:"do"`
}

// notMet is an error that whoever asks is told, in the words of "host.refuse.KEY". With a time to wait, that fills the place in the words.
type notMet struct {
	status int
	key    string
	args   []any
	wait   time.Duration
}

// Error implements error.
func (e *notMet) Error() string { return e.key }

// no is the error of a request that is not met.
func no(status int, key string, args ...any) error {
	return &notMet{status: status, key: key, args: args}
}

// later is the error of a request that may come again after a time.
func later(key string, wait time.Duration) error {
	return &notMet{status: http.StatusTooManyRequests, key: key, wait: wait}
}

// errMissing means that the site has no such page.
var errMissing = errors.New("there is no such page")

// answering makes a handler of what answers a request, or returns why it does not.
func (h *Host) answering(do func(w http.ResponseWriter, r *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := do(w, r); err != nil {
			h.failed(w, r, err)
		}
	}
}

// refuse answers that a request is not met, in the words of "host.refuse.KEY".
func (h *Host) refuse(w http.ResponseWriter, r *http.Request, status int, key string, args ...any) {
	h.refuseWith(w, r, status, refusal{h.words.T("host.refuse."+key, args...), h.words.T("host.refuse."+key+"-do", args...)})
}

func (h *Host) refuseWith(w http.ResponseWriter, r *http.Request, status int, why refusal) {
	if err := h.answer(w, r, status, why); err != nil {
		panic(err) // plain texts
	}
}

// refuseGuarded answers for the guard.
func (h *Host) refuseGuarded(w http.ResponseWriter, r *http.Request, status int, why string) {
	h.refuse(w, r, status, why)
}

// failed answers for an error.
func (h *Host) failed(w http.ResponseWriter, r *http.Request, err error) {
	var told *notMet
	err = h.Store.Fault(err)
	switch {
	case errors.As(err, &told) && told.wait > 0:
		seconds := int((told.wait + time.Second - 1) / time.Second)
		w.Header().Set("Retry-After", strconv.Itoa(seconds))
		h.refuse(w, r, told.status, told.key, seconds)
	case told != nil:
		h.refuse(w, r, told.status, told.key, told.args...)
	case errors.Is(err, guard.ErrQueue):
		h.failed(w, r, later("too-fast", time.Second))
	case errors.Is(err, errMissing):
		if err := h.missing(w, r); err != nil {
			h.failed(w, r, err)
		}
	case errors.Is(err, store.ErrUnknown):
		h.refuse(w, r, http.StatusNotFound, "unknown")
	case errors.Is(err, store.ErrGone):
		h.refuse(w, r, http.StatusGone, "gone")
	case errors.Is(err, store.ErrVoid):
		h.refuse(w, r, http.StatusConflict, "void")
	case errors.Is(err, store.ErrNotYours):
		h.refuse(w, r, http.StatusForbidden, "not-yours")
	case errors.Is(err, store.ErrCrowded):
		h.refuse(w, r, http.StatusInsufficientStorage, "crowded")
	case errors.Is(err, store.ErrFull):
		h.Log(h.words.T("host.log.full"))
		h.refuse(w, r, http.StatusInsufficientStorage, "full")
	case errors.Is(err, store.ErrAway):
		since, away := h.Store.Away()
		if !away {
			since = h.Now()
		}
		w.Header().Set("Retry-After", "5")
		h.refuse(w, r, http.StatusServiceUnavailable, "away", since.Format("15:04"))
	case errors.Is(err, store.ErrTabletFull):
		h.refuse(w, r, http.StatusRequestEntityTooLarge, "tablet-full")
	case errors.Is(err, store.ErrJobFull):
		h.refuse(w, r, http.StatusRequestEntityTooLarge, "job-photos")
	case errors.Is(err, building.ErrPage):
		h.Log(err.Error())
		h.refuse(w, r, http.StatusInternalServerError, "fault")
	case r.Context().Err() != nil:
		// nobody waits for the answer
	default:
		h.Log(fmt.Sprintf("%s: %v", asked(r), err))
		h.refuse(w, r, http.StatusServiceUnavailable, "store")
	}
}

// answer sends JSON. Answers about people and records are kept by nobody.
func (h *Host) answer(w http.ResponseWriter, r *http.Request, status int, value any) error {
	var body bytes.Buffer
	if err := json.NewEncoder(&body).Encode(value); err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		w.Write(body.Bytes()) // whoever has gone needs no answer
	}
	return nil
}

// done answers that it is done.
func done(w http.ResponseWriter) error {
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// answerTagged sends JSON that the asker may have already.
func answerTagged(w http.ResponseWriter, r *http.Request, body []byte, tag string) {
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("ETag", tag)
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Write(body)
}

// tag is an entity tag for bytes.
func tag(body []byte) string {
	sum := sha256.Sum256(body)
	return `"` + hex.EncodeToString(sum[:16]) + `"`
}

// body reads what a request carries, of one type and at most so many bytes.
func (h *Host) body(w http.ResponseWriter, r *http.Request, kind string, most int64) ([]byte, error) {
	if wait := h.posts.Wait(guard.Address(r)); wait > 0 {
		return nil, later("too-fast", wait)
	}
	if got, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || got != kind {
		return nil, no(http.StatusUnsupportedMediaType, "type", kind)
	}
	if r.ContentLength > most {
		return nil, no(http.StatusRequestEntityTooLarge, "too-large", size(most))
	}
	content, err := h.receive(w, r, most)
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		err = no(http.StatusRequestEntityTooLarge, "too-large", size(most))
	case err != nil && !errors.Is(err, guard.ErrQueue):
		err = no(http.StatusRequestTimeout, "broken-off")
	}
	return content, err
}

// form reads a small JSON body into a struct.
func (h *Host) form(w http.ResponseWriter, r *http.Request, into any) error {
	content, err := h.body(w, r, "application/json", mostForm)
	if err == nil && json.Unmarshal(content, into) != nil {
		err = no(http.StatusBadRequest, "json")
	}
	return err
}

// size writes a number of bytes for people.
func size(bytes int64) string {
	if bytes >= 1<<20 {
		return fmt.Sprintf("%d MB", bytes>>20)
	}
	return fmt.Sprintf("%d kB", bytes>>10)
}
