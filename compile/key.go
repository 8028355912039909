package compile

import "matchmark/compile/cache"

// kind says what a result of the build graph is. A result reads only results of
// kinds before its own, or of its own kind where the units have an order, so the
// graph has no cycle.
type kind uint8

const (
	// Leaves: what lies in the folder.
	fileKind    kind = iota // a Markdown file or the settings' file, by path
	pictureKind             // a picture, by path
	listingKind             // which Markdown files there are

	// What joins the files. These are cheap, and made at once when what they read changes.
	settingsKind  // library.yaml
	headingKind   // what a file says that it is
	indexKind     // which file belongs to which
	idsKind       // all names that others may use
	stepsFileKind // the file of a steps id
	relatedKind   // what the index says of one file
	membersKind   // a list of files, by its name

	// What is read, checked and written. These wait until somebody asks.
	sharedKind     // a machine or a steps file, which many procedures read
	preparedKind   // the files of a picture
	checkKind      // the messages of a unit, and what it uses
	checkGroupKind // the messages of some procedures
	messagesKind   // those of some groups, or of all
	pagesKind      // the files of a unit, and what lists show of it
	pagesGroupKind // what lists show of some procedures
	picturesKind   // the pictures on the pages of some groups, or of all
	kinds
)

var kindNames = [kinds]string{"file", "picture", "listing", "settings", "heading", "index", "ids", "steps file", "relations", "members", "model", "prepared picture", "check", "checks of group", "messages of", "pages", "pages of group", "pictures of"}

// partNames are what a part of a result is, by its kind.
var partNames = [kinds]string{settingsKind: "title and language", checkKind: "uses", checkGroupKind: "steps", pagesKind: "entry", pagesGroupKind: "entries", picturesKind: "names"}

// rank is what the order of kinds is by: steps files read what groups of procedures know, and
// the start page what their pages show.
func (k kind) rank() kind {
	switch k {
	case checkGroupKind, messagesKind:
		return checkKind
	case pagesGroupKind, picturesKind:
		return pagesKind
	}
	return k
}

func (k kind) leaf() bool  { return k <= listingKind }
func (k kind) eager() bool { return k < sharedKind }

// byReads reports whether the sum of such a result is that of all that it read; else its maker gives it.
func (k kind) byReads() bool { return k == settingsKind || k == indexKind || k >= sharedKind }

// aspect is a side of a result that can be read by itself: who reads one does not see the other change.
type aspect uint8

const (
	whole aspect = iota
	// part is, of settings, title and language; of a check, what the unit
	// uses of others; of a group's checks, the steps that are taken in; of pages, what lists show; of pictures, which.
	part
	aspects
)

// key names a result: what it is, and of which file or other thing.
type key struct {
	kind kind
	name string
}

func (k key) String() string {
	if k.name == "" {
		return kindNames[k.kind]
	}
	return kindNames[k.kind] + " " + k.name
}

// facet is an aspect of a result: what others read of it.
type facet struct {
	key
	aspect aspect
}

func (s facet) String() string {
	if s.aspect == part {
		return partNames[s.kind] + " of " + s.key.String()
	}
	return s.key.String()
}

// read is something that was read, as it was.
type read struct {
	facet
	sum cache.Sum
}

// result is a value with all that it was made from. It never changes.
type result struct {
	key
	value any
	sums  [aspects]cache.Sum // tell one value from another, side by side
	reads []read
}

// sumOfReads is the sum of all that was read, by name and content.
func sumOfReads(k key, reads []read) cache.Sum {
	var f cache.Fields
	f.Int(int(k.kind))
	f.String(k.name)
	writeReads(&f, reads)
	return cache.SumOf(f.B)
}

// sumOf is the sum of some values. It tells lists apart that hold the same one after the other.
func sumOf(values ...any) cache.Sum {
	var f cache.Fields
	for _, v := range values {
		switch v := v.(type) {
		case string:
			f.String(v)
		case []byte:
			f.String(string(v))
		case []string:
			writeStrings(&f, v)
		case int:
			f.Int(v)
		case bool:
			f.Int(btoi(v))
		case cache.Sum:
			f.Sum(v)
		default:
			panic("no sum of such a value")
		}
	}
	return cache.SumOf(f.B)
}

func writeReads(f *cache.Fields, reads []read) {
	f.Int(len(reads))
	for _, r := range reads {
		f.Int(int(r.kind))
		f.Int(int(r.aspect))
		f.String(r.name)
		f.Sum(r.sum)
	}
}

func readReads(r *cache.Reading) []read {
	out := make([]read, r.Count())
	for i := range out {
		k, a := r.Int(), r.Int()
		out[i] = read{facet{key{kind(min(max(k, 0), int(kinds)-1)), r.String()}, aspect(min(max(a, 0), int(aspects)-1))}, r.Sum()}
	}
	return out
}
