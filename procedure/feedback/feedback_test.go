package feedback

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
)

// shop has a job whose second step is the belt's or the chain's, and one without variants.
func shop() *procedure.Library {
	m := &procedure.Machine{ID: "mixer", Variants: []*procedure.Variant{{Row: procedure.Row{ID: "belt"}}, {Row: procedure.Row{ID: "chain"}}}}
	step := func(id string, variants ...string) *procedure.Step {
		s := &procedure.Step{ID: id, Title: id}
		for _, v := range variants {
			s.Variants = append(s.Variants, procedure.Ref{ID: v})
		}
		return s
	}
	return &procedure.Library{Procedures: []*procedure.Procedure{
		{ID: "out", Machine: m, Steps: []*procedure.Step{step("shut-down"), step("belt-off", "belt"), step("chain-off", "chain"), step("lift")}},
		{ID: "plain", Machine: &procedure.Machine{ID: "oven"}, Steps: []*procedure.Step{step("panel-off")}},
	}}
}

func TestRead(t *testing.T) {
	for _, tt := range []struct{ name, data, want, fault string }{
		{"as the form has it", "feedback out belt,Clear,Had to ask,Wrong or missing,Took longer,What exactly\n1. Shut it down,9,3,,2,\"tester, hidden\"\n2,12,0\n", "shut-down 9 3 0 2 [tester, hidden]; belt-off 12 0 0 0 []", ""},
		{"the other variant, German, semicolons", "\xef\xbb\xbffeedback out chain;Klar;Musste fragen;Was genau\r\n2;4;1;Glied\r\n;;;\r\nlift;1;;\r\n", "chain-off 4 1 0 0 [Glied]; lift 1 0 0 0 []", ""},
		{"no variants", "feedback plain,asked\npanel-off,2\n", "panel-off 0 2 0 0 []", ""},
		{"no variant", "feedback out,clear\n1,2\n", "", "1:1 the first cell does not say of which variant the steps are"},
		{"another variant", "feedback out bolt,clear\n1,2\n", "", `1:1 the machine has no variant "bolt"`},
		{"another procedure", "feedback oot,clear\n1,2\n", "", `1:1 the library has no procedure "oot"`},
		{"no procedure", "feedback,clear\n1,2\n", "", "1:1 the first cell does not name the procedure"},
		{"another column", "feedback plain,mood\n1,2\n", "", `1:16 there is no column "mood"`},
		{"a column twice", "feedback plain,asked,clear,asked\n1,2\n", "", "1:28 the column asked is there twice"},
		{"another step", "feedback plain,clear\n2,1\npanel-of,1\n", "", `2:1 there is no step "2" in plain` + "\n" + `3:1 there is no step "panel-of" in plain`},
		{"a step twice", "feedback out belt,clear\n2,1\nlift,1\nbelt-off,1\n", "", "4:1 the step belt-off is there twice: line 2 has it too"},
		{"no number", "feedback plain,clear,asked\n1,many,-1\n", "", `2:3 "many" is no number of learners` + "\n" + `2:8 "-1" is no number of learners`},
		{"too many cells", "feedback plain,clear\n1,2,3\n", "", "2:5 the line has 3 cells, and there are 2 columns"},
		{"garbage", "feedback plain,clear\n1,\"2\n", "", "2:1 this line is no line of a table"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if !Is([]byte(tt.data)) {
				t.Error("it does not count as feedback")
			}
			said, err := Read(shop(), []byte(tt.data))
			var got []string
			for _, s := range said {
				got = append(got, fmt.Sprintf("%s %d %d %d %d %v", s.Step.ID, s.Clear, s.Asked, s.Wrong, s.Longer, s.Remarks))
			}
			if strings.Join(got, "; ") != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
			if told := faults(t, err); tt.fault == "" && told != "" || !strings.HasPrefix(told, tt.fault) {
				t.Errorf("told\n%s\nwant\n%s", told, tt.fault)
			}
		})
	}
	for _, other := range []string{"", "step,minutes\n", "feedbacks x,clear\n", "assessment out,date\n"} {
		if Is([]byte(other)) {
			t.Errorf("%q counts as feedback", other)
		}
	}
}

// faults writes faults as "line:column message", one a line.
func faults(t *testing.T, err error) string {
	t.Helper()
	var all diagnostic.Faults
	if err != nil && !errors.As(err, &all) {
		t.Fatalf("%v is no list of faults", err)
	}
	var out []string
	for _, f := range all {
		if f.Advice.Empty() {
			t.Errorf("%+v does not say what to do", f)
		}
		out = append(out, fmt.Sprintf("%d:%d %s", f.Place.Line, f.Place.Column, f.Wrong))
	}
	return strings.Join(out, "\n")
}

// Several classes count together; a quarter of those who answered makes a step unclear.
func TestSum(t *testing.T) {
	lib := shop()
	var all []Said
	for _, data := range []string{"feedback out belt,clear,asked,remark\nlift,5,0,a\n1,3,1\n", "feedback out chain,clear,asked,remark\nlift,2,2,b\n"} {
		said, err := Read(lib, []byte(data))
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, said...)
	}
	sums := Sum(lib, all)
	if len(sums) != 2 || sums[0].Step.ID != "shut-down" || !sums[0].Unclear() {
		t.Fatalf("%+v", sums)
	}
	if lift := sums[1]; lift.Clear != 7 || lift.Asked != 2 || lift.Unclear() || strings.Join(lift.Remarks, " ") != "a b" {
		t.Errorf("%+v", lift)
	}
}

// Whatever a table holds, what is read of it is of the library, and a fault has its line and says what to do.
func FuzzRead(f *testing.F) {
	f.Add([]byte("feedback out belt,clear,had to ask,wrong,longer,remark\n1,9,3,,2,\"a, b\"\nlift,1\n"))
	f.Add([]byte("feedback out chain;klar;was genau\n\"2;4;x\n"))
	f.Add([]byte("feedback plain,clear\n1,2\n1,2\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		said, err := Read(shop(), data)
		for _, s := range said {
			if s.Step == nil || min(s.Clear, s.Asked, s.Wrong, s.Longer) < 0 {
				t.Errorf("%+v", s)
			}
		}
		for _, line := range strings.Split(faults(t, err), "\n") {
			if strings.HasPrefix(line, "0:") {
				t.Error(line)
			}
		}
		if len(Sum(shop(), said)) > 0 {
			t.Error("steps of another library count")
		}
	})
}
