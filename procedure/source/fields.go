package source

import (
	"reflect"
	"strings"
)

// The front matter of each kind of file. The means tags are the language reference's words.

type machineFields struct {
	Kind    string `yaml:"kind" validate:"required" means:"machine"`
	ID      string `yaml:"id" validate:"required,name" means:"the machine's name, for procedures"`
	Title   string `yaml:"title" validate:"required" means:"what people call it"`
	Summary string `yaml:"summary" means:"one line for lists"`
}

type procedureFields struct {
	Kind    string   `yaml:"kind" validate:"required" means:"procedure"`
	ID      string   `yaml:"id" validate:"required,name" means:"the procedure's name; part of its address"`
	Title   string   `yaml:"title" validate:"required" means:"what the job is"`
	Summary string   `yaml:"summary" means:"one line for lists"`
	Machine string   `yaml:"machine" validate:"required,name" means:"the machine that it works on"`
	Edition string   `yaml:"edition" validate:"required" means:"the edition; raise it when the steps change"`
	Aims    []string `yaml:"aims" validate:"dive,required" means:"a list: what a learner can do afterwards"`
}

type stepsFields struct {
	Kind  string `yaml:"kind" validate:"required" means:"steps"`
	ID    string `yaml:"id" validate:"required,name" means:"the name that an include block uses"`
	Title string `yaml:"title" validate:"required" means:"what the steps are for"`
}

type quizFields struct {
	Kind      string `yaml:"kind" validate:"required" means:"quiz"`
	ID        string `yaml:"id" validate:"required,name" means:"the quiz's name; part of its address"`
	Title     string `yaml:"title" validate:"required" means:"what the quiz is called"`
	Summary   string `yaml:"summary" means:"one line for lists"`
	Procedure string `yaml:"procedure" validate:"required,name" means:"the procedure that it is about"`
	Pass      int    `yaml:"pass" validate:"required,min=1,max=100" means:"the pass mark in percent of the points"`
	Seed      int64  `yaml:"seed" validate:"min=0,max=4294967295" means:"fixes the shuffled order; 0 leaves the order as written"`
	Tries     int    `yaml:"tries" validate:"min=0,max=99" means:"how often it may be taken; 0 for no limit"`
}

type courseFields struct {
	Kind     string          `yaml:"kind" validate:"required" means:"course"`
	ID       string          `yaml:"id" validate:"required,name" means:"the course's name; part of its address"`
	Title    string          `yaml:"title" validate:"required" means:"what the course is called"`
	Summary  string          `yaml:"summary" means:"one line for lists"`
	Sessions []sessionFields `yaml:"sessions" validate:"required,min=1,dive" means:"a list of sessions, each with a title and items"`
}

type sessionFields struct {
	Title string       `yaml:"title" validate:"required" means:"what the session is called"`
	Items []itemFields `yaml:"items" validate:"required,min=1,dive" means:"a list of procedures and quizzes"`
}

type itemFields struct {
	Procedure string `yaml:"procedure" validate:"required_without=Quiz,excluded_with=Quiz,omitempty,name" means:"a procedure"`
	Quiz      string `yaml:"quiz" validate:"omitempty,name" means:"or a quiz"`
	From      string `yaml:"from" validate:"excluded_with=Quiz,omitempty,name" means:"the step to start from"`
	To        string `yaml:"to" validate:"excluded_with=Quiz,omitempty,name" means:"the step to end with"`
}

type libraryFields struct {
	Title    string `yaml:"title" validate:"required" means:"what the library is called"`
	Language string `yaml:"language" validate:"omitempty,bcp47_language_tag" means:"the language of the pages' fixed words"`
	Address  string `yaml:"address" validate:"omitempty,http_url" means:"where the site will be served"`
}

// fields lists the front matter's lines from the struct's tags.
func fields(v any) []Field {
	t := reflect.TypeOf(v)
	var out []Field
	for i := range t.NumField() {
		f := t.Field(i)
		out = append(out, Field{
			Name:     f.Tag.Get("yaml"),
			Required: strings.HasPrefix(f.Tag.Get("validate"), "required"),
			Means:    f.Tag.Get("means"),
		})
	}
	return out
}
