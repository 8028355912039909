package site

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/drawing"
	"matchmark/compile/page"
	"matchmark/compile/pagetest"
)

// Expected times by the three-point estimate are 7, 3, 8 and 9 minutes; the belts
// (3) wait for nothing, all else for the step before. The longest path is 7 + 8 + 9 = 24 minutes.
func TestOrderOfTheSteps(t *testing.T) {
	order := pagetest.Page(t, emitAll(t, library()), "procedure/out/index.html").All("section.order")[0]
	if got := one(t, order, ".longest-path strong").Text(); got != "Longest path: 24 min, 3 of 4 steps." {
		t.Errorf("the longest path reads %q", got)
	}
	boxes := map[string]string{}
	for _, b := range order.All(".order-drawing a") {
		boxes[b.Attributes["href"]] = b.Attributes["class"] + ": " + b.Text()
	}
	for step, want := range map[string]string{
		"feet-off":  "longest: 1 Undo the <front> feet 7 min , longest path",
		"belts-off": ": 2 Take the belts off 3 min",
		"hoist-on":  "longest: 3 Put the hoist on 8 min , longest path",
		"lift":      "longest: 4 Lift it out 9 min , longest path",
	} {
		if got := boxes["steps-belt.html#"+step]; got != want {
			t.Errorf("the box of %s is %q, want %q", step, got, want)
		}
	}
	// Lines: 1 to 3 and 3 to 4 are double, 2 to 3 is not.
	for class, want := range map[string]int{"line": 1, "line longest": 2, "between": 2, "head": 3} {
		got := 0
		for _, path := range order.All(".order-drawing path") {
			if path.Attributes["class"] == class {
				got += strings.Count(path.Attributes["d"], "M")
			}
		}
		if got != want {
			t.Errorf("%d marks of %q, want %d", got, class, want)
		}
	}
	if region := one(t, order, ".order-drawing"); region.Attributes["tabindex"] != "0" || region.Attributes["aria-label"] != "Drawing: which step waits for which: Belt drive" {
		t.Errorf("the drawing cannot be reached or has no name: %v", region.Attributes)
	}
}

// The style sheet gives the boxes' frames their size: the layout's, but for half the line around.
func TestFrameFillsItsBox(t *testing.T) {
	css, err := os.ReadFile("../../themes/assets/order.css")
	assert.NilError(t, err)
	for _, want := range []string{
		"width: " + page.Decimal(drawing.BoxWidth-3) + "px; height: " + page.Decimal(drawing.BoxHeight-3) + "px; rx: 3px; transform: translate(1.5px, 1.5px); }",
	} {
		if !strings.Contains(string(css), want) {
			t.Errorf("order.css has no %q", want)
		}
	}
}

func TestOrderAsATable(t *testing.T) {
	lib := library()
	lib.Procedures[0].Steps[1].After = refs("feet-off") // nothing asks for it
	order := pagetest.Page(t, emitAll(t, lib), "procedure/out/index.html").All("section.order")[0]
	var rows []string
	for _, row := range order.All("tbody tr") {
		rows = append(rows, row.Text())
	}
	want := []string{
		"2 Take the belts off longest path 1 Undo the <front> feet the procedure says so",
		"3 Put the hoist on longest path 2 Take the belts off no work past the hold point until it is signed off",
		"4 Lift it out longest path 3 Put the hoist on can carry only one load at a time: Chain hoist · Chain sling; no work past the hold point until it is signed off",
	}
	if !slices.Equal(rows, want) {
		t.Errorf("rows\n%s\nwant\n%s", strings.Join(rows, "\n"), strings.Join(want, "\n"))
	}
	if got := one(t, order, ".pairs li").Text(); got != "2 Take the belts off comes after 1 Undo the <front> feet" {
		t.Errorf("the habit reads %q", got)
	}
}

func TestStepsThatCouldChangePlaces(t *testing.T) {
	overview := pagetest.Page(t, emitAll(t, library()), "procedure/out/index.html")
	// On the chain drive each step waits for the one before.
	if got, want := overview.Texts(".pairs li"), []string{"1 Undo the <front> feet and 2 Take the belts off"}; !slices.Equal(got, want) {
		t.Errorf("pairs %q, want %q", got, want)
	}
}

// Every kind of reason has its words in every language. The kinds are read from
// where they are declared, so that a new one is not forgotten.
func TestEveryReasonHasWords(t *testing.T) {
	source, err := os.ReadFile("../../procedure/order/reason.go")
	assert.NilError(t, err)
	kinds := regexp.MustCompile(`Kind = "([a-z-]+)"`).FindAllSubmatch(source, -1)
	if len(kinds) < 15 {
		t.Fatalf("found %d kinds of reason only", len(kinds))
	}
	theme := pagetest.Theme(t)
	for _, lang := range theme.Languages() {
		words, err := theme.Words(lang)
		assert.NilError(t, err)
		for _, kind := range kinds {
			if key := "order.because." + string(kind[1]); !words.Has(key) {
				t.Errorf("%s has no words for %q", lang, key)
			}
		}
	}
}
