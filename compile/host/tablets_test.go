package host

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

type kept struct {
	Kept   bool
	Record *record.Record
	Wanted []string
}

func TestRecordsOfTwoTablets(t *testing.T) {
	c := newClass(t, store.Options{})
	one, two := newRecord(aJob, aTablet, "Ada"), newRecord(aJob, bTablet, "Ben")
	one.Ticks["out/x--remove-1"] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 5, Tablet: aTablet}}
	var got kept
	c.want(http.StatusOK, nil, "POST", "/class/record", one)
	refused(t, c.as(bTablet, "Ben").want(http.StatusForbidden, nil, "POST", "/class/record", two))
	c.put(bTablet, aJob)
	c.want(http.StatusOK, &got, "POST", "/class/record", two)
	if !got.Kept || len(got.Record.Tablets) != 2 || len(got.Record.Ticks) != 1 {
		t.Errorf("merged: %+v", got)
	}
	w := c.want(http.StatusOK, nil, "GET", "/class/record/"+aJob, nil)
	if read, err := record.Read(w.Body.Bytes()); err != nil || len(read.Tablets) != 2 {
		t.Errorf("the record that is sent cannot be read: %v", err)
	}
	c.want(http.StatusNotModified, nil, "GET", "/class/record/"+aJob, nil, "If-None-Match", w.Header().Get("ETag"))
	c.want(http.StatusForbidden, nil, "GET", "/class/record/"+bJob, nil)
	c.again()
	c.want(http.StatusOK, nil, "GET", "/class/record/"+aJob, nil, "If-None-Match", `"other"`)
}

func TestPhotos(t *testing.T) {
	c := newClass(t, store.Options{})
	name, photo, data := newPhoto(t, 40)
	other, _, otherData := newPhoto(t, 41)
	put := func(job, name string, data []byte, want int) {
		t.Helper()
		w := c.want(want, nil, "PUT", "/class/photo/"+job+"/"+name, data, "Content-Type", "image/jpeg")
		if want != http.StatusNoContent {
			refused(t, w)
		}
	}
	put(aJob, name, data, http.StatusForbidden) // there is no such job
	r := newRecord(aJob, aTablet, "Ada")
	r.Photos = map[string]record.Photo{name: photo}
	var got kept
	c.want(http.StatusOK, &got, "POST", "/class/record", r)
	if len(got.Wanted) != 1 || got.Wanted[0] != name {
		t.Errorf("wanted %v", got.Wanted)
	}
	put(aJob, other, otherData, http.StatusNotFound)                     // not named
	put(aJob, name, otherData, http.StatusUnprocessableEntity)           // another picture
	put(aJob, name, data[:len(data)-20], http.StatusUnprocessableEntity) // cut off
	put(aJob, name, []byte("<svg/>"), http.StatusUnprocessableEntity)    // no JPEG
	put(aJob, strings.ToUpper(name), data, http.StatusNotFound)          // no name
	put("..%2f..%2fetc", name, data, http.StatusNotFound)                // path tricks
	put(aJob, "..%2f..%2fclass.db", data, http.StatusNotFound)           //
	put(aJob, "%2e%2e", data, http.StatusNotFound)                       //
	put(aJob, name+"%00", data, http.StatusNotFound)                     //
	put(aJob, name, bytes.Repeat([]byte{1}, 3<<20), http.StatusRequestEntityTooLarge)
	c.want(http.StatusUnsupportedMediaType, nil, "PUT", "/class/photo/"+aJob+"/"+name, data, "Content-Type", "text/html")
	put(aJob, name, data, http.StatusNoContent)
	put(aJob, name, data, http.StatusNoContent)
	w := c.want(http.StatusOK, nil, "GET", "/class/photo/"+aJob+"/"+name, nil)
	if !bytes.Equal(w.Body.Bytes(), data) || w.Header().Get("Content-Type") != "image/jpeg" {
		t.Error("another photo came back")
	}
	c.want(http.StatusOK, &got, "POST", "/class/record", r)
	if len(got.Wanted) != 0 {
		t.Errorf("wanted again: %v", got.Wanted)
	}
}

func TestRefusedRecords(t *testing.T) {
	valid := func(change func(*record.Record)) []byte {
		r := newRecord(aJob, aTablet, "Ada")
		change(r)
		content, err := json.Marshal(r)
		assert.NilError(t, err)
		return content
	}
	c := newClass(t, store.Options{})
	for name, test := range map[string]struct {
		body []byte
		want int
	}{
		"as it should be":   {valid(func(*record.Record) {}), 200},
		"empty":             {[]byte{}, 422},
		"no JSON":           {[]byte("{"), 422},
		"not UTF-8":         {[]byte("{\"a\":\"\xff\"}"), 422},
		"an array":          {[]byte("[]"), 422},
		"another format":    {[]byte(`{"format":"x","version":1}`), 422},
		"a later version":   {bytes.Replace(valid(func(*record.Record) {}), []byte(`"version":2`), []byte(`"version":3`), 1), 422},
		"an unknown field":  {bytes.Replace(valid(func(*record.Record) {}), []byte(`"version":2`), []byte(`"version":2,"x":1`), 1), 422},
		"a job of no form":  {valid(func(r *record.Record) { r.Job = "../../class" }), 422},
		"a name too long":   {valid(func(r *record.Record) { r.Machine.Value = strings.Repeat("x", 81) }), 422},
		"unknown procedure": {valid(func(r *record.Record) { r.Procedure = "nothing-like-it" }), 422},
		"too many tablets": {valid(func(r *record.Record) {
			for i := range 65 {
				r.Tablets[strings.Repeat("c", 24)+string([]byte{'a' + byte(i/26), 'a' + byte(i%26)})] = r.Tablets[aTablet]
			}
		}), 422},
		"deep":             {[]byte(`{"format":"matchmark-job-record","version":1,"job":` + strings.Repeat("[", 100_000) + strings.Repeat("]", 100_000) + "}"), 422},
		"an older edition": {valid(func(r *record.Record) { r.Edition, r.Content = "0", "0000000000000000" }), 200},
		"an older variant": {valid(func(r *record.Record) { r.Job, r.Variant = bJob, "gone" }), 200},
		"huge":             {bytes.Repeat([]byte(" "), mostRecord+1), 413},
	} {
		t.Run(name, func(t *testing.T) {
			before, err := c.Store.Jobs(t.Context(), 0)
			assert.NilError(t, err)
			w := c.want(test.want, nil, "POST", "/class/record", test.body)
			if test.want == 200 {
				return
			}
			refused(t, w)
			if after, err := c.Store.Jobs(t.Context(), 0); err != nil || len(after) != len(before) {
				t.Errorf("%d jobs are kept, %v", len(after), err)
			}
			if len(c.logged) != 0 {
				t.Errorf("logged: %v", c.logged)
			}
		})
	}
	refused(t, c.want(http.StatusUnsupportedMediaType, nil, "POST", "/class/record", valid(func(*record.Record) {}), "Content-Type", "text/plain"))
	// A job's name is taken by another procedure.
	c.want(http.StatusOK, nil, "POST", "/class/record", valid(func(*record.Record) {}))
	refused(t, c.want(http.StatusConflict, nil, "POST", "/class/record", valid(func(r *record.Record) { r.Procedure = "sheeter-roller-out" })))
}

// Only the host signs: whatever else a tablet says is a signature is left out.
func TestForgedSignatures(t *testing.T) {
	c, stranger := newClass(t, store.Options{}), newClass(t, store.Options{})
	r := newRecord(aJob, aTablet, "Ada")
	const row = "out/x--sign"
	by := func(name string) record.Signature { return record.Signature{Who: name, At: 5, Step: "x"} }
	for name, forge := range map[string]record.Signature{
		"another key": record.Seal(r, row, by("k"), stranger.Store.Key()),
		"another row": record.Seal(r, "out/y--sign", by("k"), c.Store.Key()),
		"another person": func() record.Signature {
			g := record.Seal(r, row, by("k"), c.Store.Key())
			g.Who = "a"
			return g
		}(),
		"another name": func() record.Signature {
			g := record.Seal(r, row, record.Signature{Who: record.Pseudonym("Kim Holt", "s"), Name: "Kim Holt", Salt: "s", At: 5}, c.Store.Key())
			g.Name = "Ada"
			g.Salt = strings.Repeat("0", 32)
			return g
		}(),
		"no seal": {Who: "Kim Holt", At: 5, Key: strings.Repeat("0", 64), Seal: strings.Repeat("0", 128)},
	} {
		r.Signed = map[string]record.Signature{row: forge}
		var got kept
		c.want(http.StatusOK, &got, "POST", "/class/record", r)
		if len(got.Record.Signed) != 0 {
			t.Errorf("%s was taken", name)
		}
	}
	// The host's own, which a tablet brings back after the database was restored.
	own := record.Seal(r, row, by("k"), c.Store.Key())
	r.Signed = map[string]record.Signature{row: own}
	var got kept
	c.want(http.StatusOK, &got, "POST", "/class/record", r)
	if got.Record.Signed[row] != own {
		t.Errorf("the host's own signature: %+v", got.Record.Signed)
	}
}

func TestResults(t *testing.T) {
	c := newClass(t, store.Options{})
	good := newResult("Ada", 1)
	for range 3 {
		c.want(http.StatusOK, nil, "POST", "/class/result", good)
	}
	spaced, err := json.MarshalIndent(good, "", "   ")
	assert.NilError(t, err)
	c.want(http.StatusOK, nil, "POST", "/class/result", spaced)
	if all, err := c.Store.Results(t.Context(), "oven-quiz", 0); err != nil || len(all) != 1 {
		t.Errorf("%d results are kept of one, %v", len(all), err)
	}
	for name, body := range map[string]any{
		"no JSON":          []byte("x"),
		"another form":     map[string]any{"quiz": "oven-quiz"},
		"unknown quiz":     func() any { r := newResult("Ada", 1); r.Quiz = "x"; return r }(),
		"no such try":      func() any { r := newResult("Ada", 0); return r }(),
		"a long name":      newResult(strings.Repeat("x", 81), 1),
		"twice a question": func() any { r := newResult("Ada", 1); r.Answers = append(r.Answers, r.Answers[0]); return r }(),
		"no such choice":   func() any { r := newResult("Ada", 1); r.Answers[0].Chosen = []int{99}; return r }(),
	} {
		w := c.ask("POST", "/class/result", body)
		if w.Code != http.StatusUnprocessableEntity && w.Code != http.StatusBadRequest {
			t.Errorf("%s: %d %s", name, w.Code, w.Body)
		}
		refused(t, w)
	}
	refused(t, c.want(http.StatusRequestEntityTooLarge, nil, "POST", "/class/result", bytes.Repeat([]byte(" "), mostResult+1)))
}

func TestPace(t *testing.T) {
	c := newClass(t, store.Options{})
	var last int
	for range postsAtOnce + 1 {
		last = c.ask("POST", "/class/record", []byte("{")).Code
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("post %d in one moment: %d", postsAtOnce+1, last)
	}
	w := c.ask("POST", "/class/record", []byte("{"))
	refused(t, w)
	if w.Header().Get("Retry-After") == "" {
		t.Error("nobody says how long to wait")
	}
	c.from = "192.168.4.78:50000"
	if got := c.ask("POST", "/class/record", []byte("{")).Code; got != http.StatusUnprocessableEntity {
		t.Errorf("another tablet: %d", got)
	}
	// New jobs have a pace of their own.
	for i := range jobsAtOnce + 1 {
		last = c.ask("POST", "/class/record", newRecord(strings.Repeat("d", 24)+string([]byte{'a' + byte(i/26), 'a' + byte(i%26)}), aTablet, "")).Code
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("job %d in one moment: %d", jobsAtOnce+1, last)
	}
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(strings.Repeat("d", 24)+"aa", bTablet, ""))
}

func TestNoRoom(t *testing.T) {
	c := newClass(t, store.Options{MostBytes: 1})
	refused(t, c.want(http.StatusInsufficientStorage, nil, "POST", "/class/record", newRecord(aJob, aTablet, "Ada")))
	refused(t, c.want(http.StatusInsufficientStorage, nil, "POST", "/class/result", newResult("Ada", 1)))
	if len(c.logged) != 2 || strings.Contains(strings.Join(c.logged, ""), "Ada") {
		t.Errorf("logged: %q", c.logged)
	}
}
