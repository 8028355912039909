package source

import (
	"strings"
	"testing"

	"matchmark/procedure"
)

const likeBase = "---\nkind: machine\nid: big\ntitle: Big\n---\nA big one.\n\n::: register parts \"Parts\"\n| id | name | mass |\n|---|---|---|\n| frame | Frame | |\n| hood | Hood | 4 kg |\n| lamp | Lamp | 1 kg |\n:::\n" +
	"::: register fasteners\n| no | name | kind | count | joins |\n|---|---|---|---|---|\n| 1 | Hood screw | screw | 8 | hood, frame |\n| 2 | Lamp screw | screw | 2 | lamp, frame |\n| 3 | Plug | plug | 1 | frame |\n:::\n" +
	"::: figure side \"Side\" {src=a.svg describe=\"The side\"}\n- hood at 1,1 balloon 2,2\n- lamp at 1,1 balloon 3,3\n:::\n::: figure back \"Back\" {src=a.svg describe=\"The back\"}\n- frame at 1,1 balloon 2,2\n:::\n"

// likeMachine reads a machine that is like the big one.
func likeMachine(t *testing.T, front, body string) (*procedure.Machine, string) {
	t.Helper()
	lib, log := readFiles(t, map[string]string{"big.md": likeBase, "small.md": "---\nkind: machine\nid: small\ntitle: Small\n" + front + "---\n" + body})
	lib.Resolve(log)
	var said []string
	for _, d := range log.Sorted() {
		said = append(said, d.At().String()+" "+d.Says().String())
	}
	return lib.Machines[1], strings.Join(said, "\n")
}

func TestMachineLikeAnother(t *testing.T) {
	m, said := likeMachine(t, "like: big\nwithout: [lamp, 2]\n", "::: register parts\n| id | name | mass |\n|---|---|---|\n| hood | Small hood | 2 kg |\n| tray | Tray | |\n:::\n")
	if said != "" {
		t.Fatal(said)
	}
	var got []string
	for _, x := range m.Things() {
		got = append(got, x.Row.ID+"="+x.Row.Name)
	}
	if want := "1=Hood screw 3=Plug frame=Frame hood=Small hood tray=Tray"; strings.Join(got, " ") != want {
		t.Errorf("%s, want %s", strings.Join(got, " "), want)
	}
	if m.RegisterTitles[procedure.PartRegister] != "Parts" || m.About.Plain() != "A big one." || len(m.Figures) != 2 || len(m.Figure("side").Balloons) != 1 {
		t.Errorf("%q, %q, %d figures", m.RegisterTitles, m.About.Plain(), len(m.Figures))
	}
	d := m.Differs()
	if strings.Join(d.Changed, " ") != "hood" || strings.Join(d.Added, " ") != "tray" || strings.Join(d.Without, " ") != "lamp 2" {
		t.Errorf("differs: %+v", d)
	}
	var again []string
	for _, a := range d.Again {
		again = append(again, a.ID+" for "+a.String())
	}
	if want := "1 for hood; side for hood, lamp"; strings.Join(again, "; ") != want {
		t.Errorf("again: %s, want %s", strings.Join(again, "; "), want)
	}
	// The other machine is as it was.
	lib, log := readFiles(t, map[string]string{"big.md": likeBase})
	if alone := rowsAsText(lib.Resolve(log).Machines[0]); alone != rowsAsText(m.Like) {
		t.Errorf("the machine that it is like has changed:\n%s", rowsAsText(m.Like))
	}
}

func TestMachineLikeNone(t *testing.T) {
	for name, c := range map[string]struct{ front, body, want string }{
		"no such machine":    {"like: bigg\n", "", `small.md:5:7 there is no machine "bigg"`},
		"itself":             {"like: small\n", "", "small.md:5:7 the machine is like itself"},
		"without nothing":    {"like: big\nwithout: [door]\n", "", `small.md:6:10 the machine "big" has no "door" to be without`},
		"without and with":   {"like: big\nwithout: [hood]\n", "::: register parts\n| id | name |\n|---|---|\n| hood | H |\n:::\n", `small.md:6:10 the machine is without "hood", and has a row of that name`},
		"the same as before": {"like: big\n", "::: register parts\n| id | name | mass |\n|---|---|---|\n| hood | Hood | 4 kg |\n:::\n", ""},
	} {
		m, said := likeMachine(t, c.front, c.body)
		if said != c.want {
			t.Errorf("%s: %s, want %s", name, said, c.want)
		}
		if c.want == "" && len(m.Differs().Changed) > 0 {
			t.Errorf("%s: %+v", name, m.Differs())
		}
	}
}
