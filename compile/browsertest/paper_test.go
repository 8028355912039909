//go:build browser

package browsertest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// papers are the sizes of paper, in points.
//
// Source: ISO 216 (A4, 210 mm × 297 mm); ANSI/ASME Y14.1 (A, 8.5 in × 11 in).
var papers = []struct {
	name          string
	size          chromedp.PaperSize
	width, height float64
}{
	{"A4", chromedp.PaperA4, 595.3, 841.9},
	{"Letter", chromedp.PaperLetter, 612, 792},
}

// paper prints every sheet on A4 and Letter: the paper is used as it is, no page
// is empty, and what stands on the screen stands on the paper.
func paper(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	printed := 0
	for _, page := range s.pages {
		if s.isScreen(page) {
			continue
		}
		b.visit(s.file(page))
		titles := eval[[]string](b, `[...document.querySelectorAll("h1, h2, h3")].filter(e => e.checkVisibility()).map(e => {
			const words = e.cloneNode(true); // without what is for screen readers alone
			words.querySelectorAll(".unseen, i").forEach(u => u.remove());
			return words.textContent;
		})`)
		for _, p := range papers {
			printed++
			pages := b.print(p.size, p.width, p.height, page+" on "+p.name)
			all := strings.Join(pages, " ")
			for _, title := range titles {
				if !stands(all, title) {
					t.Errorf("%s on %s: %q is not printed", page, p.name, title)
				}
			}
			for n, text := range pages {
				if len(strings.Fields(text)) < 5 {
					t.Errorf("%s on %s: page %d of %d is empty", page, p.name, n+1, len(pages))
				}
			}
		}
	}
	if printed == 0 {
		t.Error("no sheet was printed")
	}
	b.checklist(s)
}

// papersTogether prints sheets of both ways of a job in one go, from a folder: those that are ticked are there in their order, pages are numbered
// through, none is next to empty.
func papersTogether(t *testing.T, s *site) {
	b := openTab(t, newProfile(t))
	b.visit(s.file("procedure/sheeter-roller-out/whole.html"))
	eval[int](b, `(window.print = () => { window.printed = (window.printed || 0) + 1; }, document.querySelectorAll(".whole-sheets input").forEach(e => {
		e.checked = /(\/index|checklist|lift|isolation)\.html$/.test(e.nextElementSibling.href);
	}), 0)`)
	want := eval[[]string](b, `[...document.querySelectorAll(".whole-sheets input:checked + a")].map(e => e.textContent)`)
	b.click("#ui_print")
	b.waitFor(`window.printed === 1`)
	if got := eval[[]string](b, `[...document.querySelectorAll(".whole-sheet")].map(e => e.getAttribute("aria-label"))`); !slices.Equal(got, want) || len(got) < 7 {
		t.Errorf("sheets %q, want %q", got, want)
	}
	if twice := eval[[]string](b, `[...document.querySelectorAll("[id]:not(defs *)")].map(e => e.id).filter((id, i, all) => all.indexOf(id) !== i)`); len(twice) > 0 {
		t.Errorf("names that are there twice: %q", twice)
	}
	pages := b.print(papers[0].size, papers[0].width, papers[0].height, "the whole job")
	b.wantNumbers(pages, "the whole job")
	for n, text := range pages {
		if len(strings.Fields(text)) < 25 {
			t.Errorf("page %d of %d has next to nothing on it: %q", n+1, len(pages), text)
		}
	}
	eval[int](b, `(document.querySelector(".whole-sheets input:checked").click(), 0)`)
	b.click("#ui_print")
	b.waitFor(`window.printed === 2`)
	if left := eval[int](b, `document.querySelectorAll(".whole-sheet:not([hidden])").length`); left != len(want)-1 {
		t.Errorf("%d sheets are left of %d when one is unticked", left, len(want))
	}

	// The keys for printing collect too, and the steps themselves stand among the rest with styles of their own.
	eval[int](b, `(document.querySelectorAll(".whole-sheets input").forEach(e => { e.checked = /out\/steps\.html$/.test(e.nextElementSibling.href) }), 0)`)
	if eval[bool](b, `document.dispatchEvent(new KeyboardEvent("keydown", {key: "p", ctrlKey: true, cancelable: true}))`) {
		t.Error("the browser prints the cover alone when Ctrl and P are pressed")
	}
	b.waitFor(`window.printed === 3`)
	steps := b.print(papers[0].size, papers[0].width, papers[0].height, "the steps")
	b.wantNumbers(steps, "the steps")
	if all := strings.Join(steps, " "); !stands(all, eval[string](b, `document.querySelector(".whole-sheet:not([hidden])").shadowRoot.querySelector(".step h2").lastChild.textContent`)) {
		t.Error("the first step is not on paper")
	}
	if drawn := eval[int](b, `[...document.querySelector(".whole-sheet:not([hidden])").shadowRoot.querySelectorAll(".figure img")].filter(e => e.naturalWidth > 0).length`); drawn == 0 {
		t.Error("the steps are printed without their figures")
	}
}

// checklist looks closer at the sheet that a job is done from.
func (b *tab) checklist(s *site) {
	b.t.Helper()
	b.visit(s.file(s.first("procedure/mixer-gearbox-out/steps*.html")))
	steps := eval[[]string](b, `[...document.querySelectorAll(".list-title")].map(e => e.textContent)`)
	sheet := s.first("procedure/mixer-gearbox-out/checklist*.html")
	b.visit(s.file(sheet))
	for _, p := range papers {
		pages := b.print(p.size, p.width, p.height, sheet)
		if len(pages) < 2 {
			b.t.Errorf("%s: %d pages for %d steps", p.name, len(pages), len(steps))
		}
		all := strings.Join(pages, " ")
		for _, title := range steps {
			if !stands(all, title) {
				b.t.Errorf("%s: step %q is not on the checklist", p.name, title)
			}
		}
		b.wantNumbers(pages, sheet+" on "+p.name)
	}
}

// wantNumbers fails when a page of paper does not bear its number and that of all pages.
func (b *tab) wantNumbers(pages []string, what string) {
	b.t.Helper()
	for n, text := range pages {
		number := regexp.MustCompile(fmt.Sprintf(`\b%d\b\D+\b%d\b`, n+1, len(pages)))
		if lines := strings.Split(strings.TrimSpace(text), "\n"); !number.MatchString(strings.Join(lines[max(0, len(lines)-3):], " ")) {
			b.t.Errorf("%s: page %d does not bear its number and that of all pages, %d", what, n+1, len(pages))
		}
	}
}

var paperSize = regexp.MustCompile(`Page size:\s+([0-9.]+) x ([0-9.]+) pts`)

// print prints the page and returns the words of each sheet of paper.
func (b *tab) print(size chromedp.PaperSize, width, height float64, what string) []string {
	b.t.Helper()
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(size), chromedp.PDFPreferCSSPageSize()))
	if err != nil {
		b.t.Fatal(err)
	}
	file := filepath.Join(b.t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o666); err != nil {
		b.t.Fatal(err)
	}
	info, err := exec.Command("pdfinfo", file).Output()
	if err != nil {
		b.t.Fatalf("pdfinfo: %v", err)
	}
	found := paperSize.FindStringSubmatch(string(info))
	if found == nil {
		b.t.Fatalf("pdfinfo names no size: %s", info)
	}
	for i, want := range []float64{width, height} {
		if got, err := strconv.ParseFloat(found[i+1], 64); err != nil || got < want-1 || got > want+1 {
			b.t.Errorf("%s: the paper is %s × %s points, want %g × %g", what, found[1], found[2], width, height)
			break
		}
	}
	text, err := exec.Command("pdftotext", file, "-").Output()
	if err != nil {
		b.t.Fatalf("pdftotext: %v", err)
	}
	return strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
}

// stands reports whether a title stands in a text. Lines break elsewhere on
// paper, and a mark that stands beside the lines gets between them.
func stands(text, title string) bool {
	words := strings.Fields(title)
	for i, word := range words {
		words[i] = regexp.QuoteMeta(word)
	}
	return regexp.MustCompile(strings.Join(words, `\s+(?:\S{1,3}\s+)?`)).MatchString(text)
}
