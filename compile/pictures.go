package compile

import (
	"io/fs"
	"strings"
	"sync"

	"matchmark/compile/cache"
	"matchmark/compile/picture"
)

// pictures are the library's pictures, each read, looked at and prepared at most
// once, when somebody asks.
type pictures struct {
	files  fs.FS
	build  cache.Sum
	cache  *cache.Cache
	studio *picture.Studio

	mu       sync.Mutex
	byName   map[string]*lookedAt
	prepared map[cache.Sum]*prepared
}

// lookedAt is a picture by the name that it has in the library.
type lookedAt struct {
	sum    func() cache.Sum
	source func() (*picture.Source, error)
}

// prepared is what a picture's bytes became.
type prepared struct {
	once    sync.Once
	picture picture.Picture
	err     error
	files   []cache.File // without content
	// content is what made the files anew, dropped once they are staged.
	content []cache.File
	pack    *cache.Pack
}

func newPictures(files fs.FS, build cache.Sum, kept *cache.Cache) *pictures {
	return &pictures{
		files: files, build: build, cache: kept, studio: picture.NewStudio(),
		byName: map[string]*lookedAt{}, prepared: map[cache.Sum]*prepared{},
	}
}

func (p *pictures) of(name string) *lookedAt {
	p.mu.Lock()
	defer p.mu.Unlock()
	l := p.byName[name]
	if l == nil {
		l = &lookedAt{
			sum:    sync.OnceValue(func() cache.Sum { return picture.SumOf(p.files, name) }),
			source: sync.OnceValues(func() (*picture.Source, error) { return picture.Read(p.files, name) }),
		}
		p.byName[name] = l
	}
	return l
}

// forget makes a picture be read anew, and reports whether it had been read.
func (p *pictures) forget(name string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	_, known := p.byName[name]
	delete(p.byName, name)
	return known
}

// forgetIn makes the pictures in a folder be read anew, and reports whether any had been read.
func (p *pictures) forgetIn(folder string) (known bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for name := range p.byName {
		if strings.HasPrefix(name, folder+"/") {
			delete(p.byName, name)
			known = true
		}
	}
	return known
}

// sum is the sum of a picture's bytes; zero when it cannot be read.
func (p *pictures) sum(name string) cache.Sum { return p.of(name).sum() }

// look looks at a picture.
func (p *pictures) look(name string) (*picture.Source, error) { return p.of(name).source() }

// prepare makes a picture's files, or finds them in the cache.
func (p *pictures) prepare(name string) (*prepared, picture.Picture, error) {
	sum := p.sum(name)
	p.mu.Lock()
	made := p.prepared[sum]
	if made == nil {
		made = &prepared{}
		p.prepared[sum] = made
	}
	p.mu.Unlock()
	made.once.Do(func() { p.make(made, name, sum) })
	out := made.picture
	out.Source = name
	return made, out, made.err
}

func (p *pictures) key(sum cache.Sum) cache.Sum {
	var f cache.Fields
	f.String("picture")
	f.Sum(p.build)
	f.Sum(sum)
	return cache.SumOf(f.B)
}

func (p *pictures) make(made *prepared, name string, sum cache.Sum) {
	if pack := p.cache.Get(p.key(sum)); pack != nil {
		if looks, ok := readPicture(pack.Head); ok {
			made.picture, made.files, made.pack = looks, pack.Files, pack
			return
		}
	}
	p.makeAnew(made, name, sum)
}

func (p *pictures) makeAnew(made *prepared, name string, sum cache.Sum) {
	var out collector
	result := p.studio.Prepare(p.files, name, &out)
	made.picture, made.err = result.Picture, result.Err
	if made.err != nil {
		return
	}
	source, err := p.look(name)
	if err != nil || cache.Sum(source.Sum) != sum || !strings.Contains(made.picture.Sizes[0].Path, source.Key) {
		made.err = errMoved
		return
	}
	made.content, made.files = out.files, withoutContent(out.files)
	p.cache.Put(p.key(sum), pictureHead(made.picture), out.files)
}

func pictureHead(p picture.Picture) []byte {
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

func readPicture(head []byte) (p picture.Picture, ok bool) {
	r := cache.Read(head)
	p.Width, p.Height = r.Float(), r.Float()
	for range r.Count() {
		p.Sizes = append(p.Sizes, picture.Size{Path: r.String(), Width: r.Int()})
	}
	return p, r.Err == nil && len(p.Sizes) > 0
}
