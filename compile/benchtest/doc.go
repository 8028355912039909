// Package benchtest plants faults as a mechanic makes them in small sound
// libraries, and reports which of them the check catches. The libraries and the
// faults are data: testdata/bench, whose README.md describes them.
package benchtest
