package fitting

import (
	"fmt"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

func drives(d ...string) procedure.Fitting { return procedure.Fitting{Drives: d} }

func torques(low, high string) procedure.Fitting {
	return procedure.Fitting{Low: measure.Must(low), High: measure.Must(high)}
}

func (f *forActs) of(x procedure.Fitting) procedure.Fitting {
	x.Verbs, x.Things = f.verbs, nil
	for _, id := range f.things {
		x.Things = append(x.Things, procedure.Ref{ID: id})
	}
	return x
}

// forActs restricts what a tool fits: "remove, loosen 4, hub".
type forActs struct {
	verbs  []procedure.Verb
	things []string
}

func acts(verbs string, things ...string) *forActs {
	f := &forActs{things: things}
	for _, v := range strings.Fields(verbs) {
		f.verbs = append(f.verbs, procedure.Verb(v))
	}
	return f
}

// shop is a machine with bolts 1 (hex 13, 18 N·m), 2 (hex 18, 80 N·m), 3 (hex 18, 60 N·m), 4 (a pin), a part and a fluid.
func shop(tools map[string]procedure.Fitting, order ...string) *procedure.Machine {
	bolt := func(id, drive, torque string) *procedure.Fastener {
		f := &procedure.Fastener{Row: procedure.Row{ID: id}, Kind: procedure.Bolt, Count: 1, Drive: drive}
		if torque != "" {
			f.Torque = measure.Must(torque)
		}
		return f
	}
	m := &procedure.Machine{
		Fasteners: []*procedure.Fastener{bolt("1", "hex 13 mm", "18 N·m"), bolt("2", "hex 18 mm", "80 N·m"), bolt("3", "hex 18 mm", "60 N·m"), bolt("4", "", "")},
		Parts:     []*procedure.Part{{Row: procedure.Row{ID: "hub"}}},
		Fluids:    []*procedure.Fluid{{Row: procedure.Row{ID: "oil"}}},
	}
	for _, id := range order {
		m.Tools = append(m.Tools, &procedure.Tool{Row: procedure.Row{ID: id}, Kind: procedure.HandTool, Use: tools[id]})
	}
	m.Index()
	return m
}

func step(listed string, lines ...string) *procedure.Step {
	s := &procedure.Step{ID: "s", FindTools: true}
	for _, id := range strings.Fields(listed) {
		s.Listed = append(s.Listed, procedure.Ref{ID: id})
	}
	list := &procedure.ActionList{}
	for _, line := range lines {
		words := strings.Fields(line)
		a := &procedure.Action{Verb: procedure.Verb(words[0]), Object: procedure.Ref{ID: words[1]}}
		if len(words) > 3 {
			a.With = []procedure.Ref{{ID: words[3]}}
		}
		list.Actions = append(list.Actions, a)
	}
	s.Blocks = []procedure.Block{list}
	return s
}

func TestTools(t *testing.T) {
	all := map[string]procedure.Fitting{
		"ratchet":   acts("loosen remove").of(torques("0 N·m", "50 N·m")),
		"bar":       acts("loosen remove").of(torques("40 N·m", "400 N·m")),
		"socket-13": drives("hex 13 mm"),
		"socket-18": drives("hex  18  mm"),
		"crowfoot":  acts("tighten", "3").of(drives("hex 18 mm")),
		"small":     torques("5 N·m", "60 N·m"),
		"large":     torques("40 N·m", "200 N·m"),
		"puller":    acts("remove", "hub").of(procedure.Fitting{}),
		"marker":    acts("mark").of(procedure.Fitting{}),
		"pliers":    acts("", "4").of(procedure.Fitting{}),
	}
	order := []string{"torch", "can", "ratchet", "bar", "socket-13", "socket-18", "crowfoot", "small", "large", "puller", "marker", "pliers"}
	m := shop(all, order...)
	for _, c := range []struct{ listed, acts, want string }{
		{"", "remove 1", "ratchet socket-13"},
		{"", "remove 2", "bar socket-18"},
		{"torch", "loosen 1; remove 2", "torch ratchet bar socket-13 socket-18"},
		{"", "tighten 1", "socket-13 small"},
		{"", "tighten 2", "socket-18 large"},
		{"", "fit 1", ""},                                        // by hand
		{"", "tighten 3", "crowfoot small"},                      // kept for it, and the finer wrench
		{"", "tighten 3; tighten 2", "socket-18 crowfoot large"}, // one wrench for both
		{"", "tighten 2; tighten 3", "socket-18 crowfoot large"}, // in whatever order
		{"large", "tighten 3", "crowfoot large"},                 // what is listed goes first
		{"socket-18", "remove 2", "socket-18"},                   // and brings its own handle
		{"", "remove hub; mark hub", "puller marker"},
		{"", "fit hub", ""},
		{"", "remove 4; fit 4", "pliers"},
		{"torch", "drain oil into can", "torch can"},
		{"pliers hoist torch", "fit 1", "torch pliers hoist"}, // in the order of the register, and what is no tool behind it
	} {
		got, faults := Tools(m, step(c.listed, strings.Split(c.acts, "; ")...))
		var ids []string
		for _, r := range got {
			ids = append(ids, r.ID)
		}
		if strings.Join(ids, " ") != c.want || len(faults) > 0 {
			t.Errorf("%q, listed %q: %v, want %s; faults %v", c.acts, c.listed, ids, c.want, faults)
		}
	}
}

func TestWhatDoesNotFit(t *testing.T) {
	two := map[string]procedure.Fitting{"a": drives("hex 13 mm"), "b": drives("hex 13 mm"), "c": torques("1 N·m", "20 N·m"), "d": torques("2 N·m", "20 N·m")}
	for _, c := range []struct{ listed, act, want string }{
		{"", "remove 1", "1 false a b"},
		{"b", "remove 1", ""},
		{"b", "tighten 1", "1 true c d"},
		{"b d", "tighten 1", ""},
		{"", "loosen 2", "2 false"},
		{"", "tighten 2", "2 false, 2 true"},
		{"", "remove 4", ""},
	} {
		_, faults := Tools(shop(two, "a", "b", "c", "d"), step(c.listed, c.act))
		var got []string
		for _, f := range faults {
			words := fmt.Sprint(f.Fastener.ID, " ", f.Torque)
			for _, tool := range f.Alike {
				words += " " + tool.ID
			}
			got = append(got, words)
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("%s, listed %q: %q, want %q", c.act, c.listed, got, c.want)
		}
	}
}

// A register that says nothing of what its tools fit, and an author who wants none, are left alone.
func TestNothingIsFilledIn(t *testing.T) {
	s := step("b a", "remove 1")
	if got, faults := Tools(shop(nil, "a", "b"), s); fmt.Sprint(got) != fmt.Sprint(s.Listed) || len(faults) > 0 {
		t.Errorf("%v, %v", got, faults)
	}
	s = step("", "remove 1")
	s.FindTools = false
	if got, faults := Tools(shop(map[string]procedure.Fitting{"a": drives("hex 13 mm")}, "a"), s); got != nil || faults != nil {
		t.Errorf("%v, %v", got, faults)
	}
}

// A tool of another variant than the act's does not come into question.
func TestVariants(t *testing.T) {
	m := shop(map[string]procedure.Fitting{"a": drives("hex 13 mm"), "b": drives("hex 13 mm")}, "a", "b")
	m.Tools[0].Variants = []procedure.Ref{{ID: "belt"}}
	m.Tools[1].Variants = []procedure.Ref{{ID: "chain"}}
	s := step("", "remove 1")
	s.Blocks[0].Base().Variants = []procedure.Ref{{ID: "chain"}}
	if got, faults := Tools(m, s); len(got) != 1 || got[0].ID != "b" || len(faults) > 0 {
		t.Errorf("%v, %v", got, faults)
	}
}
