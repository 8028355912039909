package quizpage

import (
	"slices"
	"strings"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/pagetest"
	"matchmark/compile/picture"
)

// From a page by itself nothing leads to other pages, but to where the site is served.
func TestAlone(t *testing.T) {
	theme := pagetest.Theme(t)
	words, err := theme.Words("en")
	assert.NilError(t, err)
	pictures := map[string]*picture.Picture{"figures/feet.svg": {Source: "figures/feet.svg", Width: 200, Height: 100, Sizes: []picture.Size{{Path: "pictures/feet.svg"}}}}
	for address, leads := range map[string]string{
		"":                            `On: <span>Take the gearbox out</span>`,
		"https://workshop.test/site/": `On: <a href="https://workshop.test/site/procedure/out/index.html" target="_blank" rel="noopener">Take the gearbox out</a>`,
	} {
		lib := library()
		lib.Address = address
		content, assets, err := Alone(lib, pictures, words, lib.Quizzes[0], "scorm.js")
		assert.NilError(t, err)
		page := string(content)
		for _, gone := range []string{"crumbs", "quiz-paper", "for-authors", "search.js"} {
			if strings.Contains(page, gone) {
				t.Errorf("%q: the page has %s", address, gone)
			}
		}
		if !strings.Contains(strings.Join(strings.Fields(page), " "), leads) {
			t.Errorf("%q: the page lacks %s", address, leads)
		}
		if last := strings.LastIndex(page, `.html"`) >= 0; last != (address != "") {
			t.Errorf("%q: the page leads to others: %v", address, last)
		}
		for _, name := range assets {
			if !strings.Contains(page, "../../assets/"+name+`"`) {
				t.Errorf("the page does not load %s", name)
			}
		}
		if got := assets[len(assets)-4:]; !slices.Equal(got, []string{"quiz-marking.js", "hold.js", "scorm.js", "quiz.js"}) {
			t.Errorf("scripts %q", got)
		}
	}
}
