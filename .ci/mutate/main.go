// Command mutate measures how much the tests of a package notice: it makes small
// faults in the package, one at a time, and counts those that fail a test.
//
//	go run ./.ci/mutate -seed 7 -n 120 -with procedure/analysis,procedure/sessions procedure/schedule
//
// All places where an operator of operators.go applies are listed in the order of
// files and lines. The list is shuffled by the seed, and mutants are taken from its
// front until there are as many as asked for; what the compiler refuses is passed over and does not count.
//
// Each test binary is built once, with all drawn mutants in it: a mutant is a copy of its function
// that the function calls when the variable MUTANT asks for it. What lies outside of functions
// gets a binary of its own. A mutant is killed when a test of the package fails or takes five times
// as long as all do, or one of the neighbouring packages does (-with). No file of the repository
// is touched: changed files are laid over the others by go test -overlay.
//
// Mutants that change nothing that anybody could see are listed in equivalent.txt with the
// reason. They are drawn and counted like all others; the score is given with and without them.
package main

import (
	_ "embed"
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"strings"
	"syscall"
)

// equivalent lists judged mutants: the file, the line, the line with the change, the reason; separated by tabs.
//
//go:embed equivalent.txt
var equivalent string

func main() {
	log.SetFlags(0)
	seed := flag.Uint64("seed", 1, "of the sample")
	size := flag.Int("n", 120, "mutants to draw; 0 for all")
	with := flag.String("with", "", "neighbouring packages whose tests count too, separated by commas")
	flag.Parse()
	if err := measure(flag.Arg(0), *seed, *size, strings.FieldsFunc(*with, func(r rune) bool { return r == ',' })); err != nil {
		log.Fatal(err)
	}
}

func measure(pkg string, seed uint64, size int, with []string) error {
	// A mutant may ask for all memory that there is, or all the time: other work on the machine goes on.
	const most = 6 << 30
	if err := errors.Join(syscall.Setpriority(syscall.PRIO_PROCESS, 0, 15), syscall.Setrlimit(syscall.RLIMIT_AS, &syscall.Rlimit{Cur: most, Max: most})); err != nil {
		return err
	}
	p, err := load(pkg)
	if err != nil {
		return err
	}
	all, err := p.mutants()
	if err != nil {
		return err
	}
	drawn := p.draw(all, seed, size)
	fmt.Printf("%s: %d mutants listed, %d drawn with seed %d; neighbours %s\n", pkg, len(all), len(drawn), seed, strings.Join(with, " "))

	scratch, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return err
	}
	defer os.RemoveAll(scratch)
	together, alone := p.overlaid(drawn)
	var suites []*suite
	for _, path := range append([]string{pkg}, with...) {
		s, err := newSuite(path, scratch, together)
		if err != nil {
			return err
		}
		suites = append(suites, s)
	}
	killed, same := 0, 0
	for k, m := range drawn {
		was, is := m.line()
		by, err := kill(m, k, alone[k], suites)
		mark := "killed by " + by
		switch {
		case err != nil:
			return err
		case by != "":
			killed++
		case strings.Contains("\n"+equivalent, "\n"+m.file.name+"\t"+was+"\t"+is+"\t"):
			same++
			mark = "EQUIVALENT"
		default:
			mark = "SURVIVED"
		}
		fmt.Printf("%s\t%s\t%s\t%s\n", mark, m.place(), was, is)
	}
	score := func(of int) float64 { return 100 * float64(killed) / float64(max(of, 1)) }
	fmt.Printf("%s: %d of %d killed, %.1f %%; without the %d equivalent ones %.1f %%\n", pkg, killed, len(drawn), score(len(drawn)), same, score(len(drawn)-same))
	return nil
}
