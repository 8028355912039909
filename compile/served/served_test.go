package served

import "testing"

func TestWithHead(t *testing.T) {
	const page = `<html lang="de"><head><meta http-equiv="Content-Security-Policy" content="default-src 'none'"></head><body>x</body></html>`
	const want = `<html lang="de"><head><meta http-equiv="Content-Security-Policy" content="connect-src 'self'; default-src 'none'"><i></head><body>x</body></html>`
	if got := string(WithHead([]byte(page), "<i>", "connect-src 'self'; ")); got != want {
		t.Errorf("got %s", got)
	}
	if got := Language([]byte(page)); got != "de" {
		t.Errorf("language %q", got)
	}
	if got := Language([]byte("<html>")); got != "" {
		t.Errorf("language %q of a page that has none", got)
	}
}

func TestContentType(t *testing.T) {
	for name, want := range map[string]string{"index.html": "text/html; charset=utf-8", "a/b.webp": "image/webp", "x.exe": "application/octet-stream", "x": "application/octet-stream"} {
		if got := ContentType(name); got != want {
			t.Errorf("%s: %s, want %s", name, got, want)
		}
	}
}
