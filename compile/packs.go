package compile

import (
	"slices"

	"matchmark/compile/cache"
)

// unitPack is a unit in the cache: its check and its pages with all that they read, and its files.
type unitPack struct {
	*cache.Pack
	check, pages *result
}

// packKey names a unit in the cache: by the program, and by what is known to go into it
// before it is read. What it turned out to read besides stands in the pack.
func (s *snapshot) packKey(name string) cache.Sum {
	x := &reading{snapshot: s, key: key{pagesKind, name}}
	if name == siteName {
		x.siteParts()
	} else if name == fixedName {
		x.libraryOf(part) // one for all libraries in a language
	} else {
		x.settingsSum()
		r := x.related(name)
		for _, file := range slices.Concat([]string{name, r.machine}, r.companions, r.quizzes) {
			x.file(file)
		}
		for _, p := range r.procedures {
			if x.file(p); r.unit == machineUnit {
				x.get(p, checkKind, part)
				x.get(p, pagesKind, part)
			}
		}
	}
	var f cache.Fields
	f.Sum(s.build)
	f.Sum(sumOfReads(x.key, x.reads))
	return cache.SumOf(f.B)
}

// fetch takes a unit from the cache; nil if it is not there.
func (s *snapshot) fetch(name string) *unitPack {
	pack := s.cache.Get(s.packKey(name))
	if pack == nil {
		return nil
	}
	r := cache.Read(pack.Head)
	c, p := &checked{}, &pages{made: true, files: pack.Files}
	checkReads, pagesReads := readReads(r), readReads(r)
	c.found = readMessages(r, s.withoutText)
	c.uses, p.entry = bytesOrNil(r.String()), bytesOrNil(r.String())
	c.takes, p.pictures = readStrings(r), readStrings(r)
	if r.Err != nil {
		return nil
	}
	out := &unitPack{pack, c.result(), p.result()}
	out.check.reads, out.pages.reads = checkReads, pagesReads
	return out
}

// fetchCheck takes the check of a unit from the cache where its pages are wanted too.
func (x *reading) fetchCheck(name string) *result {
	if x.cache == nil || !x.making.Load() {
		return nil
	}
	pack := x.fetch(name)
	if pack == nil || x.changed(pack.check.reads) != nil {
		return nil
	}
	x.handOn(name, pack)
	x.reads, x.fetched = pack.check.reads, true
	return pack.check
}

// fetchPages takes the pages of a unit from the cache.
func (x *reading) fetchPages(name string) *result {
	handed, _ := x.handed.Load(key{pagesKind, name})
	pack, _ := handed.(*unitPack)
	if pack == nil && handed == nil && x.cache != nil {
		pack = x.fetch(name)
	}
	if pack == nil || x.changed(pack.pages.reads) != nil {
		return nil
	}
	x.handed.Store(key{pagesKind, name}, pack.Pack)
	x.reads, x.fetched = pack.pages.reads, true
	for _, f := range pack.Files {
		x.wrote(f.Path)
	}
	return pack.pages
}

// keepPages keeps a unit in the cache.
func (x *reading) keepPages(name string, p *pages, files []cache.File) {
	if x.cache == nil {
		return
	}
	c, checkReads := &checked{}, []read(nil)
	if name != siteName {
		r := x.snapshot.get(key{checkKind, name})
		c, checkReads = r.value.(*checked), r.reads
	}
	var f cache.Fields
	writeReads(&f, checkReads)
	writeReads(&f, x.reads)
	writeMessages(&f, c.found)
	f.String(string(c.uses))
	f.String(string(p.entry))
	writeStrings(&f, c.takes)
	writeStrings(&f, p.pictures)
	x.cache.Put(x.packKey(name), f.B, files)
}

func bytesOrNil(s string) []byte {
	if s == "" {
		return nil
	}
	return []byte(s)
}
