// Package guard stands before every answer of the class host: it lets in requests
// that call the host by one of its names, holds back whoever posts too fast, and
// puts on every answer what a browser may do with it.
package guard

import (
	"net"
	"net/http"
	"strings"
)

// Policy is what a page of the host may load: its own files, and nothing from
// anywhere else. more are further sources of styles, such as a hash.
// Source: W3C, Content Security Policy Level 3.
func Policy(more ...string) string {
	styles := strings.Join(append([]string{"style-src 'self'"}, more...), " ")
	return "default-src 'none'; script-src 'self'; " + styles + "; img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
}

// SitePolicy is the policy of pages of the site, which may stand in a frame of another one of them: a whole job is printed from them.
func SitePolicy() string {
	return strings.Replace(Policy(), "frame-ancestors 'none'", "frame-src 'self'; frame-ancestors 'self'", 1)
}

// Headers are on every answer. No Strict-Transport-Security: the host is to be
// reached over plain HTTP too.
// Source: OWASP, HTTP Security Response Headers Cheat Sheet (from memory).
var headers = [][2]string{
	{"Content-Security-Policy", Policy()},
	{"X-Content-Type-Options", "nosniff"},
	{"X-Frame-Options", "DENY"},
	{"Referrer-Policy", "same-origin"},
	{"Permissions-Policy", "camera=(self), microphone=(), geolocation=(), payment=(), usb=(), serial=(), midi=(), display-capture=()"},
	{"Cross-Origin-Opener-Policy", "same-origin"},
	{"Cross-Origin-Embedder-Policy", "require-corp"},
	{"Cross-Origin-Resource-Policy", "same-origin"},
	{"X-Robots-Tag", "noindex"},
}

// Refuse answers a request that is not let in. why is one of the reasons below.
type Refuse func(w http.ResponseWriter, r *http.Request, status int, why string)

// The reasons.
const (
	OtherHost = "other-host"
	CrossSite = "cross-site"
)

// Guard wraps a handler. answers says whether the host is called by one of its names.
// fromAnywhere are patterns of requests that are let in from other sites: they have to prove themselves who they are.
func Guard(next http.Handler, answers func(host string) bool, refuse Refuse, fromAnywhere ...string) http.Handler {
	// Source: OWASP, Cross-Site Request Forgery Prevention Cheat Sheet, "Fetch Metadata" (from memory).
	protection := http.NewCrossOriginProtection()
	for _, pattern := range fromAnywhere {
		protection.AddInsecureBypassPattern(pattern)
	}
	protection.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		refuse(w, r, http.StatusForbidden, CrossSite)
	}))
	inner := protection.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for _, h := range headers {
			w.Header().Set(h[0], h[1])
		}
		// A name on the web that was made to point at this computer must not read or write anything here.
		if !answers(hostOf(r.Host)) {
			refuse(w, r, http.StatusMisdirectedRequest, OtherHost)
			return
		}
		inner.ServeHTTP(w, r)
	})
}

// hostOf is the host of a Host header, without port and brackets.
func hostOf(header string) string {
	host, _, err := net.SplitHostPort(header)
	if err != nil {
		host = header
	}
	return strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
}
