package main

import (
	"bytes"
	"strings"
	"testing"

	"matchmark/procedure/diagnostic"
)

// A fault of matchmark's own among the messages gives the exit code for one; --trace says where it happened.
func TestOwnFaultAmongMessages(t *testing.T) {
	library := diagnostic.Diagnostic{Code: "unknown-verb", Severity: diagnostic.Error}
	own := diagnostic.Diagnostic{Code: "energy-first", Severity: diagnostic.Error, Fault: &diagnostic.Fault{Cause: "nil step", Stack: []byte("here it was")}}
	for _, c := range []struct {
		shown []diagnostic.Diagnostic
		trace bool
		code  int
		says  string
	}{
		{[]diagnostic.Diagnostic{library}, true, exitLibrary, ""},
		{[]diagnostic.Diagnostic{library, own}, false, exitOwnFault, "energy-first"},
		{[]diagnostic.Diagnostic{own}, true, exitOwnFault, "here it was"},
	} {
		var out bytes.Buffer
		console := &console{err: &out, trace: c.trace}
		if code := console.tell(libraryErrors(c.shown)); code != c.code || !strings.Contains(out.String(), c.says) || strings.Contains(out.String(), "here it was") != (c.trace && c.code == exitOwnFault) {
			t.Errorf("%v: exit code %d, %q", c.shown, code, out.String())
		}
	}
}
