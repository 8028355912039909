package host

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"

	"matchmark/compile/host/store"
	"matchmark/procedure/record"
)

// downloadRecord sends a job's record as a file, with its photos inside.
func (h *Host) downloadRecord(w http.ResponseWriter, r *http.Request, who string) error {
	found, err := h.withPhotos(r)
	if err != nil {
		return err
	}
	if err := h.noted(r, who, store.Step{What: "saved-record", Job: found.Job}); err != nil {
		return err
	}
	content, err := found.Write()
	if err != nil {
		return err
	}
	h.download(w, "record-"+found.Job+".json", content)
	return nil
}

// withPhotos reads the record that the address names, with the photos that have come.
func (h *Host) withPhotos(r *http.Request) (*record.Record, error) {
	found, err := h.named(r)
	if err != nil {
		return nil, err
	}
	size, err := h.Store.PhotosSize(r.Context(), found.Job)
	if err != nil {
		return nil, err
	}
	if err := h.turn(r, heavy*store.MostRecord+4*size); err != nil { // as bytes, as base64, and in the file
		return nil, err
	}
	for hash, p := range found.Photos {
		data, err := h.Store.Photo(r.Context(), found.Job, hash)
		if errors.Is(err, store.ErrUnknown) {
			continue // still on a tablet
		}
		if err != nil {
			return nil, err
		}
		p.Data = base64.StdEncoding.EncodeToString(data)
		found.Photos[hash] = p
	}
	return found, nil
}

// download sends JSON as a file to keep.
func (h *Host) download(w http.ResponseWriter, name string, content []byte) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Header().Set("Cache-Control", "no-store")
	w.Write(content)
}

// listLearners lists whose names the store holds, with what it has of each.
func (h *Host) listLearners(w http.ResponseWriter, r *http.Request, _ string) error {
	if err := h.turn(r, heavy*store.MostRecord); err != nil {
		return err
	}
	learners, err := h.Store.Learners(r.Context())
	if err != nil {
		return err
	}
	return h.answer(w, r, http.StatusOK, append([]store.Learner{}, learners...))
}

// exportLearner sends all that the store has of a person, and nothing of anybody else.
func (h *Host) exportLearner(w http.ResponseWriter, r *http.Request, who string) error {
	if err := h.turn(r, h.Memory); err != nil { // alone: nobody knows how much it is
		return err
	}
	id := r.URL.Query().Get("id")
	name, err := h.Store.NameOf(r.Context(), id)
	if err == nil && name == "" {
		err = store.ErrUnknown
	}
	if err != nil {
		return err
	}
	if err := h.noted(r, who, store.Step{What: "exported"}); err != nil {
		return err
	}
	w.Header().Set("Content-Disposition", `attachment; filename="learner.json"`)
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Type", "application/json")
	if err := h.Store.WriteExport(r.Context(), id, w); err != nil {
		if r.Context().Err() == nil {
			h.Log(fmt.Sprintf("%s: %v", asked(r), err))
		}
		panic(http.ErrAbortHandler) // half of it must not look like all
	}
	return nil
}

// deleted is the answer to a deletion: what was changed, and in which files of the data folder it still stands.
type deleted struct {
	Results int      `json:"results"`
	Jobs    int      `json:"jobs"`
	Left    []string `json:"left"`
	Words   string   `json:"words"`
}

// deleted says what became of a deletion. clean says that the log beside the database is free of it; copies has older copies removed.
func (h *Host) deleted(r *http.Request, changed store.Learner, clean, copies bool) (deleted, error) {
	left, err := h.left(r, clean, copies)
	return deleted{changed.Results, changed.Jobs, left, h.words.Count("host.deleted", len(left))}, err
}

// deletion names whom the trainer deletes.
type deletion struct {
	ID     string
	Copies bool
}

// deleteLearner deletes a person's name and results. Older copies still hold the name; they are
// named, and with "copies" they are removed once a new backup has been made.
func (h *Host) deleteLearner(r *http.Request, by store.Person, in deletion) (any, error) {
	changed, clean, err := h.Store.Forget(r.Context(), by.ID, in.ID)
	if err != nil {
		return nil, err
	}
	h.Log(h.words.T("host.log.forgot", h.from(r), changed.Results, changed.Jobs))
	return h.deleted(r, changed, clean, in.Copies)
}

// left lists in which files of the data folder what was deleted still stands. With remove, a new backup is made and
// the older copies are removed first.
func (h *Host) left(r *http.Request, clean, remove bool) ([]string, error) {
	left := []string{}
	if remove && h.Store.CopiesItself() {
		old, err := h.Store.Copies()
		if err != nil {
			return nil, err
		}
		fresh, err := h.Store.Backup(r.Context(), 0)
		if err != nil {
			return nil, err
		}
		stuck, err := h.Store.RemoveCopies(fresh)
		if err != nil && len(stuck) == 0 {
			return nil, err
		}
		h.Log(h.words.T("host.log.replaced", h.from(r), len(old)-len(stuck)))
		left = append(left, stuck...)
	} else {
		copies, err := h.Store.Copies()
		if err != nil {
			return nil, err
		}
		left = append(left, copies...)
	}
	if !clean {
		left = append(left, store.LogFile)
	}
	return left, nil
}

// endClass ends the class: tablets empty themselves once all that they have is here, and nobody joins by the code that was shown.
func (h *Host) endClass(r *http.Request, by store.Person, _ struct{}) (any, error) {
	if err := h.Store.EndClass(r.Context(), by.ID); err != nil {
		return nil, err
	}
	_, err := h.invite.Class(r.Context(), true)
	return nil, err
}

// leaveClass takes a tablet out of the class that has emptied itself, or is about to.
func (h *Host) leaveClass(w http.ResponseWriter, r *http.Request, t store.Tablet) error {
	if err := h.Store.Leave(r.Context(), t, origin(r)); err != nil {
		return err
	}
	return done(w)
}

// Expire deletes what is older than it may be, and says in the window what that was.
func (h *Host) Expire(ctx context.Context) error {
	out, err := h.Store.Expire(ctx, h.Retention, func(r store.Result) bool { return h.plans.Passed(r) })
	if err == nil && out != (store.Expired{}) {
		h.Log(h.words.T("host.log.expired", out.Jobs, out.Results, out.Names, out.Copies))
	}
	return err
}

// madeBackup is where a backup lies.
type madeBackup struct {
	File string `json:"file"`
}

// makeBackup makes a backup while the class works.
func (h *Host) makeBackup(r *http.Request, by store.Person, _ struct{}) (any, error) {
	file, err := h.Store.Backup(r.Context(), h.Keep)
	if err != nil {
		return nil, err
	}
	return madeBackup{filepath.Base(file)}, h.Store.Note(r.Context(), store.Step{Person: by.ID, What: "made-backup", About: filepath.Base(file)})
}
