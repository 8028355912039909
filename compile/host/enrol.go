package host

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"unicode/utf8"

	"matchmark/compile/host/classlist"
	"matchmark/compile/host/guard"
	"matchmark/compile/host/invite"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// How fast one address may try codes: with 40 bits, and one try in two seconds, a day of guessing from a whole network of 250
// addresses finds one once in a hundred thousand times.
const (
	guessesPerSec = 0.5
	guessesAtOnce = 100 // a class behind one address
)

func (h *Host) routeEnrolment(mux *http.ServeMux) {
	mux.HandleFunc("POST /class/list", h.answering(h.listClass))
	mux.HandleFunc("POST /class/enrol", h.answering(h.enrol))
	mux.HandleFunc("POST /class/join", h.inClass(h.join))
	mux.HandleFunc("POST /class/sign", h.inClass(h.signByCode))
	mux.HandleFunc("POST "+arrivalPath, h.answering(h.arrive))
	mux.HandleFunc("POST /class/leave", h.forTablet(h.leaveClass))
	mux.HandleFunc("GET /class/me", h.forTablet(h.sendMine))
	mux.HandleFunc("GET /class/invite/{job}", h.inClass(h.showJobCode))
	mux.HandleFunc("GET /class/code/{page...}", h.answering(h.sendPageCode))
}

// opened reads a form with a code in it and says which job the code opens, besides the class.
func (h *Host) opened(w http.ResponseWriter, r *http.Request, into any, code *string) (job string, err error) {
	if err := h.form(w, r, into); err != nil {
		return "", err
	}
	if wait := h.guesses.Wait(guard.Address(r)); wait > 0 {
		return "", later("code-wait", wait)
	}
	job, right, err := h.invite.Opens(r.Context(), *code, h.today())
	if err == nil && !right {
		err = no(http.StatusForbidden, "code")
	}
	return job, err
}

// listClass names the class list to a tablet that has the code, without whoever has a tablet already.
func (h *Host) listClass(w http.ResponseWriter, r *http.Request) error {
	var in struct{ Code string }
	job, err := h.opened(w, r, &in, &in.Code)
	if err != nil {
		return err
	}
	people, err := h.Store.People(r.Context())
	if err != nil {
		return err
	}
	tablets, err := h.Store.Tablets(r.Context())
	if err != nil {
		return err
	}
	taken := map[string]bool{}
	for _, t := range tablets {
		taken[t.Person] = true
	}
	type name struct {
		ID   string `json:"id"`
		Name string `json:"name"`
		Team string `json:"team"`
	}
	out := []name{}
	for _, p := range people {
		if p.Listed && !p.Trainer && !taken[p.ID] {
			out = append(out, name{p.ID, p.Name, p.Team})
		}
	}
	return h.answer(w, r, http.StatusOK, struct {
		Job    bool   `json:"job"`
		People []name `json:"people"`
	}{job != "", out})
}

// enrol lets a tablet in that has the code, and gives it a secret.
func (h *Host) enrol(w http.ResponseWriter, r *http.Request) error {
	var in struct{ Code, Tablet, Person, Name, Machine string }
	job, err := h.opened(w, r, &in, &in.Code)
	if err != nil {
		return err
	}
	name, machine := classlist.Name(in.Name), classlist.Name(in.Machine)
	switch {
	case in.Tablet != "" && !jobName.MatchString(in.Tablet):
		return no(http.StatusBadRequest, "json")
	case utf8.RuneCountInString(name) > record.LongestName || utf8.RuneCountInString(machine) > record.LongestName:
		return no(http.StatusUnprocessableEntity, "name", record.LongestName)
	}
	t, secret, err := h.Store.Enrol(r.Context(), store.Claim{Tablet: in.Tablet, Person: in.Person, Name: name, Machine: machine, Job: job})
	switch {
	case errors.Is(err, store.ErrUnknown):
		return no(http.StatusUnprocessableEntity, "who")
	case err != nil:
		return err
	}
	out, err := h.mine(r.Context(), t)
	if err != nil {
		return err
	}
	out.Secret, out.Joined = secret, job
	return h.answer(w, r, http.StatusOK, out)
}

// mine is what a tablet may know of itself.
type mine struct {
	Tablet  string            `json:"tablet"`
	Secret  string            `json:"secret,omitempty"`
	Number  int               `json:"number"`
	Learner string            `json:"learner"`
	Machine string            `json:"machine"`
	State   store.TabletState `json:"state"`
	// Enrolled is when it joined, in milliseconds since 1970.
	Enrolled int64     `json:"enrolled"`
	Jobs     []mineJob `json:"jobs"`
	// Joined is the job that the code led to; empty for none.
	Joined string `json:"joined,omitempty"`
}

type mineJob struct {
	Job       string `json:"job"`
	Machine   string `json:"machine"`
	Procedure string `json:"procedure"`
	Variant   string `json:"variant"`
}

func (h *Host) mine(ctx context.Context, t store.Tablet) (mine, error) {
	out := mine{Tablet: t.Name, Number: t.Number, Machine: t.Machine, State: t.State, Enrolled: t.Enrolled, Jobs: []mineJob{}}
	var err error
	if t.State == store.Emptied {
		out.State = store.In // it hands in, and empties, what it keeps under this address too
	}
	if out.Learner, err = h.Store.NameOf(ctx, t.Person); err != nil || t.State == store.Asks {
		return out, err
	}
	jobs, err := h.Store.JobsOf(ctx, t)
	for _, j := range jobs {
		out.Jobs = append(out.Jobs, mineJob{j.Job, j.Machine, j.Procedure, j.Variant})
	}
	return out, err
}

func (h *Host) sendMine(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	out, err := h.mine(r.Context(), t)
	if err != nil {
		return err
	}
	return h.answer(w, r, http.StatusOK, out)
}

// join puts a tablet of the class on a job that it has the code of.
func (h *Host) join(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	var in struct{ Code string }
	job, err := h.opened(w, r, &in, &in.Code)
	if err != nil {
		return err
	}
	if job != "" {
		if err := h.Store.Join(r.Context(), t, job); err != nil {
			return err
		}
	}
	out, err := h.mine(r.Context(), t)
	if err != nil {
		return err
	}
	out.Joined = job
	return h.answer(w, r, http.StatusOK, out)
}

// invitation is a code to show, as letters and as a picture.
type invitation struct {
	Code  string `json:"code"`
	Until int64  `json:"until"`
	Link  string `json:"link"`
	Path  string `json:"path"` // of the QR code, in a square of Side
	Side  int    `json:"side"`
}

// showJobCode shows the code of a job to a tablet that writes on it.
func (h *Host) showJobCode(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	job := r.PathValue("job")
	if err := h.mustWrite(r, t, job); err != nil {
		return err
	}
	return h.sendInvitation(w, r, job)
}

// sendInvitation shows the code of a job, or with "" of the class.
func (h *Host) sendInvitation(w http.ResponseWriter, r *http.Request, job string) error {
	out, err := h.invitation(r, job)
	if err != nil {
		return err
	}
	return h.answer(w, r, http.StatusOK, out)
}

func (h *Host) invitation(r *http.Request, job string) (out invitation, err error) {
	var code invite.Code
	if job == "" {
		code, err = h.invite.Class(r.Context(), false)
	} else {
		code, err = h.invite.Job(r.Context(), job)
	}
	if err != nil {
		return out, err
	}
	out.Until, out.Link = code.Until, h.base(r)+"#join="+code.Code
	out.Path, out.Side = h.site.Picture(out.Link)
	out.Code = code.Code[:4] + " " + code.Code[4:]
	return out, nil
}

// sendPageCode sends the code that leads from paper back to a page of the site.
func (h *Host) sendPageCode(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("page")
	file := name
	if name == "" || strings.HasSuffix(name, "/") {
		file += "index.html"
	}
	if !h.site.Has(file) {
		return errMissing
	}
	out := pageCode{Link: h.base(r) + name}
	out.Path, out.Side = h.site.Picture(out.Link)
	return h.answer(w, r, http.StatusOK, out)
}

// pageCode is an address, as a picture too.
type pageCode struct {
	Link string `json:"link"`
	Path string `json:"path"` // of the QR code, in a square of Side
	Side int    `json:"side"`
}

// base is the address by which another tablet reaches the host: the one that the asker used, or when that leads to this computer alone,
// the first that leads here from the network. The board is at an https address, which a tablet that does not trust the certificate
// yet cannot open: from there it is the plain one of the same name, or the first.
func (h *Host) base(r *http.Request) string {
	asked := url.URL{Scheme: "http", Host: r.Host, Path: "/"}
	if r.TLS != nil {
		asked.Scheme = "https"
	}
	local := func(host string) bool {
		ip, err := netip.ParseAddr(host)
		return host == "localhost" || err == nil && ip.IsLoopback()
	}
	if !local(asked.Hostname()) && (r.TLS == nil || !strings.HasPrefix(r.URL.Path, "/board/")) {
		return asked.String()
	}
	first := ""
	for _, reach := range h.Reach() { // the plain ones first
		at, err := url.Parse(reach)
		switch {
		case err != nil || local(at.Hostname()):
		case at.Hostname() == asked.Hostname():
			return reach
		case first == "":
			first = reach
		}
	}
	return cmp.Or(first, asked.String())
}

// tabletHandler answers a request of a tablet.
type tabletHandler func(w http.ResponseWriter, r *http.Request, t store.Tablet) error

// forTablet lets only a tablet of the class through: it names itself and shows its secret. Whoever waits for the trainer gets no further than to
// know that.
func (h *Host) forTablet(next tabletHandler) http.HandlerFunc {
	return h.answering(func(w http.ResponseWriter, r *http.Request) error {
		name, secret := bearer(r)
		t, err := h.Store.Tablet(r.Context(), name, secret)
		switch {
		case errors.Is(err, store.ErrStranger):
			w.Header().Set("WWW-Authenticate", "Bearer")
			return no(http.StatusUnauthorized, "stranger")
		case err != nil:
			return err
		case t.State == store.Asks && r.URL.Path != "/class/me":
			return no(http.StatusForbidden, "asks")
		}
		if err := h.Store.Seen(r.Context(), t); err != nil {
			return err
		}
		return next(w, r, t)
	})
}

// inClass is forTablet, but for a tablet that has left the class: that one hands in what it still keeps, and no more.
func (h *Host) inClass(next tabletHandler) http.HandlerFunc {
	return h.forTablet(func(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
		if t.State != store.In {
			return no(http.StatusForbidden, "stranger")
		}
		return next(w, r, t)
	})
}

// mustWrite returns store.ErrNotYours for a job that a tablet does not write on.
func (h *Host) mustWrite(r *http.Request, t store.Tablet, job string) error {
	if yes, err := h.Store.May(r.Context(), t.Name, job); err != nil || !yes {
		return errors.Join(err, store.ErrNotYours)
	}
	return nil
}

// bearer takes the name and the secret out of a request.
// Source: RFC 6750, 2.1 (Authorization: Bearer).
func bearer(r *http.Request) (name, secret string) {
	token, is := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !is {
		return "", ""
	}
	name, secret, _ = strings.Cut(token, ".")
	return name, secret
}
