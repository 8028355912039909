package scorm

import (
	"slices"
	"strings"
	"testing"
)

const sitePage = `<!DOCTYPE html>
<html lang="en"><head><link rel="stylesheet" href="../../assets/quiz.css">
<script src="../../assets/quiz.js" defer></script></head>
<body>
<nav class="crumbs"><a href="../../index.html">Start</a></nav>
<p>On: <a class="button" href="../../procedure/out/index.html#bolts">Take <em>it</em> out</a> and <a href="#here">here</a>, <a href="https://example.org/">far</a>.</p>
<img src="../../pictures/a-400.jpg" srcset="../../pictures/a-400.jpg 400w, ../../pictures/a-800.jpg 800w" alt="A &amp; B">
<p class="quiz-paper"><a href="form.html">Form</a></p>
</body></html>
`

func TestRewrite(t *testing.T) {
	const head = `<!DOCTYPE html>
<html lang="en"><head><link rel="stylesheet" href="../../assets/quiz.css">
<script src="../../assets/scorm.js" defer></script>
<script src="../../assets/quiz.js" defer></script></head>
<body>

<p>On: `
	const rest = ` and <a href="#here">here</a>, <a href="https://example.org/">far</a>.</p>
<img src="../../pictures/a-400.jpg" srcset="../../pictures/a-400.jpg 400w, ../../pictures/a-800.jpg 800w" alt="A &amp; B">

</body></html>
`
	for address, link := range map[string]string{
		"":                           `<span>Take <em>it</em> out</span>`,
		"https://workshop.test/site": `<a class="button" href="https://workshop.test/site/procedure/out/index.html#bolts" target="_blank" rel="noopener">Take <em>it</em> out</a>`,
	} {
		r := rewriter{at: "quiz/q/index.html", address: address}
		got, needs, err := r.rewrite([]byte(sitePage))
		if err != nil {
			t.Fatal(err)
		}
		if want := head + link + rest; string(got) != want {
			t.Errorf("address %q gives\n%s\nwant\n%s", address, got, want)
		}
		want := []string{"assets/quiz.css", "assets/quiz.js", "assets/scorm.js", "pictures/a-400.jpg", "pictures/a-800.jpg"}
		if !slices.Equal(needs, want) {
			t.Errorf("needs %v, want %v", needs, want)
		}
	}
}

func TestRewriteRefusesOtherPages(t *testing.T) {
	page := strings.Replace(sitePage, `src="../../assets/quiz.js"`, "", 1)
	if _, _, err := (rewriter{at: "quiz/q/index.html"}).rewrite([]byte(page)); err == nil {
		t.Error("a page without the quiz's script was taken")
	}
}
