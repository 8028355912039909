package host

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"unicode/utf8"

	"matchmark/compile/host/classlist"
	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

func (h *Host) routeClassroom(mux *http.ServeMux) {
	mux.HandleFunc("GET /board/invite", h.forTrainer(func(w http.ResponseWriter, r *http.Request, _ string) error { return h.sendInvitation(w, r, "") }))
	mux.HandleFunc("GET /board/invite/{job}", h.forTrainer(h.inviteToJob))
	mux.HandleFunc("POST /board/invite", decision(h, h.renewInvitation))
	mux.HandleFunc("POST /board/people", h.forTrainer(h.takeClassList))
	mux.HandleFunc("POST /board/tablet", decision(h, h.decideTablet))
	mux.HandleFunc("POST /board/job", decision(h, h.decideJob))
	mux.HandleFunc("GET /board/trail", h.forTrainer(h.sendTrail))
	mux.HandleFunc("GET /board/history/{job}", h.forTrainer(h.sendHistory))
}

// trainer is the person who has a session; nobody when no name was given with the PIN.
func (h *Host) trainer(ctx context.Context, who string) (store.Person, error) {
	if who == "" {
		return store.Person{}, nil
	}
	return h.Store.Trainer(ctx, who)
}

func (h *Host) inviteToJob(w http.ResponseWriter, r *http.Request, _ string) error {
	job := r.PathValue("job")
	if there, err := h.Store.Has(r.Context(), job); err != nil || !there {
		return errors.Join(err, store.ErrUnknown)
	}
	return h.sendInvitation(w, r, job)
}

// renewInvitation makes the code that was shown so far worthless.
func (h *Host) renewInvitation(r *http.Request, by store.Person, _ struct{}) (any, error) {
	if _, err := h.invite.Class(r.Context(), true); err != nil {
		return nil, err
	}
	if err := h.Store.Note(r.Context(), store.Step{Person: by.ID, What: "renewed-code"}); err != nil {
		return nil, err
	}
	return h.invitation(r, "")
}

// noted puts a step of the trainer's on the trail.
func (h *Host) noted(r *http.Request, who string, step store.Step) error {
	by, err := h.trainer(r.Context(), who)
	if err != nil {
		return err
	}
	step.Person = by.ID
	return h.Store.Note(r.Context(), step)
}

// takeClassList puts the names of a CSV file on the class list.
func (h *Host) takeClassList(w http.ResponseWriter, r *http.Request, who string) error {
	content, err := h.body(w, r, "text/csv", classlist.MostBytes)
	if err != nil {
		return err
	}
	people, err := classlist.Read(content)
	if err != nil {
		return no(http.StatusUnprocessableEntity, "list", err.Error())
	}
	fresh, err := h.Store.List(r.Context(), people)
	if err != nil {
		return err
	}
	if err := h.noted(r, who, store.Step{What: "listed", About: fmt.Sprint(len(people))}); err != nil {
		return err
	}
	return h.answer(w, r, http.StatusOK, struct {
		People int `json:"people"`
		Fresh  int `json:"fresh"`
	}{len(people), fresh})
}

// tabletDecision is what the trainer does with a tablet.
type tabletDecision struct {
	Number  int
	Do, Job string
}

// decideTablet lets a tablet in, takes it out, or puts it on a job.
func (h *Host) decideTablet(r *http.Request, by store.Person, in tabletDecision) (any, error) {
	switch ctx := r.Context(); in.Do {
	case "in-place", "beside":
		return nil, h.Store.Admit(ctx, by.ID, in.Number, in.Do == "in-place")
	case "dismiss":
		return nil, h.Store.Dismiss(ctx, by.ID, in.Number)
	case "bind":
		return nil, h.Store.Bind(ctx, by.ID, in.Number, in.Job)
	case "refuse":
		return nil, h.Store.Refuse(ctx, by.ID, in.Number, in.Job)
	}
	return nil, no(http.StatusBadRequest, "json")
}

// jobDecision is what the trainer does with a job.
type jobDecision struct{ Job, Do, Machine string }

// decideJob declares a job void, restores it, says on which machine it is, or deletes it.
func (h *Host) decideJob(r *http.Request, by store.Person, in jobDecision) (any, error) {
	switch ctx := r.Context(); in.Do {
	case "void", "restore":
		return nil, h.Store.Void(ctx, by.ID, in.Job, in.Do == "void")
	case "rename":
		machine := classlist.Name(in.Machine)
		if utf8.RuneCountInString(machine) > record.LongestName {
			return nil, no(http.StatusUnprocessableEntity, "name", record.LongestName)
		}
		return nil, h.Store.Rename(ctx, by.ID, in.Job, machine)
	case "delete":
		if err := h.Store.DeleteJob(ctx, by.ID, in.Job); err != nil {
			return nil, err
		}
		clean, err := h.Store.EmptyLog(ctx)
		if err != nil {
			return nil, err
		}
		return h.deleted(r, store.Learner{Jobs: 1}, clean, false)
	}
	return nil, no(http.StatusBadRequest, "json")
}

// mostTrail is how many steps the board lists.
const mostTrail = 300

// trailStep is a step of the trail as the board shows it.
type trailStep struct {
	At      int64  `json:"at"`
	Who     string `json:"who"`
	Tablet  int    `json:"tablet"` // its number; 0 for none
	What    string `json:"what"`
	Machine string `json:"machine"`
	Job     string `json:"job"`
	About   string `json:"about"`
}

// sendTrail says who did what when, the newest first.
func (h *Host) sendTrail(w http.ResponseWriter, r *http.Request, _ string) error {
	steps, err := h.Store.Trail(r.Context(), mostTrail)
	if err != nil {
		return err
	}
	numbers, err := h.Store.TabletNumbers(r.Context())
	if err != nil {
		return err
	}
	machines := map[string]string{}
	out := []trailStep{}
	for _, s := range steps {
		line := trailStep{At: s.At, Tablet: numbers[s.Tablet], What: s.What, Job: s.Job, About: s.About}
		if line.Who, err = h.Store.NameOf(r.Context(), s.Person); err != nil {
			return err
		}
		if _, known := machines[s.Job]; s.Job != "" && !known {
			machine, err := h.Store.Machine(r.Context(), s.Job)
			if err != nil && !errors.Is(err, store.ErrUnknown) {
				return err
			}
			machines[s.Job] = machine
		}
		line.Machine = machines[s.Job]
		out = append(out, line)
	}
	return h.answer(w, r, http.StatusOK, out)
}

// written is one thing that was written down on a job, with both times.
type written struct {
	Seq     int64           `json:"seq"`
	At      int64           `json:"at"`
	Claimed int64           `json:"claimed"`
	Who     string          `json:"who"`
	Tablet  int             `json:"tablet"` // its number; 0 for the board and for tablets from before
	Part    string          `json:"part"`
	Key     string          `json:"key"`
	Entry   json.RawMessage `json:"entry"`
}

// sendHistory sends all that was ever written down on a job, in the order in which it came.
func (h *Host) sendHistory(w http.ResponseWriter, r *http.Request, _ string) error {
	if err := h.turn(r, h.Memory); err != nil { // alone: nobody knows how much it is
		return err
	}
	all, err := h.Store.History(r.Context(), r.PathValue("job"))
	if err != nil {
		return err
	}
	numbers, err := h.Store.TabletNumbers(r.Context())
	if err != nil {
		return err
	}
	out := []written{}
	for _, x := range all {
		line := written{Seq: x.Seq, At: x.At, Claimed: x.Claimed, Tablet: numbers[x.Tablet], Part: x.Part, Key: x.Key, Entry: x.Body}
		if line.Who, err = h.Store.NameOf(r.Context(), x.Person); err != nil {
			return err
		}
		out = append(out, line)
	}
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Type", "application/json")
	// In small pieces: as a whole it may be more than may be on its way at once.
	to := bufio.NewWriter(w)
	to.WriteByte('[')
	for i, line := range out {
		if i > 0 {
			to.WriteByte(',')
		}
		if err := json.NewEncoder(to).Encode(line); err != nil {
			return nil // whoever has gone needs no answer
		}
	}
	to.WriteByte(']')
	to.Flush()
	return nil
}

// classState is what the board shows of the class besides its jobs.
type classState struct {
	Ended int64         `json:"ended"`
	Class []classTablet `json:"class"`
	Asks  []classAsk    `json:"asks"`
	// Behind is what tablets keep under former addresses.
	Behind []store.Remnant `json:"behind"`
}

// classTablet is a tablet of the class.
type classTablet struct {
	Number  int               `json:"number"`
	Learner string            `json:"learner"`
	Machine string            `json:"machine"`
	State   store.TabletState `json:"state"`
	Seen    int64             `json:"seen"`
	Joined  int64             `json:"joined"`
}

// classAsk is a tablet that has work on a job that is not its own.
type classAsk struct {
	Number  int    `json:"number"`
	Learner string `json:"learner"`
	Job     string `json:"job"`
	Machine string `json:"machine"`
}

func (h *Host) classState(ctx context.Context) (classState, error) {
	out := classState{Class: []classTablet{}, Asks: []classAsk{}}
	var err error
	if out.Ended, err = h.Store.Ended(ctx); err != nil {
		return out, err
	}
	behind, err := h.Store.LeftBehind(ctx)
	if err != nil {
		return out, err
	}
	out.Behind = append([]store.Remnant{}, behind...)
	tablets, err := h.Store.Tablets(ctx)
	if err != nil {
		return out, err
	}
	learners := map[int]string{}
	for _, t := range tablets {
		name, err := h.Store.NameOf(ctx, t.Person)
		if err != nil {
			return out, err
		}
		learners[t.Number] = name
		out.Class = append(out.Class, classTablet{t.Number, name, t.Machine, t.State, t.Seen, t.Enrolled})
	}
	asking, err := h.Store.Asking(ctx)
	if err != nil {
		return out, err
	}
	for _, a := range asking {
		out.Asks = append(out.Asks, classAsk{a.Number, learners[a.Number], a.Job, a.Machine})
	}
	return out, nil
}
