package host

import (
	"context"
	"errors"
	"io"
	"net/http"
	"time"

	"matchmark/compile/host/guard"
	"matchmark/compile/host/listen"
)

// What requests may use. Memory that they take is counted before they take it, by address, so
// that the whole stays within its bound whoever asks for how much.
const (
	// Requests a second of one address, and in one burst. A class behind one address loads the whole site.
	asksPerSecond = 100
	asksAtOnce    = 3000
	// Of the memory of the host, a part is for what is on its way in and out, one for records and
	// photos that are read. The rest is for pages, connections, the database and the collector.
	flightShare, workShare = 12, 6
	// waitingOfOne is how much of one address may wait for its turn.
	waitingOfOne = 24
	// small is what an answer may have without being counted.
	small = 64 << 10
	// heavy is how many times as much as its JSON a record takes while it is read and merged.
	heavy = 12
)

// How fast a body has to come: after a time to begin, so many bytes a second, and all of it within listen.RequestTime.
const (
	patience = 5 * time.Second
	slowest  = 16 << 10
)

// load is what one request uses of the host.
type load struct {
	http.ResponseWriter
	share *guard.Share
	// done gives the turn back that the request has, if it has one.
	done func()
}

type loadKey struct{}

// bearing gives a request its load. Whoever needs room more than this one may take its
// share: it is then cut off, and comes again.
func (h *Host) bearing(w http.ResponseWriter, r *http.Request) (*load, *http.Request) {
	l := &load{ResponseWriter: w, done: func() {}, share: h.flight.Open(guard.Address(r), cut(w))}
	return l, r.WithContext(context.WithValue(r.Context(), loadKey{}, l))
}

// cut returns what cuts a request off.
func cut(w http.ResponseWriter) func() {
	control := http.NewResponseController(w)
	return func() {
		past := time.Unix(1, 0)
		_ = control.SetReadDeadline(past) // where there is no connection there is nothing to cut
		_ = control.SetWriteDeadline(past)
	}
}

// end gives back what the request has.
func (l *load) end() {
	l.done()
	l.share.Close()
}

// Unwrap is for http.ResponseController.
func (l *load) Unwrap() http.ResponseWriter { return l.ResponseWriter }

// WriteHeader implements http.ResponseWriter. The work is done: the turn is not kept while somebody reads slowly.
func (l *load) WriteHeader(status int) {
	l.done()
	l.ResponseWriter.WriteHeader(status)
}

// Write implements http.ResponseWriter. What is held for somebody who reads slowly counts.
func (l *load) Write(content []byte) (int, error) {
	l.done()
	if len(content) > small && !l.share.Grow(int64(len(content))) {
		panic(http.ErrAbortHandler)
	}
	return l.ResponseWriter.Write(content)
}

// room counts so many bytes that a request is going to take; the error is guard.ErrQueue when there are too many.
func (h *Host) room(r *http.Request, bytes int64) error {
	if !r.Context().Value(loadKey{}).(*load).share.Grow(bytes) {
		return guard.ErrQueue
	}
	return nil
}

// turn waits until the request may take so many bytes for work, which it has until it answers. The error is guard.ErrQueue
// when too many wait, or that of the request's context.
func (h *Host) turn(r *http.Request, bytes int64) error {
	l := r.Context().Value(loadKey{}).(*load)
	l.done() // the one before, of the same request
	done, err := h.work.Enter(r.Context(), guard.Address(r), bytes)
	if err == nil {
		l.done = done
	}
	return err
}

// receive reads a body of at most so many bytes. It fails when the body comes more slowly than it has to.
func (h *Host) receive(w http.ResponseWriter, r *http.Request, most int64) ([]byte, error) {
	share := r.Context().Value(loadKey{}).(*load).share
	return read(w, share, http.MaxBytesReader(w, r.Body, most), r.ContentLength)
}

// read reads what comes over a connection to its end, counting it in a share. length is what it is said to have, and not believed.
func read(w http.ResponseWriter, share *guard.Share, from io.Reader, length int64) ([]byte, error) {
	control := http.NewResponseController(w)
	began := time.Now()
	defer control.SetReadDeadline(time.Time{}) // from here on reading only finds out that the sender hung up
	var content []byte
	for {
		if len(content) == cap(content) {
			more := max(cap(content), int(min(max(length+1, 512), 64<<10)))
			if !share.Grow(int64(more)) {
				return nil, guard.ErrQueue
			}
			content = append(make([]byte, 0, cap(content)+more), content...)
		}
		until := began.Add(min(patience+time.Duration(len(content))*time.Second/slowest, listen.RequestTime))
		if err := control.SetReadDeadline(until); err != nil && !errors.Is(err, http.ErrNotSupported) {
			return nil, err
		}
		n, err := from.Read(content[len(content):cap(content)])
		content = content[:len(content)+n]
		switch {
		case err == io.EOF:
			return content, nil
		case err != nil:
			return nil, err
		}
	}
}
