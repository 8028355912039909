package host

import (
	"cmp"
	"context"
	"errors"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"matchmark/compile/host/board"
	"matchmark/compile/host/building"
	"matchmark/compile/host/classlist"
	"matchmark/compile/host/pin"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// routeSchool are the pages of a database of several workshops: the board over all of them, and the accounts.
func (h *Host) routeSchool(mux *http.ServeMux) {
	if !h.Store.Several() {
		return
	}
	mux.HandleFunc("GET /board/all/{$}", h.forRole(store.HeadRole, h.showAll))
	mux.HandleFunc("GET /board/all/events", h.forRole(store.HeadRole, func(w http.ResponseWriter, r *http.Request, _ string) error {
		return h.tell(w, r, h.Store.TurnOfAll)
	}))
	mux.HandleFunc("GET /board/accounts/{$}", h.forTrainer(h.showAccounts))
	mux.HandleFunc("POST /board/account", h.forRole(store.AdministratorRole, h.changeAccount))
	mux.HandleFunc("POST /board/password", h.forTrainer(h.changePassword))
}

// allViews are what the board over all workshops shows, kept until something changes.
type allViews struct {
	mu    sync.Mutex
	names int64                        // when it was drawn, as the store counts them
	jobs  map[string]map[string]allJob // by workshop and job
	last  *building.Overview
}

type allJob struct {
	shownJob
	board.Job
}

const (
	// thereFor is how long after its last word a workshop's host is taken to be there.
	thereFor = 90 * time.Second
	// mostOfOne is how many jobs of a workshop are shown, those that changed last.
	mostOfOne = 100
)

// showAll is the board over all workshops of the database. While that is away it is what was known last.
func (h *Host) showAll(w http.ResponseWriter, r *http.Request, _ string) error {
	if err := h.turn(r, heavy*store.MostRecord); err != nil {
		return err
	}
	h.all.mu.Lock()
	defer h.all.mu.Unlock()
	since, away := h.Store.Away()
	if !away || h.all.last == nil {
		v, err := h.drawAll(r.Context())
		switch {
		case err == nil:
			h.all.last = v
		case h.all.last == nil || !errors.Is(h.Store.Fault(err), store.ErrAway):
			return err
		default:
			since, away = h.Now(), true
		}
	}
	v := *h.all.last
	if away {
		v.Away = since.Format("15:04")
	}
	content, err := h.site.Overview(v)
	return h.sendPage(w, r, http.StatusOK, content, err)
}

// drawAll looks into all workshops.
func (h *Host) drawAll(ctx context.Context) (*building.Overview, error) {
	// Whose name was deleted stands in nothing that was drawn before.
	if names := h.Store.NamesOfAll(); names != h.all.names {
		h.all.names, h.all.jobs = names, nil
	}
	workshops, err := h.Store.Workshops(ctx)
	if err != nil {
		return nil, err
	}
	out := &building.Overview{}
	jobs := map[string]map[string]allJob{}
	for _, w := range workshops {
		if err := h.Store.Visit(ctx, w, func(s *store.Store) error {
			shown, err := h.drawWorkshop(ctx, s, w, h.all.jobs[w.Name])
			jobs[w.Name] = shown.kept
			out.Workshops = append(out.Workshops, shown.OverviewWorkshop)
			out.Waiting = append(out.Waiting, shown.waiting...)
			return err
		}); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(out.Waiting, func(a, b building.OverviewWait) int { return cmp.Compare(a.At, b.At) })
	h.all.jobs = jobs
	return out, nil
}

// shownWorkshop is a workshop on the board over all of them.
type shownWorkshop struct {
	building.OverviewWorkshop
	waiting []building.OverviewWait
	kept    map[string]allJob
}

// drawWorkshop looks into one workshop. before is what was drawn of its jobs the last time.
func (h *Host) drawWorkshop(ctx context.Context, s *store.Store, w store.Workshop, before map[string]allJob) (shownWorkshop, error) {
	out := shownWorkshop{OverviewWorkshop: building.OverviewWorkshop{Name: w.Name, Own: w.Own}, kept: map[string]allJob{}}
	out.There, out.Since = h.Now().Sub(time.UnixMilli(w.Seen)) <= thereFor, h.moment(w.Seen)
	tablets, err := s.Tablets(ctx)
	if err != nil {
		return out, err
	}
	out.Tablets = len(tablets)
	if out.Tries, out.Passed, err = h.triesOf(ctx, s); err != nil {
		return out, err
	}
	list, err := s.AllSummaries(ctx, h.today())
	if err != nil {
		return out, err
	}
	list = slices.DeleteFunc(list, func(j store.Summary) bool { return j.Void })
	out.Jobs = len(list)
	for _, j := range list[:min(len(list), mostOfOne)] {
		x, there := before[j.Job]
		if !there || x.stale(j) {
			x.Job, x.shownJob, err = h.drawJob(ctx, s, j)
			if errors.Is(err, store.ErrUnknown) {
				continue // deleted meanwhile
			}
			if err != nil {
				return out, err
			}
		}
		out.kept[j.Job] = x
		out.Lines = append(out.Lines, h.lineOf(x.Job))
		out.Findings += open(x.Job.Findings)
		out.waiting = append(out.waiting, h.waitsOf(w.Name, x.Job)...)
	}
	out.Waits = len(out.waiting)
	return out, nil
}

// triesOf counts today's tries of quizzes that this host's library has, or that were marked otherwise as tries alone.
func (h *Host) triesOf(ctx context.Context, s *store.Store) (tries, passed int, err error) {
	err = s.NewestResults(ctx, "", h.today(), mostShown, func(x store.Result) {
		tries++
		if h.plans.Passed(x) {
			passed++
		}
	})
	return tries, passed, err
}

// open counts the findings that are neither repaired nor taken back.
func open(all []board.Finding) (n int) {
	for _, f := range all {
		if !f.Repaired && !f.Withdrawn {
			n++
		}
	}
	return n
}

// machineOf names a job as people do.
func (h *Host) machineOf(j board.Job) string {
	name := cmp.Or(j.Machine, h.words.T("board.script.machine"))
	if variant := cmp.Or(j.VariantName, j.Variant); variant != "" {
		name += " · " + variant
	}
	return name
}

// lineOf is a job in the list of a workshop.
func (h *Host) lineOf(j board.Job) building.OverviewJob {
	out := building.OverviewJob{Machine: h.machineOf(j), Title: j.Title, Changed: h.moment(j.Changed)}
	for _, t := range j.Tablets {
		way := h.words.T("board.script.way-out")
		if t.Way == record.Refitting {
			way = h.words.T("board.script.way-back")
		}
		where := way
		switch {
		case t.Step == "ui_end":
			where = h.words.T("board.script.at-end", way)
		case t.Number > 0:
			where = h.words.T("board.script.at", way, t.Number, t.Of, t.StepTitle)
		case t.Step != "":
			where = way + ", " + t.Step
		}
		out.Who = append(out.Who, building.OverviewLearner{Name: cmp.Or(t.Learner, h.words.T("board.script.unnamed")), Where: where})
	}
	return out
}

// waitsOf is what waits for a signature on a job.
func (h *Host) waitsOf(workshop string, j board.Job) (out []building.OverviewWait) {
	for _, hold := range j.Holds {
		if hold.WaitingSince == 0 || hold.Signed != nil {
			continue
		}
		var who []string
		for _, t := range j.Tablets {
			if t.Waits == hold.Key {
				who = append(who, cmp.Or(t.Learner, h.words.T("board.script.unnamed")))
			}
		}
		what := h.words.T("board.script.hold", cmp.Or(hold.StepTitle, hold.Step, j.Title), hold.Title)
		if hold.Finding != "" {
			what = h.words.T("all.stop", hold.Title)
		}
		out = append(out, building.OverviewWait{Workshop: workshop, Machine: h.machineOf(j), What: what, Who: strings.Join(who, ", "), At: hold.WaitingSince, Since: h.moment(hold.WaitingSince)})
	}
	return out
}

// watch says in the window when the database goes away and comes back, until the host is closed.
func (h *Host) watch() {
	_, before := h.Store.Away()
	for {
		_, changed := h.Store.Turn()
		if _, away := h.Store.Away(); away != before {
			before = away
			if away {
				h.Log(h.words.T("host.log.away"))
			} else {
				h.Log(h.words.T("host.log.back"))
			}
		}
		select {
		case <-h.closing:
			return
		case <-changed:
		}
	}
}

// moment is a time of the host's clock, for people: that of day when it is today.
func (h *Host) moment(at int64) string {
	if at == 0 {
		return ""
	}
	t, now := time.UnixMilli(at).In(h.Now().Location()), h.Now()
	if t.Year() == now.Year() && t.YearDay() == now.YearDay() {
		return t.Format("15:04")
	}
	return t.Format("2006-01-02 15:04")
}

// showAccounts lets everybody change their own password, and administrators all accounts.
func (h *Host) showAccounts(w http.ResponseWriter, r *http.Request, who string) error {
	v := building.Accounts{Who: who, Shortest: pin.ShortestPassword}
	if _, _, role, _ := h.signedIn(r); role.May(store.AdministratorRole) {
		all, err := h.Store.Accounts(r.Context())
		if err != nil {
			return err
		}
		v.All = true
		for _, a := range all {
			v.List = append(v.List, building.Account{Number: a.Number, Name: a.Name, Role: string(a.Role)})
		}
		for _, role := range store.Roles {
			v.Roles = append(v.Roles, string(role))
		}
	}
	content, err := h.site.Accounts(v)
	return h.sendPage(w, r, http.StatusOK, content, err)
}

// accountChange is what an administrator does with an account: without a number it gives one.
type accountChange struct {
	Number               int64
	Name, Role, Password string
	Remove               bool
}

// changeAccount gives, changes or removes an account.
func (h *Host) changeAccount(w http.ResponseWriter, r *http.Request, who string) error {
	var in accountChange
	if err := h.form(w, r, &in); err != nil {
		return err
	}
	by, err := h.trainer(r.Context(), who)
	if err != nil {
		return err
	}
	if in.Remove {
		if err := h.accountFault(h.Store.RemoveAccount(r.Context(), by.ID, in.Number)); err != nil {
			return err
		}
		return done(w)
	}
	a := store.Account{Number: in.Number, Name: classlist.Name(in.Name), Role: store.Role(in.Role)}
	if utf8.RuneCountInString(a.Name) > record.LongestName {
		return no(http.StatusUnprocessableEntity, "name", record.LongestName)
	}
	if in.Password != "" || in.Number == 0 {
		if pin.CheckPassword(in.Password) != nil {
			return no(http.StatusUnprocessableEntity, "password", pin.ShortestPassword)
		}
		a.Password = pin.Hash(in.Password)
	}
	if err := h.accountFault(h.Store.PutAccount(r.Context(), by.ID, a)); err != nil {
		return err
	}
	return done(w)
}

// accountFault says in words why an account was not changed.
func (h *Host) accountFault(err error) error {
	switch {
	case errors.Is(err, store.ErrTaken):
		return no(http.StatusConflict, "account-taken")
	case errors.Is(err, store.ErrLast):
		return no(http.StatusConflict, "account-last")
	case errors.Is(err, store.ErrName):
		return no(http.StatusUnprocessableEntity, "account")
	}
	return err
}

// changePassword lets somebody who knows the old password set a new one. It goes by the same waits as signing in.
func (h *Host) changePassword(w http.ResponseWriter, r *http.Request, who string) error {
	var in struct{ Old, New string }
	if err := h.form(w, r, &in); err != nil {
		return err
	}
	if pin.CheckPassword(in.New) != nil {
		return no(http.StatusUnprocessableEntity, "password", pin.ShortestPassword)
	}
	release, err := h.mayTry(r)
	if err != nil {
		return err
	}
	defer release()
	_, _, right, err := h.proves(r, who, in.Old)
	if err != nil {
		return err
	}
	if !right {
		if wait := h.tries.Wrong(h.guesser(r)); wait > 0 {
			return later("password-wrong-wait", wait)
		}
		return no(http.StatusForbidden, "password-wrong")
	}
	account, err := h.Store.Account(r.Context(), who)
	if err != nil {
		return err
	}
	by, err := h.trainer(r.Context(), who)
	if err != nil {
		return err
	}
	hash := pin.Hash(in.New)
	if err := h.Store.PutAccount(r.Context(), by.ID, store.Account{Number: account.Number, Password: hash}); err != nil {
		return err
	}
	setCookie(w, r, h.sessions.Begin(account.Name, string(hash))) // all others have ended
	return done(w)
}
