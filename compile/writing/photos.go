package writing

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // photos are one of these two
	_ "image/png"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strings"

	"matchmark/compile/picture"
	"matchmark/compile/served"
)

// photoBytes is the most that a photo may have, in bytes: more than cameras give, and than package picture takes.
const photoBytes = 32 << 20

func tooLarge() *Refusal {
	return &Refusal{Problem: "picture", Detail: fmt.Sprintf("The picture has more than %d MB. Scale it down; 2000 pixels across are plenty.", photoBytes>>20), status: http.StatusRequestEntityTooLarge}
}

// photoFolder is where photos are put.
const photoFolder = "figures"

// photo is a picture that was put into the library.
type photo struct {
	// File is its path in the library.
	File   string `json:"file"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
}

// addPhoto puts a photo into the library: turned upright, scaled, without what the camera noted in it. A name that is taken
// gets a number; the same picture again is the file that is there.
func (r *Room) addPhoto(name string, content []byte) (*photo, error) {
	name = path.Base(strings.ReplaceAll(name, `\`, "/"))
	made, extension, err := picture.Photo(name, content)
	if fault := picture.IsFault(err); fault != nil {
		return nil, &Refusal{Problem: "picture", Detail: fault.Error(), status: http.StatusUnprocessableEntity}
	}
	if err != nil {
		return nil, err
	}
	id := slug(strings.TrimSuffix(name, path.Ext(name)))
	if id == "" {
		id = "photo"
	}
	root, err := r.open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	if err := root.MkdirAll(photoFolder, 0o777); err != nil {
		return nil, unwritable(err)
	}
	for n := 1; n < 1000; n++ {
		file := path.Join(photoFolder, id+extension)
		if n > 1 {
			file = path.Join(photoFolder, fmt.Sprintf("%s-%d%s", id, n, extension))
		}
		if there, err := root.ReadFile(file); err == nil && bytes.Equal(there, made) {
			return sized(file, made), nil
		}
		switch err := writeNew(root, file, string(made)); {
		case errors.Is(err, fs.ErrExist):
			continue
		case err != nil:
			return nil, unwritable(err)
		}
		return sized(file, made), nil
	}
	return nil, &Refusal{Problem: "name", Detail: "There are too many files of this name.", status: http.StatusConflict}
}

func unwritable(err error) *Refusal {
	return &Refusal{Problem: "unwritable", Detail: err.Error(), status: http.StatusInternalServerError}
}

// sized is a photo with its size; a drawing, which has its own units, goes without.
func sized(file string, content []byte) *photo {
	p := &photo{File: file}
	if config, _, err := image.DecodeConfig(bytes.NewReader(content)); err == nil {
		p.Width, p.Height = config.Width, config.Height
	}
	return p
}

// servePhoto takes a photo that was dropped on the page or chosen there. Its bytes are the body, its name is in the query.
func (r *Room) servePhoto(w http.ResponseWriter, q *http.Request) {
	if err := r.own(w, q); err != nil {
		refuse(w, err)
		return
	}
	content, err := readPhoto(w, q)
	if err == nil {
		var added *photo
		if added, err = r.addPhoto(q.URL.Query().Get("name"), content); err == nil {
			served.JSON(w, http.StatusOK, added)
			return
		}
	}
	refuse(w, err)
}

func readPhoto(w http.ResponseWriter, q *http.Request) ([]byte, error) {
	content, err := io.ReadAll(http.MaxBytesReader(w, q.Body, photoBytes))
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return nil, tooLarge()
	}
	return content, err
}

// servePicture sends a picture of the library to the page that puts balloons on it.
func (r *Room) servePicture(w http.ResponseWriter, q *http.Request, name string) {
	ok := fs.ValidPath(name) && !strings.ContainsAny(name, "\\:\x00")
	for _, part := range strings.Split(name, "/") {
		ok = ok && !strings.HasPrefix(part, ".")
	}
	switch path.Ext(name) {
	case ".jpg", ".jpeg", ".png", ".svg":
	default:
		ok = false
	}
	root, err := r.open()
	if err != nil || !ok {
		http.Error(w, "There is no such file.", http.StatusNotFound)
		return
	}
	defer root.Close()
	content, err := root.ReadFile(name)
	if err != nil {
		http.Error(w, "There is no such file.", http.StatusNotFound)
		return
	}
	// A drawing that is opened by itself runs nothing.
	w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox")
	served.Send(w, q, name, content)
}
