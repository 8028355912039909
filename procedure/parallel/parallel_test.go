package parallel

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

func names(n int) (out []string) {
	for i := range n {
		out = append(out, fmt.Sprintf("file%d.md", i))
	}
	return out
}

func TestEachDoesEveryInputOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		times := make([]int, n)
		Each(names(n), func(i int) { times[i]++ })
		if slices.ContainsFunc(times, func(k int) bool { return k != 1 }) {
			t.Errorf("%d inputs: done %v times", n, times)
		}
	}
}

func TestPanicNamesItsInput(t *testing.T) {
	breaks := func(i int) {
		if i == 7 {
			panic("broken")
		}
	}
	for name, work := range map[string]func(){
		"Each":  func() { Each(names(20), breaks) },
		"Start": func() { Start("file7.md", func() { breaks(7) })() },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				fault, ok := recover().(*Fault)
				if !ok || fault.Input != "file7.md" || fault.Error() != "file7.md: broken" {
					t.Fatalf("the panic was %v", fault)
				}
				if !strings.Contains(string(fault.Stack), "parallel_test.go") {
					t.Errorf("the stack does not lead to the fault:\n%s", fault.Stack)
				}
			}()
			work()
			t.Error("it came back")
		})
	}
}

func TestAsideIsDoneOnceWaitedFor(t *testing.T) {
	done := 0
	wait := Start("file.md", func() { done++ })
	if wait(); done != 1 {
		t.Errorf("done %d times", done)
	}
}
