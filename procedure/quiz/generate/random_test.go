package generate

import (
	"fmt"
	"slices"
	"strings"

	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/state/statetest"
)

// say stands in for the words table.
func say(key string, args ...any) string {
	switch key {
	case "quiz.made.kept":
		return fmt.Sprintf("%s: %s", args...)
	case "number.decimal":
		return "."
	}
	return strings.TrimSpace(fmt.Sprint(append([]any{key + " "}, args...)...))
}

// Names overlap and repeat on purpose: a question must not be ambiguous for it, nor tell another's answer.
var (
	fastenerNames = []string{"rear bolt", "Rear bolt", "rear", "left bolt", "cover screw", "cover", "nut", "lock nut", "foot", "M8 screw", "pad bolt", "lug bolt", "clip", "plug", "key", "yoke pin"}
	toolNames     = []string{"Socket 13 mm", "Socket 18 mm", "Spanner 13 mm", "Torque wrench 10 to 60", "Torque wrench 40 to 200", "Puller", "Hammer", "Ratchet", "Nut", "Chisel 20 mm"}
	torques       = []string{"18 N·m", "18.0 N·m", "20 N·m", "24.4 N·m", "18 lbf·ft", "33 lbf·ft", "45 N·m", "44.7 N·m", "80 N·m", "260 N·m", "0.5 N·m"}
	tolerances    = []string{"", "5 %", "30 %", "4 N·m"}
	faces         = []string{"", "rib outward", "Rib outward", "hub forward", "slot to the rear", "foil inward"}
	notes         = []string{"", "", "stays in its slot"}
)

// drawProcedure draws a machine and a job on it. The job need make no sense: a
// question must be right whatever the author wrote.
func drawProcedure(t *rapid.T) *procedure.Procedure {
	var machine strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&machine, format+"\n", args...) }
	pick := func(label string, from []string) string { return rapid.SampledFrom(from).Draw(t, label) }
	often := func(label string) bool { return rapid.IntRange(0, 3).Draw(t, label) > 0 }
	variants := rapid.IntRange(0, 2).Draw(t, "variants")
	only := func() string {
		if variants == 0 || often("everywhere") {
			return ""
		}
		return fmt.Sprintf(" variants=v%d", rapid.IntRange(1, variants).Draw(t, "variant"))
	}
	for i := range variants {
		line("variant v%d", i+1)
	}
	line("base frame\nhoist hoist 500")
	parts := rapid.IntRange(1, 4).Draw(t, "parts")
	for i := range parts {
		line("part p%d 4", i)
	}
	fasteners := rapid.IntRange(4, 9).Draw(t, "fasteners")
	for i := range fasteners {
		single := ""
		if !often("reused") {
			single = " single-use"
		}
		line("bolt %d p%d frame%s%s", i+1, rapid.IntRange(0, parts-1).Draw(t, "of"), single, only())
	}
	line("energy isolated undo\nenergy dead needs=isolated undo\ncondition open needs=dead undo\ncondition slack%s\ncondition barred", only())
	tools := rapid.IntRange(3, 7).Draw(t, "tools")
	for i := range tools {
		line("tool t%d%s", i, only())
	}
	m := statetest.Machine(machine.String())
	for _, f := range m.Fasteners {
		f.Name, f.Note = "bolt of place "+f.ID, pick("note", notes)
		if !often("own name") {
			f.Name = pick("name", fastenerNames)
		}
		if often("torque") {
			f.Torque = measure.Must(pick("torque", torques))
			if tolerance := pick("tolerance", tolerances); tolerance != "" {
				f.Tolerance = measure.Must(tolerance)
			}
		}
		f.Drive = pick("drive", []string{"", "hex 13 mm", "hex 18 mm"})
	}
	for _, x := range m.Parts[1:] {
		x.Face = pick("face", faces)
	}
	for _, x := range m.Tools {
		x.Name = pick("tool", toolNames)
	}
	figure := &procedure.Figure{ID: "figure"}
	for range rapid.IntRange(0, 8).Draw(t, "balloons") {
		figure.Balloons = append(figure.Balloons, procedure.Balloon{Ref: ref(fmt.Sprint(rapid.IntRange(1, fasteners).Draw(t, "balloon")))})
	}
	m.Figures = append(m.Figures, figure)
	return drawSteps(t, m, only)
}

func drawSteps(t *rapid.T, m *procedure.Machine, only func() string) *procedure.Procedure {
	var lines []string
	actions := []string{"establish isolated", "verify isolated", "establish dead", "verify dead", "establish open", "establish slack", "establish barred"}
	for _, f := range m.Fasteners {
		actions = append(actions, "remove "+f.ID, "remove "+f.ID, "remove "+f.ID, "loosen "+f.ID, "keep "+f.ID+" until s3", "fit "+f.ID)
	}
	for _, p := range m.Parts[1:] {
		actions = append(actions, "remove "+p.ID, "clean "+p.ID)
	}
	n := rapid.IntRange(2, 9).Draw(t, "steps")
	for i := range n {
		head := fmt.Sprintf("s%d", i+1)
		if i > 0 && rapid.IntRange(0, 3).Draw(t, "stated") == 0 {
			head += fmt.Sprintf(" after=s%d", rapid.IntRange(1, i).Draw(t, "after"))
		}
		if rapid.Bool().Draw(t, "needs") {
			head += " needs=" + strings.Join(rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"isolated", "dead", "open", "slack", "barred"}), 1, 2, rapid.ID).Draw(t, "need"), ",")
		}
		line := head + only() + ": " + strings.Join(rapid.SliceOfN(rapid.SampledFrom(actions), 1, 6).Draw(t, "actions"), "; ")
		if rapid.IntRange(0, 4).Draw(t, "hold") == 0 {
			line += "; hold"
		}
		lines = append(lines, line)
	}
	p := statetest.Procedure(m, strings.Join(lines, "\n"))
	for i, s := range p.Steps {
		s.Title = rapid.SampledFrom([]string{"Step " + s.ID, "Step " + s.ID, "Take the rear bolt out " + s.ID, "Use the puller " + s.ID, "Look"}).Draw(t, "title")
		s.Figure = ref("figure")
		for _, x := range m.Tools {
			if rapid.IntRange(0, 2).Draw(t, "uses") == 0 {
				s.Tools = append(s.Tools, ref(x.ID))
			}
		}
		for _, a := range s.Actions() {
			if a.Verb == procedure.Keep {
				a.Reason = prose(rapid.SampledFrom([]string{"it carries the part", "it is set", fmt.Sprint("reason ", i)}).Draw(t, "reason"))
			}
		}
	}
	return p
}

// drawQuiz draws a quiz on a procedure, with questions of the author's that may tell answers.
func drawQuiz(t *rapid.T, p *procedure.Procedure) *procedure.Quiz {
	q := &procedure.Quiz{ID: "quiz", Procedure: p, Seed: rapid.Int64Range(0, 9).Draw(t, "seed"), Generate: rapid.IntRange(1, 30).Draw(t, "generate")}
	for i := range rapid.IntRange(0, 3).Draw(t, "authored") {
		x := &procedure.Question{
			ID: fmt.Sprint("own-", i), Kind: procedure.SingleChoice, Points: 1,
			Stem: prose("Why is it so with " + rapid.SampledFrom(slices.Concat(fastenerNames, toolNames, faces[1:], []string{"80 N·m", "it all"})).Draw(t, "stem") + "?"),
		}
		x.Choices = []procedure.Choice{{Prose: prose(rapid.SampledFrom([]string{"because", "Step s2", "puller", "isolated"}).Draw(t, "answer")), Right: true}, {Prose: prose("never")}}
		q.Questions = append(q.Questions, x)
	}
	return q
}
