package source

import (
	"matchmark/procedure"
	"reflect"
	"slices"
	"strings"
)

// The front matter of each kind of file. The means tags are the language reference's words.

type machineFields struct {
	Kind     string   `yaml:"kind" validate:"required" means:"machine"`
	ID       string   `yaml:"id" validate:"required,name" means:"the machine's name, for procedures"`
	Title    string   `yaml:"title" validate:"required" means:"what people call it"`
	Summary  string   `yaml:"summary" means:"one line for lists"`
	NoEnergy string   `yaml:"no-energy" means:"why nobody has to keep energy away from it: a machine without a register of sources, and without a condition that keeps energy away, says so here"`
	Like     string   `yaml:"like" validate:"omitempty,name" means:"the machine that this one is made from: it has all that one's rows and figures, but for those that stand here by the same name"`
	Without  []string `yaml:"without" validate:"dive,required" means:"a list: names and callout numbers of that machine's rows that this one does not have"`
}

type registersFields struct {
	Kind  string `yaml:"kind" validate:"required" means:"registers"`
	Title string `yaml:"title" validate:"required" means:"what the rows are for"`
}

type procedureFields struct {
	Kind    string   `yaml:"kind" validate:"required" means:"procedure"`
	ID      string   `yaml:"id" validate:"required,name" means:"the procedure's name; part of its address"`
	Title   string   `yaml:"title" validate:"required" means:"what the job is"`
	Summary string   `yaml:"summary" means:"one line for lists"`
	Machine string   `yaml:"machine" validate:"required,name" means:"the machine that it works on"`
	Edition string   `yaml:"edition" validate:"required" means:"the edition; raise it when the steps change"`
	Aims    []string `yaml:"aims" validate:"dive,required" means:"a list: what a learner can do afterwards"`
	Needs   []string `yaml:"needs" validate:"dive,required" means:"a list: conditions that must hold when a step starts, for steps that do not state their own"`
	People  *int     `yaml:"people" means:"how many people a step takes, for steps that do not state it; otherwise 1"`
	Tools   []string `yaml:"tools" validate:"dive,required" means:"a list: tools that a step needs, for steps that do not state their own"`
	Who     []string `yaml:"who" validate:"dive,required" means:"a list: trades and tickets of a step's people, for steps that do not state their own"`
}

type stepsFields struct {
	Kind       string   `yaml:"kind" validate:"required" means:"steps"`
	ID         string   `yaml:"id" validate:"required,name" means:"the name that an include block uses"`
	Title      string   `yaml:"title" validate:"required" means:"what the steps are for"`
	Parameters []string `yaml:"parameters" validate:"dive,name" means:"a list: names that the steps leave open, such as [valve]. In the steps, {valve} stands for the name that an include block gives, in headings and text for what people call it"`
	Needs      []string `yaml:"needs" validate:"dive,required" means:"a list: conditions that must hold when a step starts, for steps that do not state their own"`
	People     *int     `yaml:"people" means:"how many people a step takes, for steps that do not state it; otherwise 1"`
	Tools      []string `yaml:"tools" validate:"dive,required" means:"a list: tools that a step needs, for steps that do not state their own"`
	Who        []string `yaml:"who" validate:"dive,required" means:"a list: trades and tickets of a step's people, for steps that do not state their own"`
}

type refitFields struct {
	Kind      string   `yaml:"kind" validate:"required" means:"refit"`
	Procedure string   `yaml:"procedure" validate:"required,name" means:"the procedure whose refitting this adds to"`
	Title     string   `yaml:"title" means:"what the refitting is called; otherwise Refitting and the title of the procedure"`
	Out       []string `yaml:"out" validate:"dive,required" means:"a list: parts, connections, fluids and callout numbers that do not go back"`
	Needs     []string `yaml:"needs" validate:"dive,required" means:"a list: conditions that must hold when a step starts, for steps that do not state their own"`
	People    *int     `yaml:"people" means:"how many people a step takes, for steps that do not state it; otherwise 1"`
	Tools     []string `yaml:"tools" validate:"dive,required" means:"a list: tools that a step needs, for steps that do not state their own"`
	Who       []string `yaml:"who" validate:"dive,required" means:"a list: trades and tickets of a step's people, for steps that do not state their own"`
}

type quizFields struct {
	Kind      string   `yaml:"kind" validate:"required" means:"quiz"`
	ID        string   `yaml:"id" validate:"required,name" means:"the quiz's name; part of its address"`
	Title     string   `yaml:"title" validate:"required" means:"what the quiz is called"`
	Summary   string   `yaml:"summary" means:"one line for lists"`
	Procedure string   `yaml:"procedure" validate:"required,name" means:"the procedure that it is about"`
	Pass      int      `yaml:"pass" validate:"required,min=1,max=100" means:"the pass mark in percent of the points"`
	Seed      int64    `yaml:"seed" validate:"min=0,max=4294967295" means:"fixes the shuffled order; 0 leaves the order as written"`
	Tries     int      `yaml:"tries" validate:"min=0,max=99" means:"how often it may be taken; 0 for no limit"`
	Generate  int      `yaml:"generate" validate:"min=0,max=50" means:"how many questions, at most, are made from the procedure's own facts; otherwise none"`
	Without   []string `yaml:"without" validate:"dive,name" means:"a list: names of made questions to leave out; the answer key shows the names. Your own question of such a name takes the place of the made one"`
	Forms     int      `yaml:"forms" validate:"min=0,max=6" means:"how many printed forms there are, A, B and so on; otherwise 1, and more only with a seed"`
	Time      string   `yaml:"time" means:"how long it takes, such as 15 min or 10/15/20; otherwise two minutes for each question"`
}

type courseFields struct {
	Kind       string          `yaml:"kind" validate:"required" means:"course"`
	ID         string          `yaml:"id" validate:"required,name" means:"the course's name; part of its address"`
	Title      string          `yaml:"title" validate:"required" means:"what the course is called"`
	Summary    string          `yaml:"summary" means:"one line for lists"`
	Learning   string          `yaml:"learning" means:"the form of the learning curve, crawford or wright; otherwise crawford"`
	Rate       *float64        `yaml:"rate" means:"with every doubling of the repetitions the time falls to so many percent, over 50 and up to 100; otherwise nobody gets faster"`
	Repetition *int            `yaml:"repetition" means:"which repetition the authors' times stand for; otherwise 1, the first time"`
	People     *int            `yaml:"people" means:"how many work on one machine; otherwise those of crew, or 2"`
	Crew       []string        `yaml:"crew" validate:"dive,required" means:"a list: for each of those who work on one machine their trades and tickets, separated by commas, as library.yaml lists them; none for none"`
	Together   bool            `yaml:"together" means:"true when those who work on a machine do each step together, as it is taught; otherwise a stated crew shares out what can be done side by side"`
	Session    string          `yaml:"session" means:"how long a session is, set-up and clear-down included; otherwise 3 h"`
	SetUp      string          `yaml:"set-up" means:"how long it takes to set up; otherwise 10 min"`
	ClearDown  string          `yaml:"clear-down" means:"how long it takes to clear down; otherwise 15 min"`
	Break      string          `yaml:"break" means:"how long a break is, 0 min for none; otherwise 15 min"`
	BreakEvery string          `yaml:"break-every" means:"how long people work between breaks; otherwise 90 min"`
	Confidence *float64        `yaml:"confidence" means:"in how many percent of cases a session must keep its length, from 50 to 99.9; otherwise 90"`
	CommonPace *float64        `yaml:"common-pace" means:"how much a team that is slow at one step is slow at the next: the correlation of their times in percent, from 0 to 100, as matchmark revise finds it; otherwise 30"`
	Teams      *int            `yaml:"teams" means:"how many teams work side by side; otherwise 1"`
	Start      string          `yaml:"start" means:"the time of day at which a session starts, such as 13:00 in quotation marks; otherwise 08:30"`
	Sessions   []sessionFields `yaml:"sessions" validate:"required,min=1,dive" means:"a list of sessions, each with a title and items"`
}

type sessionFields struct {
	Title string       `yaml:"title" validate:"required" means:"what the session is called"`
	Items []itemFields `yaml:"items" validate:"required,min=1,dive" means:"a list of procedures and quizzes"`
}

type itemFields struct {
	Procedure string `yaml:"procedure" validate:"required_without_all=Quiz Refit,excluded_with=Quiz Refit,omitempty,name" means:"a procedure"`
	Refit     string `yaml:"refit" validate:"excluded_with=Quiz,omitempty,name" means:"or the refitting that is derived from a procedure"`
	Quiz      string `yaml:"quiz" validate:"omitempty,name" means:"or a quiz"`
	From      string `yaml:"from" validate:"excluded_with=Quiz,omitempty,name" means:"the step to start from: the one after the last that the course has done on the machine"`
	To        string `yaml:"to" validate:"excluded_with=Quiz,omitempty,name" means:"the step to end with, which must be a safe stop where the session ends"`
	Prepared  string `yaml:"prepared" validate:"excluded_with=Quiz,omitempty,name" means:"the step after which the machine stands when the item begins, since somebody else has brought it there; whole for a machine that stands whole again, or another one"`
}

type glossaryFields struct {
	Kind    string `yaml:"kind" validate:"required" means:"glossary"`
	Title   string `yaml:"title" validate:"required" means:"what the glossary is called"`
	Summary string `yaml:"summary" means:"one line for lists"`
}

type libraryFields struct {
	Trades   []string          `yaml:"trades" validate:"dive,required" means:"a list: trades and tickets of the workshop's people, such as Electrician. Steps name them in small letters with hyphens: electrician"`
	Title    string            `yaml:"title" validate:"required" means:"what the library is called"`
	Language string            `yaml:"language" validate:"omitempty,bcp47_language_tag" means:"the language of the pages' fixed words"`
	Address  string            `yaml:"address" validate:"omitempty,http_url" means:"where the site will be served"`
	Papers   []procedure.Paper `yaml:"papers" validate:"dive,oneof=risk isolation assessment release deck feedback follow-up class order lesson attendance" means:"papers for trainers to be made, of each job: risk, isolation, assessment, release, deck, feedback, follow-up; of each course: class, order, lesson, attendance"`
	Chances  []string          `yaml:"chances" validate:"required_with=Matrix,dive,required" means:"how likely it is that somebody is hurt, from the least on"`
	Matrix   []harmFields      `yaml:"matrix" validate:"required_with=Chances,dive" means:"how what is left of a risk is rated on the risk assessment: a row for each harm, from the least on"`
}

type harmFields struct {
	Harm   string   `yaml:"harm" validate:"required" means:"how badly somebody is hurt"`
	Levels []string `yaml:"levels" validate:"required,dive,required" means:"the level for each of the chances"`
}

// FileKind is one kind of library file.
type FileKind struct {
	// Name is the word behind kind:, or the settings' file name.
	Name   string
	Means  string
	Fields []Field
	// Example is the file's front matter, of a glossary with a term.
	Example string
}

// Field is one line of the front matter.
type Field struct {
	// Path is the line's name, behind the names of the lists that it stands in.
	Path     []string
	Required bool
	Means    string
}

// FileKinds lists the kinds of file with their front matter.
func FileKinds() []FileKind {
	return []FileKind{
		{"machine", "Registers and figures that several procedures share.", fields(machineFields{}), `---
kind: machine
id: spiral-mixer
title: Spiral dough mixer
summary: Gearbox, belts and the oil header tank.
---
`},
		{"registers", "Registers in a file of their own: machines take rows from it with `from`.", fields(registersFields{}), `---
kind: registers
title: Tools of the workshop
---
`},
		{"procedure", "The steps of one job.", fields(procedureFields{}), `---
kind: procedure
id: mixer-gearbox-out
title: Take the drive gearbox out
summary: From the first look to a gearbox on its pallet.
machine: spiral-mixer
edition: "1"
aims:
  - Isolate the mixer and prove it dead
  - Lift the gearbox without letting it swing
---
`},
		{"steps", "Steps that several procedures take in.", fields(stepsFields{}), `---
kind: steps
id: isolate-and-prove-dead
title: Isolate the machine and prove it dead
---
`},
		{"refit", "What you add to the refitting that is derived from a procedure: a step with the name of a derived one takes its place, any other is put in after those that its `after` names. One that does none of the derived acts only changes how they are told: acts, time, people, tools, needs, figure, cautions, words and hold point that it does not state stay as derived. One with derived acts of its own says all of it itself.", fields(refitFields{}), `---
kind: refit
procedure: mixer-gearbox-out
out:
  - drive-guard
---
`},
		{"quiz", "Questions on one procedure.", fields(quizFields{}), `---
kind: quiz
id: mixer-quiz
title: "The mixer: what you must know"
procedure: mixer-gearbox-out
pass: 80
seed: 7
tries: 2
---
`},
		{"course", "Procedures and quizzes, ordered into sessions.", fields(courseFields{}), `---
kind: course
id: heavy-parts-out
title: Heavy parts out
session: 4 h
start: "13:00"
rate: 85
sessions:
  - title: Getting ready
    items:
      - procedure: mixer-gearbox-out
        to: shut-down
  - title: Out with it
    items:
      - procedure: mixer-gearbox-out
        from: guard-off
      - quiz: mixer-quiz
---
`},
		{"glossary", "What the words of the trade mean; a library has one at most. Below the front matter stands a list: the forms of a word in bold, a colon, and what it means. The first form is the one that the word is listed under. A word in capitals is an abbreviation. A step shows the meaning of the words that are new in it.", fields(glossaryFields{}), `---
kind: glossary
title: Words of the workshop
---
- **hub**, **hubs**: The middle of a wheel, which sits on the shaft.
`},
	}
}

// Settings describes the file with the library's own settings.
func Settings() FileKind {
	return FileKind{settingsFile, "The library's own settings, at its root. The file may be missing.", fields(libraryFields{}), `title: Bakery machinery workshop
language: en
address: https://shop.example/
trades: [Electrician, Slinger]
papers: [risk, isolation, assessment, release]
chances: [unlikely, possible]
matrix:
  - harm: first aid
    levels: [low, low]
  - harm: lost days
    levels: [low, medium]
`}
}

// fields lists the front matter's lines from the struct's tags, those of lists inside included.
func fields(v any) []Field { return fieldsOf(reflect.TypeOf(v), nil) }

func fieldsOf(t reflect.Type, under []string) []Field {
	var out []Field
	for i := range t.NumField() {
		f := t.Field(i)
		path := append(slices.Clone(under), f.Tag.Get("yaml"))
		rules := strings.Split(f.Tag.Get("validate"), ",")
		out = append(out, Field{Path: path, Required: rules[0] == "required", Means: f.Tag.Get("means")})
		if f.Type.Kind() == reflect.Slice && f.Type.Elem().Kind() == reflect.Struct {
			out = append(out, fieldsOf(f.Type.Elem(), path)...)
		}
	}
	return out
}
