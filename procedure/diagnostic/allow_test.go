package diagnostic

import (
	"strings"
	"testing"

	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

func TestAllow(t *testing.T) {
	src := strings.Join([]string{
		"<!-- allow vague-word: the maker's own wording -->", // 1
		"",                 // 2
		"Tighten it some.", // 3
		"Tighten it some.", // 4
		"A bit. <!-- allow vague-word: see the film -->", // 5
		"<!-- allow vague-word -->",                      // 6
		"<!-- allow removed-twice: because -->",          // 7
		"removed twice",                                  // 8
		"<!-- allowed is another word -->",               // 9
	}, "\n")
	f := text.NewFile("a.md", []byte(src))
	at := func(line int, code Code, severity Severity) Diagnostic {
		start, end := f.LineBounds(line)
		return Diagnostic{Code: code, Severity: severity, Span: f.Span(start, end), Wrong: say.That("%code", say.Word(code))}
	}
	var log Log
	for _, line := range []int{3, 4, 5} {
		log.Add(at(line, "vague-word", Advice))
	}
	log.Add(at(8, "removed-twice", Error))
	log.Allow([]*text.File{f})

	var left []string
	for _, d := range log.Sorted() {
		left = append(left, string(d.Code)+"@"+itoa(d.Span.At().Line))
	}
	want := "vague-word@4 allow-form@6 allow-unused@7 removed-twice@8"
	if got := strings.Join(left, " "); got != want {
		t.Errorf("left %s, want %s", got, want)
	}
	allowed := log.AllowedSorted()
	if len(allowed) != 2 || allowed[0].Reason != "the maker's own wording" || allowed[1].Reason != "see the film" {
		t.Errorf("allowed %+v", allowed)
	}
}

func TestAllowUnused(t *testing.T) {
	f := text.NewFile("a.md", []byte("<!-- allow swappable: both ways are taught -->\nfirst\nsecond\n"))
	tests := []struct {
		name string
		line int
		code Code
		as   Severity
		want string
	}{
		{"nothing is reported", 0, "", 0, "allow-unused@1"},
		{"it is used", 2, "swappable", Advice, ""},
		{"another warning stands", 3, "vague-word", Warning, "allow-unused@1 vague-word@3"},
		{"an error may have kept the check from running", 3, "undefined-name", Error, "undefined-name@3"},
		{"it stands at an error of its code", 2, "swappable", Error, "allow-unused@1 swappable@2"},
	}
	for _, test := range tests {
		var log Log
		if test.line > 0 {
			start, end := f.LineBounds(test.line)
			log.Add(Diagnostic{Code: test.code, Severity: test.as, Span: f.Span(start, end), Wrong: say.That("m")})
		}
		log.Allow([]*text.File{f})
		var left []string
		for _, d := range log.Sorted() {
			left = append(left, string(d.Code)+"@"+itoa(d.Span.At().Line))
		}
		if got := strings.Join(left, " "); got != test.want {
			t.Errorf("%s: left %q, want %q", test.name, got, test.want)
		}
	}
}

func itoa(n int) string { return string(rune('0' + n)) }
