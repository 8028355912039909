package compile

import (
	"bytes"
	"maps"
	"slices"

	"matchmark/compile/cache"
	"matchmark/compile/planning"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/source"
	"matchmark/procedure/text"
)

// input is a Markdown file of the library as it was last read.
type input struct {
	name string
	sum  cache.Sum // of the bytes; zero when the file cannot be read
	// heading is what the file says it is. Its span has no bytes behind it.
	heading source.Heading
	// allows is true when the file may hold comments that allow something.
	allows bool
	// course is set for a course file.
	course []courseItem
}

// courseItem is what a course needs: a procedure, by id, or a quiz.
type courseItem struct {
	procedure, quiz string
	refit           bool
	// people says for how many people the procedure's rosters are made, given the number without this course.
	people func(before int) int
}

// readInput reads a file as far as the index needs it.
func (s *Session) readInput(name string) *input {
	content, err := source.Load(s.files, name)
	in := &input{name: name}
	if err != nil {
		return in
	}
	in.sum = cache.SumOf(content)
	if before := s.inputs[name]; before != nil && before.sum == in.sum && before.heading.Kind != "course" {
		return before
	}
	in.allows = bytes.Contains(content, []byte("allow"))
	file := text.NewFile(name, content)
	in.heading = s.reader.Heading(file)
	in.heading.IDSpan.File = s.bare(name)
	if in.heading.Kind == "course" {
		in.course = s.courseItems(file)
	}
	return in
}

func (s *Session) courseItems(file *text.File) (out []courseItem) {
	course := s.reader.Read(file, nil, &diagnostic.Log{}).Course()
	if course == nil {
		return nil
	}
	pace := course.Pace
	for _, session := range course.Sessions {
		for _, item := range session.Items {
			if item.IsQuiz {
				out = append(out, courseItem{quiz: item.Ref.ID})
				continue
			}
			out = append(out, courseItem{
				procedure: item.Ref.ID, refit: item.IsRefit,
				people: func(before int) int { return planning.People(before, pace) },
			})
		}
	}
	return out
}

// index says which file belongs to which.
type index struct {
	names   []string // of all Markdown files, in order
	courses []string // of those the courses
	// machineFiles are those of the machines, whether or not another one has the id.
	machineFiles []string
	ids          source.IDs
	// The file of each id; of two the first.
	machines, procedures, steps, quizzes map[string]string
	// The quizzes and the refit files on each procedure, and the procedures on each machine, by id.
	quizzesOn, refitsOf, proceduresOn map[string][]string
	// allowing are the files that may allow something.
	allowing map[string]bool
	// coursesWith are the courses that take in each procedure's file, or a quiz on it.
	coursesWith map[string][]string
	// people is how many share each procedure at most where a course has it, and back the same for refittings.
	people, back map[string]int
}

// newIndex joins the files by what their headings say. Names that are taken twice go to the log.
func newIndex(inputs map[string]*input, log *diagnostic.Log) *index {
	x := &index{
		names:    slices.Sorted(maps.Keys(inputs)),
		machines: map[string]string{}, procedures: map[string]string{}, steps: map[string]string{}, quizzes: map[string]string{},
		quizzesOn: map[string][]string{}, refitsOf: map[string][]string{}, proceduresOn: map[string][]string{},
		allowing: map[string]bool{}, coursesWith: map[string][]string{}, people: map[string]int{}, back: map[string]int{},
	}
	var headings []source.Heading
	for _, name := range x.names {
		h := inputs[name].heading
		headings = append(headings, h)
		if inputs[name].allows {
			x.allowing[name] = true
		}
		if h.Kind == "course" {
			x.courses = append(x.courses, name)
		}
		if h.Kind == "machine" {
			x.machineFiles = append(x.machineFiles, name)
		}
		if h.ID == "" && h.Kind != "refit" {
			continue
		}
		switch h.Kind {
		case "machine":
			first(x.machines, h.ID, name)
		case "procedure":
			first(x.procedures, h.ID, name)
			x.proceduresOn[h.Of] = append(x.proceduresOn[h.Of], name)
		case "steps":
			first(x.steps, h.ID, name)
		case "quiz":
			first(x.quizzes, h.ID, name)
			x.quizzesOn[h.Of] = append(x.quizzesOn[h.Of], name)
		case "refit":
			x.refitsOf[h.Of] = append(x.refitsOf[h.Of], name)
		}
		for _, item := range inputs[name].course {
			of := x.people
			if item.refit {
				of = x.back
			}
			if item.quiz == "" {
				of[item.procedure] = item.people(of[item.procedure])
			}
		}
	}
	for _, course := range x.courses {
		for _, file := range x.proceduresIn(inputs, course) {
			x.coursesWith[file] = append(x.coursesWith[file], course)
		}
	}
	x.ids = source.IDsOf(headings, log)
	return x
}

// proceduresIn lists the files of the procedures of a course, and of those that its quizzes are on, each once, in the course's order.
func (x *index) proceduresIn(inputs map[string]*input, course string) (out []string) {
	seen := map[string]bool{"": true}
	for _, item := range inputs[course].course {
		file := x.procedures[item.procedure]
		if item.quiz != "" {
			file = ""
			if quiz := inputs[x.quizzes[item.quiz]]; quiz != nil {
				file = x.procedures[quiz.heading.Of]
			}
		}
		if !seen[file] {
			seen[file] = true
			out = append(out, file)
		}
	}
	return out
}

func first(m map[string]string, id, name string) {
	if _, taken := m[id]; !taken {
		m[id] = name
	}
}

// scan reads the settings and every file of the library anew; listed is called between the two.
func (s *Session) scan(log *diagnostic.Log, listed func()) error {
	err := s.readSettings(log)
	var names []string
	if err == nil {
		names, err = source.Files(s.files, log)
	}
	listed()
	if err != nil {
		return err
	}
	read := make([]*input, len(names))
	parallel.Each(names, func(i int) { read[i] = s.readInput(names[i]) })
	inputs := make(map[string]*input, len(names))
	for i, name := range names {
		inputs[name] = read[i]
	}
	s.inputs = inputs
	return nil
}

// readSettings reads library.yaml.
func (s *Session) readSettings(log *diagnostic.Log) error {
	content, err := source.Load(s.files, source.SettingsFile)
	s.settingsSum = cache.Sum{}
	if err == nil {
		s.settingsSum = cache.SumOf(content)
	}
	lib, err := s.reader.Settings(s.files, log)
	if err != nil {
		return err
	}
	s.settings = lib
	return nil
}

// allow notes whether a file may allow something.
func (x *index) allow(name string, may bool) {
	if may {
		x.allowing[name] = true
	} else {
		delete(x.allowing, name)
	}
}
