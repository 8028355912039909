package compile

import (
	"bytes"
	"compress/gzip"
	"path"
	"regexp"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/content"
	"matchmark/procedure/diagnostic"
)

// Pages are read on a tablet that may have waited for them over a slow radio, and
// the bytes of pages are most of what a compile writes. So each kind has a bound, held by the
// largest of the demo library: bytes of the page without its figures, and bytes
// of all scripts that it loads, compressed by gzip.
var sizeBounds = []sizeBound{
	{"index.html", "start page", 9_000, 6_210},
	{"glossary.html", "glossary", 8_000, 6_000},
	{"course/*.html", "course", 8_000, 6_210},
	{"machine/*.html", "machine", 36_100, 6_200},
	{"procedure/*/index.html", "overview", 70_000, 6_210}, // with the choice of a variant
	{"procedure/pump-*/steps*.html", "step view that goes by what is found", 62_000, 29_080},
	{"procedure/blower-*-back/steps*.html", "step view of a refitting that goes by what is found", 62_000, 29_080},
	{"procedure/*/steps*.html", "step view", 67_000, 26_410}, // 29 steps, 2,400 bytes of them meanings of words; of generated ones see below
	{"procedure/*/times*.html", "times", 56_000, 6_000},
	{"procedure/*/checklist*.html", "checklist", 40_000, 6_000},
	{"procedure/*/whole*.html", "whole job to print", 8_000, 7_000},
	{"procedure/*/tools*.html", "tools", 22_900, 6_000},
	{"procedure/*/labels*.html", "labels", 18_000, 6_000},
	{"procedure/*/torque*.html", "torque sheet", 15_500, 6_000},
	{"procedure/*/lift*.html", "lift sheet", 12_500, 6_000},
	{"procedure/*/risk*.html", "risk assessment", 16_000, 6_000},
	{"procedure/*/isolation*.html", "isolation and permit", 12_000, 6_000},
	{"procedure/*/assessment*.html", "practical assessment", 42_000, 9_000}, // filled in on a tablet too
	{"procedure/*/release*.html", "return to service", 16_000, 6_000},
	{"procedure/*/deck*.html", "deck", 24_000, 6_000},
	{"procedure/*/feedback*.html", "feedback", 12_000, 6_000},
	{"procedure/*/follow-up*.html", "follow-up", 8_000, 6_000},
	{"course/*/class.html", "class size and roles", 18_000, 6_000},
	{"course/*/order.html", "order list", 16_000, 6_000},
	{"course/*/lesson.html", "lesson plan", 42_000, 6_000},
	{"course/*/attendance.html", "attendance", 8_000, 6_000},
	{"quiz/*/index.html", "quiz", 77_500, 8_600},
	{"quiz/*/form*.html", "quiz form", 19_200, 6_000},
	{"quiz/*/answers*.html", "answer sheet", 9_000, 6_000},
	{"quiz/*/key.html", "answer key", 36_500, 6_000},
	{"course/*/*.html", "session plan", 62_000, 6_000}, // proofs after breaks and nights are rows of their own
}

type sizeBound struct {
	pages, name    string // a pattern of package path, and what it is for
	bytes, scripts int
}

var (
	figureMarkup = regexp.MustCompile(`(?s)<figure.*?</figure>`)
	scriptLink   = regexp.MustCompile(`<script src="([^"]*)"`)
)

func TestPagesKeepTheirSize(t *testing.T) {
	files, _, _ := inMemory(t, content.Library(), nil)
	seen := map[string]bool{}
	for at, page := range files {
		if path.Ext(at) != ".html" || path.Dir(at) == "reference" {
			continue // the reference is for authors, at a desk
		}
		i := slices.IndexFunc(sizeBounds, func(b sizeBound) bool {
			ok, err := path.Match(b.pages, at)
			return ok && err == nil
		})
		if i < 0 {
			t.Errorf("there is no bound for %s", at)
			continue
		}
		bound := sizeBounds[i]
		seen[bound.pages] = true
		if n := len(figureMarkup.ReplaceAll(page, nil)); n > bound.bytes {
			t.Errorf("%s: %s has %d bytes without figures, at most %d", bound.name, at, n, bound.bytes)
		}
		scripts := 0
		for _, link := range scriptLink.FindAllSubmatch(page, -1) {
			script, ok := files[path.Join(path.Dir(at), string(link[1]))]
			if !ok {
				t.Errorf("%s: the script %s is missing", at, link[1])
			}
			scripts += len(compressed(t, script))
		}
		if scripts > bound.scripts {
			t.Errorf("%s: the scripts of %s have %d bytes compressed, at most %d", bound.name, at, scripts, bound.scripts)
		}
	}
	if n := len(compressed(t, files["assets/aids.js"])); n == 0 || n > 4_300 { // of it 1,000 for the first screen of a job
		t.Errorf("what the step view asks for behind its step has %d bytes compressed", n)
	}
	for _, b := range sizeBounds {
		if !seen[b.pages] {
			t.Errorf("the demo has no %s", b.name)
		}
	}
}

// The goal for the step view of 30 generated steps with tables and figures: 60 KB without pictures.
func TestStepViewOfThirtySteps(t *testing.T) {
	files, _, _ := inMemory(t, corpus(1), nil)
	page := files["procedure/procedure-00000/steps.html"]
	if n := len(figureMarkup.ReplaceAll(page, nil)); n == 0 || n > 60_000 {
		t.Errorf("%d bytes without figures", n)
	}
}

func compressed(t *testing.T, content []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	assert.NilError(t, err)
	if _, err := w.Write(content); err != nil {
		t.Fatal(err)
	}
	assert.NilError(t, w.Close())
	return b.Bytes()
}

// Jobs of 45 and of 80 steps in chapters, with readings and questions, keep the bound of the demo's step view.
func TestLongJobs(t *testing.T) {
	for _, steps := range []int{45, 80} {
		files, messages, _ := inMemory(t, foundJob(steps), nil)
		for _, d := range messages {
			if d.Severity == diagnostic.Error {
				t.Errorf("%d steps: %s", steps, d.Says())
			}
		}
		if n := len(files["procedure/long/steps.html"]); n == 0 || n > 67_000 {
			t.Errorf("the step view of %d steps has %d bytes", steps, n)
		}
	}
}
