package compile

import (
	"slices"
	"strings"
	"sync"

	"matchmark/compile/cache"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// errMoved says that a file changed while it was compiled.
var errMoved = say.Error(say.That("a file of the library changed again and again while it was compiled"))

// makeFile takes the sum of a file's bytes, zero when it cannot be read. Nobody keeps the bytes.
func makeFile(x *reading, name string) *result {
	content, err := source.Load(x.files, name)
	return &result{sums: [aspects]cache.Sum{sumOfContent(content, err)}}
}

func sumOfContent(content []byte, err error) (sum cache.Sum) {
	if err == nil {
		sum = cache.SumOf(content)
	}
	return sum
}

// file reads the sum of a file's bytes.
func (x *reading) file(name string) cache.Sum { return x.get(name, fileKind, whole).sums[whole] }

// content reads the bytes of a file; what it reads must be what its sum was taken of.
func (x *reading) content(name string) ([]byte, error) {
	sum := x.file(name)
	content, err := source.Load(x.files, name)
	if sumOfContent(content, err) != sum {
		x.moved.Store(true)
	}
	return content, err
}

func (x *reading) load(name string) (*text.File, error) {
	content, err := x.content(name)
	return text.NewFile(name, content), err
}

// part reads a file of any kind, and the files that it takes rows from.
func (x *reading) part(name string, log *diagnostic.Log) *source.Part {
	file, err := x.load(name)
	part := x.reader.For(x.libraryOf(part).Language, x.content).Read(file, err, log)
	part.OldForm(log)
	return part
}

// listing is the Markdown files of the library, in order.
type listing struct {
	names []string
	found []diagnostic.Diagnostic
	err   error // the world's: the folder cannot be read
}

func makeListing(x *reading, _ string) *result {
	var log diagnostic.Log
	names, err := source.Files(x.files, &log)
	for name := range x.over {
		if at, there := slices.BinarySearch(names, name); !there && isLibraryFile(name) {
			names = slices.Insert(names, at, name)
		}
	}
	return listed(&listing{names, x.withoutTexts(log.Sorted()), err})
}

// isLibraryFile reports whether a path is one of a Markdown file in no hidden folder.
func isLibraryFile(name string) bool {
	return source.IsFile(name) && !strings.HasPrefix(name, ".") && !strings.Contains(name, "/.")
}

func listed(l *listing) *result {
	var f cache.Fields
	writeMessages(&f, l.found)
	return &result{key: key{kind: listingKind}, value: l, sums: [aspects]cache.Sum{sumOf(l.names, f.B)}}
}

// settings is library.yaml: a library that holds nothing else.
type settings struct {
	lib   *source.Library
	found []diagnostic.Diagnostic
	err   error
}

func makeSettings(x *reading, _ string) *result {
	x.file(source.SettingsFile)
	var log diagnostic.Log
	lib, err := x.reader.Settings(x.files, &log)
	return &result{value: &settings{lib, x.withoutTexts(log.Sorted()), err}, sums: [aspects]cache.Sum{part: sumOf(lib.Title, lib.Language, tradeNames(lib.Library))}}
}

func tradeNames(lib *procedure.Library) (names []string) {
	for _, t := range lib.Trades {
		names = append(names, t.Name)
	}
	return names
}

// library is a library with the settings and nothing else.
func (x *reading) library() *source.Library { return x.libraryOf(whole) }

func (x *reading) libraryOf(a aspect) *source.Library {
	lib := *x.get("", settingsKind, a).value.(*settings).lib.Library
	return &source.Library{Library: &lib}
}

// looked is a picture of the library, looked at when somebody asks.
type looked struct {
	sum  cache.Sum // of the bytes; zero when it cannot be read
	look func() (*picture.Source, error)
}

func makePicture(x *reading, name string) *result {
	files := x.files
	l := &looked{look: sync.OnceValues(func() (*picture.Source, error) { return picture.Read(files, name) })}
	func() {
		defer func() { _ = recover() }() // whoever looks at the picture meets the fault again, and says where
		l.sum = picture.SumOf(files, name)
	}()
	return &result{value: l, sums: [aspects]cache.Sum{l.sum}}
}

func (x *reading) picture(name string) *looked {
	return x.get(name, pictureKind, whole).value.(*looked)
}

func (x *reading) look(name string) (*picture.Source, error) { return x.picture(name).look() }

// leavesBelow lists the leaves in a folder, or all, that somebody has asked for.
func (s *snapshot) leavesBelow(folder string) (out []key) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, shard := range s.shards {
		for k := range shard {
			if k.kind.leaf() && (folder == "" || strings.HasPrefix(k.name, folder+"/")) {
				out = append(out, k)
			}
		}
	}
	return out
}
