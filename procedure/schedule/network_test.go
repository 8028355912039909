package schedule

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/order"
	"matchmark/procedure/published"
	"matchmark/procedure/state"
	"matchmark/procedure/state/statetest"
)

// publishedNetwork builds the network of a table with the columns activity, a, m, b and pred.
func publishedNetwork(t *testing.T, file string) (*Network, []published.Row) {
	rows := published.Rows(t, file)
	at := map[string]int{}
	for i, r := range rows {
		at[r["activity"]] = i
	}
	graph := order.NewGraph(len(rows))
	var activities []Activity
	for i, r := range rows {
		activities = append(activities, Activity{Name: r["activity"], Time: estimate(t, r)})
		for _, before := range strings.Fields(r["pred"]) {
			graph.Add(at[before], i)
		}
	}
	return network(t, activities, graph), rows
}

func network(t testing.TB, activities []Activity, graph *order.Graph) *Network {
	t.Helper()
	sorted, err := graph.Sorted()
	if err != nil {
		t.Fatal(err)
	}
	next := make([][]int, graph.N)
	for _, e := range graph.Edges() {
		next[e.From] = append(next[e.From], e.To)
	}
	return link(activities, sorted, next)
}

func networkOf(job *procedure.Job) *Network { return Ordered(job, order.NewPrecedence(state.Run(job))) }

func (n *Network) Simulate() *Simulation { return Simulate(n)[0] }

func (n *Network) SimulatedForecast() *Forecast { return n.Forecast(n.Times(), n.Simulate()) }

func (n *Network) Roster(crew int) (*Roster, error) { return n.Sharing().Roster(crew, exactPartial) }

func names(n *Network, path []int) string {
	var out []string
	for _, i := range path {
		out = append(out, n.Activities[i].Name)
	}
	return strings.Join(out, "-")
}

// Source: worked example of 14 activities, wizedu.com/questions/717873 (inputs, te, sd and the times of A to F
// as published; the other times, the path and the chances computed with R 4.2.2).
func TestTimesOfPublishedNetwork(t *testing.T) {
	n, rows := publishedNetwork(t, "02_pert_network.csv")
	times := n.Times()
	for i, w := range times.Windows {
		got := map[string]float64{"ES": w.EarlyStart, "EF": w.EarlyFinish, "LS": w.LateStart, "LF": w.LateFinish, "slack": w.Slack}
		for _, column := range []string{"ES", "EF", "LS", "LF", "slack"} {
			if !near(got[column], rows[i].Number(t, column), 5.1e-4) {
				t.Errorf("%s: %s is %.4f, want %s", rows[i]["activity"], column, got[column], rows[i][column])
			}
		}
		if w.Critical != (rows[i]["slack"] == "0") {
			t.Errorf("%s: critical is %v", rows[i]["activity"], w.Critical)
		}
	}
	if got := names(n, times.Path); got != "A-C-E-H-I-K-M-N" {
		t.Errorf("critical path %s", got)
	}
	if !near(times.Length, 50.8333, 5e-5) || !near(times.Variance, 11.1944, 5e-5) || !near(times.Deviation, 3.3458, 5e-5) {
		t.Errorf("length %.4f, variance %.4f, deviation %.4f", times.Length, times.Variance, times.Deviation)
	}
	if p := times.Normal(53); !near(p, 0.7414, 5e-5) {
		t.Errorf("P(53) is %.4f", p)
	}
	if p := times.Normal(55); !near(p, 0.8935, 5e-5) {
		t.Errorf("P(55) is %.4f", p)
	}
}

// Source: banquet problem of 8 activities, tutorsglobe.com (inputs as published; path and chance computed with Python 3).
func TestTimesOfSecondNetwork(t *testing.T) {
	n, _ := publishedNetwork(t, "02_pert_more_inputs.csv")
	times := n.Times()
	if got := names(n, times.Path); got != "B-C-D-F-H" {
		t.Errorf("critical path %s", got)
	}
	if p := times.Normal(25); !near(times.Length, 26.1667, 5e-5) || !near(times.Variance, 1.8611, 5e-5) || !near(p, 0.1962, 5e-5) {
		t.Errorf("length %.4f, variance %.4f, P(25) %.4f", times.Length, times.Variance, p)
	}
}

// jackson is the 11-task network of Jackson (1956), from the data set of Scholl (1993). Its times were computed with Python 3.
func jackson(t *testing.T) (*Network, []jacksonTask) {
	var data struct {
		Tasks      map[string]float64 `json:"tasks"`
		Precedence [][2]int           `json:"precedence"`
		Schedule   []jacksonTask      `json:"schedule"`
	}
	published.JSON(t, "12_precedence_jackson11.json", &data)
	graph := order.NewGraph(len(data.Tasks))
	activities := make([]Activity, len(data.Tasks))
	for i := range activities {
		name := strconv.Itoa(i + 1)
		activities[i] = Activity{Name: name, Time: fixed(data.Tasks[name])}
	}
	for _, p := range data.Precedence {
		graph.Add(p[0]-1, p[1]-1)
	}
	return network(t, activities, graph), data.Schedule
}

type jacksonTask struct{ ES, EF, LS, LF, Slack float64 }

func fixed(minutes float64) procedure.Estimate {
	return procedure.Estimate{Optimistic: minutes, Likely: minutes, Pessimistic: minutes}
}

func TestTimesOfJackson(t *testing.T) {
	n, want := jackson(t)
	times := n.Times()
	if times.Length != 25 || times.Deviation != 0 || len(want) != 11 {
		t.Fatalf("length %v, deviation %v, %d tasks", times.Length, times.Deviation, len(want))
	}
	for i, w := range times.Windows {
		if got := (jacksonTask{w.EarlyStart, w.EarlyFinish, w.LateStart, w.LateFinish, w.Slack}); got != want[i] {
			t.Errorf("task %d: %+v, want %+v", i+1, got, want[i])
		}
	}
	// Worked by hand from the schedule: 6 ends at 10 and only 8 follows, at 10; 3 ends at 11 and 7 starts at 13; 5 ends at 7.
	for task, free := range map[int]float64{6: 0, 3: 2, 5: 6, 11: 0} {
		if got := times.Windows[task-1].FreeSlack; got != free {
			t.Errorf("task %d: free slack %v, want %v", task, got, free)
		}
	}
	if times.Normal(24.9) != 0 || times.Normal(25) != 1 {
		t.Error("a time without spread is certain")
	}
}

func TestEquallyLongPathsTheLessCertainCounts(t *testing.T) {
	n := parallel(t, procedure.Estimate{Optimistic: 9, Likely: 10, Pessimistic: 11}, procedure.Estimate{Optimistic: 4, Likely: 10, Pessimistic: 16})
	if times := n.Times(); names(n, times.Path) != "1" || times.Deviation != 2 {
		t.Errorf("path %s, deviation %v", names(n, times.Path), times.Deviation)
	}
}

// parallel is a network of activities without any order.
func parallel(t testing.TB, times ...procedure.Estimate) *Network {
	var activities []Activity
	for i, e := range times {
		activities = append(activities, Activity{Name: strconv.Itoa(i), Time: e})
	}
	return network(t, activities, order.NewGraph(len(activities)))
}

func TestEmptyNetwork(t *testing.T) {
	n := network(t, nil, order.NewGraph(0))
	if f := n.SimulatedForecast(); f.Times.Length != 0 || f.By(0).Normal != 1 || f.By(0).Simulated != 1 {
		t.Errorf("%+v", f)
	}
	if r, err := n.Roster(1); err != nil || r.Length != 0 || !r.Shortest || r.Gap != 0 {
		t.Errorf("%+v, %v", r, err)
	}
}

const shop = `
base frame
part gearbox 60
part hood 6
bolt 1 hood frame
bolt 2 gearbox frame
bolt 3 gearbox frame
bolt 4 gearbox frame
hoist hoist 250
hands hands 20
tool wrench
tool torch
`

func TestNetworkOfJob(t *testing.T) {
	job := statetest.Job(shop, strings.Join([]string{
		"look: inspect 2",
		"a people=2: remove 1",
		"b: remove 2",
		"on: support gearbox with hoist",
		"c: remove 3",
		"d: remove 4",
		"off: release gearbox from hoist",
		"tidy: clean frame",
	}, "\n"))
	job.Machine.Thing("wrench").Tool.Single = true
	use := func(step string, tools ...string) {
		for _, id := range tools {
			job.Step(step).Tools = append(job.Step(step).Tools, procedure.Ref{ID: id})
		}
	}
	use("look", "hoist", "hands")
	use("a", "torch", "wrench", "wrench")
	use("b", "wrench", "nothing")
	n := networkOf(job)

	var got []string
	for _, a := range n.Activities {
		var ids []string
		for _, t := range a.Uses {
			ids = append(ids, t.ID)
		}
		got = append(got, fmt.Sprintf("%s %d %s", a.Step.ID, a.crew(), strings.Join(ids, ",")))
	}
	if want := []string{"look 1 hoist", "a 2 torch,wrench", "b 1 wrench", "on 1 hoist", "c 1 ", "d 1 ", "off 1 hoist", "tidy 1 "}; !slices.Equal(got, want) {
		t.Errorf("activities\n%q, want\n%q", got, want)
	}
	// The hoist is looked at before it goes on, although nothing that the actions do asks for it.
	if !n.before(0, 3) || !n.before(0, 6) || n.before(0, 4) {
		t.Error("a step that lists a support keeps its place among those that use it")
	}
}

func TestNoughtIsExact(t *testing.T) {
	if nought(1e-12) != 0 || nought(-1e-12) != 0 || nought(1e-6) == 0 || math.Signbit(nought(math.Copysign(0, -1))) {
		t.Error("what sums leave over is nothing")
	}
}

// Slow: a network's ways are tried one by one.
func TestTimesByEveryWay(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 15))
	ties := 0
	for range 150 {
		n := randomNetwork(t, r, 1+r.IntN(9), 1, 0)
		for i := range n.Activities { // of the same expected time, and more or less certain
			span := float64(r.IntN(3)) / 2
			n.Activities[i].Time.Optimistic -= span
			n.Activities[i].Time.Pessimistic += span
		}
		var ways [][]int
		var walk func(way []int)
		walk = func(way []int) {
			next := n.next[way[len(way)-1]]
			for _, j := range next {
				walk(append(slices.Clone(way), j))
			}
			if len(next) == 0 {
				ways = append(ways, way)
			}
		}
		for i := range n.Activities {
			if len(n.prev[i]) == 0 {
				walk([]int{i})
			}
		}
		of := func(way []int) (length, variance float64) {
			for _, i := range way {
				length += float64(minutesOf(n, i))
				variance += math.Pow(Deviation(n.Activities[i].Time), 2)
			}
			return length, variance
		}
		longest, least := 0.0, 0.0 // the longest way, and the largest variance of such
		long := 0
		for _, way := range ways {
			length, variance := of(way)
			if length > longest {
				longest, least, long = length, 0, 0
			}
			if length == longest {
				least = max(least, variance)
				long++
			}
		}
		if long > 1 {
			ties++
		}
		times := n.Times()
		length, variance := of(times.Path)
		if !near(times.Length, longest, 1e-9) || !near(length, longest, 1e-9) || !near(variance, least, 1e-9) || !near(times.Variance, least, 1e-9) || !near(times.Deviation, math.Sqrt(least), 1e-9) {
			t.Fatalf("path %v of %v ± %v, want %v ± %v", times.Path, length, math.Sqrt(variance), longest, math.Sqrt(least))
		}
		for i, w := range times.Windows {
			to, from := float64(wayTo(n, i)), float64(wayFrom(n, i))
			free := longest // the earliest start of what follows
			for _, j := range n.next[i] {
				free = min(free, float64(wayTo(n, j)))
			}
			if !near(w.EarlyStart, to, 1e-9) || !near(w.EarlyFinish, to+w.Expected, 1e-9) || !near(w.LateFinish, longest-from, 1e-9) || !near(w.LateStart, longest-from-w.Expected, 1e-9) ||
				w.Slack != nought(longest-from-w.Expected-to) || w.FreeSlack != nought(free-to-w.Expected) || w.Critical != (w.Slack == 0) {
				t.Fatalf("%+v; %v before it, %v after it, %v in all", w, to, from, longest)
			}
		}
	}
	if ties < 10 {
		t.Errorf("only %d networks had several longest ways", ties)
	}
}

// What takes no time is on the critical path like all else.
func TestPathsLeadThroughWhatTakesNoTime(t *testing.T) {
	if path := row(t, fixed(0), fixed(5), fixed(0)).Times().Path; !slices.Equal(path, []int{0, 1, 2}) {
		t.Errorf("path %v", path)
	}
}

// Where a support is listed among a step's tools, the step stays where it was written.
func TestListedSupportsKeepTheirPlace(t *testing.T) {
	job := statetest.Job(shop, "on: support gearbox with hoist\nlook tools=hoist: inspect 2\noff: release gearbox from hoist\nagain tools=hoist,torch: inspect 3\nboth tools=hoist: support gearbox with hoist")
	n := networkOf(job)
	for _, c := range []struct {
		from, to int
		before   bool
	}{{0, 1, true}, {1, 2, true}, {2, 3, true}, {0, 3, true}, {1, 3, true}, {3, 4, true}, {1, 4, true}} {
		if n.before(c.from, c.to) != c.before {
			t.Errorf("%d before %d: %v", c.from, c.to, !c.before)
		}
	}
	// Without the support in their lists, nothing says so.
	n = networkOf(statetest.Job(shop, "on: support gearbox with hoist\nlook: inspect 2\noff: release gearbox from hoist"))
	if n.before(0, 1) || n.before(1, 2) || !n.before(0, 2) {
		t.Error("a look that needs no support is in a fixed order")
	}
}

func TestNetworksOfNothing(t *testing.T) {
	job := &procedure.Job{Steps: []*procedure.Step{{ID: "a", Title: "A", Tools: []procedure.Ref{{ID: "hoist"}}}}}
	if n := networkOf(job); len(n.Activities) != 1 || n.Activities[0].Name != "A" || len(n.Activities[0].Uses) != 0 {
		t.Errorf("without a machine: %+v", n.Activities)
	}
}

func TestSetsOfNumbers(t *testing.T) {
	for _, limit := range []int{1, 63, 64, 65, 128, 129} {
		r := rand.New(rand.NewPCG(16, uint64(limit)))
		sets := newSets(3, limit)
		in := [3]map[int]bool{{}, {}, {}}
		for k := range sets {
			for range limit / 2 {
				i := r.IntN(limit)
				sets[k].add(i)
				in[k][i] = true
			}
			sets[k].add(limit - 1)
			in[k][limit-1] = true
		}
		all := true
		for i := range in[1] {
			all = all && in[0][i]
		}
		if sets[0].hasAll(sets[1]) != all || !sets[0].hasAll(sets[0]) {
			t.Errorf("below %d: %v holds all of %v: %v", limit, in[0], in[1], !all)
		}
		sets[2].join(sets[0])
		for i := range limit {
			if sets[0].has(i) != in[0][i] || sets[1].has(i) != in[1][i] || sets[2].has(i) != (in[0][i] || in[2][i]) {
				t.Errorf("below %d: %d is in %v, %v, %v", limit, i, sets[0].has(i), sets[1].has(i), sets[2].has(i))
			}
		}
		if !sets[2].hasAll(sets[0]) || sets[0].size() != len(in[0]) {
			t.Errorf("below %d: %d numbers, want %d", limit, sets[0].size(), len(in[0]))
		}
	}
}

// Slacks says the same as Times, by another way through the network.
func TestSlacksAreThoseOfTimes(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 50 {
		n := uncertain(t, r, 1+r.IntN(40))
		slacks := n.Slacks()
		for i, w := range n.Times().Windows {
			if !near(slacks[i], w.Slack, 1e-9) {
				t.Errorf("slack %v of %s, want %v", slacks[i], w.Activity.Name, w.Slack)
			}
		}
	}
}

// What of a tool limits the work: a tool without a quantity is there once, one in litres too; what is used up
// limits nothing; gloves are taken by each of a step's people, as far as there are any.
func TestHowManyPiecesAStepTakes(t *testing.T) {
	tool := func(kind procedure.ToolKind, quantity string, single bool) *procedure.Tool {
		out := &procedure.Tool{Kind: kind, Single: single}
		if quantity != "" {
			out.Quantity = measure.Must(quantity)
		}
		return out
	}
	for _, c := range []struct {
		tool   *procedure.Tool
		people int
		want   string
	}{
		{tool(procedure.HandTool, "", false), 1, "1 of 1"},
		{tool(procedure.HandTool, "3 pcs", false), 2, "1 of 3"},
		{tool(procedure.HandTool, "3 pcs", true), 2, "1 of 1"},
		{tool(procedure.Container, "10 L", false), 1, "1 of 1"},
		{tool(procedure.Lifting, "2 pcs", false), 1, "1 of 2"},
		{tool(procedure.Protection, "2 pcs", false), 2, "2 of 2"},
		{tool(procedure.Protection, "2 pcs", false), 3, "2 of 2"},
		{tool(procedure.Protection, "4 pcs", false), 0, "1 of 4"},
		{tool(procedure.Protection, "", false), 2, ""},
		{tool(procedure.Consumable, "1 pcs", false), 1, ""},
		{tool(procedure.Marking, "1 pcs", false), 1, ""},
	} {
		c.tool.Row = procedure.Row{ID: "thing", Name: "Thing"}
		m := &procedure.Machine{Tools: []*procedure.Tool{c.tool}}
		m.Index()
		s := &procedure.Step{ID: "a", People: c.people, Tools: []procedure.Ref{{ID: "thing"}, {ID: "thing"}}}
		got := ""
		for _, u := range uses(&procedure.Job{Machine: m, Steps: []*procedure.Step{s}}, s) {
			got += fmt.Sprintf("%d of %d", u.Pieces, u.Count)
		}
		if got != c.want {
			t.Errorf("%s of %s by %d: %q, want %q", c.tool.Kind, c.tool.Quantity, c.people, got, c.want)
		}
	}
}
