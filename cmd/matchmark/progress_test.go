package main

import (
	"bytes"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"matchmark/compile"
)

func TestSentence(t *testing.T) {
	for _, c := range []struct {
		at   compile.Progress
		want string
	}{
		{compile.Progress{Stage: "read"}, "Reading the library ..."},
		{compile.Progress{Stage: "pictures", Done: 3, Total: 12}, "Preparing pictures: 3 of 12"},
		{compile.Progress{Stage: "pages", Done: 40}, "Writing pages: 40"},
		{compile.Progress{Stage: "something new", Done: 1}, "Working: 1"},
	} {
		if got := sentence(c.at).String(); got != c.want {
			t.Errorf("%+v: %q, want %q", c.at, got, c.want)
		}
	}
}

func TestProgress(t *testing.T) {
	for name, c := range map[string]struct {
		live bool
		work time.Duration
		want bool
	}{
		"long work on a terminal":  {true, 3 * time.Second, true},
		"short work on a terminal": {true, quiet - time.Millisecond, false},
		"no terminal":              {false, 3 * time.Second, false},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var out bytes.Buffer
				p := (&console{err: &out, live: c.live}).startProgress()
				p.set(compile.Progress{Stage: "pages", Done: 7})
				time.Sleep(c.work)
				p.stop()
				p.stop()
				shown := strings.Contains(out.String(), "Writing pages: 7")
				if shown != c.want || (out.Len() > 0) != c.want {
					t.Errorf("shown: %q", out.String())
				}
				if c.want && !strings.HasSuffix(out.String(), "\r\x1b[K") {
					t.Errorf("the line stays: %q", out.String())
				}
			})
		})
	}
}
