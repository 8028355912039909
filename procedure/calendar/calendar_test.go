package calendar

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func at(s string) time.Time {
	t, err := time.Parse("2006-01-02 15:04", s)
	if err != nil {
		panic(err)
	}
	return t
}

func written(t *testing.T, name string, events ...Event) string {
	t.Helper()
	var b strings.Builder
	if err := Write(&b, name, events); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestWrite(t *testing.T) {
	got := written(t, "Heavy parts", Event{
		Key: "x 1", Start: at("2027-01-11 08:00"), End: at("2027-01-11 17:00"), Summary: "Session 1; the roller, out",
		Description: "Steps 1 to 9\nHold points: 2",
	})
	want := strings.ReplaceAll(`BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//matchmark//session plan//EN
X-WR-CALNAME:Heavy parts
BEGIN:VEVENT
UID:d4a32e6c9b612308fde099431ca82a2c@matchmark.invalid
DTSTAMP:20270111T000000Z
DTSTART:20270111T080000
DTEND:20270111T170000
SUMMARY:Session 1\; the roller\, out
DESCRIPTION:Steps 1 to 9\nHold points: 2
END:VEVENT
END:VCALENDAR
`, "\n", "\r\n")
	if got != want {
		t.Errorf("%s", got)
	}
	if err := Write(new(strings.Builder), "", []Event{{Start: at("2027-01-11 08:00"), End: at("2027-01-11 07:59")}}); err == nil {
		t.Error("an event ends before it begins")
	}
}

// Source: the example of RFC 5545, 3.3.11, of a text with a line's end, a comma and a semicolon in it.
func TestEscapes(t *testing.T) {
	if got := escaped("Project XYZ Final Review\nConference Room - 3B\nCome Prepared."); got != `Project XYZ Final Review\nConference Room - 3B\nCome Prepared.` {
		t.Error(got)
	}
	if got := escaped("a\\b;c,d\x00\r\x7f"); got != `a\\b\;c\,d` {
		t.Error(got)
	}
}

// Source: RFC 5545, 3.1: no line is longer than 75 octets without its end, lines end in CR LF, and a line that goes on begins with a space.
func TestLinesAreFolded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("ab ,;\\ä€😀\n")), 0, 300, -1).Draw(t, "text")
		var b strings.Builder
		if err := Write(&b, text, []Event{{Summary: text, Description: text}}); err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(strings.TrimSuffix(b.String(), "\r\n"), "\r\n") {
			if len(line) > 75 || strings.ContainsAny(line, "\r\n") || !utf8.ValidString(line) {
				t.Fatalf("%d octets: %q", len(line), line)
			}
		}
		unfolded := strings.ReplaceAll(b.String(), "\r\n ", "")
		if !strings.Contains(unfolded, "SUMMARY:"+escaped(text)+"\r\n") {
			t.Fatalf("%q", unfolded)
		}
	})
}
