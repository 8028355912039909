package compile

import (
	"matchmark/compile/cache"
	"matchmark/procedure"
	"matchmark/procedure/check"
)

// card is what a compile keeps of a procedure once its pages are made: what other
// pages, and the checks that need the whole library, ask of it.
type card struct {
	id, title, summary, edition string
	steps                       []stepCard
	// back is the refitting; nil when there is none.
	back    *card
	quizzes []quizCard
	// used are the names that the procedure uses of its machine, shown the figures that it shows.
	used  []string
	shown []figureName
}

// stepCard is a step without what it says.
type stepCard struct {
	id, title string
	time      procedure.Estimate
	people    int
	safeStop  bool
	variants  []string
}

// quizCard is a quiz with how many questions it has.
type quizCard struct {
	file, id, title, summary string
	questions                int
}

// figureName names a figure in a library: its file and its name there.
type figureName struct{ file, id string }

// cardOf takes down what is kept of a procedure and its quizzes.
func cardOf(p *procedure.Procedure, quizzes []*procedure.Quiz) *card {
	c := stepsCardOf(p)
	if p.Back != nil {
		c.back = stepsCardOf(p.Back)
	}
	for _, q := range quizzes {
		c.quizzes = append(c.quizzes, quizCard{q.File.Name, q.ID, q.Title, q.Summary, len(q.Questions)})
	}
	c.used = check.UsedBy(p)
	for _, f := range check.ShownBy(p, quizzes) {
		c.shown = append(c.shown, figureName{f.Span.File.Name, f.ID})
	}
	return c
}

func stepsCardOf(p *procedure.Procedure) *card {
	c := &card{id: p.ID, title: p.Title, summary: p.Summary, edition: p.Edition}
	for _, s := range p.Steps {
		step := stepCard{id: s.ID, title: s.Title, time: s.Time, people: s.People, safeStop: s.SafeStop}
		for _, v := range s.Variants {
			step.variants = append(step.variants, v.ID)
		}
		c.steps = append(c.steps, step)
	}
	return c
}

// procedure is the procedure as the pages on the library as a whole see it, on its machine.
func (c *card) procedure(m *procedure.Machine) *procedure.Procedure {
	p := c.bare(m)
	if c.back != nil {
		p.Back = c.back.bare(m)
		p.Back.Forth = p
	}
	return p
}

func (c *card) bare(m *procedure.Machine) *procedure.Procedure {
	p := &procedure.Procedure{ID: c.id, Title: c.title, Summary: c.summary, Edition: c.edition, Machine: m}
	if m != nil {
		p.MachineRef.ID = m.ID
	}
	steps := make([]procedure.Step, len(c.steps))
	for i, s := range c.steps {
		steps[i] = procedure.Step{ID: s.id, Title: s.title, Number: i + 1, Time: s.time, People: s.people, SafeStop: s.safeStop}
		for _, v := range s.variants {
			steps[i].Variants = append(steps[i].Variants, procedure.Ref{ID: v})
		}
		p.Steps = append(p.Steps, &steps[i])
	}
	return p
}

// quiz is the quiz as the pages on the library as a whole see it.
func (q quizCard) quiz(p *procedure.Procedure) *procedure.Quiz {
	return &procedure.Quiz{ID: q.id, Title: q.title, Summary: q.summary, Procedure: p, Questions: make([]*procedure.Question, q.questions)}
}

// entry is the part of a card that pages show, as fields.
func (c *card) entry() []byte {
	var f cache.Fields
	c.writeSteps(&f)
	f.Int(len(c.quizzes))
	for _, q := range c.quizzes {
		f.String(q.file)
		f.String(q.id)
		f.String(q.title)
		f.String(q.summary)
		f.Int(q.questions)
	}
	return f.B
}

func (c *card) writeSteps(f *cache.Fields) {
	for _, s := range []string{c.id, c.title, c.summary, c.edition} {
		f.String(s)
	}
	f.Int(len(c.steps))
	for _, s := range c.steps {
		f.String(s.id)
		f.String(s.title)
		for _, t := range []float64{s.time.Optimistic, s.time.Likely, s.time.Pessimistic} {
			f.Float(t)
		}
		f.Int(s.people)
		f.Int(btoi(s.safeStop))
		f.Int(len(s.variants))
		for _, v := range s.variants {
			f.String(v)
		}
	}
	f.Int(btoi(c.back != nil))
	if c.back != nil {
		c.back.writeSteps(f)
	}
}

// uses is the part of a card that checks ask for, as fields.
func (c *card) uses() []byte {
	var f cache.Fields
	f.Int(len(c.used))
	for _, u := range c.used {
		f.String(u)
	}
	f.Int(len(c.shown))
	for _, s := range c.shown {
		f.String(s.file)
		f.String(s.id)
	}
	return f.B
}

// readCard reads what entry and uses wrote.
func readCard(entry, uses []byte) (*card, error) {
	c, err := readEntry(entry)
	if err != nil {
		return nil, err
	}
	r := cache.Read(uses)
	for range r.Count() {
		c.used = append(c.used, r.String())
	}
	for range r.Count() {
		c.shown = append(c.shown, figureName{r.String(), r.String()})
	}
	return c, r.Err
}

// readEntry reads a card as far as pages show it.
func readEntry(entry []byte) (*card, error) {
	r := cache.Read(entry)
	c := readSteps(r)
	for range r.Count() {
		c.quizzes = append(c.quizzes, quizCard{r.String(), r.String(), r.String(), r.String(), r.Int()})
	}
	return c, r.Err
}

func readSteps(r *cache.Reading) *card {
	c := &card{id: r.String(), title: r.String(), summary: r.String(), edition: r.String()}
	c.steps = make([]stepCard, r.Count())
	for i := range c.steps {
		s := &c.steps[i]
		s.id, s.title = r.String(), r.String()
		s.time = procedure.Estimate{Optimistic: r.Float(), Likely: r.Float(), Pessimistic: r.Float()}
		s.people, s.safeStop = r.Int(), r.Int() != 0
		for range r.Count() {
			s.variants = append(s.variants, r.String())
		}
	}
	if r.Int() != 0 && r.Err == nil {
		c.back = readSteps(r)
	}
	return c
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}
