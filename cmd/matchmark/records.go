package main

import (
	"errors"
	"os"
	"path/filepath"

	"matchmark/compile/workorder"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/record"
	"matchmark/procedure/regular"
	"matchmark/procedure/say"
)

// jobRecords are the records of one job from one or more files, merged.
type jobRecords struct {
	*record.Record
	// names are all names of the job: more than one when tablets began it apart.
	names []string
	// photos are the pictures that are there, inside a record or beside it, by their names.
	photos map[string][]byte
}

// readJob reads the records of one job and merges them. Faults of all files are
// printed together. together allows records that bear different names of a job.
func readJob(c *console, files []string, together bool) (*jobRecords, error) {
	out := &jobRecords{photos: map[string][]byte{}}
	if err := onlyOnce(files); err != nil {
		return nil, err
	}
	bad := 0
	var records []*record.Record
	for _, name := range files {
		r, err := readJobRecord(name)
		var faults diagnostic.Faults
		if errors.As(err, &faults) {
			bad += len(faults)
			if err := c.faults(name, faults); err != nil {
				return nil, err
			}
			continue
		}
		if err != nil {
			return nil, err
		}
		records = append(records, r)
	}
	if bad > 0 {
		return nil, &failure{code: exitLibrary, problem: say.That("the records have %count %count(error|errors); nothing was written", say.Count(bad))}
	}
	for i, r := range records {
		if i > 0 {
			if err := fits(files[0], records[0], files[i], r, together); err != nil {
				return nil, err
			}
		}
		out.names = append(out.names, r.Job)
		out.gather(c, files[i], r)
		bare := r.WithoutPhotos()
		if out.Record == nil {
			out.Record = bare
		} else {
			out.Record = record.Merge(out.Record, bare)
		}
	}
	return out, nil
}

// readJobRecord reads one record; a file that is larger than any is not read to its end.
func readJobRecord(name string) (*record.Record, error) {
	_, data, err := readFile(name, record.MostBytes)
	if err != nil {
		return nil, err
	}
	return record.Read(data)
}

// fits says why two records cannot be brought together; nil when they can.
func fits(firstName string, first *record.Record, name string, r *record.Record, together bool) error {
	var other *record.OtherJobError
	if !errors.As(first.Fits(r), &other) || together && !other.Procedure {
		return nil
	}
	out := &failure{
		code: exitLibrary, problem: say.That("%firstname and %name are not of one job: %other", say.Name(firstName), say.Name(name), say.Why(other)),
		do: say.That("make a work order of each; or, when two tablets began one job apart, bring them together with --together"),
	}
	if other.Procedure {
		out.do = say.That("make a work order of each")
	}
	return out
}

// gather takes the photos of a record from inside it, or else from the folder
// beside it. One that is not what its name says is reported and left out.
func (j *jobRecords) gather(c *console, file string, r *record.Record) {
	for _, f := range r.Findings {
		for _, name := range f.Photos {
			if j.photos[name] != nil {
				continue
			}
			if data := r.Photos[name].Bytes(); data != nil {
				j.photos[name] = data // Read has held it against its name
				continue
			}
			beside := filepath.Join(filepath.Dir(file), filepath.FromSlash(workorder.PhotoPath(name)))
			data, err := readPhoto(beside, name)
			switch {
			case errors.Is(err, os.ErrNotExist):
			case err != nil:
				c.warn(say.That("%file: note: %cause; the work order is made without it", say.Name(beside), say.Why(err)))
			default:
				j.photos[name] = data
			}
		}
	}
}

// readPhoto reads a photo and holds it against its name.
func readPhoto(path, name string) ([]byte, error) {
	data, err := regular.ReadFile(path, record.MostPhotoBytes)
	if err != nil {
		return nil, err
	}
	actual, _, err := record.NewPhoto(data)
	if err != nil {
		return nil, err
	}
	if actual != name {
		return nil, say.Error(say.That("the photo is not the one that the record names"))
	}
	return data, nil
}
