package host

import (
	"bytes"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"io/fs"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/building"
	"matchmark/compile/host/listen"
	"matchmark/compile/host/store"
	"matchmark/compile/host/trust"
)

// secured wants the headers that every answer has.
func secured(t *testing.T, what string, header http.Header) {
	t.Helper()
	policy := header.Get("Content-Security-Policy")
	// Pages of the site alone may send a form, to another address of the host's, and stand in a frame, of the host's own pages.
	page := strings.HasPrefix(header.Get("Content-Type"), "text/html") && header.Get("Cache-Control") == mayKeep
	ancestors, framed := "frame-ancestors 'none'", "DENY"
	if page {
		ancestors, framed = "frame-ancestors 'self'", "SAMEORIGIN"
	}
	for _, part := range []string{"default-src 'none'", "script-src 'self';", ancestors, "base-uri 'none'", "form-action "} {
		if !strings.Contains(policy, part) {
			t.Errorf("%s: the policy %q lacks %s", what, policy, part)
		}
	}
	if page != strings.Contains(policy, building.Handover) || page == strings.Contains(policy, building.NoForm) {
		t.Errorf("%s: policy %q", what, policy)
	}
	if strings.Contains(policy, "unsafe") {
		t.Errorf("%s: policy %q", what, policy)
	}
	for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin", "X-Frame-Options": framed} {
		if header.Get(name) != want {
			t.Errorf("%s: %s is %q", what, name, header.Get(name))
		}
	}
	if !strings.Contains(header.Get("Permissions-Policy"), "camera=(self)") || header.Get("Strict-Transport-Security") != "" {
		t.Errorf("%s: headers %v", what, header)
	}
}

// Every page of the site and of the host, and every error, is secured; each page of the site is joined to the host.
func TestEveryAnswerIsSecured(t *testing.T) {
	c := newClass(t, store.Options{})
	c.enter() // some pages are the trainer's
	pages := 0
	err := fs.WalkDir(os.DirFS(c.Config.Site), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(d.Name(), ".") {
			return err
		}
		w := c.ask("GET", "/"+name, nil)
		secured(t, name, w.Header())
		if strings.HasSuffix(name, ".html") {
			pages++
			body := w.Body.String()
			if w.Code != http.StatusOK || strings.Count(body, `src="/class/class.js"`) != 1 || !strings.Contains(body, `content="connect-src 'self'; worker-src 'self'; manifest-src 'self'; default-src 'none'`) {
				t.Errorf("%s: %d, not joined to the host", name, w.Code)
			}
		}
		return nil
	})
	if err != nil || pages < 30 {
		t.Errorf("%d pages, %v", pages, err)
	}
	c.cookie = nil
	for _, at := range []string{
		"GET /", "GET /trust/", "GET /trust/" + trustFile, "GET /board/", "GET /board/board.js", "GET /class/hello", "GET /class/class.js", "GET /class/outbox.js", "GET /class/worker.js", "GET /class/manifest.webmanifest",
		"GET /nothing.html", "GET /class/nothing", "POST /", "DELETE /index.html", "GET /board/state", "GET /quiz/oven-quiz/key.html", "POST /class/record", "PUT /class/photo/x/y", "POST /board/pin", "OPTIONS /class/record", "TRACE /",
	} {
		method, path, _ := strings.Cut(at, " ")
		secured(t, at, c.ask(method, path, nil).Header())
	}
	secured(t, "another host", c.ask("GET", "/", nil, "Host", "evil.example").Header())
	secured(t, "another site", c.ask("POST", "/class/record", []byte("{}"), "Origin", "https://evil.example").Header())
}

func TestHostAndOrigin(t *testing.T) {
	c := newClass(t, store.Options{})
	for _, host := range []string{"bench:8080", "bench.local", "192.168.4.20:8443", "localhost:1", "127.0.0.1"} {
		c.want(http.StatusOK, nil, "GET", "/", nil, "Host", host)
	}
	for _, host := range []string{"evil.example", "192.168.4.21", "bench.evil.example", ""} {
		refused(t, c.want(http.StatusMisdirectedRequest, nil, "GET", "/", nil, "Host", host))
	}
	r := newRecord(aJob, aTablet, "Ada")
	c.want(http.StatusOK, nil, "POST", "/class/record", r, "Origin", "http://bench:8080", "Sec-Fetch-Site", "same-origin")
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/record", r, "Origin", "http://evil.example"))
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/board/pin", map[string]string{"pin": thePIN}, "Sec-Fetch-Site", "cross-site"))
	// A form of another site can send no JSON, and one without an Origin is refused by its type.
	refused(t, c.want(http.StatusUnsupportedMediaType, nil, "POST", "/board/pin", []byte(`{"pin":"`+thePIN+`"}`), "Content-Type", "text/plain"))
}

func TestNothingBesidesTheSite(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "GET", "/", nil)
	w := c.want(http.StatusSeeOther, nil, "GET", "/procedure/oven-fan-out", nil)
	if w.Header().Get("Location") != "/procedure/oven-fan-out/" {
		t.Errorf("sent to %s", w.Header().Get("Location"))
	}
	for _, path := range []string{
		"/assets/", "/assets", "/pictures/", "/procedure/", "/procedure", "/.matchmark-site", "/../class.db", "/%2e%2e/class.db", "/..%2fclass.db", "/..%5cclass.db", "/assets/..%2f..%2fclass.db",
		"/etc/passwd", "//etc/passwd", "/index.html/", "/index.html%00", "/C:/x", "/class.db", "/backups/", "/trust/authority.key", "/trust/authority.crt", "/class/", "/board/lock",
	} {
		w := c.ask("GET", path, nil)
		for w.Code == http.StatusTemporaryRedirect || w.Code == http.StatusMovedPermanently { // a path that was tidied
			w = c.ask("GET", w.Header().Get("Location"), nil)
		}
		if w.Code != http.StatusNotFound || strings.Contains(w.Body.String(), "SQLite") {
			t.Errorf("%s: %d %.80s", path, w.Code, w.Body)
		}
	}
	if w := c.ask("GET", "/nothing.html", nil, "Accept", "text/html"); w.Code != http.StatusNotFound || !strings.Contains(w.Body.String(), `href="/"`) {
		t.Errorf("a page that is not there: %d %s", w.Code, w.Body)
	}
	// A link in the site that leads out of it.
	link := filepath.Join(c.Config.Site, "assets", "out.txt")
	secret := filepath.Join(t.TempDir(), "secret.txt")
	assert.NilError(t, os.WriteFile(secret, []byte("secret"), 0o600))
	if err := os.Symlink(secret, link); err != nil {
		t.Skip("this system has no links")
	}
	defer os.Remove(link)
	c.want(http.StatusNotFound, nil, "GET", "/assets/out.txt", nil)
}

func TestPagesOfTheHost(t *testing.T) {
	c := newClass(t, store.Options{})
	w := c.want(http.StatusOK, nil, "GET", "/trust/", nil)
	if body := w.Body.String(); !strings.Contains(body, c.Authority.Fingerprint()[:23]) || !strings.Contains(body, c.Authority.Fingerprint()[72:]) || !strings.Contains(body, "/trust/"+trustFile) || strings.Contains(body, "[host.") {
		t.Errorf("the page on trust: %s", body)
	}
	if w := c.want(http.StatusOK, nil, "GET", "/trust/"+trustFile, nil); w.Header().Get("Content-Type") != "application/x-x509-ca-cert" {
		t.Errorf("the certificate is sent as %s", w.Header().Get("Content-Type"))
	} else if _, err := x509.ParseCertificate(w.Body.Bytes()); err != nil {
		t.Error(err)
	}
	var manifest map[string]any
	w = c.want(http.StatusOK, &manifest, "GET", "/class/manifest.webmanifest", nil)
	if manifest["start_url"] != "/" || w.Header().Get("Content-Type") != "application/manifest+json" {
		t.Errorf("manifest %s", w.Body)
	}
	if w := c.want(http.StatusOK, nil, "GET", "/class/worker.js", nil); w.Header().Get("Service-Worker-Allowed") != "/" {
		t.Error("the worker may not look after the site")
	}
	var hello struct {
		Host, Title string
		Time        int64
	}
	c.want(http.StatusOK, &hello, "GET", "/class/hello", nil)
	if len(hello.Host) != 64 || hello.Title == "" || hello.Time != c.clock.UnixMilli() {
		t.Errorf("hello %+v", hello)
	}
	w = c.want(http.StatusOK, nil, "GET", "/index.html", nil)
	c.want(http.StatusNotModified, nil, "GET", "/index.html", nil, "If-None-Match", w.Header().Get("ETag"))
	data := w.Body.String()
	_, data, _ = strings.Cut(data, `id="ui_class_data">`)
	data, _, _ = strings.Cut(data, "</script>")
	var own struct{ Words map[string]map[string]string }
	if err := json.Unmarshal([]byte(data), &own); err != nil || own.Words["class"]["sent"] == "" || own.Words["enrol"]["join"] == "" {
		t.Errorf("the words of class.js: %v %v", own, err)
	}
}

// A client that trusts the host's authority, and nothing else, reaches it over HTTPS.
func TestHTTPS(t *testing.T) {
	c := newClass(t, store.Options{})
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	assert.NilError(t, err)
	ended := make(chan error, 1)
	issuer := trust.NewIssuer(c.Authority, c.Watcher, c.Now)
	go func() { ended <- listen.Serve(t.Context(), c, []listen.Listener{{Listener: listener, Issuer: issuer}}) }()
	roots := x509.NewCertPool()
	authority, err := x509.ParseCertificate(c.Authority.DER())
	assert.NilError(t, err)
	roots.AddCert(authority)
	_, port, _ := net.SplitHostPort(listener.Addr().String())
	client := func(roots *x509.CertPool) *http.Client {
		return &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}, DisableKeepAlives: true}}
	}
	for _, host := range []string{"127.0.0.1", "localhost"} {
		answer, err := client(roots).Get("https://" + net.JoinHostPort(host, port) + "/class/hello")
		if err != nil {
			t.Errorf("%s: %v", host, err)
			continue
		}
		answer.Body.Close()
		if answer.StatusCode != http.StatusOK || answer.TLS.Version < tls.VersionTLS12 {
			t.Errorf("%s: %s", host, answer.Status)
		}
	}
	if answer, err := client(x509.NewCertPool()).Get("https://127.0.0.1:" + port + "/"); err == nil {
		answer.Body.Close()
		t.Error("a client that does not trust the authority was served")
	}
	answer, err := client(roots).Post("https://127.0.0.1:"+port+"/board/pin", "application/json", strings.NewReader(`{"who":"Kim Holt","pin":"`+thePIN+`"}`))
	assert.NilError(t, err)
	answer.Body.Close()
	cookies := answer.Cookies()
	if len(cookies) != 2 { // the session, and that the device is known
		t.Errorf("cookies over HTTPS: %v", cookies)
	}
	for _, cookie := range cookies {
		if !cookie.Secure || !strings.HasPrefix(cookie.Name, "__Host-") {
			t.Errorf("cookies over HTTPS: %v", cookies)
		}
	}
}

// Weeks before the certificate ends, the board says so and the trust page has the next one.
func TestTheCertificateEnds(t *testing.T) {
	c := newClass(t, store.Options{})
	far := c.want(http.StatusOK, nil, "GET", "/trust/", nil).Body.String()
	ends := c.Authority.Ends()
	if !strings.Contains(far, ends.Format(time.DateOnly)) || strings.Contains(far, nextFile) {
		t.Error("the page says nothing of the end, or has a next one long before")
	}
	c.want(http.StatusNotFound, nil, "GET", "/trust/"+nextFile, nil)
	if page := c.want(http.StatusOK, nil, "GET", "/board/", nil).Body.String(); strings.Contains(page, "ends on") {
		t.Error("the board speaks of an end that is far")
	}
	near, err := trust.Open(filepath.Join(c.folder, "trust"), c.Watcher.Now(), ends.Add(-14*24*time.Hour), false)
	assert.NilError(t, err)
	c.Authority, c.clock = near, ends.Add(-14*24*time.Hour)
	page := c.want(http.StatusOK, nil, "GET", "/trust/", nil).Body.String()
	if !strings.Contains(page, nextFile) || !strings.Contains(page, lines(near.Next().Fingerprint())[3]) {
		t.Error("the page does not lead to the next certificate")
	}
	if got := c.want(http.StatusOK, nil, "GET", "/trust/"+nextFile, nil).Body.Bytes(); !bytes.Equal(got, near.Next().DER()) {
		t.Error("another certificate")
	}
	if page := c.want(http.StatusOK, nil, "GET", "/board/", nil).Body.String(); !strings.Contains(page, "ends on "+ends.Format(time.DateOnly)) {
		t.Error("the board does not tell the end")
	}
}

// A certificate from before the host had one of its names: board and trust page say which, and lead to the one that speaks for it.
func TestTheCertificateLacksAName(t *testing.T) {
	c := newClass(t, store.Options{})
	is, dir := c.Watcher.Now(), t.TempDir()
	before := is
	before.Names = slices.DeleteFunc(slices.Clone(is.Names), func(name string) bool { return name == "bench.local" })
	for _, id := range []trust.Identity{before, is} {
		a, err := trust.Open(dir, id, c.clock, false)
		assert.NilError(t, err)
		c.Authority = a
	}
	page := c.want(http.StatusOK, nil, "GET", "/trust/", nil).Body.String()
	if !strings.Contains(page, "the name bench.local") || !strings.Contains(page, nextFile) || strings.Contains(page, "ends on "+c.Authority.Ends().Format(time.DateOnly)+". The next") {
		t.Error("the page does not lead to the certificate that speaks for the name")
	}
	if page := c.want(http.StatusOK, nil, "GET", "/board/", nil).Body.String(); !strings.Contains(page, "the name bench.local") || strings.Contains(page, "ends on") {
		t.Error("the board does not tell of the name")
	}
}

// A fault is logged once by its route, and names nobody.
func TestFaultsAreLoggedByTheirRoute(t *testing.T) {
	c := newClass(t, store.Options{})
	assert.NilError(t, c.Store.Close())
	c.ask("POST", "/class/record", newRecord(aJob, aTablet, "Ada"))
	c.Host.Store = nil // closed already
	if len(c.logged) != 1 || !strings.HasPrefix(c.logged[0], "POST /class/record: ") || strings.Contains(c.logged[0], "Ada") {
		t.Errorf("logged %q", c.logged)
	}
}
