package picture

import (
	"errors"
	"fmt"
	"io/fs"
	"sync"

	"matchmark/compile/output"
	"matchmark/procedure/parallel"
)

// preparation names the way pictures are prepared; change it whenever the same
// input gives other files.
const preparation = "matchmark picture 1\n"

// widths are the sizes that a picture comes in, in pixels: full screen of a
// tablet, half of it, and a list. None is wider than the picture.
var widths = [...]int{1600, 800, 400}

// file is a file of the site.
type file struct {
	path    string
	content []byte
}

// prepare makes the picture's files. It returns a *Fault when the picture is broken.
func (s *opened) prepare() (Picture, []file, error) {
	prepared := Picture{Source: s.Path, Width: s.Width, Height: s.Height}
	if s.Format == SVG {
		name := "pictures/" + s.Key + ".svg"
		prepared.Sizes = []Size{{Path: name}}
		return prepared, []file{{name, s.content}}, nil
	}
	decoded, err := decode(s.Format, s.content)
	if err != nil {
		return Picture{}, nil, s.broken(err)
	}
	sizes := s.sizes()
	files := make([]file, len(sizes))
	prepared.Sizes = make([]Size, len(sizes))
	for i, width := range sizes { // largest first: each is made from the one before
		decoded = s.step(decoded, width, i == 0)
		content, err := decoded.encode(jpegQuality)
		if err != nil {
			return Picture{}, nil, fmt.Errorf("picture %s, %d pixels wide: %w", s.Path, width, err)
		}
		extension := "png"
		if decoded.lossy {
			extension = "jpg"
		}
		name := fmt.Sprintf("pictures/%s-%d.%s", s.Key, width, extension)
		files[len(sizes)-1-i] = file{name, content}
		prepared.Sizes[len(sizes)-1-i] = Size{name, width}
	}
	return prepared, files, nil
}

// sizes returns the widths to make, largest first. One hardly narrower than the
// last is left out.
func (s *opened) sizes() []int {
	last := min(int(s.Width), widths[0])
	sizes := []int{last}
	for _, width := range widths[1:] {
		if width*5 <= last*4 {
			sizes = append(sizes, width)
			last = width
		}
	}
	return sizes
}

// step scales a picture to a width as shown, and turns it upright the first time.
func (s *opened) step(from raster, width int, first bool) raster {
	height := max(int((2*s.Height*float64(width)+s.Width)/(2*s.Width)), 1)
	if !first {
		return from.scale(width, height)
	}
	return from.scale(s.turn.size(width, height)).upright(s.turn)
}

// Result is what became of one picture.
type Result struct {
	Picture Picture
	// TakenOut is as in Source.
	TakenOut []string
	// Err is nil or a *Fault that the author can mend; any other error comes from
	// the sink and is the same for the author as a site that cannot be written.
	Err error
}

// PrepareAll reads and prepares pictures on all cores and writes their files.
// Results stand in the order of the names. Files that two pictures share are
// written once. After each picture it calls done, unless nil, from any goroutine.
func PrepareAll(fsys fs.FS, names []string, out output.Sink, done func()) []Result {
	results := make([]Result, len(names))
	room := newSemaphore(memoryLimit)
	once := onceSink{out: out, written: map[string]bool{}}
	parallel.Each(names, func(i int) {
		results[i] = prepareOne(fsys, names[i], &once, room)
		if done != nil {
			done()
		}
	})
	return results
}

// Preparer prepares pictures one at a time, and at once as many as there is memory for.
type Preparer struct{ room *semaphore }

// NewPreparer returns a studio.
func NewPreparer() *Preparer { return &Preparer{newSemaphore(memoryLimit)} }

// Prepare reads and prepares a picture and writes its files.
func (s *Preparer) Prepare(fsys fs.FS, name string, out output.Sink) Result {
	return prepareOne(fsys, name, out, s.room)
}

func prepareOne(fsys fs.FS, name string, out output.Sink, room *semaphore) Result {
	source, err := open(fsys, name)
	if err != nil {
		return Result{Err: err}
	}
	need := source.memory()
	room.acquire(need)
	prepared, files, err := source.prepare()
	room.release(need)
	if err != nil {
		return Result{Err: err}
	}
	for _, file := range files {
		if err := out.Write(file.path, file.content); err != nil {
			return Result{Err: err}
		}
	}
	return Result{Picture: prepared, TakenOut: source.TakenOut}
}

// IsFault returns the fault that an author can mend, or nil when an error is none.
func IsFault(err error) *Fault {
	var fault *Fault
	if errors.As(err, &fault) {
		return fault
	}
	return nil
}

// onceSink writes each path once: two pictures of the same bytes have the same files.
type onceSink struct {
	out     output.Sink
	mu      sync.Mutex
	written map[string]bool
}

func (s *onceSink) Write(path string, content []byte) error {
	s.mu.Lock()
	before := s.written[path]
	s.written[path] = true
	s.mu.Unlock()
	if before {
		return nil
	}
	return s.out.Write(path, content)
}
