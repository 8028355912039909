package host

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"time"

	"matchmark/compile/host/building"
	"matchmark/compile/host/guard"
	"matchmark/compile/host/listen"
	"matchmark/compile/host/store"
	"matchmark/procedure/quiz/collect"
)

// mostShown is how many results and how many jobs the board lists, and mostMarked how many tries the page on a quiz is about: the newest.
const (
	mostShown  = 500
	mostMarked = 1000
)

// window is how far back a class reaches at least, for one that works past midnight.
const window = 12 * time.Hour

func (h *Host) routeBoard(mux *http.ServeMux) {
	mux.HandleFunc("GET /board/{$}", h.answering(h.showBoard))
	mux.HandleFunc("GET /board/{file}", h.answering(h.boardFile))
	mux.HandleFunc("POST /board/pin", h.answering(h.enter))
	mux.HandleFunc("POST /board/leave", h.answering(h.leave))
	mux.HandleFunc("GET /board/state", h.forTrainer(h.sendState))
	mux.HandleFunc("GET /board/events", h.forTrainer(h.sendEvents))
	mux.HandleFunc("POST /board/sign", decision(h, h.sign))
	mux.HandleFunc("POST /board/code", decision(h, h.showHoldCode))
	mux.HandleFunc("GET /board/photo/{job}/{hash}", h.forTrainer(func(w http.ResponseWriter, r *http.Request, _ string) error { return h.sendPhoto(w, r) }))
	mux.HandleFunc("GET /board/record/{job}", h.forTrainer(h.downloadRecord))
	mux.HandleFunc("GET /board/workorder/{job}", h.forTrainer(h.showOrder))
	mux.HandleFunc("GET /board/checklist/{job}", h.forTrainer(h.showChecklist))
	mux.HandleFunc("GET /board/results/{quiz}", h.forTrainer(h.showResults))
	mux.HandleFunc("GET /board/keys", h.forTrainer(h.listKeys))
	mux.HandleFunc("GET /board/learners", h.forTrainer(h.listLearners))
	mux.HandleFunc("GET /board/learner/export", h.forTrainer(h.exportLearner))
	mux.HandleFunc("POST /board/learner/delete", decision(h, h.deleteLearner))
	mux.HandleFunc("POST /board/backup", decision(h, h.makeBackup))
	mux.HandleFunc("POST /board/end", decision(h, h.endClass))
	h.routeAssessments(mux)
	h.routeClassroom(mux)
	h.routeSchool(mux)
}

func (h *Host) showBoard(w http.ResponseWriter, r *http.Request) error {
	if !h.private(r) {
		return h.showOpenly(w, r)
	}
	v := building.BoardPage{Addresses: h.Reach(), Accounts: h.Store.Several(), Copies: h.Store.CopiesItself()}
	if a := h.Authority; a != nil && a.Next() != nil {
		if a.Ending(h.Now()) {
			v.Ends = a.Ends().Format(time.DateOnly)
		}
		v.Lacks = h.lacks()
	}
	content, err := h.site.Board(v)
	return h.sendPage(w, r, http.StatusOK, content, err)
}

func (h *Host) boardFile(w http.ResponseWriter, r *http.Request) error {
	name := r.PathValue("file")
	content, err := h.site.OfBoard(name)
	if err != nil {
		return errMissing
	}
	return h.send(w, r, name, content, mayKeep)
}

// today is when the class began at the earliest, in milliseconds since 1970.
func (h *Host) today() int64 {
	now := h.Now()
	midnight := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	return min(midnight.UnixMilli(), now.Add(-window).UnixMilli())
}

// sendEvents tells when the board has changed, as server-sent events, at most twice a second.
// Source: WHATWG HTML, "Server-sent events".
func (h *Host) sendEvents(w http.ResponseWriter, r *http.Request, _ string) error {
	return h.tell(w, r, h.Store.Turn)
}

// tell sends events of whatever a count says that it has changed.
func (h *Host) tell(w http.ResponseWriter, r *http.Request, count func() (int64, <-chan struct{})) error {
	done, ok := h.streams.Take(guard.Address(r))
	if !ok {
		return later("too-fast", 30*time.Second)
	}
	defer done()
	control := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	send := func(text string) bool {
		if control.SetWriteDeadline(time.Now().Add(listen.AnswerTime)) != nil {
			return false
		}
		if _, err := fmt.Fprint(w, text); err != nil {
			return false
		}
		return control.Flush() == nil
	}
	if control.SetReadDeadline(time.Time{}) != nil {
		return nil
	}
	beat, pause := time.NewTicker(15*time.Second), time.NewTicker(500*time.Millisecond)
	defer beat.Stop()
	defer pause.Stop()
	turn, changed := count()
	alive := send(fmt.Sprintf("retry: 2000\ndata: %d\n\n", turn))
	for alive {
		select {
		case <-r.Context().Done():
			return nil
		case <-beat.C:
			alive = send(":\n\n")
			if _, _, open := h.session(r); !open {
				return nil // the session has ended
			}
		case <-changed:
			<-pause.C
			turn, changed = count()
			alive = send(fmt.Sprintf("data: %d\n\n", turn))
		}
	}
	return nil
}

// listKeys leads to the answer keys of all quizzes, to which no page of a learner's leads.
func (h *Host) listKeys(w http.ResponseWriter, r *http.Request, _ string) error {
	content, err := h.site.Keys()
	return h.sendPage(w, r, http.StatusOK, content, err)
}

// showResults is how the class did in a quiz, with the figures on each question.
func (h *Host) showResults(w http.ResponseWriter, r *http.Request, _ string) error {
	q := h.plans.Quiz(r.PathValue("quiz"))
	if q == nil {
		return errMissing
	}
	if err := h.turn(r, h.Memory); err != nil {
		return err
	}
	var files []collect.File
	err := h.Store.NewestResults(r.Context(), q.ID, 0, mostMarked, func(x store.Result) {
		files = append(files, collect.File{Name: x.Hash[:12] + ".json", Data: x.Body})
	})
	if err != nil {
		return err
	}
	slices.Reverse(files) // the first one first
	content, err := h.site.Results(q, h.plans.Mark(q, files...), r.URL.Query().Has("wall"))
	if err != nil {
		return err
	}
	letStyles(w, content)
	return h.sendPage(w, r, http.StatusOK, content, nil)
}

// style is a style sheet in a page that carries its own.
var style = regexp.MustCompile(`(?s)<style>(.*?)</style>`)

// letStyles lets in the styles that a page carries, by their hashes.
// Source: W3C, Content Security Policy Level 3, 8.4 (hash sources).
func letStyles(w http.ResponseWriter, page []byte) {
	var hashes []string
	for _, s := range style.FindAllSubmatch(page, -1) {
		sum := sha256.Sum256(s[1])
		hashes = append(hashes, "'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'")
	}
	w.Header().Set("Content-Security-Policy", guard.Policy(hashes...))
}
