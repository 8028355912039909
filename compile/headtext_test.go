package compile

import (
	"testing"

	"matchmark/compile/cache"
	"matchmark/procedure/say"
)

// A part of each type is the same after it was in the cache.
func TestTextsAreKept(t *testing.T) {
	for _, want := range []say.Text{
		{},
		say.That("nothing but words"),
		say.That("%name %word %quote %foreign %step %count %number %text %list", say.Name("n"), say.Word("w"), say.Quote("q"), say.Foreign("f"), say.Step(3), say.Count(-4),
			say.Decimal{Value: 2.5, Places: say.Shortest}, say.That("in %step", say.Step(2)), say.List{Join: say.EachOr, Parts: []say.Part{say.Name("a"), say.Each[say.Quote](say.And, []string{"b"})}}),
	} {
		var f cache.Fields
		writeText(&f, want)
		f.String("behind")
		r := cache.Read(f.B)
		if got := readText(r); !say.Equal(got, want) || got.String() != want.String() || r.String() != "behind" || r.Err != nil {
			t.Errorf("%q came back as %q, %v", want, got, r.Err)
		}
	}
}
