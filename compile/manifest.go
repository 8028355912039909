package compile

import (
	"context"
	"maps"
	"slices"

	"matchmark/compile/cache"
	"matchmark/compile/output"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
)

// manifest is what the last compile into a folder was made from, and how it left
// the folder. It lies in the cache: without it a compile takes longer, no more.
type manifest struct {
	leaves   []read
	folders  map[string]output.Stamp
	summary  Summary
	messages []diagnostic.Diagnostic
}

// manifestKey names one of the two parts of the manifest of a folder: what the
// library was, or how each file of the site was stamped.
func (b *Builder) manifestKey(dir, of string) cache.Sum {
	return sumOf("manifest", of, b.brief, b.build, dir) // brief says which messages it holds
}

// readManifest returns the manifest of a site's folder, nil when there is none.
func (b *Builder) readManifest(dir string) *manifest {
	pack := b.cache.Get(b.manifestKey(dir, "library"))
	if pack == nil {
		return nil
	}
	r := cache.Read(pack.Head)
	m := &manifest{leaves: readReads(r)}
	m.folders = readStamps(r)
	m.summary = Summary{Procedures: r.Int(), Pages: r.Int(), Pictures: r.Int(), Advice: r.Int()}
	m.messages = readMessages(r, b.withoutText)
	if r.Err != nil {
		return nil
	}
	return m
}

// keepManifest keeps what the site in a folder was made from.
func (b *Builder) keepManifest(dir string, stamps map[string]output.Stamp, sum Summary, log *diagnostic.Log) {
	if b.cache == nil {
		return
	}
	folders, err := output.Folders(dir, slices.Collect(maps.Keys(stamps)))
	if err != nil {
		return // somebody is at work in the folder; the next compile looks closer
	}
	var leaves []read
	for _, k := range b.now.leavesBelow("") {
		leaves = append(leaves, read{facet{k, whole}, b.now.get(k).sums[whole]})
	}
	var f cache.Fields
	writeReads(&f, leaves)
	writeStamps(&f, folders)
	f.Int(sum.Procedures)
	f.Int(sum.Pages)
	f.Int(sum.Pictures)
	f.Int(sum.Advice)
	writeMessages(&f, log.Sorted())
	b.cache.Put(b.manifestKey(dir, "library"), f.B, nil)
	var all cache.Fields
	writeStamps(&all, stamps)
	b.cache.Put(b.manifestKey(dir, "site"), all.B, nil)
}

// stamps returns how the files of the site in a folder were stamped when they were last written.
func (b *Builder) stamps(dir string) map[string]output.Stamp {
	pack := b.cache.Get(b.manifestKey(dir, "site"))
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
func (b *Builder) unchanged(ctx context.Context, m *manifest, dir string) bool {
	names := make([]string, len(m.leaves))
	same := make([]bool, len(m.leaves))
	parallel.Each(names, func(i int) { same[i] = b.now.changed(m.leaves[i:i+1]) == nil })
	return !slices.Contains(same, false) && ctx.Err() == nil && output.Stands(dir, m.folders)
}
