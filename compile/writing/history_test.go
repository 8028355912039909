package writing

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/procedure/source"
)

func TestLastWeekCanBeGotBack(t *testing.T) {
	x := newTrial(t)
	now := time.Date(2026, 5, 1, 12, 0, 0, 0, time.UTC)
	x.now = func() time.Time { return now }
	text := ask[opened](x, "open", asked{File: job}).Text
	sum := sumOf([]byte(text))
	put := func(words string) {
		t.Helper()
		sum = ask[saved](x, "save", asked{File: job, Sum: sum, Text: words}).Sum
	}
	first := text
	put(text + "a\n")
	now = now.Add(5 * time.Second)
	put(text + "ab\n") // typed on: not kept by itself
	assert.Equal(t, len(ask[[]version](x, "versions", asked{File: job})), 1)
	now = now.Add(5 * time.Second)
	put("all gone\n") // much taken out: kept at once
	all := ask[[]version](x, "versions", asked{File: job})
	assert.Equal(t, len(all), 2)
	assert.Equal(t, ask[opened](x, "version", asked{File: job, Name: all[0].ID}).Text, text+"ab\n")
	assert.Equal(t, ask[opened](x, "version", asked{File: job, Name: all[1].ID}).Text, first)

	// Nobody reads, publishes or watches it; Git leaves it alone.
	assert.Equal(t, x.disk(".matchmark/.gitignore"), "*\n")
	if source.IsFile(".matchmark/history/"+job+"/"+all[0].ID) || strings.HasSuffix(all[0].ID, ".md") {
		t.Error("a version is a file of the library")
	}
	for _, name := range []string{"../../../procedures/x.md", "20260501T120000.000Z/../x", ""} {
		assert.Equal(t, x.refused("version", asked{File: job, Name: name}).Problem, "gone")
	}
	assert.Equal(t, x.refused("versions", asked{File: "../out.md"}).Problem, "name")

	// A text that the author did not take is kept too, once.
	ask[saved](x, "keep", asked{File: job, Text: "mine\n"})
	now = now.Add(time.Second)
	ask[saved](x, "keep", asked{File: job, Text: "mine\n"})
	assert.Equal(t, len(ask[[]version](x, "versions", asked{File: job})), 3)

	// A history that cannot be written is told and stands in no way.
	assert.NilError(t, os.RemoveAll(filepath.Join(x.dir, ".matchmark")))
	assert.NilError(t, os.WriteFile(filepath.Join(x.dir, ".matchmark"), nil, 0o666))
	out := ask[saved](x, "save", asked{File: job, Sum: sum, Text: "more\n"})
	assert.Equal(t, x.disk(job), "more\n")
	if out.Unkept == "" {
		t.Error("nobody is told that nothing was kept")
	}
}

func TestOlderVersionsAreThinnedOut(t *testing.T) {
	now := time.Date(2026, 5, 8, 12, 0, 0, 0, time.UTC)
	var all []version
	for age := time.Duration(0); age < 9*24*time.Hour; age += time.Minute {
		all = append(all, version{At: now.Add(-age)})
	}
	dropped := map[time.Time]bool{}
	for _, v := range outdated(all, now) {
		dropped[v.At] = true
	}
	kept, last := 0, now
	for _, v := range all {
		if dropped[v.At] {
			continue
		}
		kept++
		if last.Sub(v.At) > 31*time.Minute {
			t.Fatalf("between %v and %v nothing is kept", v.At, last)
		}
		last = v.At
	}
	if now.Sub(last) > historyLasts || now.Sub(last) < historyLasts-time.Hour || kept > 61+23*12+6*48+1 {
		t.Errorf("%d are kept, back to %v", kept, last)
	}
}

// A file that is taken away can be written again, from the page or from its versions; one that somebody else has changed stays.
func TestAFileIsTakenAway(t *testing.T) {
	x := newTrial(t)
	held := ask[opened](x, "open", asked{File: job})
	assert.Equal(t, x.refused("remove", asked{File: job, Sum: sumOf(nil)}).Problem, "changed")
	ask[saved](x, "remove", asked{File: job, Sum: held.Sum})
	assert.Equal(t, x.refused("open", asked{File: job}).Problem, "gone")
	assert.Equal(t, x.refused("remove", asked{File: job, Sum: held.Sum}).Problem, "gone")
	all := ask[[]version](x, "versions", asked{File: job})
	assert.Equal(t, len(all), 1)
	assert.Equal(t, ask[opened](x, "version", asked{File: job, Name: all[0].ID}).Text, held.Text)
	ask[saved](x, "restore", asked{File: job, Text: held.Text})
	assert.Equal(t, x.disk(job), held.Text)

	// What cannot be kept is not taken away.
	assert.NilError(t, os.RemoveAll(filepath.Join(x.dir, ".matchmark")))
	assert.NilError(t, os.WriteFile(filepath.Join(x.dir, ".matchmark"), nil, 0o666))
	assert.Equal(t, x.refused("remove", asked{File: job, Sum: held.Sum}).Problem, "unwritable")
	assert.Equal(t, x.disk(job), held.Text)
}
