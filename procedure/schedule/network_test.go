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
	n, err := NewNetwork(activities, graph)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

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

func TestCycleIsAnError(t *testing.T) {
	graph := order.NewGraph(2)
	graph.Add(0, 1)
	graph.Add(1, 0)
	if _, err := NewNetwork(make([]Activity, 2), graph); err == nil {
		t.Error("a cycle has no times")
	}
	if _, err := NewNetwork(make([]Activity, 3), graph); err == nil {
		t.Error("three activities on two nodes")
	}
}

func TestEmptyNetwork(t *testing.T) {
	n := network(t, nil, order.NewGraph(0))
	if f := n.Forecast(); f.Times.Length != 0 || f.By(0).Normal != 1 || f.By(0).Simulated != 1 {
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
	n := Of(state.Run(job))

	var got []string
	for _, a := range n.Activities {
		var ids []string
		for _, t := range a.Uses {
			ids = append(ids, t.ID)
		}
		got = append(got, fmt.Sprintf("%s %d %s", a.Step.ID, a.crew(), strings.Join(ids, ",")))
	}
	if want := []string{"look 1 hoist", "a 2 wrench", "b 1 wrench", "on 1 hoist", "c 1 ", "d 1 ", "off 1 hoist", "tidy 1 "}; !slices.Equal(got, want) {
		t.Errorf("activities\n%q, want\n%q", got, want)
	}
	// The hoist is looked at before it goes on, although nothing that the actions do asks for it.
	if !n.before(0, 3) || !n.before(0, 6) || n.before(0, 4) {
		t.Error("a step that lists a support keeps its place among those that use it")
	}
	if half := n.Scaled(0.5).Activities[0].Time; half.Optimistic != 0.5 || half.Pessimistic != 1.5 || n.Activities[0].Time.Pessimistic != 3 {
		t.Errorf("scaled to %+v", half)
	}
}

func TestNoughtIsExact(t *testing.T) {
	if nought(1e-12) != 0 || nought(-1e-12) != 0 || nought(1e-6) == 0 || math.Signbit(nought(math.Copysign(0, -1))) {
		t.Error("what sums leave over is nothing")
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
