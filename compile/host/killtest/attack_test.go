package killtest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net"
	"net/http"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"matchmark/procedure/record"
)

// attacker is somebody on the network who does not wish the class well, and has got hold of the secret of a tablet of the class.
type attacker struct {
	base, host string // the address, and host:port of it
	from       net.IP
	token      string
	model      *record.Record
}

// attacks are what was once enough to end the host, or to keep the class out. Each goes on until ctx ends.
var attacks = map[string]func(a *attacker, ctx context.Context){
	"photos that are dear to decode": (*attacker).photos,
	"fields that nobody knows":       (*attacker).fields,
	"a job that grows":               (*attacker).growth,
	"bodies that never end":          (*attacker).slowBodies,
	"connections that do nothing":    (*attacker).idle,
	"answers that nobody reads":      (*attacker).slowReaders,
	"lists over and over":            (*attacker).lists,
	"jobs over and over":             (*attacker).jobs,
	"PINs over and over":             (*attacker).pins,
	"codes over and over":            (*attacker).codes,
	"tablets that nobody knows":      (*attacker).strangers,
	"parcels from another address":   (*attacker).parcels,
	"requests out of shape":          (*attacker).shapes,
}

// attack begins all attacks, each from several addresses where the system has them.
func attack(ctx context.Context, all *sync.WaitGroup, h *host, model *record.Record) {
	for n, name := range slices.Sorted(maps.Keys(attacks)) {
		for from := range 4 {
			a := newAttacker(h, model, n*10+from)
			all.Go(func() { attacks[name](a, ctx) })
		}
	}
}

// TestAttacks lets one kind of attack after another loose on a host, and wants it to live, in its memory, and to
// answer a class meanwhile. MATCHMARK_ATTACK says for how long each, such as 1m; it is 2s when not set,
// and a short run leaves them out.
func TestAttacks(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there is no kill -9")
	}
	each := 2 * time.Second
	if stated := os.Getenv("MATCHMARK_ATTACK"); stated != "" {
		var err error
		if each, err = time.ParseDuration(stated); err != nil {
			t.Fatal(err)
		}
	} else if testing.Short() {
		t.Skip("make test-all attacks")
	}
	h := newHost(t)
	model, try := inputs(t, h.library)
	var class []*tablet
	names := append(slices.Sorted(maps.Keys(attacks)), "all of them")
	for i := range 20 * len(names) {
		class = append(class, newTablet(i, h.base, model, try, runtime.GOOS == "linux", nil))
	}
	enrol(t, h, class)
	h.start(t)
	known := newAttacker(h, model, 0)
	if status := known.ask(t.Context(), known.client(), "GET", "/class/me", "", nil); status != http.StatusOK {
		t.Fatalf("attackers with the secret of a tablet are answered %d", status)
	}
	for n, name := range names {
		sums := &tally{refusals: map[int]string{}}
		ctx, stop := context.WithTimeout(t.Context(), each)
		var all sync.WaitGroup
		if n < len(attacks) {
			for from := range 8 {
				a := newAttacker(h, model, n*10+from)
				all.Go(func() { attacks[name](a, ctx) })
			}
		} else {
			attack(ctx, &all, h, model)
		}
		for _, tablet := range class[20*n : 20*(n+1)] {
			tablet.tally = sums // it waits for the answer to its last post
			all.Go(func() {
				for ctx.Err() == nil {
					if tablet.greet(t.Context()) {
						tablet.turn(t.Context())
					}
				}
			})
		}
		all.Wait()
		stop()
		peak := h.peak(t) // or it has ended
		if peak > mostMemory {
			t.Errorf("%s: the host took %d MB", name, peak>>20)
		}
		slices.Sort(sums.took)
		if len(sums.took) < 20 || sums.refused.Load() > 0 {
			t.Fatalf("%s: %d posts of the class were answered, %d refused: %v", name, len(sums.took), sums.refused.Load(), sums.refusals)
		}
		worst := sums.took[len(sums.took)*99/100]
		if worst > 10*time.Second {
			t.Errorf("%s: an answer took %v", name, worst)
		}
		t.Logf("%-32s %4d answers, 99 of 100 within %6v; %d had to wait; at most %d MB so far", name, len(sums.took), worst.Round(time.Millisecond), sums.waited.Load(), peak>>20)
	}
}

// The job that attackers let grow.
const (
	theirs   = "growth"
	theirJob = theirs + "00000000000000000000"
)

// theirTablet is the name of the tablet that attackers have the secret of.
var theirTablet = strings.Repeat("x", 26)

func newAttacker(h *host, model *record.Record, number int) *attacker {
	a := &attacker{base: h.base, host: strings.TrimPrefix(h.base, "http://"), token: h.stolen, model: model}
	if runtime.GOOS == "linux" {
		a.from = net.IPv4(127, 0, 100, byte(1+number))
	}
	return a
}

func (a *attacker) dial(ctx context.Context) (net.Conn, error) {
	d := &net.Dialer{Timeout: 2 * time.Second}
	if a.from != nil {
		d.LocalAddr = &net.TCPAddr{IP: a.from}
	}
	return d.DialContext(ctx, "tcp", a.host)
}

func (a *attacker) client() *http.Client {
	return &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{
		DialContext: func(ctx context.Context, _, _ string) (net.Conn, error) { return a.dial(ctx) }, MaxIdleConnsPerHost: 64,
	}}
}

// ask sends one request and takes no notice of the answer; the status is 0 when there was none.
func (a *attacker) ask(ctx context.Context, c *http.Client, method, path, kind string, body []byte) int {
	r, err := http.NewRequestWithContext(ctx, method, a.base+path, bytes.NewReader(body))
	if err != nil {
		panic(err) // addresses of ours
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	r.Header.Set("Authorization", "Bearer "+a.token)
	reply, err := c.Do(r)
	if err != nil {
		return 0
	}
	defer reply.Body.Close()
	if _, err := io.Copy(io.Discard, reply.Body); err != nil {
		return 0
	}
	return reply.StatusCode
}

// many does a thing from so many sides at one time, over and over.
func many(ctx context.Context, sides int, do func(side int)) {
	var all sync.WaitGroup
	for side := range sides {
		all.Go(func() {
			for ctx.Err() == nil {
				do(side)
				select { // a refusal costs the attacker nothing either
				case <-ctx.Done():
				case <-time.After(5 * time.Millisecond):
				}
			}
		})
	}
	all.Wait()
}

// dearPhoto is a JPEG of so many scans, of which each goes over all of a picture. Source: ITU-T T.81, B.2.
func dearPhoto(width, height, scans int) []byte {
	out := []byte{0xff, 0xd8, 0xff, 0xc2, 0, 17, 8}
	out = binary.BigEndian.AppendUint16(out, uint16(height))
	out = binary.BigEndian.AppendUint16(out, uint16(width))
	out = append(out, 3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0)
	out = append(out, 0xff, 0xc4, 0, 20, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0) // a code of one bit
	for range scans {
		out = append(out, 0xff, 0xda, 0, 12, 3, 1, 0, 2, 0, 3, 0, 0, 0, 0)
		out = append(out, bytes.Repeat([]byte{0x55}, 100)...)
	}
	return append(out, 0xff, 0xd9)
}

func (a *attacker) record(name string) *record.Record {
	made := *a.model
	made.Job = (name + strings.Repeat("0", 26))[:26]
	made.Machine = record.Entry[string]{Value: "No. 6", Stamp: record.Stamp{At: 1, Tablet: theirTablet}}
	made.Tablets = map[string]record.Tablet{theirTablet: {Phase: record.Removal, Step: "fan-off", Stamp: record.Stamp{At: 1, Tablet: theirTablet}}}
	made.Ticks, made.Findings, made.Photos = map[string]record.Entry[bool]{}, map[string]record.Finding{}, map[string]record.Photo{}
	return &made
}

func (a *attacker) photos(ctx context.Context) {
	c := a.client()
	r := a.record("dear" + fmt.Sprint(a.from.To4()[3]))
	var all [][]byte
	for _, photo := range [][]byte{dearPhoto(4096, 4096, 10), dearPhoto(800, 800, 2000), dearPhoto(1600, 1600, 20)} {
		sum := sha256.Sum256(photo)
		r.Photos[hex.EncodeToString(sum[:])] = record.Photo{Type: record.PhotoType, Width: 1600, Height: 1600}
		all = append(all, photo)
	}
	body, err := json.Marshal(r)
	if err != nil {
		panic(err) // plain fields
	}
	a.ask(ctx, c, "POST", "/class/record", "application/json", body)
	many(ctx, 8, func(side int) {
		photo := all[side%len(all)]
		sum := sha256.Sum256(photo)
		a.ask(ctx, c, "PUT", "/class/photo/"+r.Job+"/"+hex.EncodeToString(sum[:]), "image/jpeg", photo)
	})
}

func (a *attacker) fields(ctx context.Context) {
	head := `{"format":"` + record.Format + `","version":1`
	var fields strings.Builder
	for i := range 200_000 {
		fmt.Fprintf(&fields, `,"tablet%d":1`, i)
	}
	bodies := [][]byte{[]byte(head + `,"` + strings.Repeat("x", 3_900_000) + `":1}`), []byte(head + fields.String() + "}")}
	c := a.client()
	many(ctx, 4, func(side int) {
		a.ask(ctx, c, "POST", "/class/record", "application/json", bodies[side%2])
	})
}

func (a *attacker) growth(ctx context.Context) {
	c, part := a.client(), 0
	many(ctx, 1, func(int) {
		r := a.record(theirs)
		for i := range 800 {
			stamp := record.Stamp{At: int64(part*1000 + i), Tablet: theirTablet}
			r.Findings[fmt.Sprintf("g%05d%020d", part%20, i)] = record.Finding{Phase: record.Removal, Step: "fan-off", Name: "Fan", Kind: record.Worn, Severity: record.Watch, Words: strings.Repeat("x", 1900), Found: 1, Stamp: stamp}
		}
		part++
		body, err := json.Marshal(r)
		if err != nil {
			panic(err) // plain fields
		}
		a.ask(ctx, c, "POST", "/class/record", "application/json", body)
	})
}

// holding opens so many connections and holds them, begun with some bytes and fed with one each second.
func (a *attacker) holding(ctx context.Context, n int, begin string, feed bool) {
	var open []net.Conn
	defer func() {
		for _, c := range open {
			c.Close()
		}
	}()
	for tick := time.NewTicker(time.Second); ctx.Err() == nil; {
		for len(open) < n && ctx.Err() == nil {
			c, err := a.dial(ctx)
			if err != nil {
				break
			}
			if _, err := io.WriteString(c, begin); err != nil {
				c.Close()
				break
			}
			open = append(open, c)
		}
		select {
		case <-ctx.Done():
		case <-tick.C:
		}
		var alive []net.Conn
		for _, c := range open {
			if feed {
				if _, err := io.WriteString(c, " "); err != nil {
					c.Close()
					continue
				}
			}
			alive = append(alive, c)
		}
		open = alive
	}
}

func (a *attacker) slowBodies(ctx context.Context) {
	a.holding(ctx, 200, "POST /class/record HTTP/1.1\r\nHost: "+a.host+"\r\nAuthorization: Bearer "+a.token+"\r\nContent-Type: application/json\r\nContent-Length: 4000000\r\n\r\n{", true)
}

func (a *attacker) idle(ctx context.Context) { a.holding(ctx, 600, "", false) }

func (a *attacker) slowReaders(ctx context.Context) {
	a.holding(ctx, 100, strings.Repeat("GET /class/record/"+theirJob+" HTTP/1.1\r\nHost: "+a.host+"\r\nAuthorization: Bearer "+a.token+"\r\n\r\n", 8), false)
}

func (a *attacker) lists(ctx context.Context) {
	c := a.client()
	many(ctx, 8, func(side int) {
		path := []string{"/class/me", "/class/record/" + theirJob, "/", "/class/photo.js"}[side%4]
		a.ask(ctx, c, "GET", path, "", nil)
	})
}

func (a *attacker) jobs(ctx context.Context) {
	c, n := a.client(), 0
	many(ctx, 1, func(int) {
		body, err := json.Marshal(a.record(fmt.Sprintf("j%dx%d", a.from.To4()[3], n)))
		if err != nil {
			panic(err) // plain fields
		}
		n++
		a.ask(ctx, c, "POST", "/class/record", "application/json", body)
	})
}

func (a *attacker) pins(ctx context.Context) {
	c := a.client()
	many(ctx, 4, func(int) {
		a.ask(ctx, c, "POST", "/board/pin", "application/json", []byte(`{"who":"x","pin":"000001"}`))
	})
}

// codes guesses at the code of the class, to join it.
func (a *attacker) codes(ctx context.Context) {
	c := a.client()
	many(ctx, 4, func(side int) {
		path := []string{"/class/enrol", "/class/list", "/class/join"}[side%3]
		a.ask(ctx, c, "POST", path, "application/json", []byte(`{"code":"2345 6789","name":"x"}`))
	})
}

// strangers sends records in the name of a tablet without its secret.
func (a *attacker) strangers(ctx context.Context) {
	body, err := json.Marshal(a.record("stranger"))
	if err != nil {
		panic(err) // plain fields
	}
	without := *a
	without.token = fmt.Sprintf("t%025d.guessed", 0)
	c := without.client()
	many(ctx, 8, func(int) { without.ask(ctx, c, "POST", "/class/record", "application/json", body) })
}

// parcels brings as much as a tablet may bring from another address, over and over, and does not read the answer.
func (a *attacker) parcels(ctx context.Context) {
	const edge = "edge"
	head := "--" + edge + "\r\nContent-Disposition: form-data; name=\"token\"\r\n\r\n" + a.token + "\r\n--" + edge + "\r\nContent-Disposition: form-data; name=\"parcel\"\r\n\r\n\""
	body := []byte(head + strings.Repeat("<", 24<<20) + "\"\r\n--" + edge + "--\r\n")
	c := a.client()
	many(ctx, 2, func(side int) {
		if side == 0 {
			a.ask(ctx, c, "POST", "/class/arrive", "multipart/form-data; boundary="+edge, body)
			return
		}
		conn, err := a.dial(ctx)
		if err != nil {
			return
		}
		defer conn.Close()
		stop := context.AfterFunc(ctx, func() { conn.Close() })
		defer stop()
		fmt.Fprintf(conn, "POST /class/arrive HTTP/1.1\r\nHost: %s\r\nContent-Type: multipart/form-data; boundary=%s\r\nContent-Length: %d\r\n\r\n", a.host, edge, len(body))
		if _, err := conn.Write(body); err == nil {
			select { // and the answer stays unread
			case <-ctx.Done():
			case <-time.After(5 * time.Second):
			}
		}
	})
}

// outOfShape are requests that no browser makes; HOST and TOKEN stand for those of the attacker.
var outOfShape = map[string]string{
	"length that lies, too short":    "POST /class/record HTTP/1.1\r\nHost: HOST\r\nAuthorization: Bearer TOKEN\r\nContent-Type: application/json\r\nContent-Length: 3\r\n\r\n{\"format\":1}GET /board/state HTTP/1.1\r\nHost: HOST\r\n\r\n",
	"length that lies, too long":     "POST /class/record HTTP/1.1\r\nHost: HOST\r\nAuthorization: Bearer TOKEN\r\nContent-Type: application/json\r\nContent-Length: 3999999\r\n\r\n{}",
	"length of 9 exabytes":           "POST /class/record HTTP/1.1\r\nHost: HOST\r\nAuthorization: Bearer TOKEN\r\nContent-Type: application/json\r\nContent-Length: 9223372036854775807\r\n\r\n{}",
	"two lengths":                    "POST /class/record HTTP/1.1\r\nHost: HOST\r\nContent-Type: application/json\r\nContent-Length: 2\r\nContent-Length: 200\r\n\r\n{}",
	"length and chunks":              "POST /class/record HTTP/1.1\r\nHost: HOST\r\nContent-Type: application/json\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET /board/state HTTP/1.1\r\nHost: HOST\r\n\r\n",
	"chunks without end":             "POST /class/record HTTP/1.1\r\nHost: HOST\r\nAuthorization: Bearer TOKEN\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n" + strings.Repeat("1\r\nx\r\n", 20_000),
	"a chunk of 9 exabytes":          "POST /class/record HTTP/1.1\r\nHost: HOST\r\nAuthorization: Bearer TOKEN\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n7fffffffffffffff\r\n{}",
	"HTTP/1.0 without a host":        "GET /class/hello HTTP/1.0\r\n\r\n",
	"HTTP/1.1 without a host":        "GET /class/hello HTTP/1.1\r\n\r\n",
	"two hosts":                      "GET /board/state HTTP/1.1\r\nHost: HOST\r\nHost: evil.example\r\n\r\n",
	"a whole address of another":     "GET http://evil.example/board/state HTTP/1.1\r\nHost: HOST\r\n\r\n",
	"a tunnel":                       "CONNECT evil.example:443 HTTP/1.1\r\nHost: evil.example:443\r\n\r\n",
	"a web socket":                   "GET /board/events HTTP/1.1\r\nHost: HOST\r\nConnection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n",
	"HTTP/2 in clear":                "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
	"said to come from the computer": "GET /board/state HTTP/1.1\r\nHost: HOST\r\nX-Forwarded-For: 127.0.0.1\r\nX-Real-IP: 127.0.0.1\r\nForwarded: for=127.0.0.1;proto=https\r\nX-Forwarded-Proto: https\r\n\r\n",
	"a thousand ranges":              "GET / HTTP/1.1\r\nHost: HOST\r\nRange: bytes=" + strings.Repeat("0-,", 1000) + "0-\r\n\r\n",
	"headers without end":            "GET / HTTP/1.1\r\nHost: HOST\r\n" + strings.Repeat("X-A: "+strings.Repeat("b", 1000)+"\r\n", 100),
	"a path of 60 kB":                "GET /" + strings.Repeat("a/../", 12_000) + " HTTP/1.1\r\nHost: HOST\r\n\r\n",
	"TLS on the plain port":          "\x16\x03\x01\x00\xa5\x01\x00\x00\xa1\x03\x03" + strings.Repeat("\x00", 160),
	"no HTTP at all":                 strings.Repeat("\x00\xff", 4000) + "\r\n\r\n",
}

// shapes sends each of them over and over, and hangs up.
func (a *attacker) shapes(ctx context.Context) {
	names := slices.Sorted(maps.Keys(outOfShape))
	n := 0
	many(ctx, 1, func(int) {
		n++
		a.shape(ctx, names[n%len(names)], 50*time.Millisecond)
	})
}

// shape sends one of them and returns what came within a time.
func (a *attacker) shape(ctx context.Context, name string, within time.Duration) string {
	conn, err := a.dial(ctx)
	if err != nil {
		return ""
	}
	defer conn.Close()
	if err := conn.SetDeadline(time.Now().Add(within)); err != nil {
		return ""
	}
	if _, err := io.WriteString(conn, strings.NewReplacer("HOST", a.host, "TOKEN", a.token).Replace(outOfShape[name])); err != nil {
		return "" // it hung up in the middle of it
	}
	answer, _ := io.ReadAll(conn) // to the deadline
	return string(answer)
}

// Requests out of shape are refused, or answered as what they are: none gets a page of the board, or is taken for another.
func TestRequestsOutOfShape(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there is no kill -9")
	}
	h := newHost(t)
	model, try := inputs(t, h.library)
	enrol(t, h, []*tablet{newTablet(0, h.base, model, try, false, nil), newTablet(1, h.base, model, try, false, nil)})
	h.start(t)
	a := newAttacker(h, model, 0)
	for _, name := range slices.Sorted(maps.Keys(outOfShape)) {
		answer := a.shape(t.Context(), name, 500*time.Millisecond)
		status, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(answer, "HTTP/1.1 "), "HTTP/1.0 "), "\r\n")
		t.Logf("%-32s %s", name, status)
		for n, line := range strings.Split(answer, "HTTP/1.") {
			if n > 0 && strings.HasPrefix(line[1:], " 2") && name != "a thousand ranges" && !strings.Contains(line, "Content-Security-Policy") {
				t.Errorf("%s: %s", name, line)
			}
		}
		if strings.Contains(answer, "\"jobs\":[") || strings.Contains(answer, "101 Switching") || strings.Count(answer, "multipart/byteranges") > 0 {
			t.Errorf("%s: %.300s", name, answer)
		}
		switch code, _, _ := strings.Cut(status, " "); code {
		case "", "400", "401", "403", "404", "405", "408", "413", "414", "415", "421", "422", "431", "501", "505":
		case "200", "206", "307", "301":
			if name != "a thousand ranges" && name != "a path of 60 kB" {
				t.Errorf("%s: answered %s", name, status)
			}
		default:
			t.Errorf("%s: answered %s", name, status)
		}
	}
	// It lives, and says so.
	if status := a.ask(t.Context(), a.client(), "GET", "/class/hello", "", nil); status != http.StatusOK {
		t.Errorf("after all this: %d", status)
	}
}
