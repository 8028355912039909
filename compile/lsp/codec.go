package lsp

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/sourcegraph/jsonrpc2"
)

// codec reads and writes the protocol's messages, and keeps why reading ended, so that what is no message at all is told.
type codec struct {
	jsonrpc2.VSCodeObjectCodec
	wrong error // why no more can be read; nil for a stream that ended between two messages
}

const (
	headStart = "Content-"
	// headSize is more than the lines before a message take, messageSize more than any file that somebody writes.
	headSize    = 4 << 10
	messageSize = 64 << 20
)

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
	body, err := bodyOf(stream)
	if err == nil {
		err = json.Unmarshal(body, v)
	}
	if err != nil && !errors.Is(err, io.ErrClosedPipe) {
		c.wrong = fmt.Errorf("a message of the Language Server Protocol cannot be read: %w", err)
	}
	return err
}

// bodyOf reads the lines before a message, and then so many bytes as they say.
func bodyOf(stream *bufio.Reader) ([]byte, error) {
	size, err := sizeIn(stream)
	if err != nil {
		return nil, err
	}
	// What is said to come takes no memory before it is there.
	body, err := io.ReadAll(io.LimitReader(stream, size))
	if err == nil && int64(len(body)) < size {
		err = io.ErrUnexpectedEOF
	}
	return body, err
}

// sizeIn reads the lines before a message, up to the empty one.
// Source: Microsoft, Language Server Protocol Specification 3.17, Base Protocol.
func sizeIn(stream *bufio.Reader) (size int64, err error) {
	size = -1
	for left := headSize; ; {
		line, err := lineIn(stream, left)
		if err != nil {
			return 0, err
		}
		left -= len(line)
		words := strings.TrimRight(string(line), "\r\n")
		if words == "" {
			break
		}
		name, value, ok := strings.Cut(words, ":")
		if !ok {
			return 0, fmt.Errorf("%q is no line of the head of a message", words)
		}
		if !strings.EqualFold(name, "Content-Length") {
			continue
		}
		size, err = strconv.ParseInt(strings.TrimSpace(value), 10, 64)
		if err != nil || size < 0 {
			return 0, fmt.Errorf("%q is no length of a message", strings.TrimSpace(value))
		}
	}
	switch {
	case size < 0:
		return 0, errors.New("the head of a message has no Content-Length")
	case size > messageSize:
		return 0, fmt.Errorf("a message of %d bytes is too large: %d are read at most", size, messageSize)
	}
	return size, nil
}

// lineIn reads a line with its end, of so many bytes at most.
func lineIn(stream *bufio.Reader, most int) ([]byte, error) {
	var line bytes.Buffer
	for line.Len() < most {
		b, err := stream.ReadByte()
		if errors.Is(err, io.EOF) {
			err = io.ErrUnexpectedEOF
		}
		if err != nil {
			return nil, err
		}
		line.WriteByte(b)
		if b == '\n' {
			return line.Bytes(), nil
		}
	}
	return nil, fmt.Errorf("the head of a message has more than %d bytes", headSize)
}
