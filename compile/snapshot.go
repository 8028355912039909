package compile

import (
	"io/fs"
	"maps"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"matchmark/procedure/parallel"
)

// shardCount is into how many maps the results are spread: the next snapshot copies those that it changes.
const shardCount = 512

// snapshot is a library as it was at one moment, with the results that were asked
// for. What it says never changes: an edit makes the next snapshot out of this one,
// which takes over every result that read nothing that has changed.
type snapshot struct {
	*Builder
	files  fs.FS
	over   Overlay // what of files is not saved
	shards [shardCount]map[key]*cell
	mu     sync.Mutex
	own    [shardCount]bool // the maps that no other snapshot sees
	// suspects are the results of before that have read something that may have changed.
	suspects []key

	// making is true while pages are wanted: checks then hand on what they have read.
	making atomic.Bool
	handed sync.Map // by key: what the maker of a result leaves for the next one to use
	moved  atomic.Bool
}

// cell is the place of one result, made when it is first asked for.
type cell struct {
	once sync.Once
	now  atomic.Pointer[result]
	// was is the result of the snapshot before, until there is one, and doubts are
	// what may have changed of all that it read.
	was    *result
	doubts []key
	fault  any
}

// resolve makes the result; of a panic everybody who asks hears.
func (c *cell) resolve(ensure func(c *cell) *result) *result {
	c.once.Do(func() {
		defer func() {
			if c.now.Load() == nil {
				c.fault = recover()
				panic(c.fault)
			}
		}()
		c.now.Store(ensure(c))
		c.was, c.doubts = nil, nil // else no result of any snapshot before would ever go
	})
	if now := c.now.Load(); now != nil {
		return now
	}
	panic(c.fault)
}

// last is the result that was known last, nil if none was.
func (c *cell) last() *result {
	if now := c.now.Load(); now != nil {
		return now
	}
	return c.was
}

// shardOf is the FNV-1a hash of a key.
func shardOf(k key) int {
	h := (2166136261 ^ uint32(k.kind)) * 16777619
	for i := range len(k.name) {
		h = (h ^ uint32(k.name[i])) * 16777619
	}
	return int(h % shardCount)
}

// cell returns the cell of a result, which is put there if it is not.
func (s *snapshot) cell(k key) *cell {
	i := shardOf(k)
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.shards[i][k]
	if c == nil {
		c = &cell{}
		s.put(i, k, c)
	}
	return c
}

func (s *snapshot) put(shard int, k key, c *cell) {
	if !s.own[shard] {
		s.own[shard] = true
		if s.shards[shard] = maps.Clone(s.shards[shard]); s.shards[shard] == nil {
			s.shards[shard] = map[key]*cell{}
		}
	}
	s.shards[shard][k] = c
}

// get returns a result, made now if it is not there yet.
func (s *snapshot) get(k key) *result {
	c := s.cell(k)
	if now := c.now.Load(); now != nil {
		return now
	}
	return c.resolve(func(c *cell) *result { return s.ensure(k, c.was, c.doubts) })
}

// ensure returns the result of before if what is in doubt of all that it read is as it was, or makes it anew.
func (s *snapshot) ensure(k key, was *result, doubts []key) *result {
	if was != nil && !k.kind.leaf() {
		among := was.reads
		if !k.kind.eager() {
			among = doubted(was.reads, doubts)
		}
		if s.changed(among) == nil {
			return was
		}
	}
	x := &reading{snapshot: s, key: k, was: was}
	now := makers[k.kind](x, k.name)
	now.key, now.reads = k, x.reads
	if k.kind.byReads() {
		now.sums[whole] = sumOfReads(k, x.reads)
	}
	if was != nil && k.kind.leaf() && was.sums == now.sums {
		return was
	}
	s.link(now, was)
	s.traceMade(x, was)
	return now
}

// changed returns the first thing that is not as it was when it was read; nil when all is.
func (s *snapshot) changed(reads []read) *read {
	for i := range reads {
		if r := &reads[i]; s.get(r.key).sums[r.aspect] != r.sum {
			return r
		}
	}
	return nil
}

// doubted lists those reads of which something may have changed.
func doubted(reads []read, doubts []key) (out []read) {
	for i := range reads {
		if slices.Contains(doubts, reads[i].key) {
			out = append(out, reads[i])
		}
	}
	return out
}

// link notes who reads what, so that the next snapshot finds what a change reaches.
func (b *Builder) link(now, was *result) {
	b.linking.Lock()
	defer b.linking.Unlock()
	before := map[facet]bool{}
	if was != nil {
		for _, r := range was.reads {
			before[r.facet] = true
		}
	}
	for _, r := range now.reads {
		if !before[r.facet] {
			b.readers[r.facet] = append(b.readers[r.facet], now.key)
		}
	}
}

// there is the cell of a result, nil if nobody has asked for it.
func (s *snapshot) there(k key) *cell {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.shards[shardOf(k)][k]
}

// last is the result that was known of a key last, nil if none was.
func (s *snapshot) last(k key) *result {
	if c := s.there(k); c != nil {
		return c.last()
	}
	return nil
}

// next is the snapshot in which some leaves may be others. Nobody may be at work on
// this one meanwhile.
func (s *snapshot) next(over Overlay, leaves []key, listed *result) *snapshot {
	n := &snapshot{Builder: s.Builder, files: over.Onto(s.folder), over: over, shards: s.shards}
	s.own = [shardCount]bool{} // they are shared from now on
	pending, done, doubts := map[key]bool{}, map[key]bool{}, map[key][]key{}
	for _, k := range leaves {
		pending[k] = true
	}
	if listed != nil {
		pending[listed.key] = true
	}
	for of := kind(0); len(pending) > 0; of = lowest(pending) {
		var keys []key
		for k := range pending {
			if k.kind == of {
				keys = append(keys, k)
				done[k] = true
				delete(pending, k)
			}
		}
		n.supersede(s, keys, doubts, listed)
		for _, k := range keys {
			was, now := s.last(k), n.there(k).now.Load()
			for a := range aspects {
				if was != nil && now != nil && was.sums[a] == now.sums[a] {
					continue
				}
				for _, reader := range s.readers[facet{k, a}] {
					switch {
					case done[reader] && !reader.kind.eager():
						c := n.there(reader)
						c.doubts = append(c.doubts, k)
					case !done[reader] && s.last(reader) != nil:
						pending[reader] = true
						doubts[reader] = append(doubts[reader], k)
					}
				}
			}
		}
	}
	return n
}

func lowest(pending map[key]bool) kind {
	out := kinds
	for k := range pending {
		out = min(out, k.kind)
	}
	return out
}

// supersede puts results of before in question. Those that are cheap are made at once, so
// that what they do not change stays as it is.
func (s *snapshot) supersede(before *snapshot, keys []key, doubts map[key][]key, listed *result) {
	slices.SortFunc(keys, func(a, b key) int { return strings.Compare(a.name, b.name) })
	names := make([]string, len(keys))
	for i, k := range keys {
		names[i] = k.String()
		c := &cell{doubts: doubts[k]}
		if was := before.there(k); was != nil {
			c.was, c.doubts = was.last(), append(c.doubts, was.doubts...)
		}
		if listed != nil && k == listed.key {
			c.resolve(func(*cell) *result { return listed })
		}
		s.put(shardOf(k), k, c)
	}
	parallel.Each(names, func(i int) {
		if keys[i].kind.eager() {
			s.get(keys[i])
		}
	})
	if len(keys) > 0 && !keys[0].kind.eager() {
		s.suspects = append(s.suspects, keys...)
	}
}

// reading makes one result and notes what it reads.
type reading struct {
	*snapshot
	key     key
	was     *result
	reads   []read
	fetched bool // from the cache
}

// get reads an aspect of another result.
func (x *reading) get(name string, of kind, a aspect) *result {
	k := key{of, name}
	if of.rank() > x.key.kind.rank() {
		panic("the " + x.key.String() + " reads the " + k.String() + ", which comes later")
	}
	r := x.snapshot.get(k)
	x.note(r, a)
	return r
}

func (x *reading) note(r *result, a aspect) {
	x.reads = append(x.reads, read{facet{r.key, a}, r.sums[a]})
}

// makers make the results, kind by kind.
var makers [kinds]func(x *reading, name string) *result

func init() {
	makers = [kinds]func(x *reading, name string) *result{
		makeFile, makePicture, makeListing, makeSettings, makeHeading, makeIndex, makeIDs, makeStepsFile, makeRelated, makeMembers,
		makeShared, makePrepared, makeCheck, makeCheckGroup, makeMessages, makePages, makePagesGroup, makePictures,
	}
}
