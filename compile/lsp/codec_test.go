package lsp

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"testing"

	"gotest.tools/v3/assert"
)

// ends is a stream of what an editor sends, to an editor that does not listen.
type ends struct{ io.Reader }

func (ends) Write(b []byte) (int, error) { return len(b), nil }
func (ends) Close() error                { return nil }

func sent(messages ...string) (out string) {
	for _, m := range messages {
		out += fmt.Sprintf("Content-Length: %d\r\n\r\n%s", len(m), m)
	}
	return out
}

const (
	asksToBegin = `{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}`
	asksToStop  = `{"jsonrpc":"2.0","id":2,"method":"shutdown"}`
	saysExit    = `{"jsonrpc":"2.0","method":"exit"}`
)

// TestStreamsThatAreNoEditor gives the server what no editor sends: it ends, and says why.
func TestStreamsThatAreNoEditor(t *testing.T) {
	for name, c := range map[string]struct{ in, says string }{
		"nothing":             {"", ""},
		"an end in between":   {sent(asksToBegin), ""},
		"a whole talk":        {sent(asksToBegin, asksToStop, saysExit), ""},
		"an end without word": {sent(asksToBegin, saysExit), "ended without asking for a shutdown"},
		"words":               {"hello\n", `"hello\n" is not how a message`},
		"JSON without a head": {asksToBegin, "is not how a message"},
		"a head alone":        {"Content-Length: 10\r\n\r\n", "unexpected EOF"},
		"half a head":         {"Content-Len", "unexpected EOF"},
		"a message cut off":   {sent(asksToBegin)[:60], "unexpected EOF"},
		"no length":           {"Content-Type: x\r\n\r\n{}", "has no Content-Length"},
		"a length of letters": {"Content-Length: ten\r\n\r\n{}", `"ten" is no length`},
		"a length below zero": {"Content-Length: -5\r\n\r\n{}", `"-5" is no length`},
		"a huge length":       {"Content-Length: 99999999999\r\n\r\n{}", "is too large"},
		"an overflow":         {"Content-Length: 99999999999999999999\r\n\r\n{}", "is no length"},
		"a large one cut off": {"Content-Length: 60000000\r\n\r\n{}", "unexpected EOF"},
		"a line without name": {"Content-Length: 2\r\nnonsense\r\n\r\n{}", `"nonsense" is no line`},
		"an endless head":     {headStart + strings.Repeat("x", 10*headSize), "has more than"},
		"no JSON":             {sent("{"), "unexpected end of JSON input"},
		"no object":           {sent(`"words"`), "cannot be read"},
		"too short a length":  {"Content-Length: 5\r\n\r\n" + asksToBegin, "cannot be read"},
	} {
		t.Run(name, func(t *testing.T) {
			err := Serve(t.Context(), ends{strings.NewReader(c.in)}, "test")
			if c.says == "" {
				assert.NilError(t, err)
				return
			}
			assert.ErrorContains(t, err, c.says)
		})
	}
}

// FuzzReadObject reads a stream of anything: it ends, and what was written comes back.
func FuzzReadObject(f *testing.F) {
	f.Add(sent(asksToBegin, asksToStop))
	f.Add("Content-Length: 2\r\nContent-Type: x\r\n\r\n{}Content-Length: 99999999999\r\n\r\n")
	f.Fuzz(func(t *testing.T, in string) {
		stream := bufio.NewReader(strings.NewReader(in))
		for c := (&codec{}); ; {
			var v any
			if err := c.ReadObject(stream, &v); err != nil {
				break
			}
		}
		text := strings.ToValidUTF8(in, "?") // JSON has no other
		words, err := json.Marshal(text)
		assert.NilError(t, err)
		var back string
		assert.NilError(t, (&codec{}).ReadObject(bufio.NewReader(strings.NewReader(sent(string(words)))), &back))
		assert.Equal(t, back, text)
	})
}
