package compile

import (
	"matchmark/compile/cache"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

func writeMessages(f *cache.Fields, all []diagnostic.Diagnostic) {
	f.Int(len(all))
	for _, d := range all {
		f.String(string(d.Code))
		f.Int(int(d.Severity))
		writeSpan(f, d.Span)
		writeText(f, d.Wrong)
		writeText(f, d.Advice)
		f.Int(len(d.See))
		for _, s := range d.See {
			writeSpan(f, s.Span)
			writeText(f, s.Says)
		}
		f.Int(btoi(d.Refitting))
		f.Int(len(d.Variants))
		for _, v := range d.Variants {
			f.String(v)
		}
		f.Int(len(d.Fixes))
		for _, fix := range d.Fixes {
			writeText(f, fix.Title)
			f.Int(btoi(fix.Safe))
			f.Int(len(fix.Edits))
			for _, e := range fix.Edits {
				writeSpan(f, e.Span)
				f.String(e.Text)
			}
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
		d := diagnostic.Diagnostic{
			Code: diagnostic.Code(r.String()), Severity: diagnostic.Severity(r.Int()), Span: span(),
			Wrong: readText(r), Advice: readText(r),
		}
		for range r.Count() {
			d.See = append(d.See, diagnostic.Related{Span: span(), Says: readText(r)})
		}
		d.Refitting = r.Int() != 0
		for range r.Count() {
			d.Variants = append(d.Variants, r.String())
		}
		for range r.Count() {
			fix := diagnostic.Fix{Title: readText(r), Safe: r.Int() != 0}
			for range r.Count() {
				fix.Edits = append(fix.Edits, rewrite.Edit{Span: span(), Text: r.String()})
			}
			d.Fixes = append(d.Fixes, fix)
		}
		out = append(out, d)
	}
	return out
}
