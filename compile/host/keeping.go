package host

import (
	"context"
	"encoding/base64"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"unicode/utf8"

	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// downloadRecord sends a job's record as a file, with its photos inside.
func (h *Host) downloadRecord(w http.ResponseWriter, r *http.Request, _ string) {
	found, ok := h.withPhotos(w, r)
	if !ok {
		return
	}
	content, err := found.Write()
	if err != nil {
		h.failed(w, r, err)
		return
	}
	h.download(w, "record-"+found.Job+".json", content)
}

// withPhotos reads the record that the address names, with the photos that have come.
func (h *Host) withPhotos(w http.ResponseWriter, r *http.Request) (*record.Record, bool) {
	found, ok := h.named(w, r)
	if !ok {
		return nil, false
	}
	for hash, p := range found.Photos {
		data, err := h.Store.Photo(r.Context(), found.Job, hash)
		if errors.Is(err, store.ErrUnknown) {
			continue // still on a tablet
		}
		if err != nil {
			h.failed(w, r, err)
			return nil, false
		}
		p.Data = base64.StdEncoding.EncodeToString(data)
		found.Photos[hash] = p
	}
	return found, true
}

// download sends JSON as a file to keep.
func (h *Host) download(w http.ResponseWriter, name string, content []byte) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(content)
}

// listLearners lists the names that the store holds.
func (h *Host) listLearners(w http.ResponseWriter, r *http.Request, _ string) {
	learners, err := h.Store.Learners(r.Context())
	if err != nil {
		h.failed(w, r, err)
		return
	}
	names := []string{}
	for _, l := range learners {
		names = append(names, l.Name)
	}
	h.answer(w, r, http.StatusOK, names)
}

// exportLearner sends all that the store has of a learner.
func (h *Host) exportLearner(w http.ResponseWriter, r *http.Request, _ string) {
	name := r.URL.Query().Get("name")
	if oneLine(name) == "" {
		h.refuse(w, r, http.StatusUnprocessableEntity, "who")
		return
	}
	export, err := h.Store.Export(r.Context(), name)
	if err != nil {
		h.failed(w, r, err)
		return
	}
	w.Header().Set("Content-Disposition", `attachment; filename="learner.json"`)
	h.answer(w, r, http.StatusOK, export)
}

// deleteLearner deletes a learner. Older backups still hold the name; they are
// named, and with "backups" they are removed once a new one has been made.
func (h *Host) deleteLearner(w http.ResponseWriter, r *http.Request, _ string) {
	var in struct {
		Name    string
		Backups bool
	}
	if !h.form(w, r, &in) {
		return
	}
	if name := oneLine(in.Name); name == "" || utf8.RuneCountInString(name) > record.LongestName {
		h.refuse(w, r, http.StatusUnprocessableEntity, "who")
		return
	}
	changed, err := h.Store.Forget(r.Context(), in.Name)
	if err != nil {
		h.failed(w, r, err)
		return
	}
	old, err := store.Backups(h.Folder)
	if err != nil {
		h.failed(w, r, err)
		return
	}
	if in.Backups && len(old) > 0 {
		if err := h.replaceBackups(r.Context(), old); err != nil {
			h.failed(w, r, err)
			return
		}
		old = nil
	}
	names := []string{}
	for _, b := range old {
		names = append(names, filepath.Base(b))
	}
	h.answer(w, r, http.StatusOK, struct {
		Results int      `json:"results"`
		Jobs    int      `json:"jobs"`
		Backups []string `json:"backups"`
		Words   string   `json:"words"`
	}{changed.Results, changed.Jobs, names, h.words.Count("host.deleted", len(names))})
}

// replaceBackups makes a backup and removes the old ones.
func (h *Host) replaceBackups(ctx context.Context, old []string) error {
	if _, err := store.Backup(ctx, h.Folder, 0, h.Now()); err != nil {
		return err
	}
	for _, b := range old {
		if err := os.Remove(b); err != nil {
			return err
		}
	}
	return nil
}

// makeBackup makes a backup while the class works.
func (h *Host) makeBackup(w http.ResponseWriter, r *http.Request, _ string) {
	if !h.form(w, r, &struct{}{}) {
		return
	}
	file, err := store.Backup(r.Context(), h.Folder, h.Keep, h.Now())
	if err != nil {
		h.failed(w, r, err)
		return
	}
	h.answer(w, r, http.StatusOK, struct {
		File string `json:"file"`
	}{filepath.Base(file)})
}
