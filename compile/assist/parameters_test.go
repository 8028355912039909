package assist

import (
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"
)

// Parameters of shared steps are completed, led to and given other names, in the steps and where they are taken in.
func TestParametersOfSharedSteps(t *testing.T) {
	lib := fstest.MapFS{
		"m.md":   {Data: []byte("---\nkind: machine\nid: m\ntitle: Pump\nno-energy: a model\n---\n::: register parts\n| id | name | mass | base |\n|---|---|---|---|\n| frame | Frame | | yes |\n| hub | Hub | 2 kg | |\n:::\n")},
		"off.md": {Data: []byte("---\nkind: steps\nid: take-off\ntitle: Take off\nparameters: [what, where]\n---\n## Take {what} off {#{what}-off}\n{time=3}\n\nHold {what} at {where}.\n\n- [ ] remove {what}\n")},
		"job.md": {Data: []byte("---\nkind: procedure\nid: job\ntitle: Job\nmachine: m\nedition: \"1\"\n---\n::: include take-off {what=hub where=top}\n:::\n")},
	}
	d := NewDesk(lib)
	told(t, d)
	at := func(file, words string) int { // behind the words
		i := strings.Index(string(lib[file].Data), words)
		assert.Assert(t, i >= 0, words)
		return i + len(words)
	}
	for _, c := range []struct{ file, behind, want string }{
		{"off.md", "Hold {", "what where"},
		{"job.md", "take-off {", "what where"},
		{"job.md", "what=", "frame hub"},
		{"job.md", "include ", "take-off"},
	} {
		offers, err := d.Complete(c.file, at(c.file, c.behind))
		assert.NilError(t, err)
		var got []string
		for _, o := range offers {
			got = append(got, o.Label)
		}
		assert.Equal(t, strings.Join(got, " "), c.want, c.behind)
	}
	for _, c := range []struct{ file, at, want string }{
		{"off.md", "remove {wh", "off.md:5:14"},
		{"job.md", "{wh", "off.md:5:14"},
		{"job.md", "include ta", "off.md:3:5"},
		{"job.md", "what=hu", "m.md:11:3"},
	} {
		def, err := d.Definition(c.file, at(c.file, c.at))
		assert.NilError(t, err)
		assert.Equal(t, def.At().String(), c.want, c.at)
	}
	edits, err := d.Rename("off.md", at("off.md", "Hold {wh"), "part")
	assert.NilError(t, err)
	assert.Equal(t, len(edits), 6) // in the front matter, four times in the steps, and in the job
}

// In a refit file, an item of a step's list is completed like the opening line of a block.
func TestItemsOfARefit(t *testing.T) {
	const head = "---\nkind: refit\nprocedure: job\n---\n## Hub {#hub-off-back}\n{differs}\n"
	lib := fstest.MapFS{
		"m.md":   {Data: []byte("---\nkind: machine\nid: m\ntitle: Pump\nno-energy: a model\n---\n::: register parts\n| id | name | mass | base |\n|---|---|---|---|\n| frame | Frame | | yes |\n| hub | Hub | 2 kg | |\n:::\n")},
		"job.md": {Data: []byte("---\nkind: procedure\nid: job\ntitle: Job\nmachine: m\nedition: \"1\"\n---\n## Hub {#hub-off}\n{time=3}\n\n- [ ] remove hub\n")},
	}
	for _, c := range []struct{ line, want string }{
		{"- cauti", "caution"},
		{"- caution ", "danger warning caution notice"},
		{"- hold {sig", "signature"},
		{"- caution {about=", "frame hub"},
		{"Words.\n\n::: cauti", "caution"},
	} {
		lib["back.md"] = &fstest.MapFile{Data: []byte(head + c.line)}
		d := NewDesk(lib)
		told(t, d)
		offers, err := d.Complete("back.md", len(head)+len(c.line))
		assert.NilError(t, err)
		got := ""
		for _, o := range offers {
			got += " " + o.Label
		}
		assert.Assert(t, strings.Contains(got, " "+c.want), "%s: %s", c.line, got)
	}
}
