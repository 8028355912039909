package refit

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
	"matchmark/procedure/text"
)

// drawValue sets a value to something of its type; few choices, so that variants have much in common.
func drawValue(t *rapid.T, v reflect.Value) {
	word := func() string { return rapid.SampledFrom([]string{"", "hub", "hood"}).Draw(t, "word") }
	switch x := v.Addr().Interface().(type) {
	case *procedure.Prose:
		if words := word(); words != "" {
			*x = procedure.Words(text.Span{}, words)
		}
		return
	case *measure.Quantity:
		*x = rapid.SampledFrom([]measure.Quantity{{}, measure.Must("45 cm"), measure.Must("75 cm")}).Draw(t, "quantity")
		return
	case *procedure.When:
		return // a block in a condition is another way through the job
	case **procedure.Action:
		*x = &procedure.Action{Verb: procedure.Inspect, Object: procedure.Ref{ID: "hub"}}
		drawValue(t, reflect.ValueOf(&(*x).Reason).Elem())
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for _, f := range procedure.FieldsOf(v.Type()) {
			drawValue(t, f.In(v))
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), rapid.IntRange(0, 2).Draw(t, "length"), 2))
		for i := range v.Len() {
			drawValue(t, v.Index(i))
		}
	case reflect.String:
		v.SetString(word())
	case reflect.Int:
		v.SetInt(int64(rapid.IntRange(0, 2).Draw(t, "number")))
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, "flag"))
	default:
		t.Fatalf("no values for a %s", v.Type())
	}
}

// drawBlocks makes blocks of all kinds, each for all variants or for some.
func drawBlocks(t *rapid.T) []procedure.Block {
	var out []procedure.Block
	for range rapid.IntRange(0, 4).Draw(t, "blocks") {
		b := rapid.SampledFrom(procedure.Kinds()).Draw(t, "kind").New()
		drawValue(t, reflect.ValueOf(b).Elem())
		b.Base().Variants = statetest.Refs(rapid.SampledFrom([]string{"", "belt", "chain", "belt,gear", "chain,gear"}).Draw(t, "variants"))
		out = append(out, b)
		if rapid.Bool().Draw(t, "a twin") {
			// The same for other variants but for one field: what no list of fields must forget.
			twin := procedure.Clone(b)
			f := rapid.SampledFrom(procedure.FieldsOf(reflect.TypeOf(b).Elem())).Draw(t, "field")
			drawValue(t, f.In(reflect.ValueOf(twin).Elem()))
			b.Base().Variants, twin.Base().Variants = statetest.Refs("belt"), statetest.Refs("chain,gear")
			out = append(out, twin)
		}
	}
	return out
}

// What is published for a variant is what was derived, and judged, for it: block by block, with all fields.
func TestJoinedIsWhatWasDerived(t *testing.T) {
	machine := statetest.Machine(`
variant belt
variant chain
variant gear
base frame
part hood 12
part hub 6 under=hood
bolt 1 hood frame
nut 2 hub frame torque=40
bolt 3 hub frame variants=chain,gear
`)
	words := func(key string, args ...any) string { return key }
	rapid.Check(t, func(t *rapid.T) {
		lines := []string{"loose: loosen 1; remove 1", "hood: remove hood", "nut variants=" +
			rapid.SampledFrom([]string{"belt", "belt,chain", ""}).Draw(t, "nut's variants") + ": remove 2", "hub: remove hub"}
		lines = lines[:rapid.IntRange(1, len(lines)).Draw(t, "steps")]
		p := statetest.Procedure(machine, strings.Join(lines, "\n"))
		for _, s := range p.Steps {
			s.Blocks = append(drawBlocks(t), s.Blocks...)
		}
		var add Additions
		for _, id := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"hood-back", "look", "hub-back", "tidy"}), 0, 3, rapid.ID[string]).Draw(t, "own steps") {
			add.Steps = append(add.Steps, &procedure.Step{
				ID: id, Title: id, Blocks: drawBlocks(t), Variants: statetest.Refs(rapid.SampledFrom([]string{"", "belt", "chain,gear"}).Draw(t, "variants")),
				After: statetest.Refs(rapid.SampledFrom([]string{"", "hood-back"}).Draw(t, "after")),
			})
		}
		var ways []*state.Trace
		var jobs []*procedure.Job
		for _, job := range p.Jobs() {
			ways = append(ways, Run(state.Run(job), add, words))
			jobs = append(jobs, ways[len(ways)-1].Job)
		}
		back := Join(p, jobs, words)
		for i, joined := range back.Jobs() {
			derived := ways[i].Job
			if len(derived.Steps) != len(joined.Steps) {
				t.Fatalf("%s: %d steps, want %d", joined.Variant.ID, len(joined.Steps), len(derived.Steps))
			}
			for k, want := range derived.Steps {
				got := joined.Steps[k]
				if got.Title != want.Title || got.Time != want.Time || got.People != want.People || got.SafeStop != want.SafeStop || got.Figure != want.Figure ||
					!reflect.DeepEqual(got.Needs, want.Needs) || !reflect.DeepEqual(got.Tools, want.Tools) {
					t.Fatalf("%s: step %s is %+v, want %+v", joined.Variant.ID, got.ID, got, want)
				}
				if !slices.EqualFunc(got.Blocks, want.Blocks, func(a, b procedure.Block) bool { return reflect.DeepEqual(bare(a), bare(b)) }) {
					t.Fatalf("%s: the blocks of step %s are %+v, want %+v", joined.Variant.ID, got.ID, got.Blocks, want.Blocks)
				}
			}
			// What rules and pages see of the machine is then the same too.
			if again := state.Run(p.Jobs()[i]).Then(joined); !slices.Equal(state.Differences(again.Start, again.End()), state.Differences(ways[i].Start, ways[i].End())) {
				t.Fatalf("%s: the machine ends in another state", joined.Variant.ID)
			}
		}
	})
}

// bare is a copy of a block without places in the source, which differ where two variants say the same.
func bare(b procedure.Block) procedure.Block {
	c := procedure.Clone(b)
	unplace(reflect.ValueOf(c).Elem())
	return c
}

func unplace(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if name := v.Type().Field(i).Name; strings.HasSuffix(name, "Span") {
				v.Field(i).SetZero()
			} else if v.Type().Field(i).IsExported() {
				unplace(v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			unplace(v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			unplace(v.Elem())
		}
	}
}

// The one action of a step that two variants do in two ways stays on both: no field of a block makes it the other's.
func TestVariantBlocksStayApart(t *testing.T) {
	machine := statetest.Machine("variant belt\nvariant chain\nbase frame\npart hub 6\nbolt 1 hub frame\n")
	p := statetest.Procedure(machine, "off: remove 1; remove hub")
	fit := func(variant, reach string) procedure.Block {
		return &procedure.ActionList{
			Common: procedure.Common{Variants: statetest.Refs(variant)}, Lift: procedure.HandLift{Reach: measure.Must(reach)},
			Actions: []*procedure.Action{{Verb: procedure.Fit, Object: procedure.Ref{ID: "hub"}}},
		}
	}
	for _, reach := range []string{"75 cm", "45 cm"} {
		own := &procedure.Step{ID: "off-back", Title: "Put the hub on", Blocks: []procedure.Block{fit("belt", "45 cm"), fit("chain", reach)}}
		back := Derive(p, Additions{Steps: []*procedure.Step{own}}, func(key string, _ ...any) string { return key })
		for i, want := range []string{"45 cm", reach} {
			blocks := back.Jobs()[i].Steps[0].Blocks
			list, ok := blocks[0].(*procedure.ActionList)
			if !ok || len(list.Actions) != 1 || list.Lift.Reach.String() != want {
				t.Errorf("%s: %+v, want a lift with a reach of %s", machine.Variants[i].ID, blocks, want)
			}
		}
	}
}
