package say

import (
	"strings"
	"testing"
)

func TestText(t *testing.T) {
	german := Language{
		"the %part leaves in step %step":               "in Schritt %step geht %part ab",
		"%things(is|are) left: %things":                "%things(ist|sind) übrig: %things",
		" and ":                                        " und ",
		"fastener %f":                                  "Schraube %f",
		"nothing but a full line":                      "nichts als eine ganze Zeile",
		"%count(one|more) than %limit(a piece|pieces)": "%limit(Stück|Stücke) %count(eines|mehr)",
	}
	for _, c := range []struct {
		text            Text
		english, german string
	}{
		{Text{}, "", ""},
		{That("nothing but a full line"), "nothing but a full line", "nichts als eine ganze Zeile"},
		{That("the %part leaves in step %step", Name("gearbox"), Step(4)), "the gearbox leaves in step 4", "in Schritt 4 geht gearbox ab"},
		{That("%things(is|are) left: %things", Each[Name](And, []string{"4"})), "is left: 4", "ist übrig: 4"},
		{That("%things(is|are) left: %things", Each[Name](And, []string{"4", "5", "6"})), "are left: 4, 5 and 6", "sind übrig: 4, 5 und 6"},
		{
			That("%things(is|are) left: %things", List{And, []Part{That("fastener %f", Name("4")), That("fastener %f", Name("5"))}}),
			"are left: fastener 4 and fastener 5", "sind übrig: Schraube 4 und Schraube 5",
		},
		{That("%count(one|more) than %limit(a piece|pieces)", Count(1), Count(2)), "one than pieces", "Stücke eines"},
		{That("%count(one|more) than %limit(a piece|pieces)", Count(0), Name("x")), "more than pieces", "Stücke mehr"},
		{That("40 % of %n, 100%% of %n, %other stays", Count(7)), "40 % of 7, 100% of 7, %other stays", "40 % of 7, 100% of 7, %other stays"},
		{That("not known there: %w (%c)", Word("kg"), Foreign("ENOENT")), "not known there: kg (ENOENT)", "not known there: kg (ENOENT)"},
		{That("%a, %b", Decimal{2.5, Shortest}, Decimal{2.55, 1}), "2.5, 2.6", "2.5, 2.6"},
		{That("%x", Quote(" two\n words ")), `"two words"`, `"two words"`},
		{That("%x", Quote(strings.Repeat("ö", 61))), `"` + strings.Repeat("ö", 60) + `…"`, `"` + strings.Repeat("ö", 60) + `…"`},
		{That("%x", Each[Quote](Commas, []string{"a", "b"})), `"a", "b"`, `"a", "b"`},
		{That("%x or %x", Each[Word](EachOr, []string{"a", "b", "c"})), "a or b or c or a or b or c", "a or b or c or a or b or c"},
		{That("%x(open", Count(1)), "1(open", "1(open"},
		{That("%x(no choice)", Count(1)), "1(no choice)", "1(no choice)"},
		{That("ends with %"), "ends with %", "ends with %"},
	} {
		if got := c.text.String(); got != c.english {
			t.Errorf("%q: %q, want %q", c.text.Pattern(), got, c.english)
		}
		if got := c.text.In(german); got != c.german {
			t.Errorf("%q: %q, want %q", c.text.Pattern(), got, c.german)
		}
	}
}

func TestSame(t *testing.T) {
	at := func(part string, steps ...int) Text {
		var list []Part
		for _, s := range steps {
			list = append(list, Step(s))
		}
		return That("the %part in %steps, %why", Name(part), List{And, list}, That("since step %step", Step(steps[0])))
	}
	for _, c := range []struct {
		name              string
		a, b              Text
		equal, sameButFor bool
	}{
		{"the same", at("hub", 3, 4), at("hub", 3, 4), true, true},
		{"other steps", at("hub", 3, 4), at("hub", 5, 6), false, true},
		{"fewer steps", at("hub", 3, 4), at("hub", 3), false, false},
		{"another part", at("hub", 3), at("nut", 3), false, false},
		{"another line", That("a"), That("b"), false, false},
		{"a number of things is no step", That("%n", Count(3)), That("%n", Count(4)), false, false},
		{"a name that looks like a step", That("%n", Name("3")), That("%n", Step(3)), false, false},
		{"a list and a name", That("%n", List{}), That("%n", Name("")), false, false},
		{"a name and a list", That("%n", Name("")), That("%n", List{}), false, false},
		{"a name and a text", That("%n", Name("")), That("%n", Text{}), false, false},
		{"other joins", That("%n", List{And, nil}), That("%n", List{Or, nil}), false, false},
	} {
		if got := Equal(c.a, c.b); got != c.equal {
			t.Errorf("%s: equal %v", c.name, got)
		}
		if got := SameButSteps(c.a, c.b); got != c.sameButFor {
			t.Errorf("%s: the same but for steps %v", c.name, got)
		}
	}
}

// Whatever a pattern holds, its words come out and nothing panics.
func FuzzText(f *testing.F) {
	for _, s := range []string{"%a(b|c)%a", "%", "%%", "%(x|y)", "é%aé", "%a(|)", "%b%a"} {
		f.Add(s, s)
	}
	f.Fuzz(func(t *testing.T, pattern, other string) {
		text := That(pattern, Count(1), Name("n"))
		if strings.IndexByte(pattern, '%') < 0 && text.String() != pattern {
			t.Errorf("%q came out as %q", pattern, text)
		}
		text.In(Language{pattern: other})
	})
}
