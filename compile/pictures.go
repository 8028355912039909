package compile

import (
	"errors"
	"slices"
	"strings"

	"matchmark/compile/cache"
	"matchmark/compile/picture"
	"matchmark/procedure/parallel"
)

// makePrepared makes the files of a picture, or finds them in the cache by the picture's bytes.
func makePrepared(x *reading, name string) *result {
	l, p := x.picture(name), &pages{made: true}
	if pack := x.cache.Get(x.pictureKey(l)); pack != nil && len(readPicture(pack.Head).Sizes) > 0 {
		p.entry, p.files, x.fetched = pack.Head, pack.Files, true
		x.handed.Store(key{preparedKind, name}, pack)
		return p.result()
	}
	var files []cache.File
	if p.entry, files, p.err = x.preparePicture(name, l); p.err != nil {
		p.made = false
		return p.result()
	}
	p.files = withoutContent(files)
	x.cache.Put(x.pictureKey(l), p.entry, files)
	x.handed.Store(key{preparedKind, name}, files)
	return p.result()
}

func (s *snapshot) pictureKey(l *looked) cache.Sum { return sumOf("picture", s.build, l.sum) }

// preparePicture makes the files of a picture, and describes them for pages.
func (s *snapshot) preparePicture(name string, l *looked) (head []byte, files []cache.File, err error) {
	var out collector
	made := s.preparer.Prepare(s.files, name, &out)
	if made.Err != nil {
		return nil, nil, made.Err
	}
	source, err := l.look()
	if err != nil || cache.Sum(source.Sum) != l.sum || !strings.Contains(made.Picture.Sizes[0].Path, source.Key) {
		s.moved.Store(true)
		return nil, nil, errMoved
	}
	return writePicture(made.Picture), out.files, nil
}

func writePicture(p picture.Picture) []byte {
	var f cache.Fields
	f.Float(p.Width)
	f.Float(p.Height)
	f.Int(len(p.Sizes))
	for _, s := range p.Sizes {
		f.String(s.Path)
		f.Int(s.Width)
	}
	return f.B
}

// readPicture reads what writePicture wrote; a picture without sizes if it did not.
func readPicture(head []byte) (p picture.Picture) {
	r := cache.Read(head)
	p.Width, p.Height = r.Float(), r.Float()
	for range r.Count() {
		p.Sizes = append(p.Sizes, picture.Size{Path: r.String(), Width: r.Int()})
	}
	if r.Err != nil {
		return picture.Picture{}
	}
	return p
}

// shownPictures lists the pictures that pages show, in order.
func (s *snapshot) shownPictures() []string {
	out := slices.Clone(s.get(key{picturesKind, allBranches}).value.([]string))
	for _, name := range s.members(otherUnits) {
		out = append(out, s.pages(key{pagesKind, name}).pictures...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// makePictures joins the pictures of the groups on a branch, or those of all branches, in order.
func makePictures(x *reading, name string) *result {
	var out []string
	for _, of := range x.members(name) {
		if name == allBranches {
			out = append(out, x.get(of, picturesKind, part).value.([]string)...)
		} else {
			out = append(out, x.get(of, pagesGroupKind, whole).value.(*pagesGroup).pictures...)
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	return &result{value: out, sums: [aspects]cache.Sum{part: sumOf(out)}}
}

// stagePictures stages the pictures that pages show, each once, by what is in them.
func (r *run) stagePictures() error {
	var once []string
	seen := map[cache.Sum]bool{}
	for _, name := range r.shownPictures() {
		if sum := r.looked(name).sum; !seen[sum] {
			seen[sum] = true
			once = append(once, name)
		}
	}
	errs := make([]error, len(once))
	parallel.Each(once, func(i int) {
		if errs[i] = r.ctx.Err(); errs[i] == nil {
			errs[i] = r.stagePages(key{preparedKind, once[i]})
		}
	})
	return errors.Join(errs...)
}
