package main

import (
	"fmt"
	"strconv"
	"strings"

	"matchmark/procedure/learning"
	"matchmark/procedure/revise"
)

// learningFlags say how learners get faster.
type learningFlags struct {
	Learning     string `placeholder:"PERCENT" help:"Learning rate, such as 85: with every doubling of the repetitions the time falls to 85 percent. Without it nobody gets faster."`
	LearningForm string `enum:"crawford,wright" default:"crawford" help:"What falls: the time of the single repetition (crawford) or the average of all so far (wright)."`
	Stated       int    `default:"1" placeholder:"N" help:"The repetition that the library's times stand for: 1 for somebody who does the job for the first time."`
}

// curve reads the flags.
func (f *learningFlags) curve() (learning.Curve, error) {
	if f.Stated < 1 {
		return learning.Curve{}, &failure{code: exitUsage, problem: fmt.Sprintf("--stated %d: repetitions are counted from 1", f.Stated)}
	}
	if f.Learning == "" {
		return learning.Curve{}, nil
	}
	percent, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(f.Learning, "%")), 64)
	wrong := &failure{code: exitUsage, problem: fmt.Sprintf("--learning %q is no learning rate", f.Learning), do: "write a percentage above 50 and up to 100, such as 85"}
	if err != nil {
		return learning.Curve{}, wrong
	}
	out, err := learning.New(learning.Form(f.LearningForm), percent/100)
	if err != nil {
		return learning.Curve{}, wrong
	}
	return out, nil
}

// practice is how records of several repetitions are made alike.
func (f *learningFlags) practice() (revise.Practice, error) {
	curve, err := f.curve()
	return revise.Practice{Curve: curve, Stated: f.Stated}, err
}
