package compile

import (
	"bytes"
	"hash/fnv"
	"maps"
	"slices"
	"strconv"

	"matchmark/compile/cache"
	"matchmark/compile/planning"
	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/parallel"
	"matchmark/procedure/source"
)

// unitKind says what a unit, a piece of the site that is made by itself, is made from.
type unitKind int

const (
	noUnit        unitKind = iota // the file is read with another one
	procedureUnit                 // a procedure with its refitting and quizzes
	strayUnit                     // a file that belongs to nothing: it has messages and no pages
	machineUnit
	stepsUnit // a shared steps file: it has messages and no pages
	courseUnit
	glossaryUnit
)

// The units that no file names; those with a file have its name.
const (
	fixedName = "the reference"  // and the theme's assets
	siteName  = "the start page" // with its lists and the search index
)

// The lists of files that the index has besides the groups of procedures.
const (
	allGroups     = "groups"
	allBranches   = "branches"
	otherUnits    = "units without a group"
	linkedFiles   = "linked"
	machineFiles  = "machines"
	courseFiles   = "courses"
	glossaryFiles = "glossaries"
)

// groupCount is into how many groups procedures are put at most, and branchCount into
// how many branches the groups.
const (
	groupCount  = 256
	branchCount = 16
)

// input is a Markdown file of the library, as far as the index needs it.
type input struct {
	name string
	// heading is what the file says it is. Its span has no bytes behind it.
	heading source.Heading
	// allows is true when the file may hold comments that allow something.
	allows bool
	// course is set for a course file.
	course []courseItem
	// links are the files that a machine or a registers file may take rows from.
	links []string
}

func makeHeading(x *reading, name string) *result {
	file, err := x.load(name)
	in, of := &input{name: name}, cache.Sum{}
	if err == nil {
		in.allows = bytes.Contains(file.Source, []byte("allow"))
		in.heading = x.reader.Heading(file)
		in.heading.IDSpan.File = x.withoutText(name)
	}
	h := in.heading
	switch h.Kind {
	case "course": // what it holds is read with its heading
		in.course = courseItems(x.part(name, &diagnostic.Log{}).Course())
		of = sumOfReads(x.key, x.reads)
	case "machine", "registers":
		in.links = source.Links(file.Source)
		of = sumOf(in.links)
	}
	return &result{value: in, sums: [aspects]cache.Sum{sumOf(h.Kind, h.ID, h.Of, h.IDSpan.Start, h.IDSpan.End, in.allows, of)}}
}

// courseItem is what a course needs: a procedure, by id, or a quiz.
type courseItem struct {
	procedure, quiz string
	refit           bool
	// people says for how many people the procedure's rosters are made, given the number without this course.
	people func(before int) int
}

func courseItems(course *procedure.Course) (out []courseItem) {
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
	inputs map[string]*input
	found  []diagnostic.Diagnostic
	ids    source.IDs
	// The file of each id; of two the first.
	machines, procedures, steps, quizzes map[string]string
	// The quizzes and the refit files on each procedure, and the procedures on each machine, by id.
	quizzesOn, refitsOf, proceduresOn map[string][]string
	// people is how many share each procedure at most where a course has it, and back the same for refittings.
	people, back map[string]int
	// linked are the files that machines, and registers files, take rows from.
	linked map[string]bool
	// allowing are the files that may allow something, in order.
	allowing []string
	// members are lists of files, in order: those of procedures group by group, and others.
	members map[string][]string
}

// groupOf is the group of a procedure's file. What is known of procedures is joined
// group by group, so that an edit joins one group anew and not the library.
func groupOf(name string) string {
	h := fnv.New32a()
	h.Write([]byte(name))
	return strconv.Itoa(int(h.Sum32() % groupCount))
}

// branchOf is the branch of a group. Branches join groups, and all is joined from
// branches, so that an edit joins as many groups anew as hang on one branch.
func branchOf(group string) string {
	n, _ := strconv.Atoi(group) // as groupOf wrote it
	return "branch " + strconv.Itoa(n%branchCount)
}

// makeIndex joins the files by what their headings say. Names that are taken twice go to its messages.
func makeIndex(x *reading, _ string) *result {
	i := &index{
		inputs: map[string]*input{}, members: map[string][]string{},
		machines: map[string]string{}, procedures: map[string]string{}, steps: map[string]string{}, quizzes: map[string]string{},
		quizzesOn: map[string][]string{}, refitsOf: map[string][]string{}, proceduresOn: map[string][]string{},
		people: map[string]int{}, back: map[string]int{}, linked: map[string]bool{},
	}
	all := x.get("", listingKind, whole).value.(*listing).names
	parallel.Each(all, func(i int) { x.snapshot.get(key{headingKind, all[i]}) })
	var headings []source.Heading
	for _, name := range all {
		in := x.get(name, headingKind, whole).value.(*input)
		i.inputs[name] = in
		headings = append(headings, in.heading)
		if in.allows {
			i.allowing = append(i.allowing, name)
		}
		i.add(in)
	}
	for _, name := range all {
		switch kind := i.unit(name); kind {
		case noUnit:
		case procedureUnit:
			i.members[groupOf(name)] = append(i.members[groupOf(name)], name)
		default:
			i.members[otherUnits] = append(i.members[otherUnits], name)
		}
	}
	groups := slices.Sorted(maps.Keys(i.members))
	i.members[allGroups] = slices.DeleteFunc(groups, func(g string) bool { return g == otherUnits })
	for _, group := range i.members[allGroups] {
		branch := branchOf(group)
		if i.members[branch] == nil {
			i.members[allBranches] = append(i.members[allBranches], branch)
		}
		i.members[branch] = append(i.members[branch], group)
	}
	for _, name := range all {
		switch i.inputs[name].heading.Kind {
		case "machine": // whether or not another one has the id
			i.members[machineFiles] = append(i.members[machineFiles], name)
		case "course":
			i.members[courseFiles] = append(i.members[courseFiles], name)
		case "glossary": // the first is the library's
			i.members[glossaryFiles] = append(i.members[glossaryFiles], name)
		}
	}
	i.members[linkedFiles] = slices.Sorted(maps.Keys(i.linked))
	var log diagnostic.Log
	i.ids = source.IDsOf(headings, &log)
	i.found = x.withoutTexts(log.Sorted())
	return &result{value: i}
}

func (i *index) add(in *input) {
	h, name := in.heading, in.name
	for _, link := range in.links {
		i.linked[link] = true
	}
	for _, item := range in.course {
		of := i.people
		if item.refit {
			of = i.back
		}
		if item.quiz == "" {
			of[item.procedure] = item.people(of[item.procedure])
		}
	}
	if h.Kind == "refit" {
		i.refitsOf[h.Of] = append(i.refitsOf[h.Of], name)
	}
	if h.ID == "" {
		return
	}
	switch h.Kind {
	case "machine":
		first(i.machines, h.ID, name)
	case "procedure":
		first(i.procedures, h.ID, name)
		i.proceduresOn[h.Of] = append(i.proceduresOn[h.Of], name)
	case "steps":
		first(i.steps, h.ID, name)
	case "quiz":
		first(i.quizzes, h.ID, name)
		i.quizzesOn[h.Of] = append(i.quizzesOn[h.Of], name)
	}
}

func first(m map[string]string, id, name string) {
	if _, taken := m[id]; !taken {
		m[id] = name
	}
}

// unit says what kind of unit a file is the main file of.
func (i *index) unit(name string) unitKind {
	in := i.inputs[name]
	if in == nil {
		return noUnit
	}
	h := in.heading
	switch {
	case (h.Kind == "refit" || h.Kind == "quiz" && h.ID != "") && i.procedures[h.Of] != "":
		return noUnit
	case h.Kind == "glossary":
		return glossaryUnit
	case h.ID == "":
		return strayUnit
	}
	switch h.Kind {
	case "procedure":
		return procedureUnit
	case "machine":
		return machineUnit
	case "steps":
		return stepsUnit
	case "course":
		return courseUnit
	}
	return strayUnit
}

// related is what the index says of one file.
type related struct {
	unit unitKind
	id   string
	// Of a procedure: the file of its machine; of a machine: the file of the one that it is like.
	machine string
	// Of a procedure: the refit files and quizzes that are read with
	// it, and how many people share it, and its refitting, at most.
	companions   []string
	people, back int
	// Of a machine or a course: its procedures, a course's in its own order.
	procedures []string
	quizzes    []string // of a course
	first      bool     // of a steps file: no other one has the id
	linked     bool     // of a registers file: a machine takes rows from it
}

func makeRelated(x *reading, name string) *result {
	i := x.get("", indexKind, whole).value.(*index)
	r := &related{unit: i.unit(name)}
	if r.unit != noUnit {
		i.relate(r, i.inputs[name])
	}
	return &result{value: r, sums: [aspects]cache.Sum{sumOf(int(r.unit), r.id, r.machine, r.people, r.back, r.first, r.linked, r.companions, r.procedures, r.quizzes)}}
}

func (i *index) relate(r *related, in *input) {
	h := in.heading
	r.id = h.ID
	switch r.unit {
	case procedureUnit:
		r.machine, r.people, r.back = i.machines[h.Of], i.people[h.ID], i.back[h.ID]
		if i.procedures[h.ID] == in.name { // else another one has the id
			r.companions = slices.Concat(i.refitsOf[h.ID], i.quizzesOn[h.ID])
		}
	case strayUnit:
		r.linked = i.linked[in.name]
	case machineUnit:
		r.machine = i.machines[h.Of]
		if i.machines[h.ID] == in.name {
			r.procedures = i.proceduresOn[h.ID]
		}
	case stepsUnit:
		r.first = i.steps[h.ID] == in.name
	case courseUnit:
		i.relateCourse(r, in)
	}
}

// relateCourse finds the procedures of a course, and those that its quizzes are on, each once, in the course's order.
func (i *index) relateCourse(r *related, in *input) {
	for _, item := range in.course {
		file := i.procedures[item.procedure]
		if item.quiz != "" {
			file = ""
			if quiz := i.quizzes[item.quiz]; quiz != "" {
				r.quizzes = append(r.quizzes, quiz)
				file = i.procedures[i.inputs[quiz].heading.Of]
			}
		}
		if file != "" && !slices.Contains(r.procedures, file) {
			r.procedures = append(r.procedures, file)
		}
	}
}

func (x *reading) related(name string) *related {
	return x.get(name, relatedKind, whole).value.(*related)
}

func makeIDs(x *reading, _ string) *result {
	ids := x.get("", indexKind, whole).value.(*index).ids
	var of []any
	for _, kind := range slices.Sorted(maps.Keys(ids)) {
		of = append(of, kind, ids[kind])
	}
	return &result{value: ids, sums: [aspects]cache.Sum{sumOf(of...)}}
}

func makeStepsFile(x *reading, id string) *result {
	file := x.get("", indexKind, whole).value.(*index).steps[id]
	return &result{value: file, sums: [aspects]cache.Sum{sumOf(file)}}
}

func makeMembers(x *reading, of string) *result {
	files := x.get("", indexKind, whole).value.(*index).members[of]
	return &result{value: files, sums: [aspects]cache.Sum{sumOf(files)}}
}

func (x *reading) members(of string) []string { return x.get(of, membersKind, whole).value.([]string) }

// unitsIn lists the units of the library in the order in which they are made: what a unit reads of others is there before.
func (s *snapshot) unitsIn(names []string) (waves [3][]string) {
	i := s.index()
	for _, name := range names {
		switch kind := i.unit(name); {
		case name == siteName:
			waves[2] = append(waves[2], name)
		case kind >= machineUnit:
			waves[1] = append(waves[1], name)
		case name == fixedName, kind != noUnit:
			waves[0] = append(waves[0], name)
		}
	}
	return waves
}

// isUnit reports whether a unit of that name is in the library.
func (s *snapshot) isUnit(name string) bool {
	return name == siteName || name == fixedName || s.index().unit(name) != noUnit
}

func (s *snapshot) index() *index { return s.get(key{kind: indexKind}).value.(*index) }
