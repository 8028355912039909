package lsp

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"

	"matchmark/compile/assist"
	messages "matchmark/procedure/diagnostic"
)

// library is a library of which files are open.
type library struct {
	server *server
	folder string
	desk   *assist.Desk
	again  chan struct{} // something has changed

	mu    sync.Mutex
	found []messages.Diagnostic // what was told last of the open files, or of all
	shown map[string]bool       // the files that the editor shows messages on
}

// check has the library checked soon.
func (l *library) check() {
	select {
	case l.again <- struct{}{}:
	default:
	}
}

// watch checks the library each time that something has changed.
func (l *library) watch(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-l.again:
		}
		err := l.desk.Check(ctx, l.openNames(), func(found []messages.Diagnostic, whole bool) { l.tell(ctx, found, whole) })
		switch {
		case errors.Is(err, assist.ErrOvertaken):
			l.check()
		case err != nil && ctx.Err() == nil:
			_ = l.server.conn.Notify(ctx, "window/logMessage", map[string]any{"type": severityError, "message": err.Error()})
		}
	}
}

// tell shows messages. Those on open files come first, and then stand for these files alone.
func (l *library) tell(ctx context.Context, found []messages.Diagnostic, whole bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	byFile := map[string][]messages.Diagnostic{}
	for _, d := range found {
		if d.Span.File != nil {
			byFile[d.Span.File.Name] = append(byFile[d.Span.File.Name], d)
		}
	}
	if whole {
		l.found = found
		for name := range l.shown {
			if byFile[name] == nil {
				byFile[name] = nil // an empty list takes the old ones away
			}
		}
	} else {
		kept := l.found
		l.found = nil
		open := map[string]bool{}
		for _, name := range l.openNames() {
			open[name] = true
			if byFile[name] == nil {
				byFile[name] = nil
			}
		}
		for name := range byFile {
			if !open[name] {
				delete(byFile, name)
			}
		}
		for _, d := range kept {
			if d.Span.File != nil && !open[d.Span.File.Name] {
				l.found = append(l.found, d)
			}
		}
		for name := range byFile {
			l.found = append(l.found, byFile[name]...)
		}
	}
	for name, all := range byFile {
		l.publish(ctx, name, all)
	}
}

func (l *library) publish(ctx context.Context, name string, all []messages.Diagnostic) {
	if len(all) == 0 && !l.shown[name] && !slices.Contains(l.openNames(), name) {
		return
	}
	l.shown[name] = len(all) > 0
	out := []diagnostic{}
	for _, d := range all {
		out = append(out, l.diagnostic(d))
	}
	_ = l.server.conn.Notify(ctx, "textDocument/publishDiagnostics", map[string]any{"uri": l.address(name), "diagnostics": out})
}

var severities = map[messages.Severity]int{messages.Error: severityError, messages.Warning: severityWarning, messages.Advice: severityInformation, messages.NotChecked: severityHint}

// diagnostic writes a message for the editor: what is wrong, and below it what to do.
func (l *library) diagnostic(d messages.Diagnostic) diagnostic {
	words := l.desk.Language()
	says := []string{messages.Sentence(d.Says().In(words))}
	if !d.Advice.Empty() {
		says = append(says, messages.Sentence(d.Advice.In(words)))
	}
	out := diagnostic{Range: l.location(d.Span).Range, Severity: severities[d.Severity], Code: string(d.Code), Source: "matchmark", Message: strings.Join(says, "\n")}
	for _, see := range d.See {
		if see.Span.File != nil {
			out.RelatedInformation = append(out.RelatedInformation, related{l.location(see.Span), see.Says.In(words)})
		}
	}
	return out
}
