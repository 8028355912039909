package host

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"sync"
	"time"

	"matchmark/compile/host/board"
	"matchmark/compile/host/store"
)

// views keeps the board's state until something changes, and of each job and try what the
// board shows of it, so that a change costs what has changed.
type views struct {
	mu    sync.Mutex
	turn  int64
	names int64 // when it was drawn, as the store counts them
	made  time.Time
	json  []byte
	jobs  map[string]shownJob
	tries map[string]shownTry // by hash
}

type shownJob struct {
	changed int64
	// drawn is when it was read, by the same clock: in the millisecond of a change there may come another.
	drawn int64
	json  []byte
}

// stale reports whether a job may have changed since it was drawn.
func (s shownJob) stale(j store.Summary) bool { return s.changed != j.Changed || s.drawn <= s.changed }

// drawJob makes what the board shows of a job in a store.
func (h *Host) drawJob(ctx context.Context, from *store.Store, j store.Summary) (board.Job, shownJob, error) {
	s := shownJob{changed: j.Changed, drawn: h.Now().UnixMilli()}
	full, err := from.Record(ctx, j.Job)
	if err != nil {
		return board.Job{}, s, err
	}
	return h.plans.Job(store.Job{Began: j.Began, Changed: j.Changed, Void: j.Void, Record: full}), s, nil
}

type shownTry struct {
	board.Result
	known bool // a quiz of the library
}

// mostBoard is how many bytes of jobs the board shows in full. What is beyond is there with its title alone.
const mostBoard = 4 << 20

// state is the board as JSON, without the time.
func (h *Host) state(r *http.Request) ([]byte, error) {
	if err := h.turn(r, heavy*store.MostRecord); err != nil {
		return nil, err
	}
	h.views.mu.Lock()
	defer h.views.mu.Unlock()
	turn, _ := h.Store.Turn()
	now := h.Now()
	_, away := h.Store.Away()
	if h.views.json != nil && (away || h.views.turn == turn && now.Sub(h.views.made) < time.Minute) {
		return h.views.json, nil
	}
	content, err := h.draw(r)
	if h.views.json != nil && errors.Is(h.Store.Fault(err), store.ErrAway) {
		return h.views.json, nil // what is known last
	}
	if err != nil {
		return nil, err
	}
	h.views.turn, h.views.made, h.views.json = turn, now, content
	return content, nil
}

// draw makes the state of what the store holds now.
func (h *Host) draw(r *http.Request) ([]byte, error) {
	// Whose name was deleted stands in nothing that was drawn before.
	if names := h.Store.Names(); names != h.views.names {
		h.views.names, h.views.jobs, h.views.tries = names, nil, nil
	}
	since := h.today()
	jobs, bare, err := h.drawJobs(r, since)
	if err != nil {
		return nil, err
	}
	results, err := h.drawResults(r, since)
	if err != nil {
		return nil, err
	}
	class, err := h.classState(r.Context())
	if err != nil {
		return nil, err
	}
	return json.Marshal(struct { // a board.State, and the class
		Jobs    []json.RawMessage `json:"jobs"`
		Bare    int               `json:"bare"`
		Results []board.Result    `json:"results"`
		classState
	}{jobs, bare, results, class})
}

// drawJobs makes the jobs, those in full that changed last.
func (h *Host) drawJobs(r *http.Request, since int64) (out []json.RawMessage, bare int, err error) {
	list, err := h.Store.AllSummaries(r.Context(), since)
	if err != nil {
		return nil, 0, err
	}
	list = list[:min(len(list), mostShown)]
	shown, bytes := map[string]shownJob{}, 0
	for _, j := range list {
		if bytes > mostBoard {
			bare++
			continue
		}
		s, there := h.views.jobs[j.Job]
		if !there || s.stale(j) {
			var made board.Job
			made, s, err = h.drawJob(r.Context(), h.Store, j)
			if errors.Is(err, store.ErrUnknown) {
				continue // deleted meanwhile
			}
			if err != nil {
				return nil, 0, err
			}
			if s.json, err = json.Marshal(made); err != nil {
				return nil, 0, err
			}
		}
		shown[j.Job] = s
		bytes += len(s.json)
	}
	h.views.jobs = shown
	slices.SortFunc(list, func(a, b store.Summary) int { return cmp.Or(cmp.Compare(a.Began, b.Began), cmp.Compare(a.Job, b.Job)) })
	out = []json.RawMessage{}
	for _, j := range list {
		s, full := shown[j.Job]
		if !full {
			if s.json, err = json.Marshal(board.Bare(j)); err != nil {
				return nil, 0, err
			}
		}
		out = append(out, s.json)
	}
	return out, bare, nil
}

// drawResults marks the tries that were not marked yet, and lists all, the newest first.
func (h *Host) drawResults(r *http.Request, since int64) ([]board.Result, error) {
	tries, out := map[string]shownTry{}, []board.Result{}
	err := h.Store.NewestResults(r.Context(), "", since, mostShown, func(x store.Result) {
		t, there := h.views.tries[x.Hash]
		if !there {
			t.Result, t.known = h.plans.Result(x)
		}
		tries[x.Hash] = t
		if t.known {
			out = append(out, t.Result)
		}
	})
	h.views.tries = tries
	slices.SortStableFunc(out, func(a, b board.Result) int { return cmp.Compare(b.At, a.At) })
	return out, err
}

// sendState sends the whole board, unless the asker has it.
func (h *Host) sendState(w http.ResponseWriter, r *http.Request, who string) error {
	state, err := h.state(r)
	if err != nil {
		return err
	}
	_, _, role, _ := h.signedIn(r)
	since, away := h.Store.Away()
	at := int64(0)
	if away {
		at = since.UnixMilli()
	}
	mark := tag(fmt.Appendf(slices.Clip(state), "%s %s %d", who, role, at))
	head, err := json.Marshal(struct {
		Now     int64  `json:"now"`
		Trainer string `json:"trainer"`
		// Role is what the trainer may do where there are accounts.
		Role store.Role `json:"role"`
		// Away is since when the database cannot be reached, in milliseconds since 1970; 0 while it can.
		Away int64  `json:"away"`
		Rev  string `json:"rev"`
	}{h.Now().UnixMilli(), who, role, at, mark})
	if err != nil {
		return err
	}
	// Both are objects; the state's fields go on after the head's.
	answerTagged(w, r, bytes.Join([][]byte{head[:len(head)-1], state[1:]}, []byte(",")), mark)
	return nil
}
