package compile

import (
	"matchmark/compile/cache"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/text"
)

// head is what the cache keeps of a unit besides its files.
func (u *unit) head() []byte {
	var f cache.Fields
	writeDeps(&f, u.deps)
	f.String(string(u.entry))
	f.String(string(u.uses))
	writeMessages(&f, u.found)
	return f.B
}

// readHead reads what head wrote. bare gives the files of places by name.
func readHead(b []byte, bare func(string) *text.File) (*unit, error) {
	r := cache.Read(b)
	u := &unit{}
	for range r.Count() {
		u.deps = append(u.deps, dep{depKind(r.Int()), r.String(), r.Sum()})
	}
	u.entry, u.uses = bytesOrNil(r.String()), bytesOrNil(r.String())
	u.found = readMessages(r, bare)
	return u, r.Err
}

func bytesOrNil(s string) []byte {
	if s == "" {
		return nil
	}
	return []byte(s)
}

func writeDeps(f *cache.Fields, deps []dep) {
	f.Int(len(deps))
	for _, d := range deps {
		f.Int(int(d.kind))
		f.String(d.name)
		f.Sum(d.sum)
	}
}

func writeMessages(f *cache.Fields, all []diagnostic.Diagnostic) {
	f.Int(len(all))
	for _, d := range all {
		f.String(string(d.Code))
		f.Int(int(d.Severity))
		writeSpan(f, d.Span)
		f.String(d.Message)
		f.String(d.Do)
		f.Int(len(d.See))
		for _, s := range d.See {
			writeSpan(f, s.Span)
			f.String(s.Why)
		}
	}
}

func writeSpan(f *cache.Fields, s text.Span) {
	name := ""
	if s.File != nil {
		name = s.File.Name
	}
	f.String(name)
	f.Int(s.Start)
	f.Int(s.End)
}

func readMessages(r *cache.Reading, bare func(string) *text.File) (out []diagnostic.Diagnostic) {
	span := func() text.Span {
		name := r.String()
		s := text.Span{Start: r.Int(), End: r.Int()}
		if name != "" {
			s.File = bare(name)
		}
		return s
	}
	for range r.Count() {
		d := diagnostic.Diagnostic{Code: diagnostic.Code(r.String()), Severity: diagnostic.Severity(r.Int()), Span: span(), Message: r.String(), Do: r.String()}
		for range r.Count() {
			d.See = append(d.See, diagnostic.Related{Span: span(), Why: r.String()})
		}
		out = append(out, d)
	}
	return out
}
