package compile

import (
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/content"
	"matchmark/procedure/diagnostic"
	"matchmark/themes"
)

// The demo's mixer quiz asks for five questions to be made. They are made once,
// in both languages, from the same facts.
func TestQuestionsAreMadeOnce(t *testing.T) {
	theme, err := themes.Load()
	assert.NilError(t, err)
	names := map[string][]string{}
	for _, language := range []string{"en", "de"} {
		var log diagnostic.Log
		lib, err := checkWhole(content.Library(), &log)
		assert.NilError(t, err)
		lib.Language = language
		for range 2 {
			assert.NilError(t, Questions(lib, theme))
		}
		for _, q := range lib.Quizzes {
			made := 0
			for i, x := range q.Questions {
				if !x.Generated {
					continue
				}
				made++
				if i < len(q.Questions)-q.Generate {
					t.Errorf("%s: %s stands before the author's own", q.ID, x.ID)
				}
				names[language] = append(names[language], x.ID)
			}
			if made != q.Generate {
				t.Errorf("%s (%s): %d questions made, %d asked for", q.ID, language, made, q.Generate)
			}
		}
		lib.Language = "fr"
		if err := Questions(lib, theme); err == nil {
			t.Error("questions in a language without words")
		}
	}
	if len(names["en"]) != 5 || len(names["de"]) != 5 {
		t.Errorf("made: %v", names)
	}
}
