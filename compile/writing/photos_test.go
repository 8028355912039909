package writing

import (
	"bytes"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"encoding/json"

	"gotest.tools/v3/assert"
)

func jpegOf(t *testing.T, width, height int) []byte {
	t.Helper()
	var b bytes.Buffer
	assert.NilError(t, jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, width, height)), nil))
	return b.Bytes()
}

func (x *trial) upload(name string, content []byte) (int, string) {
	q := httptest.NewRequest(http.MethodPost, "http://localhost:8017"+Path+"photo?name="+name, bytes.NewReader(content))
	q.Header.Set("Matchmark-Token", x.token)
	return x.send(q)
}

func TestPhotosGoIntoTheLibrary(t *testing.T) {
	x := newTrial(t)
	add := func(name string, content []byte) (p photo) {
		t.Helper()
		code, body := x.upload(name, content)
		assert.Equal(t, code, http.StatusOK, body)
		assert.NilError(t, json.Unmarshal([]byte(body), &p))
		return p
	}
	first := add("My%20Photo.JPG", jpegOf(t, 4000, 3000))
	assert.DeepEqual(t, first, photo{"figures/my-photo.jpg", 2000, 1500})
	assert.DeepEqual(t, add("My%20Photo.JPG", jpegOf(t, 4000, 3000)), first) // the same again
	assert.Equal(t, add("my-photo.jpg", jpegOf(t, 40, 30)).File, "figures/my-photo-2.jpg")
	assert.Equal(t, add("..%2F..%2Fout.jpg", jpegOf(t, 10, 10)).File, "figures/out.jpg")
	assert.Equal(t, add("%E5%9B%BE.jpg", jpegOf(t, 12, 10)).File, "figures/photo.jpg")

	// It is sent to the page, and nothing else is.
	for name, want := range map[string]int{
		"figures/my-photo.jpg": 200, "figures/head-left.svg": 200, "library.yaml": 404, "machines/bench-drill.md": 404, ".git/x.jpg": 404, "../x.jpg": 404, "figures/none.png": 404,
	} {
		q := httptest.NewRequest(http.MethodGet, "http://localhost:8017/", nil)
		q.URL.Path = Path + "picture/" + name
		code, _ := x.send(q)
		assert.Equal(t, code, want, name)
	}

	heic := append([]byte("\x00\x00\x00\x18ftypheic"), make([]byte, 40)...)
	code, body := x.upload("IMG_1.HEIC", heic)
	if code != http.StatusUnprocessableEntity || !strings.Contains(body, "Send it as a JPEG") {
		t.Errorf("a HEIC photo: %d %s", code, body)
	}
	q := httptest.NewRequest(http.MethodPost, "http://localhost:8017"+Path+"photo?name=x.jpg", bytes.NewReader(jpegOf(t, 9, 9)))
	if code, _ := x.send(q); code != http.StatusForbidden {
		t.Errorf("a photo without the page's token: %d", code)
	}
}

// knocker asks the door for a phone.
type knocker struct {
	*testing.T
	door   *phone
	cookie []*http.Cookie
}

func (k *knocker) ask(method, path, host string, body []byte, kind string) *http.Response {
	q := httptest.NewRequest(method, "http://"+host+path, bytes.NewReader(body))
	q.Header.Set("Content-Type", kind)
	for _, c := range k.cookie {
		q.AddCookie(c)
	}
	w := httptest.NewRecorder()
	k.door.ServeHTTP(w, q)
	if w.Result().Header.Get("Cache-Control") != "no-store" || !strings.Contains(w.Result().Header.Get("Content-Security-Policy"), "default-src 'none'") {
		k.Error("an answer to the phone may be kept, or load anything")
	}
	return w.Result()
}

func (k *knocker) send(content []byte) *http.Response {
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	part, err := form.CreateFormFile("photo", "image.jpg")
	assert.NilError(k, err)
	_, err = part.Write(content)
	assert.NilError(k, err)
	assert.NilError(k, form.Close())
	return k.ask("POST", "/photo", "192.0.2.7:4000", b.Bytes(), form.FormDataContentType())
}

func TestPhoneComesInOnce(t *testing.T) {
	x := newTrial(t)
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	begin := func() *knocker {
		return &knocker{T: t, door: x.newPhone("http://192.0.2.7:4000/", func() time.Time { return now })}
	}
	const here = "192.0.2.7:4000"
	k := begin()
	code := "/" + k.door.code
	for name, at := range map[string][2]string{
		"no code": {"/", here}, "a wrong code": {"/ABC", here}, "photos without a code": {"/photo", here}, "a name on the web": {code, "evil.example:4000"},
	} {
		if got := k.ask("GET", at[0], at[1], nil, "").StatusCode; got != http.StatusForbidden {
			t.Errorf("%s: %d", name, got)
		}
	}
	if got := k.send(jpegOf(t, 9, 9)).StatusCode; got != http.StatusForbidden {
		t.Errorf("a photo from whoever did not come in: %d", got)
	}

	// Looking at the address does not use it up.
	assert.Equal(t, k.ask("GET", code, here, nil, "").StatusCode, 200)
	assert.Equal(t, k.ask("GET", code, here, nil, "").StatusCode, 200)
	in := k.ask("POST", code, here, nil, "application/x-www-form-urlencoded")
	assert.Equal(t, in.StatusCode, http.StatusSeeOther)
	if c := in.Cookies()[0]; !c.HttpOnly || c.SameSite != http.SameSiteStrictMode {
		t.Errorf("the cookie is %v", c)
	}
	assert.Equal(t, k.ask("POST", code, here, nil, "").StatusCode, http.StatusForbidden) // another phone
	k.cookie = in.Cookies()
	assert.Equal(t, k.ask("GET", "/photo", here, nil, "").StatusCode, 200)
	assert.Equal(t, k.send(jpegOf(t, 90, 60)).StatusCode, http.StatusSeeOther)
	assert.Equal(t, k.send([]byte("no picture")).StatusCode, http.StatusUnprocessableEntity)
	assert.Equal(t, k.send(nil).StatusCode, http.StatusUnprocessableEntity)
	assert.Equal(t, k.send(make([]byte, photoBytes+1)).StatusCode, http.StatusRequestEntityTooLarge)
	assert.DeepEqual(t, k.door.taken(), []*photo{{"figures/image.jpg", 90, 60}})

	now = now.Add(phoneLasts)
	assert.Equal(t, k.ask("GET", "/photo", here, nil, "").StatusCode, http.StatusForbidden)

	late := begin()
	now = now.Add(codeLasts)
	assert.Equal(t, late.ask("POST", "/"+late.door.code, here, nil, "").StatusCode, http.StatusForbidden)

	// Whoever guesses has the door shut.
	guessed := begin()
	shut := false
	guessed.door.shut = func() { shut = true }
	for range mostWrong + 1 {
		guessed.ask("GET", "/GUESS", here, nil, "")
	}
	if !shut {
		t.Error("the door stays open for guesses")
	}
}

func TestDoorIsShutUnlessAskedFor(t *testing.T) {
	x := newTrial(t)
	if state := ask[phoneState](x, "phone-ask", asked{}); !state.Over || state.Joined {
		t.Errorf("%+v", state)
	}
	if networkAddress() == nil {
		assert.Equal(t, x.refused("phone-open", asked{}).Problem, "network")
		return
	}
	first := ask[door](x, "phone-open", asked{})
	second := ask[door](x, "phone-open", asked{})
	if first.Address == second.Address || second.Side < 21 || second.Path == "" {
		t.Errorf("%+v after %+v", second, first)
	}
	heard, err := http.Get(second.Address)
	assert.NilError(t, err)
	heard.Body.Close()
	assert.Equal(t, heard.StatusCode, 200)
	if state := ask[phoneState](x, "phone-ask", asked{}); state.Over {
		t.Error("the door is shut")
	}
	ask[phoneState](x, "phone-shut", asked{})
	for range 100 {
		heard, err := http.Get(second.Address)
		if err != nil {
			return
		}
		heard.Body.Close()
		time.Sleep(20 * time.Millisecond)
	}
	t.Error("the door stays open")
}
