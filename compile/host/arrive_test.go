package host

import (
	"bytes"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"

	"matchmark/compile/host/store"
)

// arriving is the form that a tablet brings from another address.
func arriving(c *class, fields ...string) *httptest.ResponseRecorder {
	c.t.Helper()
	return arrivingFrom(c, "http://192.168.4.9:8080", fields...)
}

func arrivingFrom(c *class, from string, fields ...string) *httptest.ResponseRecorder {
	c.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for i := 0; i+1 < len(fields); i += 2 {
		if err := form.WriteField(fields[i], fields[i+1]); err != nil {
			c.t.Fatal(err)
		}
	}
	form.Close()
	c.token = ""
	return c.ask("POST", "/class/arrive?from="+url.QueryEscape(from), body.Bytes(), "Content-Type", form.FormDataContentType(), "Origin", "null", "Sec-Fetch-Site", "cross-site", "Accept", "text/html")
}

// A tablet of the class is let in from its old address with all that it has; nobody else is, and nothing else.
func TestArrival(t *testing.T) {
	c := newClass(t, store.Options{})
	own := c.token
	w := arriving(c, "token", own, "parcel", `{"path":"/x","kept":{"matchmark.record.p.":"</script><script>alert(1)</script>"},"photos":{}}`)
	if body := w.Body.String(); w.Code != http.StatusOK || !strings.Contains(body, `\u003c/script>`) || strings.Count(body, "<script") != 3 || w.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("%d %s", w.Code, body)
	}
	secured(t, "arrival", w.Header())
	// As much as a tablet brings with all its photos comes whole.
	large := `{"kept":"` + strings.Repeat("<a>", 15<<20) + `"}`
	if w := arriving(c, "token", own, "parcel", large); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), strings.ReplaceAll(large, "<", `\u003c`)) || !strings.HasSuffix(strings.TrimSpace(w.Body.String()), "</html>") {
		t.Errorf("a parcel of %d MB: %d, %d bytes", len(large)>>20, w.Code, w.Body.Len())
	}
	for name, fields := range map[string][]string{
		"a stranger":        {"token", bTablet + ".x", "parcel", "{}"},
		"no token":          {"parcel", "{}", "token", own},
		"no parcel":         {"token", own},
		"no JSON":           {"token", own, "parcel", "<script>"},
		"a token too long":  {"token", strings.Repeat("x", 300), "parcel", "{}"},
		"too large by half": {"token", own, "parcel", `"` + strings.Repeat("x", mostParcel) + `"`},
	} {
		if w := arriving(c, fields...); w.Code != http.StatusUnauthorized && w.Code != http.StatusBadRequest && w.Code != http.StatusRequestEntityTooLarge {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	// Only this one thing comes from elsewhere.
	c.token = own
	refused(t, c.want(http.StatusForbidden, nil, "POST", "/class/record", newRecord(aJob, aTablet, ""), "Origin", "http://192.168.4.9:8080", "Sec-Fetch-Site", "cross-site"))
}

// What a tablet keeps under an address that it has left stands on the board, until a page from there has emptied it, also
// after the tablet has left the class at its new address.
func TestWhatATabletLeavesBehind(t *testing.T) {
	c := newClass(t, store.Options{})
	own := c.token
	behind := func(want ...string) {
		t.Helper()
		c.enter()
		var state struct{ Behind []store.Remnant }
		c.want(http.StatusOK, &state, "GET", "/board/state", nil)
		var got []string
		for _, b := range state.Behind {
			got = append(got, fmt.Sprint(b.Number, " ", b.Address))
		}
		if !slices.Equal(got, want) {
			t.Errorf("left behind: %v, want %v", got, want)
		}
		c.cookie, c.token = nil, own
	}
	behind()
	if w := arriving(c, "token", own, "parcel", "{}"); w.Code != http.StatusOK {
		t.Fatal(w.Body)
	}
	behind("1 http://192.168.4.9:8080")
	for _, forged := range []string{"null", "http://<b>", "file:///etc", "http://a b", ""} {
		r := arrivingFrom(c, forged, "token", own, "parcel", "{}")
		if r.Code != http.StatusOK {
			t.Errorf("%q: %d", forged, r.Code)
		}
		c.token = own
	}
	behind("1 http://192.168.4.9:8080")
	c.enter()
	c.want(http.StatusNoContent, nil, "POST", "/board/end", map[string]string{})
	c.cookie = nil
	c.want(http.StatusNoContent, nil, "POST", "/class/leave", map[string]string{})
	behind("1 http://192.168.4.9:8080")
	// The host has the old address again: the page there hands in what it has, and is emptied.
	old := []string{"Host", "127.0.0.1:8080"}
	if w := arrivingFrom(c, "https://127.0.0.1:8080", "token", own, "parcel", "{}"); w.Code != http.StatusOK {
		t.Fatal(w.Body)
	}
	c.token = own
	behind("1 http://192.168.4.9:8080", "1 https://127.0.0.1:8080")
	var me mine
	if c.want(http.StatusOK, &me, "GET", "/class/me", nil, old...); me.State != store.In {
		t.Errorf("the tablet is %+v", me)
	}
	c.want(http.StatusOK, nil, "POST", "/class/record", newRecord(aJob, aTablet, "Ada"), old...)
	c.want(http.StatusNoContent, nil, "POST", "/class/leave", map[string]string{}, old...)
	behind("1 http://192.168.4.9:8080")
	var state struct{ Class []classTablet }
	c.enter()
	if c.want(http.StatusOK, &state, "GET", "/board/state", nil); len(state.Class) != 0 {
		t.Errorf("still in the class: %v", state.Class)
	}
}
