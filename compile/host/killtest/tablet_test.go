package killtest

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"maps"
	"math/rand/v2"
	"net"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"matchmark/procedure/quiz"
	"matchmark/procedure/record"
)

// entriesOfJob is how many rows a tablet writes on one job before it begins another.
const entriesOfJob = 40

// tally counts what the tablets did.
type tally struct {
	sent, answered, refused, waited, away atomic.Int64
	mu                                    sync.Mutex
	refusals                              map[int]string
	took                                  []time.Duration // times of answered posts
}

// record keeps the time of an answered post.
func (t *tally) record(d time.Duration) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.took = append(t.took, d)
}

// kept is what the host has acknowledged to one tablet.
type kept struct {
	ticks    map[string]record.Entry[bool] // by JOB WAY/ROW
	findings map[string]record.Finding     // by JOB NAME
	photos   map[string]bool               // by JOB HASH
	results  map[string]bool               // by LEARNER TRY
}

// tablet is one of the class: it writes, sends until it is answered, and remembers what was acknowledged.
type tablet struct {
	number int
	name   string
	token  string
	other  *tablet // the one that shares its jobs
	base   string
	client *http.Client
	draw   *rand.Rand
	tally  *tally
	model  *record.Record
	try    quiz.Response

	at    int64
	tries []quiz.Response
	jobs  []*job // all that it ever wrote; it works on the last one
	kept  kept
	// class is the name of the host that acknowledged what is in kept.
	class string
	// unaware is true while the host may have lost what is in kept, and the tablet has not heard of another name.
	unaware bool
}

// job is what a tablet holds of one.
type job struct {
	*record.Record
	photos map[string][]byte
}

func (t *tablet) now() *job { return t.jobs[len(t.jobs)-1] }

func nothing() kept {
	return kept{map[string]record.Entry[bool]{}, map[string]record.Finding{}, map[string]bool{}, map[string]bool{}}
}

// newTablet returns a tablet with an address of its own where the system has one for it.
func newTablet(number int, base string, model *record.Record, try quiz.Response, own bool, t *tally) *tablet {
	dialer := &net.Dialer{Timeout: 5 * time.Second}
	if own {
		dialer.LocalAddr = &net.TCPAddr{IP: net.IPv4(127, 0, 1+byte(number/200), 1+byte(number%200))}
	}
	out := &tablet{
		number: number, name: fmt.Sprintf("t%025d", number), base: base, draw: rand.New(rand.NewPCG(uint64(number), 7)), tally: t, model: model, try: try,
		client: &http.Client{Timeout: 20 * time.Second, Transport: &http.Transport{DialContext: dialer.DialContext, MaxIdleConnsPerHost: 1}},
		kept:   nothing(),
	}
	out.begin()
	return out
}

// begin begins a job: two tablets share each one.
func (t *tablet) begin() {
	made := *t.model
	made.Job = fmt.Sprintf("j%07d%08d%010d", t.number/2, len(t.jobs)+1, 0)
	made.Machine = record.Entry[string]{Value: "No. 4", Stamp: t.stamp()}
	made.Tablets = map[string]record.Tablet{t.name: {Learner: fmt.Sprintf("Learner %d", t.number), Phase: record.Removal, Step: "fan-off", Stamp: t.stamp()}}
	made.Ticks, made.Findings, made.Photos = map[string]record.Entry[bool]{}, map[string]record.Finding{}, map[string]record.Photo{}
	t.jobs = append(t.jobs, &job{&made, map[string][]byte{}})
}

func (t *tablet) stamp() record.Stamp {
	t.at++
	return record.Stamp{At: 1_000_000 + t.at, Tablet: t.name}
}

// work goes on until ctx ends. What comes first is drawn: a host that is killed
// early would else never see but the first kind of post.
func (t *tablet) work(ctx context.Context) {
	for ctx.Err() == nil {
		if t.greet(ctx) {
			t.turn(ctx)
		}
		select {
		case <-ctx.Done():
		case <-time.After(time.Duration(50+t.draw.IntN(250)) * time.Millisecond):
		}
	}
}

// turn does one thing.
func (t *tablet) turn(ctx context.Context) {
	switch t.draw.IntN(6) {
	case 0:
		t.answerQuiz(ctx)
	case 1:
		t.sendPhotos(ctx, t.now())
	case 2:
		t.sendOne(ctx)
	default:
		t.write()
		t.send(ctx, t.now())
	}
	if len(t.now().Ticks) >= entriesOfJob && t.settled(t.now()) {
		t.begin()
	}
}

// greet asks who the host is. One of another name has nothing of what was acknowledged, as far as the tablet knows.
func (t *tablet) greet(ctx context.Context) bool {
	var hello struct{ Host string }
	if !t.post(ctx, "", "GET", "/class/hello", "", nil, &hello) {
		return false
	}
	if hello.Host != t.class {
		t.class, t.kept, t.unaware = hello.Host, nothing(), false
	}
	return true
}

// sendOne sends something that this host is not known to have; false when it has all.
func (t *tablet) sendOne(ctx context.Context) bool {
	for _, j := range t.jobs {
		if !t.settled(j) {
			t.send(ctx, j)
			t.sendPhotos(ctx, j)
			return true
		}
	}
	for _, try := range t.tries {
		if !t.kept.results[keyOf(try)] {
			t.sendTry(ctx, try)
			return true
		}
	}
	return false
}

// sendPhotos sends the photos that the host is not known to have, of findings that it has.
func (t *tablet) sendPhotos(ctx context.Context, j *job) {
	for _, name := range slices.Sorted(maps.Keys(j.Findings)) {
		if _, there := t.kept.findings[j.Job+" "+name]; !there {
			continue
		}
		for _, hash := range j.Findings[name].Photos {
			key := j.Job + " " + hash
			if !t.kept.photos[key] && t.post(ctx, j.Job, "PUT", "/class/photo/"+j.Job+"/"+hash, record.PhotoType, j.photos[hash], nil) {
				t.kept.photos[key] = true
			}
		}
	}
}

// write writes a few rows down, and now and then a finding with a photo.
func (t *tablet) write() {
	for range 1 + t.draw.IntN(3) {
		key := fmt.Sprintf("out/fan-off--remove-%d_%d", t.number, len(t.now().Ticks)+1)
		t.now().Ticks[key] = record.Entry[bool]{Value: true, Stamp: t.stamp()}
	}
	if t.draw.IntN(4) == 0 {
		// A row that was ticked is changed: the later state counts.
		for key := range t.now().Ticks {
			t.now().Ticks[key] = record.Entry[bool]{Value: t.draw.IntN(2) == 0, Stamp: t.stamp()}
			break
		}
	}
	if t.draw.IntN(6) == 0 && len(t.now().Findings) < 5 {
		finding := record.Finding{Phase: record.Removal, Step: "fan-off", Name: "Fan", Kind: record.Worn, Severity: record.Watch, Words: fmt.Sprintf("%s finding %d", t.name, t.at), Found: t.at, Stamp: t.stamp()}
		if t.draw.IntN(2) == 0 {
			finding.Photos = []string{t.takePhoto()}
		}
		t.now().Findings[fmt.Sprintf("f%09d%016d", t.number, t.at)] = finding
	}
}

func (t *tablet) takePhoto() string {
	picture := image.NewGray(image.Rect(0, 0, 32, 32))
	for i := range picture.Pix {
		picture.Pix[i] = byte(t.draw.Uint32())
	}
	picture.SetGray(0, 0, color.Gray{byte(t.number)})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, picture, nil); err != nil {
		panic(err) // into memory
	}
	sum := sha256.Sum256(b.Bytes())
	name := hex.EncodeToString(sum[:])
	t.now().Photos[name], t.now().photos[name] = record.Photo{Type: record.PhotoType, Width: 32, Height: 32}, b.Bytes()
	return name
}

// settled reports whether all of a job is acknowledged.
func (t *tablet) settled(j *job) bool {
	for key, e := range j.Ticks {
		if t.kept.ticks[j.Job+" "+key] != e {
			return false
		}
	}
	for hash := range j.photos {
		if !t.kept.photos[j.Job+" "+hash] {
			return false
		}
	}
	return true
}

// send sends a record, and learns which photos the host has; false when it did not take the record.
func (t *tablet) send(ctx context.Context, j *job) bool {
	body, err := json.Marshal(j.Record)
	if err != nil {
		panic(err) // plain fields
	}
	var answer struct {
		Kept   bool
		Wanted []string
	}
	if !t.post(ctx, j.Job, "POST", "/class/record", "application/json", body, &answer) || !answer.Kept {
		return false
	}
	for key, e := range j.Ticks {
		t.kept.ticks[j.Job+" "+key] = e
	}
	for name, f := range j.Findings {
		t.kept.findings[j.Job+" "+name] = f
	}
	for hash := range j.photos {
		if !slices.Contains(answer.Wanted, hash) {
			t.kept.photos[j.Job+" "+hash] = true
		}
	}
	return true
}

func keyOf(try quiz.Response) string { return fmt.Sprintf("%s %d", try.Learner, try.Try) }

// answerQuiz sends a try of the quiz: a new one when the host has the last one,
// and at times one that it has already.
func (t *tablet) answerQuiz(ctx context.Context) {
	if n := len(t.tries); n == 0 || t.kept.results[keyOf(t.tries[n-1])] && t.draw.IntN(4) > 0 {
		made := t.try
		made.Learner, made.Try = fmt.Sprintf("Learner %d", t.number), n+1
		t.tries = append(t.tries, made)
	}
	t.sendTry(ctx, t.tries[len(t.tries)-1])
}

func (t *tablet) sendTry(ctx context.Context, try quiz.Response) {
	body, err := json.Marshal(try)
	if err != nil {
		panic(err) // plain fields
	}
	if t.post(ctx, "", "POST", "/class/result", "application/json", body, nil) {
		t.kept.results[keyOf(try)] = true
	}
}

// post sends once, of a job or with "" of none; true when the host acknowledged it.
func (t *tablet) post(ctx context.Context, job, method, path, kind string, body []byte, into any) bool {
	r, err := http.NewRequestWithContext(ctx, method, t.base+path, bytes.NewReader(body))
	if err != nil {
		panic(err) // addresses of ours
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	r.Header.Set("Authorization", "Bearer "+t.token)
	t.tally.sent.Add(1)
	began := time.Now()
	reply, err := t.client.Do(r)
	if err != nil {
		return false // the host is dead
	}
	defer reply.Body.Close()
	content, err := io.ReadAll(reply.Body)
	if err != nil {
		return false // it died while it answered
	}
	switch reply.StatusCode {
	case http.StatusForbidden:
		t.join(ctx, job) // the other tablet began it
		return false
	case http.StatusTooManyRequests:
		t.tally.waited.Add(1) // and comes again, as a tablet does
		return false
	case http.StatusServiceUnavailable:
		if reply.Header.Get("Retry-After") != "" { // the database is away
			t.tally.away.Add(1)
			return false
		}
	}
	if reply.StatusCode != http.StatusOK && reply.StatusCode != http.StatusNoContent {
		t.tally.refused.Add(1)
		t.tally.mu.Lock()
		t.tally.refusals[reply.StatusCode] = string(content)
		t.tally.mu.Unlock()
		return false
	}
	if into != nil && json.Unmarshal(content, into) != nil {
		return false
	}
	t.tally.answered.Add(1)
	t.tally.record(time.Since(began))
	return true
}

// join joins a job by the code that the other tablet shows. When the host is dead, it comes to it again.
func (t *tablet) join(ctx context.Context, job string) {
	var shown struct{ Code string }
	if !t.ask(ctx, "GET", "/class/invite/"+job, t.other.token, nil, &shown) {
		return
	}
	body, err := json.Marshal(shown)
	if err != nil {
		panic(err) // a plain field
	}
	t.ask(ctx, "POST", "/class/join", t.token, body, &struct{}{})
}

// ask sends one request that is no part of the load.
func (t *tablet) ask(ctx context.Context, method, path, token string, body []byte, into any) bool {
	r, err := http.NewRequestWithContext(ctx, method, t.base+path, bytes.NewReader(body))
	if err != nil {
		panic(err) // addresses of ours
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Authorization", "Bearer "+token)
	reply, err := t.client.Do(r)
	if err != nil {
		return false // the host is dead
	}
	defer reply.Body.Close()
	return reply.StatusCode == http.StatusOK && json.NewDecoder(reply.Body).Decode(into) == nil
}
