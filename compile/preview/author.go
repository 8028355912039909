package preview

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"strconv"
	"strings"
	"sync"

	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/balloon"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/refit"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// remembered is how many moves can be taken back, the last one first.
const remembered = 100

// Why a move is refused, beside the errors of package balloon.
var (
	errNoFigure = errors.New("the library does not have that figure there")
	errPicture  = errors.New("the figure's picture cannot be read")
	errNothing  = errors.New("there is no move to take back")
)

// author moves balloons in the sources of a library. It reads the library anew
// for each request: what counts is what the files say now, not what they said at the last compile.
type author struct {
	dir string

	mu   sync.Mutex
	done []move
}

// move is what a page asks for.
type move struct {
	// Page is the page's path in the site; it says which machine or procedure the figure belongs to.
	Page   string `json:"page"`
	Figure string `json:"figure"`
	Thing  string `json:"thing"`
	Which  int    `json:"which"`
	Point  int    `json:"point"`
	From   string `json:"from"`
	To     string `json:"to"`
}

// back is the move that takes this one back.
func (m move) back() move {
	m.From, m.To = m.To, m.From
	return m
}

// hasFigures says whether figures of a page can be found in the sources.
func hasFigures(page string) bool {
	kind, rest, _ := strings.Cut(page, "/")
	return rest != "" && (kind == "machine" || kind == "procedure")
}

// open opens the library. Nothing outside its folder can be read or written through it.
func (a *author) open() (*os.Root, *procedure.Library, error) {
	root, err := os.OpenRoot(a.dir)
	if err != nil {
		return nil, nil, err
	}
	// Faults are told by the compile; what could be read all the same is enough here.
	var log diagnostic.Log
	lib, err := source.Read(root.FS(), &log)
	if err != nil {
		root.Close()
		return nil, nil, err
	}
	return root, lib.Resolve(&log), nil
}

// figuresOf returns the figures that a page can show, and the machine that they show.
func figuresOf(lib *procedure.Library, page string) ([]*procedure.Figure, *procedure.Machine) {
	kind, rest, _ := strings.Cut(page, "/")
	switch kind {
	case "machine":
		for _, m := range lib.Machines {
			if m.ID+".html" == rest {
				return m.Figures, m
			}
		}
	case "procedure":
		p := procedureOf(lib, path.Dir(rest))
		switch {
		case p == nil:
		case p.Machine == nil:
			return p.Figures, nil
		default:
			return append(p.Figures[:len(p.Figures):len(p.Figures)], p.Machine.Figures...), p.Machine
		}
	}
	return nil, nil
}

// procedureOf returns the procedure with that name, or the one whose refitting has it.
func procedureOf(lib *procedure.Library, id string) *procedure.Procedure {
	removal := strings.TrimSuffix(id, refit.Suffix)
	var found *procedure.Procedure
	for _, p := range lib.Procedures {
		switch p.ID {
		case id:
			return p
		case removal:
			found = p
		}
	}
	return found
}

// measure gives a figure its picture's size.
func measure(files fs.FS, f *procedure.Figure) error {
	pic, err := picture.Read(files, f.Source)
	if err != nil {
		return errors.Join(errPicture, err)
	}
	f.Width, f.Height = pic.Width, pic.Height
	f.Balloons = balloon.Place(f.Balloons, f.Width, f.Height)
	return nil
}

// placed is a figure as the sources have it now.
type placed struct {
	ID       string          `json:"id"`
	Width    float64         `json:"width"`
	Height   float64         `json:"height"`
	Balloons []placedBalloon `json:"balloons"`
}

type placedBalloon struct {
	Thing string `json:"thing"`
	Which int    `json:"which"`
	Text  string `json:"text"`
	// Points are the balloon's own and those that its leaders end on, letter for letter.
	Points []string `json:"points"`
	// Beside counts the balloons before it on one leader, which move as one.
	Beside int `json:"beside,omitempty"`
	// ByHand is true when it cannot be moved from the page.
	ByHand bool `json:"byHand,omitempty"`
}

// figures returns the figures that a page can show. One without a usable picture is left out.
func (a *author) figures(page string) ([]placed, error) {
	root, lib, err := a.open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	out := []placed{}
	list, machine := figuresOf(lib, page)
	for _, f := range list {
		if measure(root.FS(), f) != nil {
			continue
		}
		shown := placed{ID: f.ID, Width: f.Width, Height: f.Height, Balloons: []placedBalloon{}}
		seen := map[string]int{}
		for _, b := range f.Balloons {
			shown.Balloons = append(shown.Balloons, place(b, seen[b.Ref.ID], machine))
			seen[b.Ref.ID]++
		}
		out = append(out, shown)
	}
	return out, nil
}

func place(b procedure.Balloon, which int, machine *procedure.Machine) placedBalloon {
	out := placedBalloon{Thing: b.Ref.ID, Which: which, Text: b.Ref.ID, Beside: b.Beside}
	if machine != nil {
		if thing := machine.Thing(b.Ref.ID); thing != nil && thing.Part != nil && thing.Part.Letter != "" {
			out.Text = thing.Part.Letter
		}
	}
	spans, err := balloon.Points(b)
	for _, s := range spans {
		out.Points = append(out.Points, s.Text())
	}
	if err != nil {
		out.ByHand = true
		for _, p := range append([]procedure.Point{b.Label}, b.Targets...) {
			out.Points = append(out.Points, strconv.FormatFloat(p.X, 'f', -1, 64)+","+strconv.FormatFloat(p.Y, 'f', -1, 64))
		}
	}
	return out
}

// move writes a move into the source and returns where.
func (a *author) move(m move) (text.Position, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	at, err := a.write(m)
	if err == nil && m.From != m.To {
		a.done = append(a.done[max(0, len(a.done)-remembered+1):], m)
	}
	return at, err
}

// undo takes the last move back. One that cannot be taken back, because the
// source has changed since, is forgotten: the ones before it may still go. One
// that the picture or the disk stands in the way of is kept for when they no longer do.
func (a *author) undo() (text.Position, error) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if len(a.done) == 0 {
		return text.Position{}, errNothing
	}
	last := a.done[len(a.done)-1]
	at, err := a.write(last.back())
	var cannot *rewrite.WriteError
	if !errors.As(err, &cannot) && !errors.Is(err, errPicture) {
		a.done = a.done[:len(a.done)-1]
	}
	return at, err
}

// undoable says whether there is a move to take back.
func (a *author) undoable() bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	return len(a.done) > 0
}

func (a *author) write(m move) (at text.Position, err error) {
	root, lib, err := a.open()
	if err != nil {
		return at, err
	}
	defer root.Close()
	list, _ := figuresOf(lib, m.Page)
	for _, f := range list {
		if f.ID != m.Figure {
			continue
		}
		if err := measure(root.FS(), f); err != nil {
			return at, err
		}
		edit, err := balloon.Move{Thing: m.Thing, Which: m.Which, Point: m.Point, From: m.From, To: m.To}.Edit(f)
		if err != nil {
			return at, err
		}
		files, err := rewrite.Make([]rewrite.Edit{edit})
		if err != nil {
			return at, err
		}
		return edit.Span.At(), rewrite.Replace(root, files)
	}
	return at, errNoFigure
}
