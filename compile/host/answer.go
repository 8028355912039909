package host

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"
	"strings"
	"time"

	"matchmark/compile/host/guard"
	"matchmark/compile/host/store"
)

// refusal is the answer to a request that is not met: what is wrong, and what to do.
type refusal struct {
	Problem string `json:"problem"`
	Do      string `json:"do"`
}

// refuse answers that a request is not met, in the words of "host.refuse.KEY".
func (h *Host) refuse(w http.ResponseWriter, r *http.Request, status int, key string, args ...any) {
	h.answer(w, r, status, refusal{h.words.T("host.refuse."+key, args...), h.words.T("host.refuse."+key+"-do", args...)})
}

// refuseGuarded answers for the guard.
func (h *Host) refuseGuarded(w http.ResponseWriter, r *http.Request, status int, why string) {
	h.refuse(w, r, status, why)
}

// wait answers that somebody has to wait.
func (h *Host) wait(w http.ResponseWriter, r *http.Request, key string, wait time.Duration) {
	seconds := int((wait + time.Second - 1) / time.Second)
	w.Header().Set("Retry-After", strconv.Itoa(seconds))
	h.refuse(w, r, http.StatusTooManyRequests, key, seconds)
}

// failed answers for an error of the store.
func (h *Host) failed(w http.ResponseWriter, r *http.Request, err error) {
	switch {
	case errors.Is(err, store.ErrUnknown):
		h.refuse(w, r, http.StatusNotFound, "unknown")
	case errors.Is(err, store.ErrFull):
		h.Log(h.words.T("host.log.full"))
		h.refuse(w, r, http.StatusInsufficientStorage, "full")
	case errors.Is(err, store.ErrJobFull):
		h.refuse(w, r, http.StatusRequestEntityTooLarge, "job-photos")
	case r.Context().Err() != nil:
		// nobody waits for the answer
	default:
		h.Log(fmt.Sprintf("%s %s: %v", r.Method, pattern(r), err))
		h.refuse(w, r, http.StatusServiceUnavailable, "store")
	}
}

// answer sends JSON. Answers about people and records are kept by nobody.
func (h *Host) answer(w http.ResponseWriter, r *http.Request, status int, value any) {
	var body bytes.Buffer
	to := json.NewEncoder(&body)
	if err := to.Encode(value); err != nil {
		panic(err) // plain values of ours
	}
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		w.Write(body.Bytes()) // whoever has gone needs no answer
	}
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

// body reads what a request carries, of one type and at most so many bytes; false
// when the request was refused.
func (h *Host) body(w http.ResponseWriter, r *http.Request, kind string, most int64) ([]byte, bool) {
	from := guard.Address(r)
	if wait := h.posts.Wait(from); wait > 0 {
		h.wait(w, r, "too-fast", wait)
		return nil, false
	}
	if got, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || got != kind {
		h.refuse(w, r, http.StatusUnsupportedMediaType, "type", kind)
		return nil, false
	}
	if r.ContentLength > most {
		h.refuse(w, r, http.StatusRequestEntityTooLarge, "too-large", size(most))
		return nil, false
	}
	done, ok := h.bodies.Take(from)
	if !ok {
		h.wait(w, r, "too-fast", time.Second)
		return nil, false
	}
	defer done()
	content, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		h.refuse(w, r, http.StatusRequestEntityTooLarge, "too-large", size(most))
	case err != nil:
		h.refuse(w, r, http.StatusRequestTimeout, "broken-off")
	default:
		return content, true
	}
	return nil, false
}

// form reads a small JSON body into a struct.
func (h *Host) form(w http.ResponseWriter, r *http.Request, into any) bool {
	content, ok := h.body(w, r, "application/json", mostForm)
	if !ok {
		return false
	}
	if err := json.Unmarshal(content, into); err != nil {
		h.refuse(w, r, http.StatusBadRequest, "json")
		return false
	}
	return true
}

// size writes a number of bytes for people.
func size(bytes int64) string {
	if bytes >= 1<<20 {
		return fmt.Sprintf("%d MB", bytes>>20)
	}
	return fmt.Sprintf("%d kB", bytes>>10)
}

// oneLine is a person's name as it may be typed: without line breaks and surplus spaces.
func oneLine(name string) string {
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r <= ' ' || r == 0x7f || r == 0x2028 || r == 0x2029 }), " ")
}
