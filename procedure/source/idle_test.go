package source

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
)

// Every attribute of a question, in a question of every type: it has an effect, or it is an error that says so.
func TestAttributesOfQuestions(t *testing.T) {
	values := map[string]string{
		"type": "", "step": "look", "about": "4", "aim": "1", "points": "2", "critical": "", "answer": "true", "tolerance": `"2 N·m"`, "figure": "front",
	}
	used := map[string]string{ // the types that an attribute is for, where it is not for all
		"answer": "number point true-false", "tolerance": "number", "figure": "point",
	}
	bodies := map[procedure.QuestionKind]string{
		procedure.SingleChoice: "- [x] a\n- [ ] b\n", procedure.SeveralChoice: "- [x] a\n- [ ] b\n", procedure.OrderAnswer: "1. a\n2. b\n3. c\n",
	}
	needs := map[procedure.QuestionKind]string{procedure.TrueFalse: "answer=true", procedure.NumberAnswer: `answer="45 N·m"`, procedure.PointAnswer: "answer=4 figure=front"}
	for i := range blockKind("question").Attributes {
		a := &blockKind("question").Attributes[i]
		value, known := values[a.Name]
		if !known {
			t.Errorf("the attribute %s is not tried here", a.Name)
			continue
		}
		if a.Name == "type" {
			continue
		}
		for _, kind := range procedure.QuestionKinds {
			attributes := "type=" + string(kind)
			if !strings.Contains(needs[kind], a.Name+"=") {
				attributes += " " + a.Name
				if a.Type != grammar.Flag {
					attributes += "=" + value
				}
			}
			src := quizHead + "::: question q {" + strings.TrimSpace(attributes+" "+needs[kind]) + "}\nWhat?\n\n" + bodies[kind] + ":::\n"
			_, log := readFiles(t, map[string]string{"q.md": src})
			var got []string
			for _, d := range log.Sorted() {
				got = append(got, fmt.Sprintf("%s at %s", d.Code, d.Span.Text()))
			}
			want := ""
			if kinds, some := used[a.Name]; some && !strings.Contains(kinds, string(kind)) {
				want = "idle-attribute at " + a.Name
			}
			if s := strings.Join(got, ", "); s != want {
				t.Errorf("%s: %q, want %q", attributes, s, want)
			}
		}
	}
}

// What has no effect where it stands is an error, in front matter and in the refitting too.
func TestIdleWords(t *testing.T) {
	for name, c := range map[string]struct{ src, want string }{
		"veto without made questions": {strings.Replace(quizHead, "pass: 80", "pass: 80\nwithout: [torque-4]", 1) + "::: question q {type=true-false answer=true}\nYes?\n:::\n", "front-matter-value"},
		"breaks of no length":         {"---\nkind: course\nid: c\ntitle: C\nbreak: 0 min\nbreak-every: 60 min\nsessions:\n  - title: A\n    items:\n      - procedure: job\n---\n", "front-matter-value"},
		"learning without a rate":     {"---\nkind: course\nid: c\ntitle: C\nlearning: wright\nsessions:\n  - title: A\n    items:\n      - procedure: job\n---\n", "front-matter-value"},
		"hazard of the removal":       {"---\nkind: refit\nprocedure: job\n---\n" + stepHead + "::: caution {out-only}\nHot.\n:::\nLook.\n:::\n", "idle-attribute"},
	} {
		_, log := readFiles(t, map[string]string{"x.md": c.src})
		if all := log.Sorted(); len(all) != 1 || string(all[0].Code) != c.want {
			t.Errorf("%s brings\n%s", name, printed(all))
		}
	}
}
