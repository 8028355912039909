package assist

import (
	"testing"
	"testing/fstest"

	"matchmark/procedure/say"
)

// Messages are said in the library's language, and change with it.
func TestLanguage(t *testing.T) {
	lib := fstest.MapFS{"library.yaml": {Data: []byte("title: Werkstatt\nlanguage: de\n")}, "procedures/out.md": {Data: []byte("---\nkind: procedure\n---\n")}}
	d := NewDesk(lib)
	says := func(want string) {
		t.Helper()
		told(t, d)
		if got := say.That("error").In(d.Language()); got != want {
			t.Errorf("an error is called %q, want %q", got, want)
		}
	}
	says("Fehler")
	lib["library.yaml"].Data = []byte("title: Workshop\n")
	d.Changed("library.yaml")
	says("error")
}
