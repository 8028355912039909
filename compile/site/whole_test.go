package site

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
	"matchmark/compile/pagetest"
	"matchmark/procedure"
)

// The pages on the whole, updated edit by edit, are at every point those that are
// made at once: as titles and times change, and as the library grows and shrinks over
// the points where lists become pages of their own, groups double and lists of words are cut.
func TestWholeGrowsAndShrinksWithTheLibrary(t *testing.T) {
	theme := pagetest.Theme(t)
	random := rand.New(rand.NewPCG(3, 5))
	settings := &procedure.Library{Title: "Large", Language: "en"}
	parts := map[string]*procedure.Library{}
	site := map[string][]byte{}
	whole, err := NewIndex(settings, theme)
	assert.NilError(t, err)
	update := func(changed map[string]*procedure.Library) (all bool) {
		t.Helper()
		var changes []Change
		for _, owner := range slices.Sorted(maps.Keys(changed)) {
			c := Change{Owner: owner}
			if was := parts[owner]; was != nil {
				c.Was = func() *procedure.Library { return was }
			}
			if now := changed[owner]; now != nil {
				c.Now = func() *procedure.Library { return now }
				parts[owner] = now
			} else {
				delete(parts, owner)
			}
			changes = append(changes, c)
		}
		var out, again output.Memory
		read := func(owner string) *procedure.Library {
			if parts[owner] == nil {
				t.Errorf("asked for %s, which is not there", owner)
			}
			return parts[owner]
		}
		next, all, gone, err := whole.Update(changes, read, &out)
		assert.NilError(t, err)
		// The pages of before have not changed by that: the same update makes the same of them.
		_, _, _, err = whole.Update(changes, read, &again)
		assert.NilError(t, err)
		if !maps.EqualFunc(out.Files(), again.Files(), bytes.Equal) {
			t.Error("an update has changed the pages of before")
		}
		whole = next
		if all {
			site = map[string][]byte{}
		}
		for _, path := range gone {
			delete(site, path)
		}
		maps.Copy(site, out.Files())
		return all
	}
	compare := func(what string) {
		t.Helper()
		lib := *settings
		for _, owner := range slices.Sorted(maps.Keys(parts)) {
			lib.Procedures = append(lib.Procedures, parts[owner].Procedures...)
		}
		var out output.Memory
		assert.NilError(t, emitOverall(&lib, theme, &out))
		want := out.Files()
		for path, content := range want {
			if string(site[path]) != string(content) {
				t.Errorf("%s: %s is\n%.300s\nwant\n%.300s", what, path, site[path], content)
			}
		}
		for path := range site {
			if want[path] == nil {
				t.Errorf("%s: %s is left over", what, path)
			}
		}
		if t.Failed() {
			t.FailNow()
		}
	}
	machine := &procedure.Machine{ID: "machine", Title: "Machine"}
	machine.Index()
	make := func(i int) *procedure.Library {
		p := &procedure.Procedure{ID: fmt.Sprintf("job-%d", i), Title: fmt.Sprintf("%c job %d", "ABCÖ7"[random.IntN(3)], random.IntN(50)), Machine: machine, Edition: "1"}
		for s := range 6 {
			// Long words, all with one beginning, so that the lists of words are cut before there are many.
			p.Steps = append(p.Steps, &procedure.Step{ID: fmt.Sprintf("step-%d", s), Number: s + 1, People: 1, Title: fmt.Sprintf("Undo bolt %d %0120d", s, random.IntN(2000)), Time: procedure.Estimate{Optimistic: 1, Likely: float64(random.IntN(9)) + 2, Pessimistic: 20}})
		}
		return &procedure.Library{Procedures: []*procedure.Procedure{p}}
	}
	owner := func(i int) string { return fmt.Sprintf("procedure-%04d.md", i) }
	update(nil)
	compare("nothing")
	doubled, long := 0, 0
	for _, step := range []int{30, 12, 40, 100, 60, 1, -60, 30, -100, -80, -30, 50, -53} {
		changed := map[string]*procedure.Library{}
		for n := 0; n < max(step, -step); {
			i := random.IntN(400)
			if _, already := changed[owner(i)]; already || (parts[owner(i)] != nil) != (step < 0) {
				continue
			}
			changed[owner(i)] = nil
			if step > 0 {
				changed[owner(i)] = make(i)
			}
			n++
		}
		if update(changed) {
			doubled++
		}
		compare(fmt.Sprintf("%+d procedures", step))
		for range 4 { // edits of one or two
			changed := map[string]*procedure.Library{}
			for _, name := range slices.Sorted(maps.Keys(parts)) {
				if random.IntN(len(parts)/2+1) == 0 {
					var i int
					fmt.Sscanf(name, "procedure-%d.md", &i)
					changed[name] = make(i)
				}
			}
			update(changed)
			compare(fmt.Sprintf("%d edited", len(changed)))
		}
		if len(whole.search.keys) > 1 {
			long++
		}
	}
	if len(parts) != 0 {
		t.Errorf("%d procedures are left", len(parts))
	}
	if doubled < 4 || long < 3 || long > 11 {
		t.Errorf("groups changed in number %d times, and lists of words were cut in %d cases: the edits no longer cross these points", doubled, long)
	}
}
