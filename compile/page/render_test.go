package page

import (
	"bytes"
	"context"
	"errors"
	"io"
	"testing"

	"github.com/a-h/templ"
	"gotest.tools/v3/assert"
)

func TestRenderWritesAllOrNothing(t *testing.T) {
	fault := errors.New("a view that cannot be shown")
	fails := templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
		if _, err := io.WriteString(w, "<p>half"); err != nil {
			return err
		}
		return fault
	})
	var b bytes.Buffer
	if err := Render(&b, fails); !errors.Is(err, fault) || b.Len() > 0 {
		t.Errorf("wrote %q: %v", b.String(), err)
	}
	assert.NilError(t, Render(&b, templ.Join(Text(`<a & "b">`), Raw(" ", "<i>c</i>"), Bold("<d>"))))
	if got, want := b.String(), `&lt;a &amp; &#34;b&#34;&gt; <i>c</i><b>&lt;d&gt;</b>`; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
