package hazard

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Words of a workshop, and what they speak of.
func TestRead(t *testing.T) {
	for words, want := range map[string][]Kind{
		"burns skin and eyes":                   {Hot},
		"Wash lye, 2 %: burns skin and eyes":    {Corrosive},
		"hot lye sprays":                        {Hot, Corrosive, Pressure},
		"makes floors slippery, dries the skin": {Irritant, Slippery},
		"its knife cuts":                        {Sharp},
		"sharp edges":                           {Sharp},
		"scharfe Kanten":                        {Sharp},
		"fingers get caught":                    {Pinching},
		"Druck und heißer Dampf":                {Hot, Pressure},
		"itches, its dust gets into the lungs":  {Irritant, Dust},
		"ätzend":                                {Corrosive},
		"take care":                             nil,
	} {
		if got := Read(words); !slices.Equal(got, want) {
			t.Errorf("%q: %v, want %v", words, got, want)
		}
	}
}

func TestEveryKindIsReadByItsOwnName(t *testing.T) {
	for _, k := range Kinds {
		if !slices.Contains(Read(string(k)), k) {
			t.Errorf("%s is read as %v", k, Read(string(k)))
		}
	}
}

func TestNeeds(t *testing.T) {
	for words, want := range map[string][]Need{
		"lye: burns skin and eyes":              {{Hands, Corrosive}, {Eyes, Corrosive}},
		"burns skin and eyes":                   {{Hands, Hot}, {Eyes, Hot}},
		"makes floors slippery, dries the skin": {{Hands, Irritant}, {Floor, Slippery}},
		"pinching":                              nil, // gloves are drawn in
		"falling":                               {{Head, Falling}},
	} {
		if diff := cmp.Diff(want, Needs(words)); diff != "" {
			t.Errorf("%q (-want +got):\n%s", words, diff)
		}
	}
}

func TestServes(t *testing.T) {
	for _, c := range []struct {
		name, against string
		need          Need
		want          bool
	}{
		{"Cut-resistant gloves", "", Need{Hands, Sharp}, true},
		{"Cut-resistant gloves", "", Need{Hands, Corrosive}, false},
		{"Long gloves against lye", "", Need{Hands, Corrosive}, true},
		{"Heat-proof gloves", "", Need{Hands, Hot}, true},
		{"Gloves", "", Need{Hands, Hot}, true},
		{"Gloves", "", Need{Hands, Electric}, false},
		{"Insulating gloves, 1000 V", "", Need{Hands, Electric}, true},
		{"Gloves", "corrosive", Need{Hands, Hot}, false},
		{"Closed goggles", "", Need{Eyes, Corrosive}, true},
		{"Safety glasses", "", Need{Eyes, Corrosive}, false},
		{"Safety glasses", "", Need{Eyes, Flying}, true},
		{"Apron", "corrosive", Need{Hands, Corrosive}, true},
		{"Safety helmet", "", Need{Head, Falling}, true},
		{"Barrier tape", "", Need{Head, Falling}, false},
		{"Lint-free cloths", "", Need{Floor, Slippery}, true},
	} {
		if got := Serves(c.name, c.against, c.need); got != c.want {
			t.Errorf("%s against %q for %v: %v", c.name, c.against, c.need, got)
		}
	}
}

func TestTold(t *testing.T) {
	for words, want := range map[string][]Place{
		"Wear goggles and gloves until the can is shut.": {Hands, Eyes},
		"Put on the insulating gloves.":                  {Hands},
		"Two people lift it, with gloves on.":            {Hands},
		"Trage eine Schutzbrille.":                       {Eyes},
		"Take the gloves off.":                           nil,
		"Never wear gloves here.":                        nil,
		"Wipe it with a cloth.":                          nil,
		"Look through the glasses of the gauge.":         nil,
	} {
		if got := Told(words); !slices.Equal(got, want) {
			t.Errorf("%q: %v, want %v", words, got, want)
		}
	}
}

func TestSentences(t *testing.T) {
	got := Sentences("Wear gloves. It holds 2.5 L! Is it shut? Go on")
	want := []string{"Wear gloves.", "It holds 2.5 L!", "Is it shut?", "Go on"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}
