package record

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gotest.tools/v3/assert"
	"pgregory.net/rapid"
)

// slow is the oracle: all entries of a map in one list, each with a text to sort by.
// The best of a key stands.
func slow[T any](rank func(T) string, maps ...map[string]T) map[string]T {
	type ranked struct {
		key, rank string
		value     T
	}
	var all []ranked
	for _, m := range maps {
		for key, value := range m {
			all = append(all, ranked{key, rank(value), value})
		}
	}
	slices.SortFunc(all, func(a, b ranked) int { return strings.Compare(a.key+"\x00"+a.rank, b.key+"\x00"+b.rank) })
	var out map[string]T
	for _, x := range all { // a later one overwrites
		if out == nil {
			out = map[string]T{}
		}
		out[x.key] = x.value
	}
	return out
}

// plainJSON is JSON with sorted keys, by way of a map.
func plainJSON(value any) string {
	data, _ := json.Marshal(value)
	var m map[string]any
	if json.Unmarshal(data, &m) != nil {
		return string(data)
	}
	data, _ = json.Marshal(m)
	return string(data)
}

func byStamp[T interface{ stamp() Stamp }](x T) string {
	return fmt.Sprintf("%020d %s %s", x.stamp().At, x.stamp().Tablet, plainJSON(x))
}

// slowly merges any number of records by FORMAT.md's rules.
func slowly(records ...*Record) *Record {
	out := &Record{Format: Format, Version: Version, Job: records[0].Job}
	var machine []map[string]Entry[string]
	var texts, subjects []string
	var maps Maps
	for _, r := range records {
		out.Job = min(out.Job, r.Job)
		texts = append(texts, r.Edition+"\x00"+r.Content)
		subjects = append(subjects, r.Procedure+"\x00"+r.Variant)
		machine = append(machine, map[string]Entry[string]{"": r.Machine})
		maps.add(r)
	}
	out.Edition, out.Content, _ = strings.Cut(slices.Max(texts), "\x00")
	out.Procedure, out.Variant, _ = strings.Cut(slices.Max(subjects), "\x00")
	out.Machine = slow(byStamp[Entry[string]], machine...)[""]
	out.Tablets = slow(byStamp[Tablet], maps.tablets...)
	out.Passed = slow(byStamp[Entry[bool]], maps.passed...)
	out.Ticks = slow(byStamp[Entry[bool]], maps.ticks...)
	out.Work = slow(func(s Interval) string { return fmt.Sprintf("%020d %s", s.To, plainJSON(s)) }, maps.work...)
	out.Confirmed = slow(byStamp[Confirmation], maps.confirmed...)
	out.Signed = slow(func(s Signature) string { return fmt.Sprintf("%020d %s", s.At, plainJSON(s)) }, maps.signed...)
	out.Measured = slow(byStamp[Measurement], maps.measured...)
	out.Findings = slow(byStamp[Finding], maps.findings...)
	out.Repairs = slow(byStamp[Repair], maps.repairs...)
	out.Photos = slow(func(p Photo) string { return fmt.Sprintf("%t %s", p.Data != "", plainJSON(p)) }, maps.photos...)
	return out
}

// Maps are the maps of several records side by side.
type Maps struct {
	tablets       []map[string]Tablet
	passed, ticks []map[string]Entry[bool]
	work          []map[string]Interval
	confirmed     []map[string]Confirmation
	signed        []map[string]Signature
	measured      []map[string]Measurement
	findings      []map[string]Finding
	repairs       []map[string]Repair
	photos        []map[string]Photo
}

func (m *Maps) add(r *Record) {
	m.tablets, m.passed, m.ticks = append(m.tablets, r.Tablets), append(m.passed, r.Passed), append(m.ticks, r.Ticks)
	m.work, m.confirmed, m.signed = append(m.work, r.Work), append(m.confirmed, r.Confirmed), append(m.signed, r.Signed)
	m.measured, m.findings = append(m.measured, r.Measured), append(m.findings, r.Findings)
	m.repairs, m.photos = append(m.repairs, r.Repairs), append(m.photos, r.Photos)
}

// drawn is a record out of few keys, stamps and words, so that two of them often disagree and often tie.
func drawn(t *rapid.T, label string) *Record {
	pick := func(of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }
	stamp := func() Stamp {
		return Stamp{At: rapid.Int64Range(1, 3).Draw(t, label), Tablet: pick(tabletA, tabletB), By: pick("", "Ada", "Äda")}
	}
	yes := func() bool { return rapid.Bool().Draw(t, label) }
	r := &Record{
		Format: Format, Version: Version, Job: pick(jobName, "k0000000000000000000000001"), Procedure: "p", Variant: pick("", "belt"),
		Edition: pick("1", "2"), Content: pick("0000000000000000", "ffffffffffffffff"), Machine: Entry[string]{pick("", "No. 4"), stamp()},
	}
	many := func(put func(key string)) {
		for _, key := range []string{"out/a", "back/a", "out/b"} {
			if yes() {
				put(key)
			}
		}
	}
	many(func(k string) {
		set(&r.Tablets, k, Tablet{Learner: pick("Ada", "Ben"), Phase: Removal, Stamp: stamp()})
	})
	many(func(k string) { set(&r.Passed, k, Entry[bool]{yes(), stamp()}) })
	many(func(k string) { set(&r.Ticks, k, Entry[bool]{yes(), stamp()}) })
	many(func(k string) { set(&r.Work, k, Interval{1, rapid.Int64Range(1, 3).Draw(t, label)}) })
	many(func(k string) { set(&r.Confirmed, k, Confirmation{Given: yes(), Text: pick("", "T"), Stamp: stamp()}) })
	many(func(k string) {
		set(&r.Signed, k, Signature{Who: pick("T", "U"), At: rapid.Int64Range(1, 2).Draw(t, label), Key: pick("a", "b")})
	})
	many(func(k string) {
		set(&r.Measured, k, Measurement{Look: "Width", Value: pick("", "1", "2"), Unit: "mm", Stamp: stamp()})
	})
	many(func(k string) {
		set(&r.Findings, k, Finding{Kind: Worn, Severity: Watch, Words: pick("", "loose"), Withdrawn: yes(), Stamp: stamp()})
	})
	many(func(k string) { set(&r.Repairs, k, Repair{Done: yes(), Note: pick("", "done"), Stamp: stamp()}) })
	many(func(k string) { set(&r.Photos, k, Photo{Type: PhotoType, Width: 1, Height: 1, Data: pick("", "QQ==")}) })
	return r
}

func set[T any](m *map[string]T, key string, value T) {
	if *m == nil {
		*m = map[string]T{}
	}
	(*m)[key] = value
}

func TestMergeIsASemilattice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := drawn(t, "a"), drawn(t, "b"), drawn(t, "c")
		told := func(r *Record) string {
			data, err := r.Write()
			assert.NilError(t, err)
			return string(data)
		}
		before := told(a) + told(b)
		ab := told(Merge(a, b))
		if want := told(slowly(a, b)); ab != want {
			t.Fatalf("merged\n%s\nthe oracle says\n%s", ab, want)
		}
		if told(a)+told(b) != before {
			t.Fatal("merging has changed what was merged")
		}
		if ba := told(Merge(b, a)); ba != ab {
			t.Fatalf("the order counts:\n%s\n%s", ab, ba)
		}
		if x := told(Merge(Merge(a, b), b)); x != ab {
			t.Fatalf("merging twice changes it:\n%s\n%s", ab, x)
		}
		left, right := told(Merge(Merge(a, b), c)), told(Merge(a, Merge(b, c)))
		if left != right || left != told(slowly(c, a, b)) {
			t.Fatalf("the grouping counts:\n%s\n%s", left, right)
		}
	})
}

// mergeCase is one case that the page's script is tested against too.
type mergeCase struct {
	// Says is what the case is about.
	Says string  `json:"says"`
	A    *Record `json:"a"`
	B    *Record `json:"b"`
	Want *Record `json:"want"`
}

func TestSharedMergeCases(t *testing.T) {
	names, err := filepath.Glob("testdata/merge/*.json")
	if err != nil || len(names) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, name := range names {
		data, err := os.ReadFile(name)
		assert.NilError(t, err)
		var c mergeCase
		if err := json.Unmarshal(data, &c); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, r := range []*Record{c.A, c.B} {
			if _, err := Read(written(t, r)); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		want := string(written(t, c.Want))
		for order, got := range map[string]*Record{"a with b": Merge(c.A, c.B), "b with a": Merge(c.B, c.A), "a again": Merge(c.A, Merge(c.A, c.B))} {
			if string(written(t, got)) != want {
				t.Errorf("%s, %s (%s):\n%s", name, order, c.Says, cmp.Diff(c.Want, got, cmpopts.EquateEmpty()))
			}
		}
	}
}

func TestFits(t *testing.T) {
	a := sample(t)
	for _, c := range []struct {
		change           func(*Record)
		want             string
		procedure, apart bool
	}{
		{func(r *Record) { r.Edition = "4" }, "", false, false},
		{func(r *Record) { r.Job = "k0000000000000000000000001" }, "of the job", false, true},
		{func(r *Record) { r.Variant = "chain" }, `variant "belt", the other of "chain"`, true, true},
		{func(r *Record) { r.Procedure = "oven" }, `procedure "mixer-gearbox-out", the other of "oven"`, true, true},
	} {
		b := sample(t)
		c.change(b)
		err := a.Fits(b)
		if !c.apart {
			if err != nil {
				t.Error(err)
			}
			continue
		}
		other, ok := err.(*OtherJobError)
		if !ok || other.Procedure != c.procedure || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v, want %s", err, c.want)
		}
	}
}
