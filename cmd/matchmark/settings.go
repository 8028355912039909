package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
	"github.com/goccy/go-yaml"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
	"matchmark/procedure/source"
)

// settingsVariable names the settings file; settingsPrefix begins the variables that stand for options.
const (
	settingsVariable = "MATCHMARK_SETTINGS"
	settingsPrefix   = "MATCHMARK_"
)

// settings are the options that somebody always wants: from the environment, and from a file.
type settings struct {
	lookup func(variable string) (string, bool)
	file   string
	// all are the options without a command; those of each command have its name.
	all map[string]any
	// from says where the value of an option was found.
	from map[string]say.Text
}

// newSettings reads the settings file. Having none is usual, unless one is named.
func newSettings(lookup func(string) (string, bool)) (*settings, error) {
	s := &settings{lookup: lookup, from: map[string]say.Text{}}
	name, named := lookup(settingsVariable)
	if !named {
		dir, err := os.UserConfigDir()
		if err != nil {
			return s, nil // no home, no file
		}
		name = filepath.Join(dir, "matchmark", "settings.yaml")
	}
	content, err := os.ReadFile(name)
	switch {
	case err != nil && named:
		return nil, unreadable(name, err)
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, fs.ErrPermission) && isSomebodyElses(filepath.Dir(name)):
		return s, nil
	case err != nil:
		return nil, unreadable(name, err)
	}
	s.file = name
	if err := yaml.Unmarshal(content, &s.all); err != nil {
		return nil, s.unread(err)
	}
	return s, nil
}

// unread says why the settings file is no YAML, and where.
func (s *settings) unread(err error) error {
	wrong, advice, line, column := source.YAMLFault(err)
	place := s.file
	if line > 0 {
		place = fmt.Sprintf("%s:%d:%d", place, line, column)
	}
	return &failure{code: exitUsage, problem: say.That("settings in %file: %problem", say.Name(place), wrong), do: advice}
}

// isSomebodyElses reports whether a folder may not even be looked at: a service keeps the home folder of whoever started it in its environment.
func isSomebodyElses(dir string) bool {
	_, err := os.Stat(dir)
	return errors.Is(err, fs.ErrPermission)
}

// Validate refuses names that no command and no option has: a setting that does nothing was meant to do something.
func (s *settings) Validate(app *kong.Application) error {
	for _, name := range slices.Sorted(maps.Keys(s.all)) {
		of, isCommand := s.all[name].(map[string]any)
		if !isCommand {
			if err := s.known(name, app.Node); err != nil {
				return err
			}
			continue
		}
		command := child(app, name)
		if command == nil {
			return s.wrong(meant(say.That("there is no command %name", say.Quoted(name)), name, names(app)))
		}
		for _, option := range slices.Sorted(maps.Keys(of)) {
			if err := s.known(option, command); err != nil {
				return err
			}
		}
	}
	return nil
}

// known refuses an option that a command does not have.
func (s *settings) known(option string, of *kong.Node) error {
	var options []string
	for _, f := range of.Flags {
		if settable(f) {
			options = append(options, f.Name)
		}
	}
	if slices.Contains(options, option) {
		return nil
	}
	return s.wrong(meant(say.That("%command has no option %option", say.Word(of.Name), say.Quoted(option)), option, options))
}

func (s *settings) wrong(problem say.Text) error {
	return &failure{code: exitUsage, problem: say.That("settings in %file: %problem", say.Name(s.file), problem), do: say.That(`write options by their long names, those of a command below its name; "matchmark --help" shows an example`)}
}

// meant proposes, behind a problem, a name that is much like the one given.
func meant(problem say.Text, name string, there []string) say.Text {
	if near := diagnostic.Nearest(name, there); near != "" {
		return say.That("%problem; did you mean %near?", problem, say.Quoted(near))
	}
	return problem
}

// Resolve finds the value of an option that is not on the command line.
func (s *settings) Resolve(_ *kong.Context, parent *kong.Path, flag *kong.Flag) (any, error) {
	if !settable(flag) {
		return nil, nil
	}
	command, of := "", s.all
	if node := parent.Node(); node != nil && node.Type == kong.CommandNode {
		command = node.Name + "_"
		of, _ = s.all[node.Name].(map[string]any)
	}
	value := s.value(command, of, flag.Name)
	if value != nil {
		s.from[flag.Name] = s.place(command, flag.Name)
	}
	return value, nil
}

// place is where the value of an option stands.
func (s *settings) place(command, option string) say.Text {
	if variable := variableOf(command, option); s.inEnvironment(variable) {
		return say.That("variable %variable", say.Word(variable))
	}
	return say.That("settings in %file", say.Name(s.file))
}

// variableOf is the variable that stands for an option.
func variableOf(command, option string) string {
	return settingsPrefix + strings.ToUpper(strings.ReplaceAll(command+option, "-", "_"))
}

func (s *settings) inEnvironment(variable string) bool {
	value, set := s.lookup(variable)
	return set && value != ""
}

// blames says where a value stands that an option does not take, and reports whether that is not the command line.
func (s *settings) blames(f *failure, option string) bool {
	place, is := s.from[option]
	if is {
		f.problem, f.do = say.That("%place: %problem", place, f.problem), say.That("correct the value there, or take it out")
	}
	return is
}

// value is that of an option in the environment or else in the file; nil when neither has it.
func (s *settings) value(command string, of map[string]any, option string) any {
	if variable := variableOf(command, option); s.inEnvironment(variable) {
		value, _ := s.lookup(variable)
		return value
	}
	switch value := of[option].(type) {
	case nil:
		return nil
	case []any:
		var words []string
		for _, v := range value {
			words = append(words, fmt.Sprint(v))
		}
		return strings.Join(words, ",")
	default:
		return fmt.Sprint(value)
	}
}

// settable says whether an option may be set once and for all: not one that does something else instead.
func settable(f *kong.Flag) bool { return !f.Hidden && f.Name != "help" && f.Name != "version" }

// child finds a command by its name; nil when there is none.
func child(app *kong.Application, name string) *kong.Node {
	i := slices.IndexFunc(app.Children, func(n *kong.Node) bool { return n.Name == name })
	if i < 0 {
		return nil
	}
	return app.Children[i]
}

func names(app *kong.Application) []string {
	var out []string
	for _, n := range app.Children {
		out = append(out, n.Name)
	}
	return out
}
