package sheet

import (
	"fmt"
	"strings"

	qr "github.com/piglig/go-qr"

	"matchmark/compile/page"
	"matchmark/procedure"
	"matchmark/themes"
)

// Head is what stands on top of every printable sheet. Views of sheets embed
// it, and their pages start with Top.
type Head struct {
	page.Shell
	// Kind says which sheet it is, such as "Checklist".
	Kind string
	// Subject is what the sheet is about: the title of the procedure or quiz.
	Subject string
	// Variant, On and Edition tell two sheets of one subject apart; each may be
	// empty. On is the machine, or for a quiz its procedure.
	Variant, On, Edition string
	// Fields are the labels of the lines to fill in by hand.
	Fields []string
	// Code leads from the paper to a page; nil for none.
	Code *Code
}

// Running is printed in the margin of every page, so that a page that got loose finds its sheet.
func (h Head) Running() string { return joined(h.Kind, h.Subject, h.Variant, h.Edition) }

// Facts is the line below the heading.
func (h Head) Facts() string { return joined(h.Variant, h.On, h.Edition) }

// Code is a QR code with the same address in words beside it.
type Code struct {
	// Page is where it leads to within the site, Address where that is; empty when only a class host that serves the site knows.
	Page, Address string
	// Says is where the address leads.
	Says string
	// Side is how many modules the code is wide, with the quiet zone, and Path draws the dark ones.
	Side int
	Path string
}

// NewHead returns the head of the sheet at a site path; variant may be empty.
// Its crumbs lead over the page that the sheet belongs to.
func NewHead(lib *procedure.Library, words *themes.Words, at, kind, subject, variant string, over page.Crumb) Head {
	h := Head{Kind: kind, Subject: subject, Variant: variant}
	title := kind
	if variant != "" {
		title += ", " + variant
	}
	h.Shell = page.NewShell(lib, words, at, cut(title+": "+subject))
	over.Link = h.Link(over.Link)
	h.Crumbs = append(h.Crumbs, over)
	h.Here = kind
	h.Body = "sheet-page"
	h.Search = false
	h.Styles = []string{"sheet.css"}
	h.Scripts = []string{"sheet.js"}
	return h
}

// cut shortens a title to what a browser shows of it, between words where it
// can. What tells sheets apart stands first; the heading has all of it.
func cut(title string) string {
	const room = 70
	letters := []rune(title)
	if len(letters) <= room {
		return title
	}
	short := string(letters[:room-1])
	if space := strings.LastIndex(short, " "); space > len(short)/2 {
		short = short[:space]
	}
	return short + "…"
}

// NewCode returns the code that leads to a site path. When the library has no address, it is a place that a class host fills,
// and nothing is to be seen. It fails for an address too long to encode.
func NewCode(lib *procedure.Library, to, says string) (*Code, error) {
	to = "/" + strings.TrimSuffix(to, "index.html")
	if lib.Address == "" {
		return &Code{Page: to, Says: says}, nil
	}
	return Encode(strings.TrimSuffix(lib.Address, "/")+to, says)
}

// Encode makes the code of an address.
func Encode(address, says string) (*Code, error) {
	code, err := qr.EncodeText(address, qr.Medium)
	if err != nil {
		return nil, fmt.Errorf("QR code of %s: %w", address, err)
	}
	c := &Code{Address: address, Says: says, Side: code.Size() + 2*quietZone}
	var path strings.Builder
	for y := range code.Size() {
		for x := 0; x < code.Size(); x++ {
			run := x
			for run < code.Size() && code.Module(run, y) {
				run++
			}
			if run > x {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", x+quietZone, y+quietZone, run-x, run-x)
				x = run
			}
		}
	}
	c.Path = path.String()
	return c, nil
}

// quietZone is the light border of a QR code, in modules.
//
// Source: ISO/IEC 18004, quiet zone of four modules.
const quietZone = 4

// SignedBy says who signs for a hold point: a person of a role, or whoever does the work.
func SignedBy(w *themes.Words, role string) string {
	if role == "" {
		return w.T("sheet.sign.self")
	}
	return w.T("sheet.sign", role)
}

// repairTitle names a repair by its finding.
func repairTitle(w *themes.Words, r Repair) string {
	if r.Stops {
		return w.T("sheet.repair.stops", r.Number)
	}
	return w.T("sheet.repair", r.Number)
}
