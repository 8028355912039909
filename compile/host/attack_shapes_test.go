package host

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/gif"
	"image/png"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// A name is what people see of it: nothing turns the direction of writing, hides in it, or breaks out of its line.
func TestAttackByNames(t *testing.T) {
	c := newClass(t, store.Options{})
	c.enter()
	var shown invitation
	c.want(http.StatusOK, &shown, "GET", "/board/invite", nil)
	c.want(http.StatusOK, nil, "POST", "/board/people", []byte("\ufeffname;group\n\"=HYPERLINK(\"\"http://x\"\")\";@SUM(A1)\nMo\u202enie\x1b[31m;\u2066East\u2069\n"), "Content-Type", "text/csv")
	c.cookie, c.token = nil, ""
	for typed, want := range map[string]string{
		"Ada\u202egreB": "AdagreB", "Be\u200bn": "Ben", "C\x00e\x1bm": "C e m", "Dan\r\nEve": "Dan Eve", "\u2067Fay\u2069": "Fay", "<script>alert(1)</script>": "<script>alert(1)</script>",
		"=1+1": "=1+1", "نام\u200cها": "نام\u200cها", "Gus\u2028\u2029Hal": "Gus Hal", "\ue000Ian": "Ian",
	} {
		var me mine
		if c.want(http.StatusOK, &me, "POST", "/class/enrol", map[string]string{"code": shown.Code, "name": typed, "machine": "No.\u202e 4"}); me.Learner != want || me.Machine != "No. 4" {
			t.Errorf("%q is called %q, at machine %q", typed, me.Learner, me.Machine)
		}
	}
	for _, none := range []string{"", " ", "\u200b", "\u202e\u202c", "\x00"} {
		refused(t, c.want(http.StatusUnprocessableEntity, nil, "POST", "/class/enrol", map[string]string{"code": shown.Code, "name": none}))
	}
	people, err := c.Store.People(t.Context())
	assert.NilError(t, err)
	for _, p := range people {
		for _, text := range []string{p.Name, p.Team} {
			if strings.ContainsAny(text, "\u202e\u202a\u2066\u2069\u200b\x1b\x00\n") {
				t.Errorf("a name is %q", text)
			}
		}
	}
	c.as(aTablet, "Ada")
	r := newRecord(aJob, aTablet, "Ada")
	r.Machine.Value = "No. 4\u202e7"
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	if got := stateOf(t, c, aJob).Machine.Value; got != "No. 47" {
		t.Errorf("the machine is %q", got)
	}
}

// A tablet that joins once more under another's name neither brings its old jobs along nor gets the other's, and the other, when she comes, is asked about.
func TestAttackByAnotherName(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	c.enter()
	var shown invitation
	c.want(http.StatusOK, &shown, "GET", "/board/invite", nil)
	c.cookie = nil
	join := func(tablet, name string) mine {
		t.Helper()
		c.token = ""
		var me mine
		c.want(http.StatusOK, &me, "POST", "/class/enrol", map[string]string{"code": shown.Code, "tablet": tablet, "name": name})
		c.token = me.Tablet + "." + me.Secret
		return me
	}
	as := join(aTablet, "Ben")
	if as.Tablet == aTablet || as.State != store.In || len(as.Jobs) != 0 {
		t.Errorf("Ada's tablet as Ben: %+v", as)
	}
	refused(t, c.want(http.StatusForbidden, nil, "GET", "/class/record/"+aJob, nil))
	if ben := join("", "ben"); ben.State != store.Asks || ben.Jobs == nil || len(ben.Jobs) != 0 {
		t.Errorf("Ben himself: %+v", ben)
	}
	// The trainer sees both, and who came when.
	c.enter()
	var state struct{ Class []classTablet }
	c.want(http.StatusOK, &state, "GET", "/board/state", nil)
	if len(state.Class) != 3 || state.Class[1].Learner != "Ben" || state.Class[2].State != store.Asks {
		t.Errorf("the class: %+v", state.Class)
	}
	c.want(http.StatusNoContent, nil, "POST", "/board/tablet", map[string]any{"number": state.Class[2].Number, "do": "in-place"})
	c.cookie, c.token = nil, as.Tablet+"."+as.Secret
	refused(t, c.want(http.StatusUnauthorized, nil, "GET", "/class/me", nil)) // the false Ben is out
}

// A try that is sent under another learner's name stays the tablet's own, with both names beside it, and takes nothing from the other's.
func TestAttackOnAnothersResults(t *testing.T) {
	c := newClass(t, store.Options{})
	c.as(bTablet, "Ben").want(http.StatusOK, nil, "POST", "/class/result", newResult("Ben", 1))
	c.as(aTablet, "Ada").want(http.StatusOK, nil, "POST", "/class/result", newResult("Ben", 2))
	all, err := c.Store.Results(t.Context(), "", 0)
	if err != nil || len(all) != 2 {
		t.Fatalf("%d results, %v", len(all), err)
	}
	names := map[string]bool{all[0].Response.Learner: true, all[1].Response.Learner: true}
	if !names["Ben"] || !names["Ben / Ada"] {
		t.Errorf("results of %v", names)
	}
}

// A job's code that somebody has taken a picture of opens nothing once the class has ended, nor once the job is void.
func TestAttackByAStolenPicture(t *testing.T) {
	for how, what := range map[string]func(c *class){
		"the class has ended": func(c *class) { c.want(http.StatusNoContent, nil, "POST", "/board/end", map[string]string{}) },
		"the job is void": func(c *class) {
			c.want(http.StatusNoContent, nil, "POST", "/board/job", map[string]string{"job": aJob, "do": "void"})
		},
	} {
		c := newClass(t, store.Options{})
		c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
		var shown invitation
		c.want(http.StatusOK, &shown, "GET", "/class/invite/"+aJob, nil)
		c.enter()
		c.clock = c.clock.Add(time.Second)
		what(c)
		c.cookie, c.token = nil, ""
		for _, path := range []string{"/class/list", "/class/enrol"} {
			if w := c.ask("POST", path, map[string]string{"code": shown.Code, "name": "Eve"}); w.Code != http.StatusForbidden {
				t.Errorf("%s, %s: %d %s", how, path, w.Code, w.Body)
			}
		}
		c.as(bTablet, "Ben")
		refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/join", map[string]string{"code": shown.Code}))
	}
}

// Clocks that lie by ages put no entry outside of the time that there is.
func TestAttackByClocks(t *testing.T) {
	c := newClass(t, store.Options{})
	now := c.clock.UnixMilli()
	for n, clock := range []string{"1", "-1", "0", "x", "", fmt.Sprint(math.MaxInt64), fmt.Sprint(math.MinInt64), "9223372036854775808", "4102444800000", "1e3"} {
		for m, at := range []int64{0, 1, now, record.LatestMoment} {
			row := fmt.Sprintf("out/fan-off--remove-%d-%d", n, m)
			r := newRecord(aJob, aTablet, "Ada")
			r.Ticks[row] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: at, Tablet: aTablet}}
			c.want(http.StatusOK, nil, "POST", "/class/record?clock="+clock, r)
			if e := stateOf(t, c, aJob).Ticks[row]; !e.Value || e.At < 0 || e.At > now {
				t.Errorf("clock %s, stamp %d: %+v", clock, at, e)
			}
		}
	}
}

// Ten thousand findings, or a text as long as a book, are refused with a word, and change nothing of the job.
func TestAttackByMuch(t *testing.T) {
	c := newClass(t, store.Options{})
	c.want(http.StatusOK, nil, "POST", "/class/record", withFinding())
	for name, change := range map[string]func(r *record.Record){
		"10,000 findings": func(r *record.Record) {
			for i := range 10_000 {
				r.Findings[fmt.Sprintf("%026d", i)] = r.Findings[finding]
			}
		},
		"30,000 ticks": func(r *record.Record) {
			for i := range 30_000 {
				r.Ticks[fmt.Sprintf("out/fan-off--remove-%d", i)] = record.Entry[bool]{Value: true, Stamp: record.Stamp{At: 1, Tablet: aTablet}}
			}
		},
		"1,000 photos that nobody takes": func(r *record.Record) {
			r.Photos = map[string]record.Photo{}
			for i := range 1000 {
				r.Photos[fmt.Sprintf("%064x", i)] = record.Photo{Type: record.PhotoType, Width: 1, Height: 1}
			}
		},
		"a long text": func(r *record.Record) {
			f := r.Findings[finding]
			f.Words = strings.Repeat("x", 100_000)
			r.Findings[finding] = f
		},
	} {
		r := withFinding()
		change(r)
		if w := c.ask("POST", "/class/record", r); w.Code != http.StatusUnprocessableEntity && w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", name, w.Code)
		} else {
			refused(t, w)
		}
		if got := stateOf(t, c, aJob); len(got.Findings) != 1 || len(got.Ticks)+len(got.Photos) != 0 {
			t.Errorf("%s: %d findings, %d ticks, %d photos", name, len(got.Findings), len(got.Ticks), len(got.Photos))
		}
	}
}

// Pictures of other forms, or that say of themselves what would cost much, are no photos, whatever they are called.
func TestAttackByPictures(t *testing.T) {
	c := newClass(t, store.Options{})
	var asPNG, asGIF bytes.Buffer
	assert.NilError(t, png.Encode(&asPNG, image.NewGray(image.Rect(0, 0, 4, 4))))
	frame := image.NewPaletted(image.Rect(0, 0, 4, 4), color.Palette{color.Black, color.White})
	assert.NilError(t, gif.EncodeAll(&asGIF, &gif.GIF{Image: []*image.Paletted{frame, frame, frame}, Delay: []int{1, 1, 1}}))
	_, _, sound := newPhoto(t, 40)
	// The frame's header: FF C0, length, precision, height, width. Source: ITU-T T.81, B.2.2.
	at := bytes.Index(sound, []byte{0xff, 0xc0})
	huge := bytes.Clone(sound)
	binary.BigEndian.PutUint16(huge[at+5:], 65535)
	binary.BigEndian.PutUint16(huge[at+7:], 65535)
	flat := bytes.Clone(sound)
	binary.BigEndian.PutUint16(flat[at+5:], 0)
	twelve := bytes.Clone(sound)
	twelve[at+4] = 12 // bits
	wrong := map[string][]byte{
		"PNG": asPNG.Bytes(), "animated GIF": asGIF.Bytes(), "WebP": []byte("RIFF\x24\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x02\x00\x00\x00\xff\xff\xff\xff\xff\xff"), "SVG": []byte("<svg xmlns='http://www.w3.org/2000/svg'/>"),
		"HEIF": []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "65535 by 65535": huge, "no height": flat, "12 bits": twelve, "no end": sound[:len(sound)-2], "nothing": {}, "the start alone": {0xff, 0xd8},
		"HTML behind a start": []byte("\xff\xd8\xff<script>alert(1)</script>"),
	}
	r := newRecord(aJob, aTablet, "Ada")
	r.Photos = map[string]record.Photo{}
	named := func(data []byte) string {
		sum := sha256.Sum256(data)
		return hex.EncodeToString(sum[:])
	}
	for _, data := range wrong {
		r.Photos[named(data)] = record.Photo{Type: record.PhotoType, Width: 4, Height: 4}
	}
	c.want(http.StatusOK, nil, "POST", "/class/record", r)
	for name, data := range wrong {
		w := c.ask("PUT", "/class/photo/"+aJob+"/"+named(data), data, "Content-Type", "image/jpeg")
		if w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d %s", name, w.Code, w.Body)
		}
		refused(t, w)
	}
	// A photo that no record names is not looked at.
	refused(t, c.want(http.StatusNotFound, nil, "PUT", "/class/photo/"+aJob+"/"+named(huge[1:]), huge[1:], "Content-Type", "image/jpeg"))
	if there, err := c.Store.Photos(t.Context(), aJob); err != nil || len(there) != 0 {
		t.Errorf("kept: %v, %v", there, err)
	}
}
