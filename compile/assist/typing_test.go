package assist

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"matchmark/compile"
	"matchmark/compile/starter"
	"matchmark/procedure/diagnostic"
)

// files are a library's Markdown files.
func files(t interface{ Fatal(...any) }, lib fs.FS) map[string]string {
	out := map[string]string{}
	err := fs.WalkDir(lib, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() || !strings.HasSuffix(name, ".md") {
			return err
		}
		src, err := fs.ReadFile(lib, name)
		out[name] = string(src)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// told are the messages of a library as a desk tells them, with all that they offer.
func told(t interface{ Fatal(...any) }, d *Desk) string {
	var out string
	for {
		err := d.Check(context.Background(), nil, func(found []diagnostic.Diagnostic, whole bool) {
			if whole {
				out = printed(found)
			}
		})
		if err == nil {
			return out
		}
		if !errors.Is(err, ErrOvertaken) {
			t.Fatal(err)
		}
	}
}

func printed(all []diagnostic.Diagnostic) string {
	var b strings.Builder
	for _, d := range all {
		fmt.Fprintf(&b, "%s %d-%d %s %s %d\n", d.At(), d.Span.Start, d.Span.End, d.Code, d.Says(), len(d.Fixes))
	}
	return b.String()
}

// answers are what a desk says at a place of a file.
func answers(t interface{ Fatal(...any) }, d *Desk, file string, offset int) string {
	var b strings.Builder
	note := func(x any, err error) {
		if err != nil {
			fmt.Fprintf(&b, "error: %v\n", err)
			return
		}
		fmt.Fprintf(&b, "%+v\n", x)
	}
	offers, err := d.Complete(file, offset)
	for _, o := range offers {
		fmt.Fprintf(&b, "%s %q %d-%d\n", o.Label, o.Text, o.At.Start, o.At.End)
	}
	note(len(offers), err)
	hint, err := d.Hover(file, offset)
	if hint != nil {
		b.WriteString(hint.Words)
	}
	note(hint != nil, err)
	def, err := d.Definition(file, offset)
	note(def.At(), err)
	uses, err := d.Uses(file, offset, true)
	for _, u := range uses {
		b.WriteString(u.At().String() + "\n")
	}
	note(len(uses), err)
	edits, err := d.Rename(file, offset, "another-name")
	note(len(edits), err)
	outline, err := d.Outline(file)
	note(len(outline), err)
	folds, err := d.Folds(file)
	note(folds, err)
	tidy, err := d.Tidy(file)
	note(len(tidy), err)
	words, err := d.Refitting(file)
	note(words, err)
	return b.String()
}

// fresh is a desk that reads the texts for the first time.
func fresh(lib fs.FS, texts map[string]string) *Desk {
	d := NewDesk(lib)
	for name, src := range texts {
		d.Type(name, []byte(src))
	}
	return d
}

// TestTypingIsReading types at random places of random files, with the syntax broken in the middle: what the desk says is
// always what one says that reads the texts for the first time.
func TestTypingIsReading(t *testing.T) {
	lib := starter.Library()
	before := files(t, lib)
	names := slices.Sorted(maps.Keys(before))
	rapid.Check(t, func(t *rapid.T) {
		d, texts := NewDesk(lib), map[string]string{}
		for range rapid.IntRange(1, 4).Draw(t, "looks") {
			name := names[0]
			for range rapid.IntRange(1, 3).Draw(t, "edits") {
				name = rapid.SampledFrom(names).Draw(t, "file")
				src, typed := texts[name]
				if !typed {
					src = before[name]
				}
				from := rapid.IntRange(0, len(src)).Draw(t, "from")
				to := min(len(src), from+rapid.SampledFrom([]int{0, 0, 1, 5, 40}).Draw(t, "length"))
				words := rapid.SampledFrom([]string{"", "x", "\n", "{", "}", ":::", "`", "- [ ] remove 1\n", "## A step {#a}\n", "|", "é😀", "isolated", "---\n", "\r", "\x00"}).Draw(t, "words")
				texts[name] = src[:from] + words + src[to:]
				d.Type(name, []byte(texts[name]))
			}
			if rapid.Bool().Draw(t, "close") {
				delete(texts, name)
				d.Close(name)
			}
			src, typed := texts[name]
			if !typed {
				src = before[name]
			}
			offset := rapid.IntRange(0, len(src)).Draw(t, "asked at")
			if rapid.Bool().Draw(t, "check first") {
				if got, want := told(t, d), told(t, fresh(lib, texts)); got != want {
					t.Fatalf("told\n%s\nwant\n%s", got, want)
				}
			}
			if got, want := answers(t, d, name, offset), answers(t, fresh(lib, texts), name, offset); got != want {
				t.Fatalf("at %s %d the desk says\n%s\nwant\n%s", name, offset, got, want)
			}
		}
		if got, want := told(t, d), told(t, fresh(lib, texts)); got != want {
			t.Fatalf("told\n%s\nwant\n%s", got, want)
		}
	})
}

// TestToldIsChecked: a desk tells what the command's check tells.
func TestToldIsChecked(t *testing.T) {
	lib := starter.Library()
	texts := files(t, lib)
	over := compile.Overlay{}
	for name, src := range texts {
		over[name] = []byte(strings.Replace(src, "remove", "remvoe", 1))
	}
	var log diagnostic.Log
	if err := compile.NewBuilder(lib, compile.Options{}).Check(context.Background(), over, nil, &log); err != nil {
		t.Fatal(err)
	}
	d := NewDesk(lib)
	for name, src := range over {
		d.Type(name, src)
	}
	if got, want := told(t, d), printed(log.Sorted()); got != want || want == "" {
		t.Fatalf("told\n%s\nwant\n%s", got, want)
	}
}

// TestHiddenFileIsNone: what lies in a hidden folder belongs to no library, typed or not.
func TestHiddenFileIsNone(t *testing.T) {
	d := NewDesk(starter.Library())
	told(t, d)
	const name = ".drafts/x.md"
	d.Type(name, []byte("---\nkind: nonsense\n---\n"))
	if _, err := d.Complete(name, 0); !errors.Is(err, ErrNoFile) {
		t.Errorf("completion in a hidden file: %v", err)
	}
	if all := told(t, d); strings.Contains(all, name) {
		t.Errorf("told of a hidden file:\n%s", all)
	}
}

// FuzzDesk asks at any place of any text of a procedure.
func FuzzDesk(f *testing.F) {
	lib := starter.Library()
	for _, src := range files(f, lib) {
		f.Add(src, len(src)/2)
	}
	f.Add("---\nkind: procedure\n", 18)
	f.Add("---\nkind: machine\n---\n::: register parts\n| id | name |\n| --- | --- |\n| a | ", 60)
	f.Add("## A {#a}\n{time=", 16)
	f.Add("::: caution {about=\"", 20)
	f.Add("- [ ] support x with ", 20)
	f.Fuzz(func(t *testing.T, src string, offset int) {
		d := NewDesk(fstest.MapFS{"a.md": {Data: []byte(src)}})
		answers(t, d, "a.md", offset)
	})
}
