package compile

import (
	"context"
	"errors"
	"maps"
	"slices"

	"matchmark/compile/cache"
	"matchmark/procedure/parallel"
)

// shownPictures lists the pictures that units show, in order.
func (s *Session) shownPictures() []string {
	if s.showing != nil {
		return s.showing
	}
	used := map[string]bool{}
	for _, u := range s.units {
		for _, d := range u.deps {
			if d.kind == pictureDep && u.kind != stepsUnit {
				used[d.name] = true
			}
		}
	}
	s.showing = slices.AppendSeq([]string{}, maps.Keys(used)) // not nil: none is known too
	slices.Sort(s.showing)
	return s.showing
}

// stagePictures stages the pictures that units show, each once.
func (s *Session) stagePictures(ctx context.Context) error {
	if s.broken.Load() || s.only && s.picturesStand {
		return nil
	}
	names := s.shownPictures()
	errs := make([]error, len(names))
	parallel.Each(names, func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil {
			errs[i] = s.stagePicture(names[i])
		}
	})
	return errors.Join(errs...)
}

func (s *Session) stagePicture(name string) error {
	made, _, err := s.pictures.prepare(name)
	if err != nil {
		return err // the unit that shows it has prepared it already
	}
	s.mu.Lock()
	before := s.written[made]
	s.written[made] = true
	s.mu.Unlock()
	if before {
		return nil
	}
	defer func() { made.content = nil }()
	return s.putFiles(made.files, func() ([]cache.File, error) {
		if made.content == nil && made.pack != nil {
			made.content, _ = made.pack.Open()
		}
		if made.content == nil {
			made.err = nil
			s.pictures.makeAnew(made, name, s.pictures.sum(name))
		}
		return made.content, made.err
	})
}

// shownFiles are the files of the pictures that units show.
func (s *Session) shownFiles() map[string][]cache.File {
	out := map[string][]cache.File{}
	for _, name := range s.shownPictures() {
		if made, _, err := s.pictures.prepare(name); err == nil {
			out[name] = made.files
		}
	}
	return out
}
