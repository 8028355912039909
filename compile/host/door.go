package host

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"slices"
	"strings"

	"matchmark/compile/host/guard"
	"matchmark/compile/host/pin"
)

// here reports whether a request comes from this computer.
func (h *Host) here(r *http.Request) bool {
	remote, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return false
	}
	ip := net.IP(remote.Addr().Unmap().WithZone("").AsSlice())
	return ip.IsLoopback() || slices.ContainsFunc(h.Watcher.Now().Addresses, ip.Equal)
}

// private reports whether nobody on the network reads along: over HTTPS, or on this computer. The PIN
// and the session that it opens go over nothing else.
func (h *Host) private(r *http.Request) bool { return r.TLS != nil || h.here(r) }

// secureBoard is where the board can be opened over the network; false when there is no such address.
func (h *Host) secureBoard() (string, bool) {
	for _, a := range h.Reach() {
		if strings.HasPrefix(a, "https://") {
			return a + "board/", true
		}
	}
	return "", false
}

// refuseOpenly is the error of whoever wants to sign in where others can read along.
func (h *Host) refuseOpenly() error {
	if board, there := h.secureBoard(); there {
		return no(http.StatusForbidden, "plain", board)
	}
	return no(http.StatusForbidden, "plain-only")
}

// showOpenly is the board's page where others can read along: it has no field for a PIN.
func (h *Host) showOpenly(w http.ResponseWriter, r *http.Request) error {
	board, secure := h.secureBoard()
	if secure {
		if u, err := url.Parse(board); err == nil {
			u.RawQuery = r.URL.RawQuery
			board = u.String()
		}
	}
	content, err := h.site.Openly(secure, board)
	return h.sendPage(w, r, http.StatusForbidden, content, err)
}

// deviceTime is how long a device that gave the PIN is known, in seconds.
const deviceTime = 365 * 24 * 60 * 60

func deviceCookie(r *http.Request) string {
	if r.TLS != nil {
		return "__Host-matchmark-device"
	}
	return "matchmark-device"
}

// guesser is who tries a PIN with a request. A device that gave the right one before counts by itself, so that
// it does not wait for what others do, at its address or at any.
// Source: OWASP, "Slow Down Online Guessing Attacks with Device Cookies" (from memory).
func (h *Host) guesser(r *http.Request) pin.Guesser {
	if cookie, err := r.Cookie(deviceCookie(r)); err == nil {
		name, mac, _ := strings.Cut(cookie.Value, ".")
		if hmac.Equal([]byte(mac), []byte(h.deviceMAC(name))) {
			return pin.Guesser{Name: "device " + name, Known: true}
		}
	}
	return pin.Guesser{Name: guard.Address(r).String(), Known: h.here(r)}
}

// know has a device known from now on.
func (h *Host) know(w http.ResponseWriter, r *http.Request) {
	name := rand.Text()
	http.SetCookie(w, &http.Cookie{
		Name: deviceCookie(r), Value: name + "." + h.deviceMAC(name), Path: "/", MaxAge: deviceTime,
		HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: r.TLS != nil,
	})
}

func (h *Host) deviceMAC(name string) string {
	mac := hmac.New(sha256.New, h.Store.Key().Seed())
	mac.Write([]byte("device that gave the PIN\n" + name)) // a hash takes everything
	return hex.EncodeToString(mac.Sum(nil))
}

// from is where a request comes from, for the log: it names an address and nobody.
func (h *Host) from(r *http.Request) string {
	if h.here(r) {
		return h.words.T("host.log.here")
	}
	return guard.Address(r).Addr().String()
}
