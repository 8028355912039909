package host

import (
	"net/http"
	"slices"
	"strings"
)

// trustFile is what the authority's certificate is called when a tablet downloads it.
const trustFile = "matchmark-class.crt"

func (h *Host) routeTrust(mux *http.ServeMux) {
	mux.HandleFunc("GET /trust/{$}", h.showTrust)
	mux.HandleFunc("GET /trust/"+trustFile, h.sendAuthority)
}

// trustView is what the page on trust says.
type trustView struct {
	// Secure is false when the host has no HTTPS.
	Secure bool
	// Fingerprint is in lines that fit a small tablet.
	Fingerprint []string
	File        string
	Addresses   []string
}

// showTrust says how a tablet learns to trust the host.
func (h *Host) showTrust(w http.ResponseWriter, r *http.Request) {
	v := trustView{File: trustFile, Addresses: h.Reach()}
	if h.Authority != nil {
		v.Secure = true
		for line := range slices.Chunk(strings.Split(h.Authority.Fingerprint(), ":"), 8) {
			v.Fingerprint = append(v.Fingerprint, strings.Join(line, ":"))
		}
	}
	h.page(w, r, http.StatusOK, "host/trust", h.view(h.words.T("host.trust"), v))
}

func (h *Host) sendAuthority(w http.ResponseWriter, r *http.Request) {
	if h.Authority == nil {
		h.missing(w, r)
		return
	}
	w.Header().Set("Content-Type", "application/x-x509-ca-cert")
	w.Header().Set("Content-Disposition", `attachment; filename="`+trustFile+`"`)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(h.Authority.DER())
}
