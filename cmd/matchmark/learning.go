package main

import (
	"matchmark/procedure"
	"matchmark/procedure/learning"
	"matchmark/procedure/say"
)

// learningFlags say how learners get faster. What is not given stays as the course has it.
type learningFlags struct {
	Rate     *percent `placeholder:"PERCENT" help:"Learning rate, such as 85: with every doubling of the repetitions the time falls to 85 percent. Without a rate here or in the course, times stay the same."`
	Learning string   `enum:",crawford,wright" default:"" placeholder:"FORM" help:"What the rate applies to: the time of a single repetition (crawford) or the average so far (wright)."`
	Stated   *int     `placeholder:"N" help:"The repetition that the library's times stand for: 1 for somebody who does the job for the first time."`
}

// apply puts what was given over a pace.
func (f *learningFlags) apply(p *procedure.Pace) error {
	if f.Stated != nil {
		if p.Stated = *f.Stated; p.Stated < 1 {
			return &failure{code: exitUsage, problem: say.That("--stated %stated: repetitions are counted from 1", say.Count(p.Stated))}
		}
	}
	curve := p.Learning
	if f.Rate != nil {
		curve.Rate = float64(*f.Rate) / 100
	}
	switch {
	case f.Learning != "":
		curve.Form = learning.Form(f.Learning)
	case curve.Form == "":
		curve.Form = learning.Crawford
	}
	if curve.Rate == 0 && f.Rate == nil {
		return nil // nobody gets faster, whatever the form
	}
	var err error
	if p.Learning, err = learning.New(curve.Form, curve.Rate); err != nil {
		return &failure{code: exitUsage, problem: say.That("--rate %rate is not a valid learning rate", say.Name(number(100*curve.Rate))), do: say.That("write a percentage above 50 and up to 100, such as 85")}
	}
	return nil
}
