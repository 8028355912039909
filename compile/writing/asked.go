package writing

import (
	"encoding/json"
	"errors"
	"net/http"
	"strings"
	"time"

	"matchmark/compile/assist"
	"matchmark/compile/served"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// asked is what a page asks. Places are counted in UTF-16 units of Text.
type asked struct {
	File string `json:"file"`
	// Text is the file as it is typed, Sum stands for the bytes on disk that the page has seen last.
	Text string `json:"text"`
	Sum  string `json:"sum"`
	At   int    `json:"at"`
	// Name is a new name for what stands there.
	Name    string      `json:"name"`
	Changes []oneChange `json:"changes"`
	// Kind, Title and Of are those of a new file, and the machine or procedure that it is about.
	Kind  string `json:"kind"`
	Title string `json:"title"`
	Of    string `json:"of"`
	// Rows are those of a register, the headings first.
	Rows [][]string `json:"rows"`
}

// oneChange is a change of one place.
type oneChange struct {
	From int    `json:"from"`
	To   int    `json:"to"`
	Text string `json:"text"`
}

// changes are those of one file. Sum stands for its bytes; the file that the page writes in goes by what was typed.
type changes struct {
	File    string      `json:"file"`
	Sum     string      `json:"sum"`
	Changes []oneChange `json:"changes"`
}

type action func(*Room, *http.Request, http.ResponseWriter, *asked) (any, error)

var actions = map[string]action{
	"list": list, "open": openFile, "save": save, "change": change, "create": create, "restore": restore, "remove": remove,
	"versions": versions, "version": openVersion, "keep": keepText,
	"phone-open": phoneOpen, "phone-ask": phoneAsk, "phone-shut": phoneShut,
	"things": things, "grid": openGrid, "grid-write": writeGrid,
	"check": check, "complete": complete, "hover": hover, "uses": uses, "rename": rename, "tidy": tidy, "outline": outline,
}

// unasked is how long what was typed counts for other files when its page asks no more.
const unasked = 20 * time.Second

// take lays what a page has typed over its file, and takes away what no page asks about any more.
func (r *Room) take(a *asked) error {
	source, err := r.read(a.File)
	if err != nil {
		return err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	for name, t := range r.typed {
		if name != a.File && time.Since(t.at) > unasked {
			delete(r.typed, name)
			r.desk.Close(name)
		}
	}
	before, held := r.typed[a.File]
	switch {
	case shown(source) == a.Text:
		if held {
			delete(r.typed, a.File)
			r.desk.Close(a.File)
		}
		return nil
	case !held || before.text != a.Text:
		r.desk.Type(a.File, []byte(a.Text))
	}
	r.typed[a.File] = typed{a.Text, time.Now()}
	return nil
}

// forget lets what is on disk count again.
func (r *Room) forget(name string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.typed, name)
	r.desk.Close(name)
}

// none is nil for an error that says that there is nothing to answer, such as about a file that is not the compiler's.
func none(err error) error {
	if errors.Is(err, assist.ErrNoFile) {
		return nil
	}
	return err
}

// asks is the desk that answers.
func (r *Room) asks() *assist.Desk {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.desk
}

// message is a message about the library.
type message struct {
	File     string `json:"file"`
	Line     int    `json:"line"`
	From     int    `json:"from"`
	To       int    `json:"to"`
	Severity string `json:"severity"`
	Code     string `json:"code"`
	Says     string `json:"says"`
	Do       string `json:"do"`
	See      []see  `json:"see,omitempty"`
	Fixes    []fix  `json:"fixes,omitempty"`
}

type see struct {
	File string `json:"file"`
	Line int    `json:"line"`
	Says string `json:"says"`
}

type fix struct {
	Title string    `json:"title"`
	Edits []changes `json:"edits"`
	Sure  bool      `json:"sure"`
	// Reason is the word that the author is to replace by a reason; empty for none.
	Reason string `json:"reason,omitempty"`
}

// told is what a check has found so far: in the file that is asked about, or with Whole in all of the library.
type told struct {
	Whole    bool      `json:"whole"`
	Messages []message `json:"messages"`
}

// check answers with one line of JSON for what is wrong with the file, and another one for the library.
func check(r *Room, q *http.Request, w http.ResponseWriter, a *asked) (any, error) {
	if err := r.take(a); err != nil {
		return nil, err
	}
	w.Header().Set("Content-Type", served.ContentType(".txt"))
	control, lines := http.NewResponseController(w), json.NewEncoder(w)
	desk := r.asks()
	err := desk.Check(q.Context(), []string{a.File}, func(found []diagnostic.Diagnostic, whole bool) {
		out := told{whole, []message{}}
		lists := desk.Lists(a.File)
		for _, d := range found {
			if d.Span.File != nil && (whole || d.Span.File.Name == a.File) {
				of := lists
				if d.Span.File.Name != a.File {
					of = nil // another machine's, it may be
				}
				out.Messages = append(out.Messages, messageOf(d, of, desk.Language()))
			}
		}
		_ = lines.Encode(out) // a page that is gone hears nothing
		_ = control.Flush()
	})
	if errors.Is(err, assist.ErrOvertaken) || q.Context().Err() != nil {
		return nil, nil // the page sees that the last line is missing, and asks again when nobody types
	}
	return nil, err
}

func messageOf(d diagnostic.Diagnostic, lists *assist.Lists, words say.Language) message {
	src := d.Span.File.Source
	m := message{
		File: d.Span.File.Name, Line: d.Span.At().Line, From: unitsAt(src, d.Span.Start), To: unitsAt(src, d.Span.End), Severity: d.Severity.String(), Code: string(d.Code),
		Says: diagnostic.Sentence(d.Says().In(words)), Do: diagnostic.Sentence(d.Advice.In(words)),
	}
	if d.Advice.Empty() {
		m.Do = ""
	}
	for _, s := range d.See {
		if s.Span.File != nil {
			m.See = append(m.See, see{s.Span.File.Name, s.Span.At().Line, s.Says.In(words)})
		}
	}
	for _, f := range assist.Remedies([]diagnostic.Diagnostic{d}, d.Span, lists) {
		m.Fixes = append(m.Fixes, fix{f.Title.In(words), inFiles(f.Edits), f.Sure, f.Reason})
	}
	return m
}

// inFiles are edits by file, in the order in which files come first.
func inFiles(edits []rewrite.Edit) []changes {
	out, at := []changes{}, map[string]int{}
	for _, e := range edits {
		name, src := e.Span.File.Name, e.Span.File.Source
		i, ok := at[name]
		if !ok {
			i = len(out)
			at[name] = i
			out = append(out, changes{File: name, Sum: sumOf(src)})
		}
		out[i].Changes = append(out[i].Changes, oneChange{unitsAt(src, e.Span.Start), unitsAt(src, e.Span.End), shown([]byte(e.Text))})
	}
	return out
}

// place is the byte of the place that is asked about, in the file as the desk has it.
func (r *Room) place(a *asked) (offset int, err error) {
	if err := r.take(a); err != nil {
		return 0, err
	}
	source, err := r.read(a.File)
	if err != nil {
		return 0, err
	}
	if shown(source) != a.Text {
		source = []byte(a.Text)
	}
	return byteAt(source, a.At), nil
}

// offer is something that may be written at a place.
type offer struct {
	Label  string `json:"label"`
	Detail string `json:"detail"`
	Means  string `json:"means"`
	Text   string `json:"text"`
	From   int    `json:"from"`
	To     int    `json:"to"`
	Blanks bool   `json:"blanks"`
	Kind   string `json:"kind"`
}

var offerKinds = map[assist.OfferKind]string{assist.OfferWord: "keyword", assist.OfferName: "variable", assist.OfferField: "property", assist.OfferBlock: "class", assist.OfferUnit: "constant"}

func complete(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	at, err := r.place(a)
	if err != nil {
		return nil, err
	}
	offers, err := r.asks().Complete(a.File, at)
	out := []offer{}
	for _, o := range offers {
		src := o.At.File.Source
		out = append(out, offer{o.Label, o.Detail, o.Means, o.Text, unitsAt(src, o.At.Start), unitsAt(src, o.At.End), o.Blanks, offerKinds[o.Kind]})
	}
	return out, none(err)
}

// hint says what stands at a place, in words with a little Markdown.
type hint struct {
	From  int    `json:"from"`
	To    int    `json:"to"`
	Words string `json:"words"`
}

func hover(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	at, err := r.place(a)
	if err != nil {
		return nil, err
	}
	h, err := r.asks().Hover(a.File, at)
	if err != nil || h == nil {
		return hint{}, none(err)
	}
	return hint{unitsAt(h.At.File.Source, h.At.Start), unitsAt(h.At.File.Source, h.At.End), h.Words}, nil
}

// used is a place at which a name stands.
type used struct {
	File string `json:"file"`
	Line int    `json:"line"`
	From int    `json:"from"`
	To   int    `json:"to"`
}

func usedAt(s text.Span) used {
	return used{s.File.Name, s.At().Line, unitsAt(s.File.Source, s.Start), unitsAt(s.File.Source, s.End)}
}

// uses lists all places of the name at a place, the one that gives it first.
func uses(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	at, err := r.place(a)
	if err != nil {
		return nil, err
	}
	out := []used{}
	def, err := r.asks().Definition(a.File, at)
	if none(err) != nil {
		return nil, err
	}
	if def.Valid() {
		out = append(out, usedAt(def))
	}
	all, err := r.asks().Uses(a.File, at, false)
	for _, s := range all {
		out = append(out, usedAt(s))
	}
	return out, none(err)
}

// rename answers with the changes that give the name at a place another form.
func rename(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	at, err := r.place(a)
	if err != nil {
		return nil, err
	}
	edits, err := r.asks().Rename(a.File, at, strings.TrimSpace(a.Name))
	var wrong *assist.Renaming
	if errors.As(err, &wrong) {
		return nil, &Refusal{Problem: "rename", Detail: wrong.Wrong, status: http.StatusUnprocessableEntity}
	}
	if none(err) != nil {
		return nil, err
	}
	return inFiles(edits), nil
}

// tidy answers with the changes that give the file its one form.
func tidy(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	if err := r.take(a); err != nil {
		return nil, err
	}
	edits, err := r.asks().Tidy(a.File)
	if none(err) != nil {
		return nil, err
	}
	return inFiles(edits), nil
}

// symbol is a thing that the file holds.
type symbol struct {
	Name  string   `json:"name"`
	ID    string   `json:"id"`
	Kind  string   `json:"kind"`
	From  int      `json:"from"`
	To    int      `json:"to"`
	Below []symbol `json:"below"`
}

var symbolKinds = map[assist.SymbolKind]string{
	assist.SymbolSection: "section", assist.SymbolStep: "step", assist.SymbolFigure: "figure", assist.SymbolRegister: "register",
	assist.SymbolRow: "row", assist.SymbolQuestion: "question", assist.SymbolBlock: "block",
}

func outline(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	if err := r.take(a); err != nil {
		return nil, err
	}
	all, err := r.asks().Outline(a.File)
	return symbols(all), none(err)
}

func symbols(all []assist.Symbol) []symbol {
	out := []symbol{}
	for _, s := range all {
		_, last, _ := strings.Cut(s.Detail, " ") // "figure feet-left"
		if s.Kind == assist.SymbolStep || s.Kind == assist.SymbolSection {
			last = s.Detail
		}
		src := s.At.File.Source
		out = append(out, symbol{s.Name, strings.Trim(last, `" `), symbolKinds[s.Kind], unitsAt(src, s.At.Start), unitsAt(src, s.At.End), symbols(s.Below)})
	}
	return out
}
