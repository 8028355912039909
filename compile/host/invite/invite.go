// Package invite makes the codes by which tablets join a class, or a job of it.
package invite

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/binary"
	"encoding/json"
	"errors"
	"regexp"
	"strings"
	"sync"
	"time"

	"matchmark/compile/host/store"
)

// How long codes hold. A code has 40 bits.
const (
	ClassTime = 12 * time.Hour
	JobTime   = 5 * time.Minute // and the same again, for whoever reads it late
	length    = 8
)

// letters are those that nobody takes for one another.
const letters = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"

// aCode is how a code looks once spaces and dashes are out of it.
var aCode = regexp.MustCompile(`^[2-9A-HJ-NP-Z]{8}$`)

// setting is where the class's code is kept.
const setting = "class-code"

// Codes are those of a class.
type Codes struct {
	store *store.Store
	now   func() time.Time
	mu    sync.Mutex // one code of the class at a time
}

// New returns the codes of the class in a store.
func New(s *store.Store, now func() time.Time) *Codes { return &Codes{store: s, now: now} }

// Code is a code, with the moment at which it counts no more, in milliseconds since 1970.
type Code struct {
	Code  string `json:"code"`
	Until int64  `json:"until"`
}

// lettered writes 40 bits as a code.
func lettered(sum []byte) string {
	bits := binary.BigEndian.Uint64(sum)
	var out [length]byte
	for i := range out {
		out[i] = letters[bits>>(5*i)&31]
	}
	return string(out[:])
}

// Typed is a code as it was typed, without spaces and dashes.
func Typed(code string) string {
	return strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(code))
}

// Class is the code of the class that holds now. One that has run out is replaced, and with renew any is.
func (c *Codes) Class(ctx context.Context, renew bool) (code Code, err error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	switch kept, err := c.store.Setting(ctx, setting); {
	case errors.Is(err, store.ErrUnknown):
	case err != nil:
		return code, err
	default:
		if json.Unmarshal(kept, &code) == nil && !renew && c.now().UnixMilli() < code.Until {
			return code, nil
		}
	}
	var draw [8]byte
	rand.Read(draw[:]) // never fails
	code = Code{lettered(draw[:]), c.now().Add(ClassTime).UnixMilli()}
	kept, err := json.Marshal(code)
	if err != nil {
		return code, err
	}
	return code, c.store.Set(ctx, setting, kept)
}

// Job is the code by which a second tablet joins a job; it is another one every few minutes, and after the end of the class.
func (c *Codes) Job(ctx context.Context, job string) (Code, error) {
	ended, err := c.store.Ended(ctx)
	now := c.now()
	return Code{c.ofJob(job, now, ended), now.Add(JobTime).UnixMilli()}, err
}

func (c *Codes) ofJob(job string, at time.Time, ended int64) string {
	mac := hmac.New(sha256.New, c.store.Key().Seed())
	mac.Write([]byte("join a job\n" + job + "\n"))
	binary.Write(mac, binary.BigEndian, []int64{at.UnixMilli() / JobTime.Milliseconds(), ended}) // never fails
	return lettered(mac.Sum(nil))
}

// Opens says what a code opens that was typed: the class, and with a job's code that job too. Only jobs that changed since a time in
// milliseconds since 1970 are looked at.
func (c *Codes) Opens(ctx context.Context, typed string, since int64) (job string, ok bool, err error) {
	code := []byte(Typed(typed))
	if !aCode.Match(code) {
		return "", false, nil
	}
	class, err := c.Class(ctx, false)
	if err != nil {
		return "", false, err
	}
	if subtle.ConstantTimeCompare(code, []byte(class.Code)) == 1 {
		return "", true, nil
	}
	ended, err := c.store.Ended(ctx)
	if err != nil {
		return "", false, err
	}
	names, err := c.store.JobNames(ctx, since)
	if err != nil {
		return "", false, err
	}
	for _, name := range names {
		for _, at := range []time.Time{c.now(), c.now().Add(-JobTime)} {
			if subtle.ConstantTimeCompare(code, []byte(c.ofJob(name, at, ended))) == 1 {
				return name, true, nil
			}
		}
	}
	return "", false, nil
}
