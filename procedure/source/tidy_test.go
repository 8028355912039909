package source

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"matchmark/procedure/text"
)

func tidied(src string) string {
	return string(NewReader().Tidy(text.NewFile("a.md", []byte(src))))
}

func TestTidy(t *testing.T) {
	for name, c := range map[string]struct{ in, want string }{
		"table lined up": {
			"::: register parts\n|id|name| Weight|\n|-|:-|-|\n|guard|The guard| 3kg|\n|crate | Crate||\n:::\n",
			"::: register parts\n| id    | name      | mass |\n|-------|:----------|---|\n| guard | The guard | 3 kg |\n| crate | Crate     | |\n\n:::\n",
		},
		"table with much padding stays narrow": {
			"::: register parts\n| id | name |\n|---|---|\n| a-very-long-name-of-a-part | A |\n|  b | B |\n| c | C |\n| d | D |\n:::\n",
			"::: register parts\n| id | name |\n|---|---|\n| a-very-long-name-of-a-part | A |\n| b | B |\n| c | C |\n| d | D |\n\n:::\n",
		},
		"table without outer bars": {"::: register parts\nid | name\n---|---\na | A\n:::\n", "::: register parts\n| id | name |\n|----|---|\n| a  | A |\n\n:::\n"},
		"pasted cells": {
			"::: register fasteners\nNo.\tDescription\tType\tTorque\n1\tBolt\tbolt\t45 Nm\n\n2\tNut\tnut\t\n:::\n",
			"::: register fasteners\n| no | name | kind | torque |\n|----|------|------|---|\n| 1  | Bolt | bolt | 45 N·m |\n| 2  | Nut  | nut  | |\n\n:::\n",
		},
		"pairs": {
			"::: register fasteners\neach:  Qty 2 ;torque 45Nm\n\n| no | name | kind |\n|----|------|---|\n| 1  | Bolt | bolt |\n\n- 1 :  note  stays in;single use\n:::\n",
			"::: register fasteners\nEach: count 2; torque 45 N·m\n\n| no | name | kind |\n|----|------|---|\n| 1  | Bolt | bolt |\n\n- 1: note stays in; single-use\n:::\n",
		},
		"opening line": {
			":::  figure  side  \"Side\"   { describe=\"A side\"  src=\"side.svg\" }  \n- 4 at 1,2 balloon 3,4\n:::\n",
			"::: figure side \"Side\" {src=side.svg describe=\"A side\"}\n- 4 at 1,2 balloon 3,4\n:::\n",
		},
		"braces in prose":      {"{ people=2 time=\"6\"}\n", "{ people=2 time=\"6\"}\n"},
		"empty lines":          {"A.\r\n\r\n\r\nB. \n\n\n", "A.\n\nB.\n"},
		"end of the file":      {"A.", "A.\n"},
		"hard break":           {"A.  \nB.\n", "A.  \nB.\n"},
		"code":                 {"```\n|a|b|\n|-|-|\n\n\n{b  a}\n```\n", "```\n|a|b|\n|-|-|\n\n\n{b  a}\n```\n"},
		"indented code":        {"    a\n\n\n    b\n", "    a\n\n\n    b\n"},
		"comment":              {"<!--\n|a|b|\n|-|-|\n\n\n-->\n", "<!--\n|a|b|\n|-|-|\n\n\n-->\n"},
		"table that is broken": {"::: register parts\n|id|name|\n|-|-|\n|a|A|more|\n:::\n", "::: register parts\n|id|name|\n|-|-|\n|a|A|more|\n\n:::\n"},
		"bar in a cell":        {"::: register parts\n|id|name|\n|-|-|\n|a|A \\| B|\n:::\n", "::: register parts\n| id | name |\n|----|---|\n| a  | A \\| B |\n\n:::\n"},
		"table of prose":       {"|a|b|\n|-|-|\n|3kg|x|\n", "| a   | b |\n|-----|---|\n| 3kg | x |\n"},
	} {
		got := tidied(machineHead + c.in)
		if want := machineHead + c.want; got != want {
			t.Errorf("%s gives\n%s\nwant\n%s", name, strings.TrimPrefix(got, machineHead), c.want)
		}
		if again := tidied(got); again != got {
			t.Errorf("%s, once more, gives\n%s", name, again)
		}
	}
}

// A German library keeps its decimal commas.
func TestTidyKeepsTheDecimalSign(t *testing.T) {
	src := machineHead + "::: register fluids\n| id | name | quantity |\n|---|---|---|\n| oil | Oil | 2,5l |\n:::\n"
	got := string(NewReader().For("de", nil).Tidy(text.NewFile("a.md", []byte(src))))
	if !strings.Contains(got, "| 2,5 L |") {
		t.Error(got)
	}
}

// The demo and the starter library are tidy.
func TestDemoIsTidy(t *testing.T) {
	for _, pattern := range []string{"../../content/machines/*.md", "../../compile/starter/library/machines/*.md"} {
		names, err := filepath.Glob(pattern)
		if err != nil || len(names) == 0 {
			t.Fatal(pattern, err)
		}
		for _, name := range names {
			src, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if got := tidied(string(src)); got != string(src) {
				t.Errorf("%s is not tidy: run `matchmark tidy` on its library", name)
			}
		}
	}
}

// FuzzTidy tidies any file: it says the same as before and brings the same messages, and is tidy from then on.
func FuzzTidy(f *testing.F) {
	for _, s := range seeds(f) {
		f.Add(s)
		f.Add(strings.ReplaceAll(s, "\n", "\r\n"))
	}
	f.Add(machineHead + "::: register fasteners\nNo.\tName\n1\tA|B\n\n- 1: note x; kind bolt\n:::\n")
	f.Fuzz(func(t *testing.T, src string) {
		reader := NewReader()
		out := tidied(src)
		if before, after := reader.meaning([]byte(src)), reader.meaning([]byte(out)); before != after {
			t.Fatalf("%q\nmeans\n%s\ntidied, %q\nmeans\n%s", src, before, out, after)
		}
		if again := tidied(out); again != out {
			t.Fatalf("%q is tidied to %q, and then to %q", src, out, again)
		}
	})
}
