package compile

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"sync"

	"matchmark/compile/cache"
	"matchmark/compile/output"
)

// stage is where the files of a site are put together.
type stage interface {
	// have reports whether the file is there already with that content, without being given it.
	have(f cache.File) bool
	// put takes the file.
	put(f cache.File) error
}

// collector is a sink that keeps the files of one unit with their sums, or unsummed.
type collector struct {
	mu       sync.Mutex
	files    []cache.File
	unsummed bool
	// wrote is called with every path; may be nil.
	wrote func(path string)
}

// Write implements output.Sink.
func (c *collector) Write(path string, content []byte) error {
	if err := output.CheckPath(path); err != nil {
		return err
	}
	f := cache.File{Path: path, Size: len(content), Content: bytes.Clone(content)}
	if !c.unsummed {
		f.Sum = cache.SumOf(content)
	}
	c.mu.Lock()
	c.files = append(c.files, f)
	c.mu.Unlock()
	if c.wrote != nil {
		c.wrote(path)
	}
	return nil
}

// withoutContent lists files without what is in them.
func withoutContent(files []cache.File) []cache.File {
	out := make([]cache.File, len(files))
	for i, f := range files {
		f.Content = nil
		out[i] = f
	}
	return out
}

// buildStage puts files into a site that is swapped in as a whole.
type buildStage struct{ *output.Build }

func (s buildStage) have(f cache.File) bool { return s.Keep(f.Path, f.Sum) }
func (s buildStage) put(f cache.File) error { return s.Put(f.Path, f.Content, f.Sum) }

// standingStage takes nothing: the files stand in a folder already.
type standingStage map[string]output.Stamp

// errOther says that a file is not what stands in the folder.
var errOther = errors.New("a file of the site is not the one that stands there")

func (s standingStage) have(f cache.File) bool {
	stamp, there := s[f.Path]
	return there && stamp.Sum == f.Sum
}

func (s standingStage) put(cache.File) error { return errOther }

// placeStage puts files into a site that stands, unless it holds them.
type placeStage struct {
	*output.Update
	files map[string]cache.Sum
}

func (p placeStage) have(f cache.File) bool {
	sum, there := p.files[f.Path]
	return there && sum == f.Sum
}

func (p placeStage) put(f cache.File) error { return p.Put(f.Path, f.Content, f.Sum) }

// putFiles stages files; content is asked for when the stage lacks some of them, by number.
func (r *run) putFiles(files []cache.File, content func(lacking []int) ([]cache.File, error)) error {
	var lacking []int
	for i, f := range files {
		if !r.stage.have(f) {
			lacking = append(lacking, i)
		}
	}
	if len(lacking) == 0 {
		return nil
	}
	full, err := content(lacking)
	if err != nil {
		return err
	}
	for _, i := range lacking {
		if err := r.stage.put(full[i]); err != nil {
			return ours(fmt.Errorf("writing the site: %w", err))
		}
	}
	return nil
}

// stagePages stages the files of a unit or of a picture.
func (r *run) stagePages(k key) error {
	p := r.pages(k)
	handed, _ := r.handed.LoadAndDelete(k)
	return r.putFiles(p.files, func(lacking []int) ([]cache.File, error) { return r.content(k, p, handed, lacking) })
}

// content returns files with what is in them: as their maker left them, from the cache, or made again.
func (r *run) content(k key, p *pages, handed any, lacking []int) ([]cache.File, error) {
	there := func(files []cache.File) bool {
		return slices.EqualFunc(files, p.files, sameFile) && !slices.ContainsFunc(lacking, func(i int) bool { return files[i].Content == nil })
	}
	if files, is := handed.([]cache.File); is && there(files) {
		return files, nil
	}
	pack, _ := handed.(*cache.Pack)
	if pack == nil && k.kind == pagesKind {
		pack = r.cache.Get(r.packKey(k.name))
	} else if pack == nil {
		pack = r.cache.Get(r.pictureKey(r.looked(k.name)))
	}
	if pack != nil {
		if files, err := pack.Open(); err == nil && there(files) {
			return files, nil
		}
	}
	files, err := r.again(k)
	if err != nil {
		return nil, ours(fmt.Errorf("writing the site: %w", err))
	}
	if !there(files) {
		r.moved.Store(true)
		return nil, errMoved
	}
	return files, nil
}

// again makes the files of a unit or of a picture once more.
func (r *run) again(k key) ([]cache.File, error) {
	if k.kind == preparedKind {
		_, files, err := r.preparePicture(k.name, r.looked(k.name))
		return files, err
	}
	w := (&reading{snapshot: r.snapshot, key: k}).write(k.name)
	return w.collector.files, w.err
}

func sameFile(a, b cache.File) bool { return a.Path == b.Path && a.Sum == b.Sum }
