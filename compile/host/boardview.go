package host

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"sync"
	"time"

	"matchmark/compile/classresult"
	"matchmark/compile/host/board"
	"matchmark/compile/host/guard"
	"matchmark/compile/page"
	"matchmark/compile/served"
	"matchmark/procedure/quiz/collect"
)

// mostShown is how many results the board lists, the newest first.
const mostShown = 500

// window is how far back a class reaches at least, for one that works past midnight.
const window = 12 * time.Hour

func (h *Host) routeBoard(mux *http.ServeMux) {
	mux.HandleFunc("GET /board/{$}", h.showBoard)
	mux.HandleFunc("GET /board/{file}", h.boardFile)
	mux.HandleFunc("POST /board/pin", h.enter)
	mux.HandleFunc("POST /board/leave", h.leave)
	mux.HandleFunc("GET /board/state", h.forTrainer(h.sendState))
	mux.HandleFunc("GET /board/events", h.forTrainer(h.sendEvents))
	mux.HandleFunc("POST /board/sign", h.forTrainer(h.sign))
	mux.HandleFunc("GET /board/photo/{job}/{hash}", h.forTrainer(func(w http.ResponseWriter, r *http.Request, _ string) { h.sendPhoto(w, r) }))
	mux.HandleFunc("GET /board/record/{job}", h.forTrainer(h.downloadRecord))
	mux.HandleFunc("GET /board/workorder/{job}", h.forTrainer(h.showOrder))
	mux.HandleFunc("GET /board/checklist/{job}", h.forTrainer(h.showChecklist))
	mux.HandleFunc("GET /board/results/{quiz}", h.forTrainer(h.showResults))
	mux.HandleFunc("GET /board/learners", h.forTrainer(h.listLearners))
	mux.HandleFunc("GET /board/learner/export", h.forTrainer(h.exportLearner))
	mux.HandleFunc("POST /board/learner/delete", h.forTrainer(h.deleteLearner))
	mux.HandleFunc("POST /board/backup", h.forTrainer(h.makeBackup))
}

// boardPage is what the board's page is made from. It holds nothing of the class.
type boardPage struct {
	Lang, Site string
	Addresses  []string
}

// Language makes a page a themes.View.
func (v boardPage) Language() string { return v.Lang }

func (h *Host) showBoard(w http.ResponseWriter, r *http.Request) {
	h.page(w, r, http.StatusOK, "board/board", boardPage{h.words.Lang, h.title, h.Reach()})
}

func (h *Host) boardFile(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	if name != "board.js" && name != "board.css" {
		h.missing(w, r)
		return
	}
	content, err := h.asset(name)
	if err != nil {
		h.missing(w, r)
		return
	}
	h.send(w, r, name, content, mayKeep)
}

// views keeps the board's state until something changes.
type views struct {
	mu   sync.Mutex
	turn int64
	made time.Time
	json []byte
}

// today is when the class began at the earliest, in milliseconds since 1970.
func (h *Host) today() int64 {
	now := h.Now()
	midnight := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location())
	return min(midnight.UnixMilli(), now.Add(-window).UnixMilli())
}

// state is the board as JSON, without the time.
func (h *Host) state(r *http.Request) ([]byte, error) {
	h.views.mu.Lock()
	defer h.views.mu.Unlock()
	turn, _ := h.Store.Turn()
	now := h.Now()
	if h.views.json != nil && h.views.turn == turn && now.Sub(h.views.made) < time.Minute {
		return h.views.json, nil
	}
	since := h.today()
	jobs, err := h.Store.Jobs(r.Context(), since)
	if err != nil {
		return nil, err
	}
	results, err := h.Store.Results(r.Context(), "", since)
	if err != nil {
		return nil, err
	}
	made := h.plans.State(jobs, results[max(0, len(results)-mostShown):])
	slices.SortStableFunc(made.Results, func(a, b board.Result) int { return int(b.At - a.At) })
	content, err := json.Marshal(made)
	if err != nil {
		return nil, err
	}
	h.views.turn, h.views.made, h.views.json = turn, now, content
	return content, nil
}

// sendState sends the whole board, unless the asker has it.
func (h *Host) sendState(w http.ResponseWriter, r *http.Request, who string) {
	state, err := h.state(r)
	if err != nil {
		h.failed(w, r, err)
		return
	}
	mark := tag(append(slices.Clip(state), who...))
	head, err := json.Marshal(struct {
		Now     int64  `json:"now"`
		Trainer string `json:"trainer"`
		Rev     string `json:"rev"`
	}{h.Now().UnixMilli(), who, mark})
	if err != nil {
		h.failed(w, r, err)
		return
	}
	// Both are objects; the state's fields go on after the head's.
	body := bytes.Join([][]byte{head[:len(head)-1], state[1:]}, []byte(","))
	answerTagged(w, r, body, mark)
}

// sendEvents tells when the board has changed, as server-sent events, at most twice a second.
// Source: WHATWG HTML, "Server-sent events".
func (h *Host) sendEvents(w http.ResponseWriter, r *http.Request, _ string) {
	done, ok := h.streams.Take(guard.Address(r))
	if !ok {
		h.wait(w, r, "too-fast", 30*time.Second)
		return
	}
	defer done()
	control := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	send := func(text string) bool {
		if control.SetWriteDeadline(time.Now().Add(answerTime)) != nil {
			return false
		}
		if _, err := fmt.Fprint(w, text); err != nil {
			return false
		}
		return control.Flush() == nil
	}
	if control.SetReadDeadline(time.Time{}) != nil {
		return
	}
	beat, pause := time.NewTicker(15*time.Second), time.NewTicker(500*time.Millisecond)
	defer beat.Stop()
	defer pause.Stop()
	turn, changed := h.Store.Turn()
	alive := send(fmt.Sprintf("retry: 2000\ndata: %d\n\n", turn))
	for alive {
		select {
		case <-r.Context().Done():
			return
		case <-beat.C:
			alive = send(":\n\n")
			if _, _, open := h.session(r); !open {
				return // the session has ended
			}
		case <-changed:
			<-pause.C
			turn, changed = h.Store.Turn()
			alive = send(fmt.Sprintf("data: %d\n\n", turn))
		}
	}
}

// showResults is how the class did in a quiz, with the figures on each question.
func (h *Host) showResults(w http.ResponseWriter, r *http.Request, _ string) {
	q := h.plans.Quiz(r.PathValue("quiz"))
	if q == nil {
		h.missing(w, r)
		return
	}
	results, err := h.Store.Results(r.Context(), q.ID, 0)
	if err != nil {
		h.failed(w, r, err)
		return
	}
	var files []collect.File
	for _, x := range results {
		files = append(files, collect.File{Name: x.Hash[:12] + ".json", Data: x.Body})
	}
	made, err := classresult.New(h.Library, collect.Read(q, files))
	if err != nil {
		h.failed(w, r, err)
		return
	}
	made.Crumbs = []page.Crumb{{Title: h.words.T("board.title"), Link: "/board/"}, {Title: made.Quiz, Link: "/" + page.QuizPath(q)}}
	var b bytes.Buffer
	if err := made.Page(&b); err != nil {
		h.failed(w, r, err)
		return
	}
	sendWhole(w, b.Bytes())
}

// style is a style sheet in a page that carries its own.
var style = regexp.MustCompile(`(?s)<style>(.*?)</style>`)

// sendWhole sends a page that carries its styles: they are let in by their hashes.
// Source: W3C, Content Security Policy Level 3, 8.4 (hash sources).
func sendWhole(w http.ResponseWriter, page []byte) {
	var hashes []string
	for _, s := range style.FindAllSubmatch(page, -1) {
		sum := sha256.Sum256(s[1])
		hashes = append(hashes, "'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"'")
	}
	w.Header().Set("Content-Security-Policy", guard.Policy(hashes...))
	w.Header().Set("Content-Type", served.ContentType(".html"))
	w.Header().Set("Cache-Control", "no-store")
	w.Write(page)
}
