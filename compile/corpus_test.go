package compile

import (
	"fmt"
	"io/fs"
	"strings"
	"testing/fstest"

	"matchmark/content"
)

// corpus generates a library of n procedures of 30 steps each, on n/100 (at least
// one) machines of 30 fasteners and 10 covers, with figures and a quiz for every
// tenth procedure. It passes every check. The same n gives the same bytes.
func corpus(n int) fstest.MapFS {
	files := fstest.MapFS{}
	add := func(name, content string) { files[name] = &fstest.MapFile{Data: []byte(content)} }
	add("library.yaml", libraryFile("Generated library"))
	add("figures/panel.svg", `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 600"><rect x="40" y="40" width="720" height="520" fill="none" stroke="#000" stroke-width="3"/></svg>`)
	for m := range max(1, n/100) {
		add(fmt.Sprintf("machines/machine-%04d.md", m), corpusMachine(m))
	}
	for p := range n {
		add(fmt.Sprintf("procedures/procedure-%05d.md", p), corpusProcedure(p, p/100%max(1, n/100)))
		if p%10 == 0 {
			add(fmt.Sprintf("quizzes/quiz-%05d.md", p), corpusQuiz(p))
		}
	}
	return files
}

// libraryFile is the file of a library with the demo's trades and matrix, so that the demo may lie beside what is generated.
func libraryFile(title string) string {
	demo, err := fs.ReadFile(content.Library(), "library.yaml")
	if err != nil {
		panic(err) // it is embedded
	}
	_, matrix, _ := strings.Cut(string(demo), "\nchances:")
	return "title: " + title + "\nlanguage: en\ntrades: [Fitter, Electrician]\nchances:" + matrix
}

func corpusMachine(m int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "---\nkind: machine\nid: machine-%04d\ntitle: Generated machine %d\nsummary: Ten covers on a frame\n---\nA frame with ten covers, each on three bolts.\n\n", m, m)
	b.WriteString("::: register parts\n| id | name | letter | mass | stand | base |\n|---|---|---|---|---|---|\n| frame | Frame | | 400 kg | | yes |\n")
	for c := 1; c <= 10; c++ {
		fmt.Fprintf(&b, "| cover-%d | Cover %d | %c | 2.5 kg | rack %d, flat | |\n", c, c, 'A'+c-1, c)
	}
	b.WriteString(":::\n\n::: register fasteners\n| no | name | kind | thread | length | class | drive | count | torque | friction | joins | bag |\n|---|---|---|---|---|---|---|---|---|---|---|---|\n")
	for f := 1; f <= 30; f++ {
		fmt.Fprintf(&b, "| %d | Cover bolt %d | bolt | M8 | 25 mm | 8.8 | hex 13 mm | 2 | 24 N·m | 0.2 | frame, cover-%d | bag %d |\n", f, f, (f-1)/3+1, (f-1)/3+1)
	}
	b.WriteString(":::\n\n::: register conditions\n| id | name | undo | energy |\n|---|---|---|---|\n| isolated | Isolated and locked | Take off your own lock | yes |\n:::\n\n")
	b.WriteString("::: register tools\n| id | name | kind |\n|---|---|---|\n| socket-13 | Socket 13 mm | tool |\n| padlock | Own padlock and tag | protection |\n| crate | Crate | container |\n:::\n\n")
	for g := range 3 {
		fmt.Fprintf(&b, "::: figure panel-%d \"Panel %d\" {src=figures/panel.svg describe=\"Covers in a row\"}\n", g, g)
		for f := g*10 + 1; f <= g*10+10; f++ {
			x := 60 + (f-1)%10*70
			fmt.Fprintf(&b, "- %d at %d,300 balloon %d,100\n", f, x, x)
		}
		b.WriteString(":::\n\n")
	}
	return b.String()
}

func corpusProcedure(p, machine int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "---\nkind: procedure\nid: procedure-%05d\ntitle: Take the covers off, job %d\nsummary: Ten covers, thirty bolts\nmachine: machine-%04d\nedition: \"1\"\naims:\n  - Take ten covers off in order\n---\nTake all covers off and put them on the rack.\n\n", p, p, machine)
	for s := range 30 {
		f := s + 1
		cover := s/3 + 1
		switch s {
		case 0:
			fmt.Fprintf(&b, "::: step step-%02d \"Isolate and undo bolt %d\" {time=3/5/9 tools=\"padlock, socket-13\" figure=panel-0}\n", s, f)
			b.WriteString("Turn the main switch off. Put your own lock on it.\n::: actions\n- establish isolated\n- verify isolated\n:::\n")
		default:
			fmt.Fprintf(&b, "::: step step-%02d \"Undo bolt %d\" {time=%d/%d/%d tools=\"socket-13, crate\" needs=isolated}\n", s, f, 1+s%3, 3+s%4, 6+s%5)
		}
		if s%5 == 0 {
			fmt.Fprintf(&b, "::: caution warning {about=%d}\nThe cover can drop on your feet. Stand beside it, job %d.\n:::\n", f, p)
		}
		fmt.Fprintf(&b, "Undo bolt %d of cover %d with the *13 mm* socket. Put the bolt into its bag at once.\n\n", f, cover)
		fmt.Fprintf(&b, "| check | value |\n|---|---|\n| bolt | %d |\n| turns | about %d |\n\n", f, 4+s%7)
		fmt.Fprintf(&b, "::: fasteners {figure=panel-%d}\n- remove %d\n:::\n", s/10, f)
		if s%3 == 2 {
			fmt.Fprintf(&b, "::: actions\n- remove cover-%d\n:::\n", cover)
		}
		if s%4 == 1 {
			b.WriteString("::: tip\nBreak the bolt loose with a short pull, then turn it by hand.\n:::\n")
		}
		if s%6 == 2 {
			b.WriteString("::: key-point \"Hold the cover while the last bolt comes out\"\nIt drops when nothing holds it.\n:::\n")
		}
		if s%10 == 9 {
			b.WriteString("::: hold \"Look before you go on\" {safe-stop}\n- All bolts are in their bags\n- The floor is clear\n:::\n")
		}
		b.WriteString(":::\n\n")
	}
	return b.String()
}

// largeProcedure generates a library with one procedure of the given number of
// steps on a machine with the given number of variants. Each step takes out one of
// a cover's three bolts, and every third the cover; a quarter of the steps has a
// block for one variant only.
func largeProcedure(steps, variants int) fstest.MapFS {
	var m, p strings.Builder
	m.WriteString("---\nkind: machine\nid: large\ntitle: Large machine\n---\n::: register variants\n| id | name |\n|---|---|\n")
	for v := range variants {
		fmt.Fprintf(&m, "| v%d | Variant %d |\n", v, v)
	}
	m.WriteString(":::\n")
	writeCovers(&m, steps)
	p.WriteString("---\nkind: procedure\nid: large\ntitle: Large job\nmachine: large\nedition: \"1\"\n---\n::: step isolate \"Isolate\" {time=5}\nTurn the switch off.\n::: actions\n- establish isolated\n- verify isolated\n:::\n:::\n")
	for s := range steps {
		fmt.Fprintf(&p, "::: step step-%d \"Undo bolt %d\" {time=1/2/4 needs=isolated}\nUndo the bolt.\n::: fasteners\n- remove %d\n:::\n", s, s+1, s+1)
		if s%3 == 2 || s == steps-1 {
			fmt.Fprintf(&p, "::: actions\n- remove cover-%d\n:::\n", s/3)
		}
		if s%4 == 0 {
			fmt.Fprintf(&p, "::: variant v%d\nThis one has a washer.\n:::\n", s/4%variants)
		}
		p.WriteString(":::\n")
	}
	return fstest.MapFS{"machine.md": {Data: []byte(m.String())}, "procedure.md": {Data: []byte(p.String())}}
}

// writeCovers writes the registers of a frame with a bolt for each step and a cover for every three bolts.
func writeCovers(m *strings.Builder, steps int) {
	m.WriteString("::: register parts\n| id | name | mass | stand | base |\n|---|---|---|---|---|\n| frame | Frame | 400 kg | | yes |\n")
	for c := range (steps + 2) / 3 {
		fmt.Fprintf(m, "| cover-%d | Cover %d | 2.5 kg | rack, flat | |\n", c, c)
	}
	m.WriteString(":::\n::: register fasteners\n| no | name | kind | thread | class | drive | torque | friction | joins | bag |\n|---|---|---|---|---|---|---|---|---|---|\n")
	for f := range steps {
		fmt.Fprintf(m, "| %d | Bolt %d | bolt | M8 | 8.8 | hex 13 mm | 24 N·m | 0.2 | frame, cover-%d | bag |\n", f+1, f+1, f/3)
	}
	m.WriteString(":::\n::: register conditions\n| id | name | undo | energy |\n|---|---|---|---|\n| isolated | Isolated | take the lock off | yes |\n:::\n")
}

func corpusQuiz(p int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "---\nkind: quiz\nid: quiz-%05d\ntitle: Quiz on job %d\nprocedure: procedure-%05d\npass: 80\nseed: 7\n---\n", p, p, p)
	for q := range 5 {
		fmt.Fprintf(&b, "::: question question-%d {type=single step=step-%02d}\nWhat comes off after bolt %d?\n- [x] Cover %d\n  > Right.\n- [ ] The frame\n  > No, it stays.\n- [ ] Nothing\n  > No, look again.\n:::\n\n", q, q*3+2, q*3+3, q+1)
	}
	return b.String()
}

// foundJob generates a library with one job of the given number of steps in chapters of nine, with who does what; each chapter has a table of
// readings, a question, and a step that only some jobs have.
func foundJob(steps int) fstest.MapFS {
	var m, p strings.Builder
	m.WriteString("---\nkind: machine\nid: long\ntitle: Long machine\n---\n")
	writeCovers(&m, steps)
	p.WriteString("---\nkind: procedure\nid: long\ntitle: Long job\nmachine: long\nedition: \"1\"\n---\n## Isolate {#isolate}\n{time=5}\n\nTurn the switch off.\n\n- [ ] establish isolated\n- [ ] verify isolated\n\n")
	for s := range steps - 1 {
		if s%9 == 0 {
			fmt.Fprintf(&p, "# Covers of bay %d\n{who=%s}\n\n", s/9+1, []string{"fitter", "electrician"}[s/9%2])
		}
		only := ""
		if s%9 == 7 && s/9 < 2 {
			only = fmt.Sprintf(" if=worn-%d", s/9)
		}
		fmt.Fprintf(&p, "## Undo bolt %d of cover %d {#step-%d}\n{time=2/3/6 needs=isolated%s}\n\nUndo the bolt. Put it into its bag at once.\n\n", s+1, s/3+1, s, only)
		if only != "" {
			fmt.Fprintf(&p, "- [ ] clean cover-%d\n\n", s/3)
			continue
		}
		fmt.Fprintf(&p, "- [ ] loosen %d\n\n", s+1)
		switch s % 9 {
		case 2:
			fmt.Fprintf(&p, "::: readings gap-%d \"Gap of the cover\" {of=cover-%d unit=mm limits=\"at most 0.5 mm\"}\n| at | left | right |\n|---|---|---|\n| top | | |\n| bottom | | |\n\n:::\n\n", s/9, s/3)
		case 5:
			fmt.Fprintf(&p, "- [ ] decide worn-%d: Is the seal worn? {chance=30}\n\n", s/9)
		}
	}
	return fstest.MapFS{"library.yaml": {Data: []byte(libraryFile("Long library"))}, "machine.md": {Data: []byte(m.String())}, "procedure.md": {Data: []byte(p.String())}}
}
