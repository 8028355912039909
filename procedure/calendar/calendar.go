// Package calendar writes events as iCalendar, which calendar programs take in.
//
// Source: RFC 5545.
package calendar

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

// Event is something with a beginning and an end.
type Event struct {
	// Key tells the event from others, from one writing to the next: a calendar that has it already changes it.
	Key string
	// Start and End are times as a clock on the wall shows them, in whichever zone the event is; their location is not used.
	Start, End           time.Time
	Summary, Description string
}

// stamp is how times are written: without a zone, so that they are local everywhere.
const stamp = "20060102T150405"

// Write writes events as one calendar. The same events give the same bytes: what asks for the
// time of writing gets the day of the event, since there is no revision to tell apart. An event must not end before it begins.
func Write(w io.Writer, name string, events []Event) error {
	var b strings.Builder
	line := func(property, value string) { fold(&b, property+":"+value) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//matchmark//session plan//EN")
	line("X-WR-CALNAME", escaped(name))
	for _, e := range events {
		if e.End.Before(e.Start) {
			return fmt.Errorf("%q ends before it begins", e.Summary)
		}
		sum := sha256.Sum256([]byte(e.Key))
		line("BEGIN", "VEVENT")
		line("UID", hex.EncodeToString(sum[:16])+"@matchmark.invalid")
		line("DTSTAMP", e.Start.Format("20060102")+"T000000Z")
		line("DTSTART", e.Start.Format(stamp))
		line("DTEND", e.End.Format(stamp))
		line("SUMMARY", escaped(e.Summary))
		if e.Description != "" {
			line("DESCRIPTION", escaped(e.Description))
		}
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	_, err := io.WriteString(w, b.String())
	return err
}

// escaped is text as a value: RFC 5545, 3.3.11. Control characters but the line's end are left out.
func escaped(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r == 0x7f {
			return -1
		}
		return r
	}, s)
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\n", `\n`).Replace(s)
}

// mostOctets is how long a line may be, without its end.
const mostOctets = 75

// fold writes a line, in parts that are short enough: RFC 5545, 3.1. No character is cut.
func fold(b *strings.Builder, line string) {
	room := mostOctets
	for _, r := range line {
		if n := utf8.RuneLen(r); n > room {
			b.WriteString("\r\n ")
			room = mostOctets - 1 - n
		} else {
			room -= n
		}
		b.WriteRune(r)
	}
	b.WriteString("\r\n")
}
