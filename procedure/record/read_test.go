package record

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gotest.tools/v3/assert"

	"matchmark/procedure/diagnostic"
)

func TestWhatIsWrittenIsRead(t *testing.T) {
	want := sample(t)
	data := written(t, want)
	got, err := Read(data)
	assert.NilError(t, err)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if again := written(t, got); string(again) != string(data) {
		t.Errorf("written again, it is\n%s\nand was\n%s", again, data)
	}
	if _, err := Read(append([]byte("\xef\xbb\xbf"), data...)); err != nil {
		t.Errorf("with a byte-order mark: %v", err)
	}
	bare := written(t, want.WithoutPhotos())
	if strings.Contains(string(bare), `"data"`) {
		t.Error("a record without photos holds data")
	}
	if r, err := Read(bare); err != nil || len(r.Photos) != 1 {
		t.Errorf("without photos: %v", err)
	}
	if want.Photos[want.Findings[findingX].Photos[0]].Data == "" {
		t.Error("WithoutPhotos has changed the record itself")
	}
}

// hostile is a written record with something replaced.
type hostile struct {
	name, old, new string
	// want is a part of the first fault.
	want string
	// shape is true when a schema can tell too.
	shape bool
}

// changed makes the replacement; one that changes nothing is a fault of the test.
func (h hostile) changed(t testing.TB, data string) string {
	t.Helper()
	if !strings.Contains(data, h.old) {
		t.Fatalf("%s: %q is not there", h.name, h.old)
	}
	return strings.Replace(data, h.old, h.new, 1)
}

func hostiles(t testing.TB) []hostile {
	other := sample(t)
	var photo string
	for name := range other.Photos {
		photo = name
	}
	long := strings.Repeat("x", 2001)
	return []hostile{
		{"other format", Format, "class-list", "no job record", true},
		{"newer version", `"version":2`, `"version":3`, "of version \"3\"", true},
		{"version as text", `"version":2`, `"version":"1"`, "of version", true},
		{"unknown field", `"variant":`, `"varaint":`, `there is no "varaint"`, true},
		{"unknown field of an entry", `"severity":"before-refit","step":"hub-off"`, `"sevrity":"watch","step":"hub-off"`, `there is no "sevrity"`, true},
		{"missing job", `"job":"` + jobName + `",`, ``, "job is missing", true},
		{"missing stamp", `,"tablet":"` + tabletA + `","value":"No. 4"`, `,"value":"No. 4"`, "tablet is missing", true},
		{"field twice", `"edition":"3"`, `"edition":"3","edition":"4"`, "edition is there twice", false},
		{"key twice", `"passed":{`, `"passed":{"out/isolate":{"at":1,"tablet":"` + tabletA + `","value":true},`, "is there twice", false},
		{"job as path", jobName, "../../../../../etc/passwd00", "no name of 26", true},
		{"job in capitals", jobName, strings.ToUpper(jobName), "no name of 26", true},
		{"job with a line feed behind", jobName + `"`, jobName + `\n"`, "no name of 26", true},
		{"procedure with a slash", `"mixer-gearbox-out"`, `"../mixer"`, "no name of a procedure", true},
		{"empty content", `"content":"0123456789abcdef","edition"`, `"content":"","edition"`, "no hash", true},
		{"way of its own", `"out/isolate":`, `"over/isolate":`, "no way and step", true},
		{"row with markup", `out/hub-off--remove-3`, `out/<script>`, "no way and row", true},
		{"key of work", `out/isolate@` + tabletA + `@1770000000000`, `out/isolate@` + tabletA, "no way, step, tablet and begin", true},
		{"work under another begin", `@1770000000000`, `@1770000000001`, "the key says", false},
		{"work that ends before", `"to":1770000060000`, `"to":1769999999999`, "ends before it begins", false},
		{"stamp beyond all numbers", `"at":1770000000005`, `"at":99999999999999999999`, "no time", false},
		{"broken stamp", `"at":1770000000005`, `"at":1.5`, "no time", true},
		{"stamp with an exponent", `"at":1770000000005`, `"at":1e999`, "no time", false},
		{"stamp as text", `"at":1770000000005`, `"at":"now"`, "no time", true},
		{"null as entry", `{"from":1770000000000,"to":1770000060000}`, `null`, "no object", true},
		{"list as entry", `{"from":1770000000000,"to":1770000060000}`, `[]`, "no object", true},
		{"tick as number", `"value":false`, `"value":0`, "neither true nor false", true},
		{"unknown way", `"way":"out"`, `"way":"sideways"`, "no way", true},
		{"unknown kind", `"kind":"damaged"`, `"kind":"damagd"`, "no kind of finding", true},
		{"unknown severity", `"severity":"before-refit"`, `"severity":"whenever"`, "no severity", true},
		{"step as path", `"step":"hub-off","tablet"`, `"step":"../..","tablet"`, "no name of a step", true},
		{"thing with a blank", `"thing":"hub"`, `"thing":"the hub"`, "no name of a thing", true},
		{"long words", `Groove worn`, long, "the text has 2015 characters", true},
		{"long name", `"name":"Hub"`, `"name":"` + long[:81] + `"`, "the text has 81 characters", true},
		{"control character", `"name":"Hub"`, `"name":"Hub\u0000"`, "control character U+0000", true},
		{"line feed in a name", `"who":"T. Berg"`, `"who":"T.\nBerg"`, "control character U+000A", true},
		{"value that is no number", `"value":"11.4"`, `"value":"11,4"`, "no number", true},
		{"finding's name", findingX, "x", "no name of a finding", true},
		{"photo's name as path", `"photos":{"` + photo, `"photos":{"../../` + photo, "no SHA-256", true},
		{"photo of a finding as path", `"photos":["` + photo, `"photos":["../` + photo[3:], "no SHA-256", true},
		{"photo of another name", `"photos":{"` + photo, `"photos":{"` + strings.Repeat("0", 64), "its SHA-256 is", false},
		{"photo's type", `"type":"image/jpeg"`, `"type":"image/svg+xml"`, "no type of photo", true},
		{"photo's width", `"width":4`, `"width":5`, "4 by 3 pixels, and the entry says 5 by 3", false},
		{"photo without width", `"width":4`, `"width":0`, "no number of pixels", true},
		{"photo too wide", `"width":4`, `"width":4097`, "no number of pixels", true},
		{"photo's data", `"data":"/9j`, `"data":"?9j`, "no base64", true},
		{"photo with a line feed", `"data":"/9j`, `"data":"/9j\n`, "no base64", true},
		{"seal too short", `"seal":"cd`, `"seal":"`, "no seal", true},
		{"key of capitals", `"key":"ab`, `"key":"AB`, "no key", true},
		{"no JSON", `"variant"`, `variant`, "damaged", false},
		{"cut off", written2000(t), "", "damaged", false},
		{"two records", "}\n", "}{}\n", "damaged", false},
		{"half a character", `"name":"Hub"`, `"name":"Hub\ud800\u0000"`, "control character U+0000", true},
		{"no UTF-8", "No. 4", "No. \xff", "no UTF-8", false},
	}
}

// written2000 is the end of a written record, which is missing when a copy breaks off.
func written2000(t testing.TB) string { return string(written(t, sample(t))[2000:]) }

func TestHostileRecordsAreRefused(t *testing.T) {
	data := string(written(t, sample(t)))
	for _, h := range hostiles(t) {
		r, err := Read([]byte(h.changed(t, data)))
		var faults diagnostic.Faults
		if !errors.As(err, &faults) || r != nil {
			t.Errorf("%s: not refused", h.name)
			continue
		}
		if !strings.Contains(faults[0].Says().String(), h.want) {
			t.Errorf("%s: the fault is %q, want %q in it", h.name, faults[0].Says().String(), h.want)
		}
		for _, f := range faults {
			if f.Advice.Empty() || f.Place.Line != 1 && h.name != "two records" || f.Place.Column < 1 {
				t.Errorf("%s: %+v", h.name, f)
			}
		}
	}
	for _, empty := range []string{"", " \n", "[]", "null", "7", `"` + Format + `"`, "{}"} {
		if _, err := Read([]byte(empty)); err == nil {
			t.Errorf("%q is not refused", empty)
		}
	}
}

// What a stranger sends is looked at no longer than what a tablet does.
func TestHostileFieldsCostLittle(t *testing.T) {
	head := `{"format":"` + Format + `","version":1`
	var many strings.Builder
	for i := range 300_000 {
		fmt.Fprintf(&many, `,"tablet%d":1`, i)
	}
	for name, rest := range map[string]string{"one huge field": `,"` + strings.Repeat("x", 3_900_000) + `":1`, "many fields": many.String()} {
		data := []byte(head + rest + "}")
		began := time.Now()
		if !json.Valid(data) {
			t.Fatal("no JSON")
		}
		yardstick := max(time.Since(began), time.Millisecond)
		began = time.Now()
		_, err := Read(data)
		took := time.Since(began)
		var faults diagnostic.Faults
		if !errors.As(err, &faults) || len(faults) > mostFaults {
			t.Errorf("%s: %d faults", name, len(faults))
		}
		// A search for what each field may have meant took 500 times as long as looking whether it is JSON.
		if took > 100*yardstick {
			t.Errorf("%s: it took %v, %.0f times the yardstick", name, took, float64(took)/float64(yardstick))
		}
	}
}

func TestAFaultSaysWhereItIs(t *testing.T) {
	data := strings.Replace(string(written(t, sample(t))), `"kind":"damaged"`, "\n \"kind\": \"damagd\"", 1)
	_, err := Read([]byte(data))
	const want = `2:10 findings["` + findingX + `"].kind: "damagd" is no kind of finding / Did you mean "damaged"?`
	var faults diagnostic.Faults
	if !errors.As(err, &faults) || len(faults) != 1 || fmt.Sprintf("%d:%d %s / %s", faults[0].Place.Line, faults[0].Place.Column, faults[0].Says(), faults[0].Advice) != want {
		t.Errorf("%v, want %v", faults, want)
	}
}

// TestBounds builds records that are just within a bound, and just beyond.
func TestBounds(t *testing.T) {
	for _, c := range []struct {
		name string
		most int
		fill func(r *Record, n int)
	}{
		{"tablets", MostTablets, func(r *Record, n int) {
			r.Tablets = map[string]Tablet{}
			for i := range n {
				name := fmt.Sprintf("t%025d", i)
				r.Tablets[name] = Tablet{Phase: Refitting, Stamp: Stamp{At: 1, Tablet: name}}
			}
		}},
		{"findings", MostFindings, func(r *Record, n int) {
			f := r.Findings[findingX]
			r.Findings = map[string]Finding{}
			for i := range n {
				r.Findings[fmt.Sprintf("f%025d", i)] = f
			}
		}},
		{"ticks", MostEntries, func(r *Record, n int) {
			r.Ticks = map[string]Entry[bool]{}
			for i := range n {
				r.Ticks[fmt.Sprintf("out/row-%d", i)] = Entry[bool]{true, Stamp{At: 1, Tablet: tabletA}}
			}
		}},
		{"photos", MostPhotos, func(r *Record, n int) {
			r.Photos = map[string]Photo{}
			for i := range n {
				r.Photos[fmt.Sprintf("%064x", i)] = Photo{Type: PhotoType, Width: 1, Height: 1}
			}
		}},
	} {
		for _, beyond := range []bool{false, true} {
			r, n := sample(t), c.most
			if beyond {
				n++
			}
			c.fill(r, n)
			_, err := Read(written(t, r))
			if refused := err != nil; refused != beyond {
				t.Errorf("%d %s: %v", n, c.name, err)
			}
			if full := r.Full() != nil; full != beyond {
				t.Errorf("%d %s: Full says %v", n, c.name, r.Full())
			}
		}
	}
	if _, err := Read(make([]byte, MostBytes+1)); err == nil || !strings.Contains(err.Error(), "larger") {
		t.Errorf("a file beyond all bounds: %v", err)
	}
	// Much that has no place in a record must not take memory or time to tell.
	for _, depth := range []int{5000, 9_999, 10_000, 50_000} { // Go's decoders go 10,000 deep
		deep := `{"format":"` + Format + `","version":1,"job":` + strings.Repeat("[", depth) + strings.Repeat("]", depth) + `}`
		if _, err := Read([]byte(deep)); err == nil {
			t.Errorf("a record of depth %d is not refused", depth)
		}
	}
	if _, _, err := NewPhoto(make([]byte, MostPhotoBytes+1)); err == nil || !strings.Contains(err.Error(), "are the most") {
		t.Errorf("a large photo: %v", err)
	}
}

func FuzzRead(f *testing.F) {
	base := sample(f)
	data := string(written(f, base))
	f.Add([]byte(data))
	for _, h := range hostiles(f) {
		f.Add([]byte(h.changed(f, data)))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Read(data)
		if err != nil {
			var faults diagnostic.Faults
			if !errors.As(err, &faults) || len(faults) == 0 || faults[0].Place.Line < 1 || faults[0].Place.Column < 1 || faults[0].Wrong.Empty() || faults[0].Advice.Empty() {
				t.Fatalf("%#v", err)
			}
			return
		}
		out := written(t, r)
		again, err := Read(out)
		if err != nil {
			t.Fatalf("what was written is refused: %v\n%s", err, out)
		}
		if string(written(t, again)) != string(out) {
			t.Fatal("a second writing differs")
		}
		ab, ba := written(t, Merge(r, base)), written(t, Merge(base, r))
		if string(ab) != string(ba) {
			t.Fatalf("the order of merging counts:\n%s\n%s", ab, ba)
		}
		if string(written(t, Merge(r, r))) != string(out) {
			t.Fatal("merging a record with itself changes it")
		}
		r.Times()
	})
}

// A clock that is far off costs no work: what it stamped is read, and set to the nearest time that there can be.
func TestTimesFarOffAreSetRight(t *testing.T) {
	data := string(written(t, sample(t)))
	for stamp, want := range map[string]int64{"4102444800001": LatestMoment, "9000000000000000": LatestMoment, "-1": 0, "0": 0} {
		r, err := Read([]byte(strings.Replace(data, `"at":1770000000005`, `"at":`+stamp, 1)))
		if err != nil || r.Passed["out/isolate"].At != want {
			t.Errorf("%s: %v, want %d", stamp, err, want)
		}
	}
	late := strings.NewReplacer("@1770000000000", "@9770000000000", `"from":1770000000000,"to":1770000060000`, `"from":9770000000000,"to":9770000060000`).Replace(data)
	if _, err := Read([]byte(late)); err != nil {
		t.Errorf("work by a clock of another century: %v", err)
	}
}

// Files of version 1 are read as they were, and are of this version from then on.
func TestTheFirstVersionIsRead(t *testing.T) {
	r, err := Read([]byte(strings.Replace(string(written(t, sample(t))), `"version":2`, `"version":1`, 1)))
	if err != nil || r.Version != Version {
		t.Errorf("version %d, %v", r.Version, err)
	}
}
