package compile

import (
	"bytes"
	"errors"
	"fmt"
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

// sinkStage puts files into any sink, which has none before.
type sinkStage struct{ output.Sink }

func (sinkStage) have(cache.File) bool     { return false }
func (s sinkStage) put(f cache.File) error { return s.Write(f.Path, f.Content) }

// noStage wants no files.
type noStage struct{}

func (noStage) have(cache.File) bool { return true }
func (noStage) put(cache.File) error { return nil }

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

// putFiles stages files; content is asked for when the stage lacks one of them.
func (s *Session) putFiles(files []cache.File, content func() ([]cache.File, error)) error {
	var lacking []int
	for i, f := range files {
		if !s.stage.have(f) {
			lacking = append(lacking, i)
		}
	}
	if len(lacking) == 0 {
		return nil
	}
	full, err := content()
	if err != nil {
		return err
	}
	for _, i := range lacking {
		if err := s.stage.put(full[i]); err != nil {
			return ours(fmt.Errorf("writing the site: %w", err))
		}
	}
	return nil
}
