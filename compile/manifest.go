package compile

import (
	"context"
	"maps"
	"slices"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/source"
)

// manifest is what the last compile into a folder was made from, and how it left
// the folder. It lies in the cache: without it a compile takes longer, no more.
type manifest struct {
	settings cache.Sum
	inputs   map[string]*input
	pictures map[string]cache.Sum
	folders  map[string]output.Stamp
	summary  Summary
	messages []diagnostic.Diagnostic
}

// manifestKey names one of the two parts of the manifest of a folder: what the
// library was, or how each file of the site was stamped.
func (s *Session) manifestKey(dir, part string) cache.Sum {
	var f cache.Fields
	f.String("manifest")
	f.String(part)
	f.Int(btoi(s.brief)) // which messages it holds
	f.Sum(s.build)
	f.String(dir)
	return cache.SumOf(f.B)
}

// readManifest returns the manifest of a site's folder, nil when there is none.
func (s *Session) readManifest(dir string) *manifest {
	pack := s.cache.Get(s.manifestKey(dir, "library"))
	if pack == nil {
		return nil
	}
	r := cache.Read(pack.Head)
	m := &manifest{inputs: map[string]*input{}, pictures: map[string]cache.Sum{}, settings: r.Sum()}
	for range r.Count() {
		in := &input{name: r.String(), sum: r.Sum()}
		in.heading = source.Heading{Kind: r.String(), ID: r.String(), Of: r.String()}
		in.heading.IDSpan.File = s.bare(in.name)
		in.heading.IDSpan.Start, in.heading.IDSpan.End = r.Int(), r.Int()
		in.allows = r.Int() != 0
		m.inputs[in.name] = in
	}
	for range r.Count() {
		name := r.String()
		m.pictures[name] = r.Sum()
	}
	m.folders = readStamps(r)
	m.summary = Summary{Procedures: r.Int(), Pages: r.Int(), Pictures: r.Int(), Advice: r.Int()}
	m.messages = readMessages(r, s.bare)
	if r.Err != nil {
		return nil
	}
	return m
}

// keepManifest keeps what the site in a folder was made from.
func (s *Session) keepManifest(dir string, stamps map[string]output.Stamp, log *diagnostic.Log) {
	if s.cache == nil {
		return
	}
	folders, err := output.Folders(dir, slices.Collect(maps.Keys(stamps)))
	if err != nil {
		return // somebody is at work in the folder; the next compile looks closer
	}
	var f cache.Fields
	f.Sum(s.settingsSum)
	f.Int(len(s.index.names))
	for _, name := range s.index.names {
		in := s.inputs[name]
		f.String(name)
		f.Sum(in.sum)
		for _, x := range []string{in.heading.Kind, in.heading.ID, in.heading.Of} {
			f.String(x)
		}
		f.Int(in.heading.IDSpan.Start)
		f.Int(in.heading.IDSpan.End)
		f.Int(btoi(in.allows))
	}
	pictures := s.shownPictures()
	f.Int(len(pictures))
	for _, name := range pictures {
		f.String(name)
		f.Sum(s.pictures.sum(name))
	}
	writeStamps(&f, folders)
	sum := s.summary()
	f.Int(sum.Procedures)
	f.Int(sum.Pages)
	f.Int(sum.Pictures)
	f.Int(sum.Advice)
	writeMessages(&f, log.Sorted())
	s.cache.Put(s.manifestKey(dir, "library"), f.B, nil)
	var all cache.Fields
	writeStamps(&all, stamps)
	s.cache.Put(s.manifestKey(dir, "site"), all.B, nil)
}

// stamps returns how the files of the site in a folder were stamped when they were last written.
func (s *Session) stamps(dir string) map[string]output.Stamp {
	pack := s.cache.Get(s.manifestKey(dir, "site"))
	if pack == nil {
		return nil
	}
	r := cache.Read(pack.Head)
	out := readStamps(r)
	if r.Err != nil {
		return nil
	}
	return out
}

func writeStamps(f *cache.Fields, stamps map[string]output.Stamp) {
	f.Int(len(stamps))
	for _, name := range slices.Sorted(maps.Keys(stamps)) {
		stamp := stamps[name]
		f.String(name)
		f.Sum(stamp.Sum)
		f.Int(int(stamp.Size))
		f.Int(int(stamp.Time))
	}
}

func readStamps(r *cache.Reading) map[string]output.Stamp {
	n := r.Count()
	out := make(map[string]output.Stamp, n)
	for range n {
		name := r.String()
		out[name] = output.Stamp{Sum: r.Sum(), Size: int64(r.Int()), Time: int64(r.Int())}
	}
	return out
}

// unchanged reports whether the library, which has been scanned, and the site are
// as the manifest says. Of the library every byte is compared. Of the site it is
// the times of its folders and of its marker: a page that was added, taken out or
// replaced shows, one whose bytes were changed in place does not.
func (s *Session) unchanged(ctx context.Context, m *manifest, dir string) bool {
	if s.settingsSum != m.settings || len(s.inputs) != len(m.inputs) {
		return false
	}
	for name, in := range s.inputs {
		if before := m.inputs[name]; before == nil || before.sum != in.sum {
			return false
		}
	}
	return s.samePictures(m) && ctx.Err() == nil && output.Stands(dir, m.folders)
}

func (s *Session) samePictures(m *manifest) bool {
	names := slices.Sorted(maps.Keys(m.pictures))
	same := make([]bool, len(names))
	parallel.Each(names, func(i int) { same[i] = s.pictures.sum(names[i]) == m.pictures[names[i]] })
	return !slices.Contains(same, false)
}
