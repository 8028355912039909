package lsp

import (
	"bufio"
	"errors"
	"fmt"
	"io"

	"github.com/sourcegraph/jsonrpc2"
)

// codec reads and writes the protocol's messages, and keeps why reading ended, so that what is no message at all is told.
type codec struct {
	jsonrpc2.VSCodeObjectCodec
	wrong error // why no more can be read; nil for a stream that ended between two messages
}

const headStart = "Content-"

// ReadObject reads one message.
func (c *codec) ReadObject(stream *bufio.Reader, v any) error {
	begin, err := stream.Peek(len(headStart))
	switch {
	case len(begin) == 0 && err != nil:
		return err
	case string(begin) != headStart:
		c.wrong = fmt.Errorf("%q is not how a message of the Language Server Protocol begins", begin)
		return c.wrong
	}
	err = c.VSCodeObjectCodec.ReadObject(stream, v)
	if errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF
	}
	if err != nil && !errors.Is(err, io.ErrClosedPipe) {
		c.wrong = fmt.Errorf("a message of the Language Server Protocol cannot be read: %w", err)
	}
	return err
}
