package host

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"time"

	"matchmark/compile/host/guard"
	"matchmark/compile/host/store"
	"matchmark/compile/served"
)

const (
	mostToken  = 256
	mostParcel = 64 << 20 // of one, and of all that are in memory
)

// arrivalPath is where a tablet brings what it kept under another address of the host's. The form comes from that address, so it is
// let in from another site; it carries the tablet's secret, and nothing of a browser's session counts for it.
const arrivalPath = "/class/arrive"

// anOrigin is how a page names the address that it is at. It says so itself: for a form to another address the browser's own header is "null", since
// pages of the host hand on no address.
// Source: RFC 6454, 6.1; WHATWG Fetch, "append a request Origin header".
var anOrigin = regexp.MustCompile(`^https?://[0-9a-z.\-]{1,253}(:[0-9]{1,5})?$|^https?://\[[0-9a-f:]{2,45}\](:[0-9]{1,5})?$`)

// origin is the address of the host's that a request came to, as a browser names it.
func origin(r *http.Request) string {
	scheme := "http://"
	if r.TLS != nil {
		scheme = "https://"
	}
	return scheme + strings.ToLower(r.Host)
}

// arrive takes what a tablet kept under another address, and answers with a page that stores it under this one. From there
// it is sent as everything is, once.
func (h *Host) arrive(w http.ResponseWriter, r *http.Request) error {
	if r.ContentLength > mostParcel {
		return no(http.StatusRequestEntityTooLarge, "too-large", size(mostParcel))
	}
	var from io.Reader
	parts, err := r.MultipartReader()
	if err != nil {
		return no(http.StatusUnsupportedMediaType, "type", "multipart/form-data")
	}
	var token []byte
	if from, err = part(parts, "token"); err == nil {
		token, err = io.ReadAll(io.LimitReader(from, mostToken))
	}
	if err != nil {
		return no(http.StatusBadRequest, "json")
	}
	r.Header.Set("Authorization", "Bearer "+string(token))
	name, secret := bearer(r)
	t, err := h.Store.Tablet(r.Context(), name, secret)
	switch {
	case errors.Is(err, store.ErrStranger):
		return no(http.StatusUnauthorized, "stranger")
	case err != nil:
		return err
	}
	share := h.parcels.Open(guard.Address(r), cut(w))
	defer share.Close()
	parcel, err := h.parcel(w, r, share, parts)
	switch {
	case errors.Is(err, guard.ErrQueue):
		return later("too-fast", 5*time.Second)
	case err != nil:
		return no(http.StatusBadRequest, "json")
	}
	if from := r.URL.Query().Get("from"); from != origin(r) && anOrigin.MatchString(from) {
		if err := h.Store.Moved(r.Context(), t, from); err != nil {
			return err
		}
	}
	head, tail, err := h.site.Arrival()
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", served.ContentType(".html"))
	w.Header().Set("Cache-Control", "no-store")
	w.Write(head) // whoever has gone needs no answer
	for piece := range slices.Chunk(parcel, small/8) {
		// What stands in a page must not end the element that it stands in.
		if _, err := w.Write(bytes.ReplaceAll(piece, []byte("<"), []byte(`\u003c`))); err != nil {
			return nil
		}
	}
	w.Write(tail)
	return nil
}

// parcel reads what the tablet kept.
func (h *Host) parcel(w http.ResponseWriter, r *http.Request, share *guard.Share, parts *multipart.Reader) ([]byte, error) {
	from, err := part(parts, "parcel")
	if err != nil {
		return nil, err
	}
	out, err := read(w, share, io.LimitReader(from, mostParcel+1), r.ContentLength)
	if err == nil && (len(out) > mostParcel || !json.Valid(out)) {
		err = errors.New("too large, or no JSON")
	}
	return out, err
}

// part opens the next part of a form, which has to have a name.
func part(parts *multipart.Reader, name string) (io.Reader, error) {
	p, err := parts.NextPart()
	if err == nil && p.FormName() != name {
		err = errors.New("another part than " + name)
	}
	return p, err
}
