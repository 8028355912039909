// Package sheet emits the printable sheets of a job: the checklist, the list of
// tools and consumables, the torque sheet, the lift sheet, and the labels for bags
// and parts. It also holds the head that other printed pages share.
package sheet

import (
	"fmt"
	"strings"

	"github.com/a-h/templ"

	"matchmark/compile/output"
	"matchmark/compile/page"
	"matchmark/compile/picture"
	"matchmark/procedure"
	"matchmark/procedure/analysis"
	"matchmark/procedure/measure"
	"matchmark/themes"
)

// EmitProcedure writes the sheets of every job of one procedure. It looks at
// nothing else of the library than its settings and its glossary.
func EmitProcedure(lib *procedure.Library, pictures map[string]*picture.Picture, theme *themes.Theme, out output.Sink, f *analysis.Procedure) error {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return err
	}
	if f.Machine == nil {
		return fmt.Errorf("procedure %s: its machine %q is not there", f.ID, f.MachineRef.ID)
	}
	e := emitter{lib: lib, pictures: pictures, words: words, out: out, back: f.Refitting()}
	for _, job := range f.Jobs {
		e.job, e.analysed, e.contents = job.Job, job, contentsOf(job)
		for _, kind := range SheetsOf(lib, job) {
			if err := e.emit(kind); err != nil {
				return err
			}
		}
	}
	return nil
}

// emitter makes the sheets of one job.
type emitter struct {
	lib      *procedure.Library
	pictures map[string]*picture.Picture
	words    *themes.Words
	out      output.Sink
	job      *procedure.Job
	analysed *analysis.Job
	back     *analysis.Procedure // of a removal its refitting; nil for none
	contents
}

func (e emitter) emit(k Kind) error {
	switch k {
	case Whole:
		return e.whole()
	case Tools:
		return e.tools()
	case Torque:
		return e.torque()
	case Lift:
		return e.lift()
	case Labels:
		return e.labels()
	case Risk:
		return e.risk()
	case Isolation:
		return e.isolation()
	case Assessment:
		return e.assessment()
	case Release:
		return e.release()
	case Deck:
		return e.deck()
	case Feedback:
		return e.feedback()
	case FollowUp:
		return e.followUp()
	}
	return e.checklist()
}

// head returns the head of one of the job's sheets, with the labels of the lines
// to fill in. The code of a sheet that is used at the machine leads to the steps,
// that of the others to the overview.
func (e emitter) head(k Kind, fields ...string) (Head, error) {
	p, variant := e.job.Procedure, ""
	if e.job.Variant != nil {
		variant = e.job.Variant.Name
	}
	h := NewHead(e.lib, e.words, k.Path(e.job), k.Title(e.words), p.Title, variant, page.Crumb{Title: p.Title, Link: page.ProcedurePath(p)})
	if p.Removal != nil { // a refitting lies behind its procedure
		h.Crumbs = append(h.Crumbs[:len(h.Crumbs)-1], h.Trail(p)...)
	}
	h.On = e.job.Machine.Title
	for _, key := range fields {
		h.Fields = append(h.Fields, e.words.T("sheet.field."+key))
	}
	if p.Edition != "" {
		h.Edition = e.words.T("sheet.edition", p.Edition)
	}
	leadsTo, says := page.ProcedurePath(p), e.words.T("sheet.code.procedure")
	if k != Whole && k != Tools && k != Labels && paperOf[k] == "" {
		leadsTo, says = page.StepsPath(e.job), e.words.T("sheet.code.steps")
	}
	var err error
	h.Code, err = NewCode(e.lib, leadsTo, says)
	return h, err
}

func (e emitter) write(k Kind, content templ.Component) error {
	return page.Write(e.out, k.Path(e.job), content)
}

// name is a thing's name; an unknown id stands for itself.
func (e emitter) name(id string) string {
	if t := e.job.Machine.Thing(id); t != nil {
		return t.Row.Name
	}
	return id
}

func (e emitter) quantity(q measure.Quantity) string {
	if q.IsZero() {
		return ""
	}
	return e.words.WithDecimal(q.String())
}

func (e emitter) names(refs []procedure.Ref) string {
	var out []string
	for _, r := range refs {
		out = append(out, e.name(r.ID))
	}
	return strings.Join(out, ", ")
}

// joined puts the parts that are not empty on one line.
func joined(parts ...string) string {
	const sign = " · "
	size := 0
	for _, p := range parts {
		size += len(p) + len(sign)
	}
	var out strings.Builder
	for _, p := range parts {
		if p == "" {
			continue
		}
		if out.Len() == 0 {
			out.Grow(size)
		} else {
			out.WriteString(sign)
		}
		out.WriteString(p)
	}
	return out.String()
}
