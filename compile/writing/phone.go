package writing

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"matchmark/compile/page"
	"matchmark/compile/served"
	"matchmark/compile/sheet"
)

// A phone in the same network sends photos by a door of its own, which is open only while the author asks for it. The code
// on the page lets one phone in, once, within some minutes; what that phone gets is a form for photos and nothing else.

const (
	codeLasts   = 5 * time.Minute  // until a code that no phone has used is worth nothing
	phoneLasts  = 30 * time.Minute // until the door is shut for a phone that came in
	mostWrong   = 50               // addresses that nobody has given out, after which the door is shut
	mostPhotos  = 100              // of one phone
	phoneCookie = "matchmark-phone"
)

// phone is an open door. Its methods may be called from several goroutines.
type phone struct {
	room    *Room
	address string // of the door, such as http://192.0.2.7:41234/
	now     func() time.Time
	shut    func() // stops answering

	mu     sync.Mutex
	code   string // of the address that lets a phone in; empty once it has
	key    string // of the phone that came in
	until  time.Time
	wrong  int
	photos []*photo
}

// newPhone begins a door, which answers once it is served.
func (r *Room) newPhone(address string, now func() time.Time) *phone {
	return &phone{room: r, address: address, now: now, code: rand.Text(), until: now().Add(codeLasts), shut: func() {}}
}

// ServeHTTP answers the phone.
func (p *phone) ServeHTTP(w http.ResponseWriter, q *http.Request) {
	header := w.Header()
	header.Set("Cache-Control", "no-store")
	header.Set("X-Content-Type-Options", "nosniff")
	header.Set("Referrer-Policy", "no-referrer") // the code stands in the address
	header.Set("Content-Security-Policy", "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'")
	// A name on the web that was made to point here gets nothing.
	host, _, err := net.SplitHostPort(q.Host)
	if err != nil || net.ParseIP(host) == nil || crossOrigin.Check(q) != nil {
		http.Error(w, "This address is not answered.", http.StatusForbidden)
		return
	}
	switch q.Method + " " + q.URL.Path {
	case "GET /base.css", "GET /mark.svg":
		send(w, q, p.room.theme.Assets(), q.URL.Path[1:])
	case "GET /photo":
		p.showForm(w, q)
	case "POST /photo":
		p.takePhoto(w, q)
	default:
		p.knock(w, q)
	}
}

// knock lets a phone in that has the code: it says so by a button, since programs look at addresses that are sent around.
func (p *phone) knock(w http.ResponseWriter, q *http.Request) {
	p.mu.Lock()
	right := p.code != "" && p.now().Before(p.until) && subtle.ConstantTimeCompare([]byte(strings.TrimPrefix(q.URL.Path, "/")), []byte(p.code)) == 1
	if !right {
		p.wrong++
	}
	over := p.wrong > mostWrong
	if right && q.Method == http.MethodPost {
		p.code, p.key, p.until = "", rand.Text(), p.now().Add(phoneLasts)
		http.SetCookie(w, &http.Cookie{Name: phoneCookie, Value: p.key, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(phoneLasts / time.Second)})
	}
	p.mu.Unlock()
	switch {
	case over:
		p.shut()
		http.Error(w, "This address is not answered.", http.StatusForbidden)
	case !right:
		p.send(w, http.StatusForbidden, phoneView{State: "over"})
	case q.Method == http.MethodPost:
		http.Redirect(w, q, "/photo", http.StatusSeeOther)
	default:
		p.send(w, http.StatusOK, phoneView{State: "join"})
	}
}

// in reports whether the phone that was let in asks, in time.
func (p *phone) in(q *http.Request) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	cookie, err := q.Cookie(phoneCookie)
	return err == nil && p.key != "" && p.now().Before(p.until) && subtle.ConstantTimeCompare([]byte(cookie.Value), []byte(p.key)) == 1
}

func (p *phone) showForm(w http.ResponseWriter, q *http.Request) {
	if !p.in(q) {
		p.send(w, http.StatusForbidden, phoneView{State: "over"})
		return
	}
	p.send(w, http.StatusOK, phoneView{State: "photo", Count: len(p.taken())})
}

func (p *phone) takePhoto(w http.ResponseWriter, q *http.Request) {
	if !p.in(q) {
		p.send(w, http.StatusForbidden, phoneView{State: "over"})
		return
	}
	added, err := p.sent(w, q)
	if err != nil {
		var no *Refusal
		if !errors.As(err, &no) {
			no = &Refusal{Detail: err.Error(), status: http.StatusBadRequest}
		}
		p.send(w, no.status, phoneView{State: "photo", Count: len(p.taken()), Wrong: no.Detail})
		return
	}
	p.mu.Lock()
	p.photos = append(p.photos, added)
	p.mu.Unlock()
	http.Redirect(w, q, "/photo", http.StatusSeeOther)
}

// sent puts the photo that was sent into the library.
func (p *phone) sent(w http.ResponseWriter, q *http.Request) (*photo, error) {
	words := p.room.site.Words()
	if len(p.taken()) >= mostPhotos {
		return nil, &Refusal{Detail: words.T("preview.write.phone.full"), status: http.StatusTooManyRequests}
	}
	q.Body = http.MaxBytesReader(w, q.Body, photoBytes+1<<20)
	parts, err := q.MultipartReader()
	if err != nil {
		return nil, err
	}
	part, err := parts.NextPart()
	if err != nil {
		return nil, err
	}
	content, err := io.ReadAll(io.LimitReader(part, photoBytes+1))
	switch {
	case err != nil:
		return nil, err
	case len(content) > photoBytes:
		return nil, tooLarge()
	case len(content) == 0:
		return nil, &Refusal{Detail: words.T("preview.write.phone.none"), status: http.StatusUnprocessableEntity}
	}
	return p.room.addPhoto(part.FileName(), content)
}

func (p *phone) taken() []*photo {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.photos
}

// phoneView is what the phone's page shows: a button to come in ("join"), the form for a photo ("photo"), or that the code is
// worth nothing ("over").
type phoneView struct {
	State string
	Count int    // photos that have arrived
	Wrong string // why the last one did not
}

func (p *phone) send(w http.ResponseWriter, status int, v phoneView) {
	var content bytes.Buffer
	if err := page.Render(&content, phonePage(p.room.site.Words(), v)); err != nil {
		http.Error(w, "The page cannot be made.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", served.ContentType(".html"))
	w.WriteHeader(status)
	w.Write(content.Bytes())
}

// door is an open door as the page shows it.
type door struct {
	Address string `json:"address"`
	// Side and Path draw the code.
	Side    int    `json:"side"`
	Path    string `json:"path"`
	Minutes int    `json:"minutes"`
}

// phoneOpen opens the door for a phone, with a new code. One that is open is shut first.
func phoneOpen(r *Room, _ *http.Request, _ http.ResponseWriter, _ *asked) (any, error) {
	r.shutPhone()
	at := networkAddress()
	if at == nil {
		return nil, &Refusal{Problem: "network", Detail: "This computer is in no network.", status: http.StatusConflict}
	}
	listener, err := new(net.ListenConfig).Listen(context.Background(), "tcp", net.JoinHostPort(at.String(), "0"))
	if err != nil {
		return nil, &Refusal{Problem: "network", Detail: err.Error(), status: http.StatusConflict}
	}
	p := r.newPhone("http://"+listener.Addr().String()+"/", time.Now)
	code, err := sheet.Encode(p.address+p.code, "")
	if err != nil {
		listener.Close()
		return nil, err
	}
	p.serve(listener)
	r.mu.Lock()
	r.phone = p
	r.mu.Unlock()
	return door{p.address + p.code, code.Side, code.Path, int(codeLasts / time.Minute)}, nil
}

// serve answers until the door is shut, or nobody can come in by it any more.
func (p *phone) serve(listener net.Listener) {
	ctx, shut := context.WithTimeout(context.Background(), codeLasts+phoneLasts)
	p.shut = shut
	server := &http.Server{Handler: p, ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 2 * time.Minute, WriteTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10, ErrorLog: log.New(io.Discard, "", 0)}
	go func() {
		defer shut()
		_ = served.Until(ctx, server, time.Second, func() error { return server.Serve(listener) }) // the page asks whether it is open
	}()
}

// networkAddress is an address of this computer in its own network; nil for none.
func networkAddress() net.IP {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() {
			return n.IP
		}
	}
	return nil
}

// phoneState is what has come of the phone.
type phoneState struct {
	Joined bool     `json:"joined"`
	Over   bool     `json:"over"`
	Photos []*photo `json:"photos"`
}

func phoneAsk(r *Room, _ *http.Request, _ http.ResponseWriter, _ *asked) (any, error) {
	r.mu.Lock()
	p := r.phone
	r.mu.Unlock()
	if p == nil {
		return phoneState{Over: true, Photos: []*photo{}}, nil
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	return phoneState{p.key != "", !p.now().Before(p.until), append([]*photo{}, p.photos...)}, nil
}

func phoneShut(r *Room, _ *http.Request, _ http.ResponseWriter, _ *asked) (any, error) {
	r.shutPhone()
	return phoneState{Over: true, Photos: []*photo{}}, nil
}

// shutPhone shuts the door for a phone, if one is open.
func (r *Room) shutPhone() {
	r.mu.Lock()
	p := r.phone
	r.phone = nil
	r.mu.Unlock()
	if p != nil {
		p.shut()
	}
}

// Close shuts what the room has opened.
func (r *Room) Close() error {
	r.shutPhone()
	return r.root.Close()
}
