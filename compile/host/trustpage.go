package host

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"matchmark/compile/host/building"
	"matchmark/compile/host/trust"
)

// trustFile is what the authority's certificate is called when a tablet downloads it.
const (
	trustFile = "matchmark-class.crt"
	nextFile  = "matchmark-class-next.crt"
)

func (h *Host) routeTrust(mux *http.ServeMux) {
	mux.HandleFunc("GET /trust/{$}", h.answering(h.showTrust))
	mux.HandleFunc("GET /trust/"+trustFile, h.answering(func(w http.ResponseWriter, r *http.Request) error { return h.sendAuthority(w, h.Authority, trustFile) }))
	mux.HandleFunc("GET /trust/"+nextFile, h.answering(func(w http.ResponseWriter, r *http.Request) error {
		var next *trust.Authority
		if h.Authority != nil {
			next = h.Authority.Next()
		}
		return h.sendAuthority(w, next, nextFile)
	}))
}

// showTrust says how a tablet learns to trust the host.
func (h *Host) showTrust(w http.ResponseWriter, r *http.Request) error {
	v := building.TrustPage{File: trustFile, NextFile: nextFile, Addresses: h.Reach()}
	if a := h.Authority; a != nil {
		v.Secure, v.Fingerprint, v.Ends = true, lines(a.Fingerprint()), a.Ends().Format(time.DateOnly)
		if next := a.Next(); next != nil {
			v.Next, v.Ending, v.Lacks = lines(next.Fingerprint()), a.Ending(h.Now()), h.lacks()
		}
	}
	content, err := h.site.Trust(v)
	return h.sendPage(w, r, http.StatusOK, content, err)
}

// lacks lists the names of the host that its certificate does not speak for.
func (h *Host) lacks() string { return strings.Join(h.Authority.Lacks(h.Watcher.Now()), ", ") }

// lines are a fingerprint in lines that fit a small tablet.
func lines(fingerprint string) []string {
	var out []string
	for line := range slices.Chunk(strings.Split(fingerprint, ":"), 8) {
		out = append(out, strings.Join(line, ":"))
	}
	return out
}

func (h *Host) sendAuthority(w http.ResponseWriter, a *trust.Authority, name string) error {
	if a == nil {
		return errMissing
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(a.DER())
	return nil
}
