package classlist

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"matchmark/procedure/record"
)

func TestRead(t *testing.T) {
	long := strings.Repeat("x", record.LongestName+1)
	for name, test := range map[string]struct{ list, want string }{
		"names alone":             {"Ada\nBen\n", "Ada//; Ben//"},
		"three columns":           {"Ada,East,12\nBen,West,13", "Ada/East/12; Ben/West/13"},
		"headings in any order":   {"\ufeffID;Name;Group\r\n12;Ada;East\r\n", "Ada/East/12"},
		"German headings":         {"Gruppe\tTeilnehmer\nOst\tDörte Bäcker\n", "Dörte Bäcker/Ost/"},
		"quoted, over two lines":  {"\"Ada\nBerg\",East\n", "Ada Berg/East/"},
		"empty lines and names":   {"Ada\n\n ,East\n\"\"\nBen\n", "Ada//; Ben//"},
		"a heading further down":  {"Ada\nName\n", "Ada//; Name//"},
		"what nobody sees":        {"A\u202eda\u200b,E\x1bast\n", "Ada/E ast/"},
		"a formula is a text":     {"=1+1\n", "=1+1//"},
		"nothing":                 {"", "there is no name in it"},
		"headings alone":          {"name,group\n", "there is no name in it"},
		"no text":                 {"Ada\xff", "it is no UTF-8 text"},
		"a name too long, line 3": {"name\nAda\n" + long + "\n", fmt.Sprintf("line 3: %q has more than %d characters", long, record.LongestName)},
		"too many":                {strings.Repeat("Ada\n", Most+1), fmt.Sprintf("it has %d names, and %d are the most", Most+1, Most)},
		"a quotation without end": {"\"Ada\nBen", "Ada Ben//"},
	} {
		people, err := Read([]byte(test.list))
		var got []string
		for _, p := range people {
			got = append(got, p.Name+"/"+p.Team+"/"+p.Own)
		}
		if err != nil {
			got = []string{err.Error()}
		}
		if strings.Join(got, "; ") != test.want {
			t.Errorf("%s: %q, want %q", name, strings.Join(got, "; "), test.want)
		}
	}
}

// Whatever a list says, its names are short, and stay what they are when they are read once more.
func FuzzRead(f *testing.F) {
	f.Add([]byte("name;group;id\nAda;East;12\n"))
	f.Add([]byte("\"Ada\u202e\",\x00\n"))
	f.Fuzz(func(t *testing.T, list []byte) {
		people, err := Read(list)
		if (err == nil) != (len(people) > 0) {
			t.Fatalf("%d names, %v", len(people), err)
		}
		for _, p := range people {
			for _, text := range []string{p.Name, p.Team, p.Own} {
				if Name(text) != text || utf8.RuneCountInString(text) > record.LongestName || strings.ContainsAny(text, "\n\r\x1b\u202e") {
					t.Errorf("a name is %q", text)
				}
			}
		}
	})
}
