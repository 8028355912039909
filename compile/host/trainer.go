package host

import (
	"errors"
	"net/http"
	"unicode/utf8"

	"matchmark/compile/host/guard"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// pinSetting is where the PIN's hash is kept.
const pinSetting = "pin"

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
	cookie, err := r.Cookie(cookieName(r))
	if err != nil {
		return "", "", false
	}
	who, ok = h.sessions.Holds(cookie.Value)
	return who, cookie.Value, ok
}

// forTrainer lets only the trainer through.
func (h *Host) forTrainer(next func(w http.ResponseWriter, r *http.Request, who string)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		who, _, ok := h.session(r)
		if !ok {
			h.onlyTrainer(w, r, "board")
			return
		}
		next(w, r, who)
	}
}

// enter opens a session for whoever knows the PIN.
func (h *Host) enter(w http.ResponseWriter, r *http.Request) {
	var in struct{ Who, PIN string }
	if !h.form(w, r, &in) {
		return
	}
	who := oneLine(in.Who)
	if utf8.RuneCountInString(who) > record.LongestName {
		h.refuse(w, r, http.StatusUnprocessableEntity, "name", record.LongestName)
		return
	}
	select {
	case h.checking <- struct{}{}:
		defer func() { <-h.checking }()
	case <-r.Context().Done():
		return
	}
	from := guard.Address(r)
	if wait := h.tries.Wait(from); wait > 0 {
		h.wait(w, r, "pin-wait", wait)
		return
	}
	hash, err := h.Store.Setting(r.Context(), pinSetting)
	switch {
	case errors.Is(err, store.ErrUnknown):
		h.refuse(w, r, http.StatusForbidden, "no-pin")
		return
	case err != nil:
		h.failed(w, r, err)
		return
	}
	right, err := pin.Matches(hash, in.PIN)
	switch {
	case err != nil:
		h.failed(w, r, err)
	case !right:
		if wait := h.tries.Wrong(from); wait > 0 {
			h.wait(w, r, "pin-wrong-wait", wait)
			return
		}
		h.refuse(w, r, http.StatusForbidden, "pin-wrong")
	default:
		h.tries.Right(from)
		setCookie(w, r, h.sessions.Begin(who))
		h.answer(w, r, http.StatusOK, struct {
			Trainer string `json:"trainer"`
		}{who})
	}
}

// leave ends the session, if there is one.
func (h *Host) leave(w http.ResponseWriter, r *http.Request) {
	if _, token, ok := h.session(r); ok {
		h.sessions.End(token)
	}
	setCookie(w, r, "")
	w.WriteHeader(http.StatusNoContent)
}

// sign signs a hold point.
func (h *Host) sign(w http.ResponseWriter, r *http.Request, who string) {
	var in struct{ Job, Key, Who string }
	if !h.form(w, r, &in) {
		return
	}
	if name := oneLine(in.Who); name != "" {
		who = name
	}
	switch {
	case who == "":
		h.refuse(w, r, http.StatusUnprocessableEntity, "who")
		return
	case utf8.RuneCountInString(who) > record.LongestName:
		h.refuse(w, r, http.StatusUnprocessableEntity, "name", record.LongestName)
		return
	case !jobName.MatchString(in.Job):
		h.refuse(w, r, http.StatusNotFound, "unknown")
		return
	}
	noRow := errors.New("no such row")
	given, err := h.Store.Sign(r.Context(), in.Job, in.Key, func(on *record.Record) (record.Signature, error) {
		if _, _, ok := record.SplitKey(in.Key); !ok || !h.plans.Signs(on, in.Key) {
			return record.Signature{}, noRow
		}
		return record.Seal(on, in.Key, who, h.Now().UnixMilli(), h.Store.Key()), nil
	})
	switch {
	case errors.Is(err, noRow):
		h.refuse(w, r, http.StatusUnprocessableEntity, "no-hold")
	case err != nil:
		h.failed(w, r, err)
	default:
		h.answer(w, r, http.StatusOK, given)
	}
}
