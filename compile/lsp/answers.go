package lsp

import (
	"context"
	"errors"
	"fmt"

	"github.com/sourcegraph/jsonrpc2"

	"matchmark/compile/assist"
	"matchmark/procedure/say"
	"matchmark/procedure/source/highlight"
	"matchmark/procedure/text"
)

var itemKinds = map[assist.OfferKind]int{
	assist.OfferWord: itemKeyword, assist.OfferName: itemVariable, assist.OfferField: itemProperty, assist.OfferBlock: itemSnippet, assist.OfferUnit: itemUnit,
}

func (s *server) completion(_ context.Context, p atPosition) (any, error) {
	items := []completionItem{}
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return map[string]any{"isIncomplete": false, "items": items}, nil
	}
	offers, err := d.library.desk.Complete(d.name, d.offset(p.Position))
	if failed(err) != nil {
		return nil, failed(err)
	}
	for i, o := range offers {
		item := completionItem{
			Label: o.Label, Kind: itemKinds[o.Kind], Detail: o.Detail, SortText: fmt.Sprintf("%04d", i), FilterText: d.words(o.At) + o.Label,
			InsertTextFormat: plainText, TextEdit: textEdit{d.place(o.At), o.Text},
		}
		if o.Means != "" {
			item.Documentation = &markup{"markdown", o.Means}
		}
		if o.Blanks && s.snippets {
			item.InsertTextFormat = snippet
		} else if o.Blanks {
			item.TextEdit.NewText = withoutBlanks(o.Text)
		}
		items = append(items, item)
	}
	return map[string]any{"isIncomplete": false, "items": items}, nil
}

// words is what an offer takes the place of: with it in front, an editor that filters finds what was found by its meaning.
func (d *document) words(at text.Span) string {
	words := at.Text()
	if words == "" {
		return ""
	}
	return words + " "
}

func (s *server) hover(_ context.Context, p atPosition) (any, error) {
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return nil, nil
	}
	h, err := d.library.desk.Hover(d.name, d.offset(p.Position))
	if err != nil || h == nil {
		return nil, failed(err)
	}
	return hover{markup{"markdown", h.Words}, d.place(h.At)}, nil
}

func (s *server) definition(_ context.Context, p atPosition) (any, error) {
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return nil, nil
	}
	at, err := d.library.desk.Definition(d.name, d.offset(p.Position))
	if err != nil || !at.Valid() {
		return nil, failed(err)
	}
	return d.library.location(at), nil
}

func (s *server) references(_ context.Context, p struct {
	atPosition
	Context struct {
		IncludeDeclaration bool `json:"includeDeclaration"`
	} `json:"context"`
}) (any, error) {
	out := []location{}
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return out, nil
	}
	all, err := d.library.desk.Uses(d.name, d.offset(p.Position), p.Context.IncludeDeclaration)
	if err != nil {
		return nil, failed(err)
	}
	for _, at := range all {
		out = append(out, d.library.location(at))
	}
	return out, nil
}

func (s *server) prepareRename(_ context.Context, p atPosition) (any, error) {
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return nil, nil
	}
	at, err := d.library.desk.Named(d.name, d.offset(p.Position))
	if err != nil || !at.Valid() {
		return nil, failed(err)
	}
	return map[string]any{"range": d.place(at), "placeholder": at.Text()}, nil
}

func (s *server) rename(_ context.Context, p struct {
	atPosition
	NewName string `json:"newName"`
}) (any, error) {
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return nil, nil
	}
	edits, err := d.library.desk.Rename(d.name, d.offset(p.Position), p.NewName)
	if err != nil {
		return nil, failed(err)
	}
	return d.library.edits(edits), nil
}

// failed is an error as the protocol tells one that the user is to read; nil for none, and where there is nothing to answer.
func failed(err error) error {
	if err == nil || errors.Is(err, assist.ErrNoFile) {
		return nil
	}
	return &jsonrpc2.Error{Code: codeFailed, Message: err.Error()}
}

var symbolKinds = map[assist.SymbolKind]int{
	assist.SymbolSection: symbolNamespace, assist.SymbolStep: symbolMethod, assist.SymbolFigure: symbolObject,
	assist.SymbolRegister: symbolArray, assist.SymbolQuestion: symbolEvent, assist.SymbolBlock: symbolField,
}

func (s *server) symbols(_ context.Context, p struct{ TextDocument documentID }) (any, error) {
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return []documentSymbol{}, nil
	}
	all, err := d.library.desk.Outline(d.name)
	if err != nil {
		return nil, failed(err)
	}
	if s.tree {
		return d.tree(all), nil
	}
	return d.flat(all, []symbolInformation{}), nil
}

func (d *document) tree(all []assist.Symbol) []documentSymbol {
	out := []documentSymbol{}
	for _, x := range all {
		name := x.Name
		if name == "" {
			name = x.Detail
		}
		if name == "" {
			name = "…" // the protocol allows no empty name
		}
		out = append(out, documentSymbol{name, x.Detail, symbolKinds[x.Kind], d.place(x.At), d.place(x.Head), d.tree(x.Below)})
	}
	return out
}

func (d *document) flat(all []assist.Symbol, out []symbolInformation) []symbolInformation {
	for i, x := range d.tree(all) {
		out = append(out, symbolInformation{x.Name, x.Kind, location{d.uri, x.Range}})
		out = d.flat(all[i].Below, out)
	}
	return out
}

func (s *server) folds(_ context.Context, p struct{ TextDocument documentID }) (any, error) {
	out := []foldingRange{}
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return out, nil
	}
	all, err := d.library.desk.Folds(d.name)
	for _, f := range all {
		out = append(out, foldingRange{f[0] - 1, f[1] - 1})
	}
	return out, failed(err)
}

func (s *server) links(_ context.Context, p struct{ TextDocument documentID }) (any, error) {
	out := []documentLink{}
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return out, nil
	}
	all, err := d.library.desk.Links(d.name)
	for _, l := range all {
		out = append(out, documentLink{d.place(l.At), d.library.target(l.File)})
	}
	return out, failed(err)
}

// refittingCommand has the derived refitting of a procedure written out.
const refittingCommand = "matchmark.refitting"

func (s *server) codeActions(_ context.Context, p struct {
	TextDocument documentID
	Range        area
}) (any, error) {
	out := []codeAction{}
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return out, nil
	}
	l := d.library
	l.mu.Lock()
	found := l.found
	l.mu.Unlock()
	at := text.NewFile(d.name, d.src).Span(d.offset(p.Range.Start), d.offset(p.Range.End))
	for _, r := range assist.Remedies(found, at, l.desk.Lists(d.name)) {
		if string(r.Of.Span.File.Source) != string(d.src) {
			continue // the text has changed since: what a fix would change may be gone
		}
		out = append(out, codeAction{Title: r.Title.In(l.desk.Language()), Kind: "quickfix", Diagnostics: []diagnostic{l.diagnostic(r.Of)}, IsPreferred: r.Sure, Edit: l.edits(r.Edits)})
	}
	if _, err := l.desk.Refitting(d.name); err == nil {
		c := &command{say.That("Show the derived refitting").In(l.desk.Language()), refittingCommand, []any{d.uri}}
		out = append(out, codeAction{Title: c.Title, Kind: "source", Command: c})
	}
	return out, nil
}

func (s *server) execute(_ context.Context, p struct {
	Command   string
	Arguments []string
}) (any, error) {
	if p.Command != refittingCommand || len(p.Arguments) != 1 {
		return nil, failed(fmt.Errorf("%q is no command of matchmark's", p.Command))
	}
	d := s.document(p.Arguments[0])
	if d == nil {
		return nil, failed(errors.New("the file is not open"))
	}
	words, err := d.library.desk.Refitting(d.name)
	return words, failed(err)
}

func (s *server) format(_ context.Context, p struct{ TextDocument documentID }) (any, error) {
	out := []textEdit{}
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return out, nil
	}
	edits, err := d.library.desk.Tidy(d.name)
	for _, e := range edits {
		out = append(out, textEdit{d.place(e.Span), e.Text})
	}
	return out, failed(err)
}

// tokenTypes are the protocol's types of token that the language has.
var tokenTypes = []string{"keyword", "function", "property", "type", "operator", "string", "number", "comment", "namespace"}

func (s *server) tokens(_ context.Context, p struct{ TextDocument documentID }) (any, error) {
	data := []int{}
	d := s.document(p.TextDocument.URI)
	if d == nil {
		return map[string]any{"data": data}, nil
	}
	line, character := 0, 0
	for _, t := range highlight.Tokens(string(d.src)) {
		for start := t.Start; start < t.End; {
			at := d.position(start)
			end := min(t.End, d.end(at.Line))
			if end > start {
				length := d.position(end).Character - at.Character
				if at.Line != line {
					character = 0
				}
				data = append(data, at.Line-line, at.Character-character, length, tokenNumber[t.Class], 0)
				line, character = at.Line, at.Character
			}
			if at.Line+1 >= len(d.starts) {
				break
			}
			start = max(end, d.starts[at.Line+1])
		}
	}
	return map[string]any{"data": data}, nil
}

var tokenNumber = func() map[string]int {
	out := map[string]int{}
	for i, t := range tokenTypes {
		out[t] = i
	}
	return out
}()
