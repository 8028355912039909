package preview

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"

	"matchmark/compile/served"
	"matchmark/procedure/balloon"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

// moveSize is more than any move needs, in bytes.
const moveSize = 4 << 10

// crossOrigin refuses what a page of another site sends.
// Source: W3C, Fetch Metadata Request Headers (Sec-Fetch-Site); RFC 6454, Origin.
var crossOrigin = http.NewCrossOriginProtection()

// refused is the answer to a move that was not made.
type refused struct {
	// Problem is a short name, for which the panel has words.
	Problem string `json:"problem"`
	// Detail says the same to whoever has no panel.
	Detail string `json:"detail"`
}

// made is the answer to a move that was made.
type made struct {
	File string `json:"file"`
	Line int    `json:"line"`
	// Undo is true when there is a move to take back.
	Undo bool `json:"undo"`
}

// serveFigures sends the figures of a page as the sources have them now.
func (s *Server) serveFigures(w http.ResponseWriter, r *http.Request) {
	figures, err := s.author.figures(r.URL.Query().Get("page"))
	if err != nil {
		refuse(w, err)
		return
	}
	served.JSON(w, http.StatusOK, struct {
		Figures []placed `json:"figures"`
		Undo    bool     `json:"undo"`
	}{figures, s.author.undoable()})
}

// serveMove writes a move of a balloon into its source.
func (s *Server) serveMove(w http.ResponseWriter, r *http.Request) {
	var m move
	if !accept(w, r, &m) {
		return
	}
	at, err := s.author.move(m)
	s.answerMove(w, at, err)
}

// serveUndo takes the last move back.
func (s *Server) serveUndo(w http.ResponseWriter, r *http.Request) {
	if !accept(w, r, &struct{}{}) {
		return
	}
	at, err := s.author.undo()
	s.answerMove(w, at, err)
}

func (s *Server) answerMove(w http.ResponseWriter, at text.Position, err error) {
	if err != nil {
		refuse(w, err)
		return
	}
	served.JSON(w, http.StatusOK, made{at.File, at.Line, s.author.undoable()})
}

// accept reads a request that changes a source, and answers those that it does not accept.
func accept(w http.ResponseWriter, r *http.Request, into any) bool {
	if r.Method != http.MethodPost {
		w.Header().Set("Allow", http.MethodPost)
		http.Error(w, "Only POST is answered.", http.StatusMethodNotAllowed)
		return false
	}
	if err := crossOrigin.Check(r); err != nil {
		served.JSON(w, http.StatusForbidden, refused{"foreign", "Only pages of this preview may move balloons."})
		return false
	}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		served.JSON(w, http.StatusUnsupportedMediaType, refused{"malformed", "Send application/json."})
		return false
	}
	body := json.NewDecoder(http.MaxBytesReader(w, r.Body, moveSize))
	body.DisallowUnknownFields()
	err := body.Decode(into)
	if err == nil {
		if _, more := body.Token(); more != io.EOF {
			err = errors.Join(errors.New("more than one value"), more)
		}
	}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		served.JSON(w, http.StatusRequestEntityTooLarge, refused{"malformed", "The request is too large."})
	case err != nil:
		served.JSON(w, http.StatusBadRequest, refused{"malformed", "The request is not what was expected: " + err.Error()})
	}
	return err == nil
}

// refuse says why a move was not made.
func refuse(w http.ResponseWriter, err error) {
	var meanwhile *rewrite.ChangedError
	var cannot *rewrite.WriteError
	status, problem := http.StatusInternalServerError, "failed"
	switch {
	case errors.Is(err, balloon.ErrChanged), errors.As(err, &meanwhile):
		status, problem = http.StatusConflict, "changed"
	case errors.Is(err, errNoFigure):
		status, problem = http.StatusNotFound, "gone"
	case errors.Is(err, errNothing):
		status, problem = http.StatusConflict, "nothing"
	case errors.Is(err, balloon.ErrOutside):
		status, problem = http.StatusUnprocessableEntity, "outside"
	case errors.Is(err, balloon.ErrNoPoint):
		status, problem = http.StatusUnprocessableEntity, "malformed"
	case errors.Is(err, balloon.ErrByHand), errors.Is(err, rewrite.ErrLink):
		status, problem = http.StatusConflict, "by-hand"
	case errors.Is(err, errPicture):
		status, problem = http.StatusUnprocessableEntity, "picture"
	case errors.As(err, &cannot):
		problem = "unwritable"
	}
	served.JSON(w, status, refused{problem, err.Error()})
}
