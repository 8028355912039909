package compile

import "fmt"

// traceMade tells of a result that was made, and why the one of before does not do.
func (s *snapshot) traceMade(x *reading, was *result) {
	if s.trace == nil {
		return
	}
	why := "new"
	switch {
	case x.fetched:
		why = "from the cache"
	case was != nil && x.key.kind.leaf():
		why = "changed"
	case was != nil:
		if r := s.changed(was.reads); r != nil {
			why = r.facet.String() + " changed"
		}
	}
	s.trace(fmt.Sprintf("made %s: %s", x.key, why))
}

// traceFiles tells how many files of the start page and its like an edit has cost.
func (s *snapshot) traceFiles(written, of int) {
	if s.trace != nil {
		s.trace(fmt.Sprintf("wrote %d of the %d files of %s", written, of, siteName))
	}
}
