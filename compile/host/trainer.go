package host

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"sync"
	"unicode/utf8"

	"matchmark/compile/host/classlist"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// pinSetting is where the PIN's hash is kept.
const pinSetting = "pin"

// SetPIN keeps a PIN that pin.Check takes.
func SetPIN(ctx context.Context, s *store.Store, p string) error {
	return s.Set(ctx, pinSetting, pin.Hash(p))
}

// HasPIN reports whether a PIN is set.
func HasPIN(ctx context.Context, s *store.Store) (bool, error) {
	_, err := s.Setting(ctx, pinSetting)
	if errors.Is(err, store.ErrUnknown) {
		return false, nil
	}
	return err == nil, err
}

// cookieName is that of the trainer's session. Over HTTPS it has a name that no plain page can set.
// Source: RFC 6265bis, "__Host-" prefix.
func cookieName(r *http.Request) string {
	if r.TLS != nil {
		return "__Host-matchmark-board"
	}
	return "matchmark-board"
}

func setCookie(w http.ResponseWriter, r *http.Request, token string) {
	age := int(pin.SessionTime.Seconds())
	if token == "" {
		age = -1
	}
	http.SetCookie(w, &http.Cookie{
		Name: cookieName(r), Value: token, Path: "/", MaxAge: age, HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: r.TLS != nil,
	})
}

// session returns whose session a request belongs to; false when it belongs to none.
func (h *Host) session(r *http.Request) (who, token string, ok bool) {
	who, token, _, ok = h.signedIn(r)
	return who, token, ok
}

// signedIn is session with the role. Where there are accounts, a session ends with its account, and with the password that it was opened by.
func (h *Host) signedIn(r *http.Request) (who, token string, role store.Role, ok bool) {
	if !h.private(r) {
		return "", "", "", false
	}
	cookie, err := r.Cookie(cookieName(r))
	if err != nil {
		return "", "", "", false
	}
	who, mark, ok := h.sessions.Holds(cookie.Value)
	if !ok || !h.Store.Several() {
		return who, cookie.Value, store.TrainerRole, ok
	}
	account, err := h.Store.Account(r.Context(), who)
	if err != nil || string(account.Password) != mark {
		return "", "", "", false
	}
	return who, cookie.Value, account.Role, true
}

// forTrainer lets only the trainer through; who is the name that was given with the PIN.
func (h *Host) forTrainer(next func(w http.ResponseWriter, r *http.Request, who string) error) http.HandlerFunc {
	return h.forRole(store.TrainerRole, next)
}

// forRole lets only those through who may do what a role may.
func (h *Host) forRole(least store.Role, next func(w http.ResponseWriter, r *http.Request, who string) error) http.HandlerFunc {
	return h.answering(func(w http.ResponseWriter, r *http.Request) error {
		who, _, role, ok := h.signedIn(r)
		switch {
		case !ok:
			return h.onlyTrainer(w, r, "board")
		case !role.May(least) && wantsPage(r):
			return h.onlyTrainer(w, r, "role")
		case !role.May(least):
			return no(http.StatusForbidden, "role")
		}
		return next(w, r, who)
	})
}

// decision makes a handler of what the trainer decides on the board, by a small form. do carries it out in the trainer's name; what it returns
// is the answer, and nil that there is none but that it is done.
func decision[Form any](h *Host, do func(r *http.Request, by store.Person, in Form) (any, error)) http.HandlerFunc {
	return h.forTrainer(func(w http.ResponseWriter, r *http.Request, who string) error {
		var in Form
		if err := h.form(w, r, &in); err != nil {
			return err
		}
		by, err := h.trainer(r.Context(), who)
		if err != nil {
			return err
		}
		answer, err := do(r, by, in)
		switch {
		case err != nil:
			return err
		case answer == nil:
			return done(w)
		}
		return h.answer(w, r, http.StatusOK, answer)
	})
}

// enter opens a session for whoever knows the PIN.
func (h *Host) enter(w http.ResponseWriter, r *http.Request) error {
	if !h.private(r) {
		return h.refuseOpenly()
	}
	var in struct{ Who, PIN string }
	if err := h.form(w, r, &in); err != nil {
		return err
	}
	who := classlist.Name(in.Who)
	if utf8.RuneCountInString(who) > record.LongestName {
		return no(http.StatusUnprocessableEntity, "name", record.LongestName)
	}
	from := h.guesser(r)
	release, err := h.mayTry(r)
	if err != nil {
		return err
	}
	defer release()
	who, mark, right, err := h.proves(r, who, in.PIN)
	switch {
	case err != nil:
		return err
	case !right:
		wrong := "pin-wrong"
		if h.Store.Several() {
			wrong = "password-wrong"
		}
		h.Log(h.words.T("host.log."+wrong, h.from(r)))
		if wait := h.tries.Wrong(from); wait > 0 {
			return later(wrong+"-wait", wait)
		}
		return no(http.StatusForbidden, wrong)
	}
	h.tries.Right(from)
	if err := h.noted(r, who, store.Step{What: "entered"}); err != nil {
		return err
	}
	h.Log(h.words.T("host.log.entered", h.from(r)))
	if !strings.HasPrefix(from.Name, "device ") {
		h.know(w, r)
	}
	setCookie(w, r, h.sessions.Begin(who, mark))
	return h.answer(w, r, http.StatusOK, struct {
		Trainer string `json:"trainer"`
	}{who})
}

// mayTry waits until a PIN may be tried, one at a time; the error says how long to wait for whoever has tried too often.
func (h *Host) mayTry(r *http.Request) (release func(), err error) {
	from := h.guesser(r)
	if wait := h.tries.Wait(from); wait > 0 { // before it stands in the way of others
		return nil, later("pin-wait", wait)
	}
	select {
	case h.checking <- struct{}{}:
	case <-r.Context().Done():
		return nil, r.Context().Err()
	}
	if wait := h.tries.Wait(from); wait > 0 {
		<-h.checking
		return nil, later("pin-wait", wait)
	}
	return func() { <-h.checking }, nil
}

// nobody is the hash that a password is compared with when there is no account of that name, so that it takes as long.
var nobody = sync.OnceValue(func() []byte { return pin.Hash(pin.RandomPassword()) })

// proves reports whether somebody knows the PIN, or where there are accounts the password of the one of that name; mark is what a session rests on.
func (h *Host) proves(r *http.Request, who, secret string) (name, mark string, right bool, err error) {
	if h.Store.Several() {
		account, err := h.Store.Account(r.Context(), who)
		switch {
		case errors.Is(err, store.ErrUnknown):
			account.Password = nobody()
		case err != nil:
			return "", "", false, err
		}
		right, err := pin.Matches(account.Password, secret)
		return account.Name, string(account.Password), right && account.Number != 0, err
	}
	hash, err := h.Store.Setting(r.Context(), pinSetting)
	switch {
	case errors.Is(err, store.ErrUnknown):
		return "", "", false, no(http.StatusForbidden, "no-pin")
	case err != nil:
		return "", "", false, err
	}
	right, err = pin.Matches(hash, secret)
	return who, "", right, err
}

// leave ends the session, if there is one.
func (h *Host) leave(w http.ResponseWriter, r *http.Request) error {
	if who, token, ok := h.session(r); ok {
		h.sessions.End(token)
		if h.Store.Several() { // whoever is known by an account is known to have gone
			if err := h.noted(r, who, store.Step{What: "left-board"}); err != nil && !errors.Is(h.Store.Fault(err), store.ErrAway) {
				return err
			}
		}
	}
	setCookie(w, r, "")
	return done(w)
}
