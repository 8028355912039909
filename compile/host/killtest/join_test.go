package killtest

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"matchmark/compile/host/invite"
	"matchmark/compile/host/store"
)

// joining is a class that joins at once: more than one room holds.
const joining = 30

// What a class costs to join: every tablet opens a page by the code, picks its name, and has its first work acknowledged. No tablet waits
// for another, and the trainer lets nobody in one by one. Each is let in once, under the name that it picked.
func TestAClassJoins(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("there is no kill -9")
	}
	h := newHost(t)
	model, _ := inputs(t, h.library)
	code := classOf(t, h)
	h.start(t)
	before := processor(t, h)
	began := time.Now()
	took := make([]time.Duration, joining)
	var all sync.WaitGroup
	for i := range joining {
		all.Go(func() {
			one := time.Now()
			if err := join(t, h, code, i, model); err != nil {
				t.Errorf("tablet %d: %v", i, err)
			}
			took[i] = time.Since(one)
		})
	}
	all.Wait()
	whole := time.Since(began)
	used := processor(t, h) - before
	h.kill(t)
	s := h.kept(t)
	defer s.Close()
	tablets, err := s.Tablets(t.Context())
	people := map[string]bool{}
	for _, x := range tablets {
		people[x.Person] = true
	}
	if err != nil || len(tablets) != joining || len(people) != joining {
		t.Errorf("%d tablets of %d people, %v", len(tablets), len(people), err)
	}
	slices.Sort(took)
	t.Logf("%d tablets joined at once in %v, half within %v, the last within %v; %v of the processor's time at the host", joining, whole.Round(time.Millisecond), took[joining/2].Round(time.Millisecond), took[joining-1].Round(time.Millisecond), used)
	if whole > 30*time.Second {
		t.Errorf("to join took %v", whole)
	}
}

// classOf puts a class list into the host's store and returns the code to join by.
func classOf(t *testing.T, h *host) string {
	t.Helper()
	s := h.kept(t)
	defer s.Close()
	var class []store.Person
	for i := range joining {
		class = append(class, store.Person{Name: fmt.Sprintf("Learner %d", i)})
	}
	if _, err := s.List(t.Context(), class); err != nil {
		t.Fatal(err)
	}
	code, err := invite.New(s, time.Now).Class(t.Context(), false)
	if err != nil {
		t.Fatal(err)
	}
	return code.Code
}

// join does what a page does once its picture is scanned, and hands in the first tick.
func join(t *testing.T, h *host, code string, number int, model any) error {
	ask := func(method, path, token string, body, into any) error {
		content, err := json.Marshal(body)
		if err != nil {
			return err
		}
		r, err := http.NewRequestWithContext(t.Context(), method, h.base+path, bytes.NewReader(content))
		if err != nil {
			return err
		}
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Authorization", "Bearer "+token)
		reply, err := http.DefaultClient.Do(r)
		if err != nil {
			return err
		}
		defer reply.Body.Close()
		answer, err := io.ReadAll(reply.Body)
		if err != nil || reply.StatusCode != http.StatusOK {
			return fmt.Errorf("%s %s: %s %s %v", method, path, reply.Status, answer, err)
		}
		if into == nil {
			return nil
		}
		return json.Unmarshal(answer, into)
	}
	for _, page := range []string{"/", "/class/class.js", "/class/enrol.js", "/class/outbox.js", "/class/photos.js", "/class/code.js", "/class/class.css"} {
		if err := ask("GET", page, "", nil, nil); err != nil {
			return err
		}
	}
	var list struct{ People []struct{ ID, Name string } }
	if err := ask("POST", "/class/list", "", map[string]string{"code": code}, &list); err != nil {
		return err
	}
	name := fmt.Sprintf("Learner %d", number)
	at := slices.IndexFunc(list.People, func(p struct{ ID, Name string }) bool { return p.Name == name })
	if at < 0 {
		return fmt.Errorf("%s is not on the list of %d names", name, len(list.People))
	}
	var me struct{ Tablet, Secret, State string }
	if err := ask("POST", "/class/enrol", "", map[string]string{"code": code, "person": list.People[at].ID, "machine": fmt.Sprint("No. ", number)}, &me); err != nil {
		return err
	}
	if me.State != "in" {
		return fmt.Errorf("the tablet is %s", me.State)
	}
	content, err := json.Marshal(model)
	if err != nil {
		return err
	}
	var work map[string]any
	if err := json.Unmarshal(content, &work); err != nil {
		return err
	}
	stamp := func(value any) map[string]any { return map[string]any{"value": value, "at": 1, "tablet": me.Tablet} }
	work["job"] = fmt.Sprintf("join%022d", number)
	work["machine"], work["tablets"] = stamp("No. 4"), map[string]any{}
	work["ticks"] = map[string]any{"out/fan-off--remove-1": stamp(true)}
	return ask("POST", "/class/record", me.Tablet+"."+me.Secret, work, nil)
}

// processor is how much of the processor's time the host has used; 0 where the system does not say.
// Source: Linux, proc(5), /proc/PID/stat, fields 14 and 15, in hundredths of a second (from memory).
func processor(t *testing.T, h *host) time.Duration {
	t.Helper()
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", h.process.Process.Pid))
	if err != nil {
		return 0
	}
	_, rest, _ := strings.Cut(string(stat), ") ")
	fields := strings.Fields(rest)
	var user, system int64
	if len(fields) < 13 {
		return 0
	}
	if _, err := fmt.Sscan(fields[11]+" "+fields[12], &user, &system); err != nil {
		return 0
	}
	return time.Duration(user+system) * 10 * time.Millisecond
}
