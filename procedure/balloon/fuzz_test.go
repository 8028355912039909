package balloon

import (
	"strings"
	"testing"
	"testing/fstest"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/rewrite"
	"matchmark/procedure/source"
)

// FuzzMove moves the first balloon of a figure whose list anybody wrote. Where that is not refused, the balloon stands at the new
// place when the file is read again, no other one has moved, and the move back gives the file as it was.
func FuzzMove(f *testing.F) {
	for _, list := range []string{"- 4 at 120,80 balloon 60,40", "- 4, 5 at 1,2 balloon 3,4\n- 6 at 5,6 7,8 balloon 9,10", "- 8-10 at 1,2", "- 7 at <!-- x --> 10,20\n  30,40 balloon 5,6", "* **8** at 1,2 balloon 3,4"} {
		f.Add(list)
	}
	f.Fuzz(func(t *testing.T, list string) {
		const head = "---\nkind: machine\nid: m\ntitle: M\n---\n::: figure f \"F\" {src=f.svg describe=\"Feet\"}\n"
		src := head + list + "\n:::\n"
		read := func(src string) *source.Library {
			var log diagnostic.Log
			lib, err := source.Read(fstest.MapFS{"m.md": {Data: []byte(src)}}, &log)
			if err != nil {
				t.Fatal(err)
			}
			return lib
		}
		lib := read(src)
		if len(lib.Machines) == 0 || lib.Machines[0].Figure("f") == nil || len(lib.Machines[0].Figure("f").Balloons) == 0 {
			return
		}
		figure := lib.Machines[0].Figure("f")
		figure.Width, figure.Height = 800, 600
		first := figure.Balloons[0]
		points, err := Points(first)
		if err != nil || first.Beside > 0 {
			return
		}
		from := points[0].Text()
		edit, err := Move{first.Ref.ID, 0, 0, from, "77,55"}.Edit(figure)
		if err != nil {
			return
		}
		out, err := rewrite.Make([]rewrite.Edit{edit})
		if err != nil {
			t.Fatal(err)
		}
		moved := string(out[0].Source)
		if again := strings.Replace(moved, "77,55", from, 1); again != src && strings.Count(src, "77,55") == 0 {
			t.Errorf("more than a place changed:\n%q\n%q", src, moved)
		}
		after := read(moved).Machines[0].Figure("f")
		if len(after.Balloons) != len(figure.Balloons) || after.Balloons[0].Label.X != 77 || after.Balloons[0].Label.Y != 55 {
			t.Fatalf("%q: the balloon stands elsewhere: %+v", moved, after.Balloons)
		}
		for i, b := range after.Balloons[1:] {
			if old := figure.Balloons[i+1]; b.Beside == 0 && b.Label != old.Label {
				t.Errorf("%q: balloon %d has moved too", moved, i+1)
			}
		}
	})
}
