package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/alecthomas/kong"
)

// completionCommand prints what makes a shell complete commands and options.
type completionCommand struct {
	Shell string `arg:"" enum:"bash,zsh,fish" name:"SHELL" help:"bash, zsh or fish."`
}

// Help is shown below the command's one line.
func (*completionCommand) Help() string {
	return `For the present shell:

  bash: source <(matchmark completion bash)
  zsh:  source <(matchmark completion zsh)
  fish: matchmark completion fish | source

To have it always, put that line into the shell's start file, which is ~/.bashrc, ~/.zshrc (below compinit) or ~/.config/fish/config.fish.`
}

// Run prints the script.
func (m *completionCommand) Run(parsed *kong.Context, c *console) error {
	var b bytes.Buffer
	app := parsed.Model
	sayHelp(app, helpLanguage(c.messages))
	switch m.Shell {
	case "bash":
		bashCompletion(&b, app)
	case "zsh":
		zshCompletion(&b, app)
	case "fish":
		fishCompletion(&b, app)
	}
	_, err := c.out.Write(b.Bytes())
	return err
}

// shownFlags are the options of a command that its help shows, with those of every command.
func shownFlags(n *kong.Node) []*kong.Flag {
	var out []*kong.Flag
	for _, group := range n.AllFlags(true) {
		out = append(out, group...)
	}
	return out
}

// choices are the words that an option takes; none when it takes any, or files.
func choices(v *kong.Value) []string {
	var out []string
	for _, word := range v.EnumSlice() {
		if word != "" {
			out = append(out, word)
		}
	}
	return out
}

// bashCompletion writes one function: commands first, then options and the words that they take, else files.
func bashCompletion(b *bytes.Buffer, app *kong.Application) {
	fmt.Fprintf(b, `# Completion of matchmark for bash.
_matchmark() {
  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command= words= i
  for ((i = 1; i < COMP_CWORD; i++)); do
    case ${COMP_WORDS[i]} in -*) ;; *) command=${COMP_WORDS[i]}; break ;; esac
  done
  case $command/$before in
`)
	for _, n := range app.Children {
		for _, f := range shownFlags(n) {
			if words := choices(f.Value); len(words) > 0 {
				fmt.Fprintf(b, "    %s/--%s) words='%s' ;;\n", n.Name, f.Name, strings.Join(words, " "))
			}
		}
	}
	fmt.Fprintf(b, "  esac\n  [ -n \"$words\" ] || case $command in\n    '') words='%s' ;;\n", strings.Join(append(names(app), optionNames(app.Node)...), " "))
	for _, n := range app.Children {
		words := optionNames(n)
		for _, a := range n.Positional {
			words = append(choices(a), words...)
		}
		if n.Name == "help" {
			words = append(names(app), words...)
		}
		fmt.Fprintf(b, "    %s) words='%s' ;;\n", n.Name, strings.Join(words, " "))
	}
	fmt.Fprint(b, `  esac
  mapfile -t COMPREPLY < <(compgen -W "$words" -- "$word")
}
complete -o default -F _matchmark matchmark
`)
}

func optionNames(n *kong.Node) []string {
	var out []string
	for _, f := range shownFlags(n) {
		out = append(out, "--"+f.Name)
	}
	return out
}

// zshCompletion describes commands and options for zsh's _arguments.
func zshCompletion(b *bytes.Buffer, app *kong.Application) {
	fmt.Fprint(b, "#compdef matchmark\n# Completion of matchmark for zsh.\n_matchmark() {\n  local -a commands\n  commands=(\n")
	for _, n := range app.Children {
		fmt.Fprintf(b, "    %s\n", quoted(n.Name+":"+n.Help))
	}
	fmt.Fprint(b, "  )\n  if (( CURRENT == 2 )); then\n    _describe command commands\n    return\n  fi\n  local command=$words[2]\n  shift words\n  (( CURRENT-- ))\n  case $command in\n")
	escape := strings.NewReplacer("[", "(", "]", ")", ":", ";")
	for _, n := range app.Children {
		fmt.Fprintf(b, "    %s) _arguments", n.Name)
		for _, f := range shownFlags(n) {
			spec := fmt.Sprintf("--%s[%s]", f.Name, escape.Replace(f.Help))
			switch words := choices(f.Value); {
			case f.IsBool():
			case len(words) > 0:
				spec = strings.Replace(spec, "[", "=[", 1) + ":word:(" + strings.Join(words, " ") + ")"
			default:
				spec = strings.Replace(spec, "[", "=[", 1) + ":" + escape.Replace(f.FormatPlaceHolder()) + ":_files"
			}
			fmt.Fprintf(b, " \\\n      %s", quoted(spec))
		}
		rest := "*:file:_files"
		for _, a := range n.Positional {
			if words := choices(a); len(words) > 0 {
				rest = "*:word:(" + strings.Join(words, " ") + ")"
			}
		}
		if n.Name == "help" {
			rest = "*:command:(" + strings.Join(names(app), " ") + ")"
		}
		fmt.Fprintf(b, " \\\n      %s ;;\n", quoted(rest))
	}
	fmt.Fprint(b, "  esac\n}\nif [ \"$funcstack[1]\" = _matchmark ]; then _matchmark \"$@\"; else compdef _matchmark matchmark; fi\n")
}

// fishCompletion writes a line for each command and option.
func fishCompletion(b *bytes.Buffer, app *kong.Application) {
	fmt.Fprint(b, "# Completion of matchmark for fish.\n")
	for _, n := range app.Children {
		fmt.Fprintf(b, "complete -c matchmark -n __fish_use_subcommand -f -a %s -d %s\n", n.Name, quoted(n.Help))
		on := quoted("__fish_seen_subcommand_from " + n.Name)
		for _, f := range shownFlags(n) {
			takes := ""
			switch words := choices(f.Value); {
			case f.IsBool():
			case len(words) > 0:
				takes = " -x -a " + quoted(strings.Join(words, " "))
			default:
				takes = " -r"
			}
			fmt.Fprintf(b, "complete -c matchmark -n %s -l %s%s -d %s\n", on, f.Name, takes, quoted(f.Help))
		}
		for _, a := range n.Positional {
			if words := choices(a); len(words) > 0 {
				fmt.Fprintf(b, "complete -c matchmark -n %s -f -a %s\n", on, quoted(strings.Join(words, " ")))
			}
		}
		if n.Name == "help" {
			fmt.Fprintf(b, "complete -c matchmark -n %s -f -a %s\n", on, quoted(strings.Join(names(app), " ")))
		}
	}
}

// quoted is a word for a shell.
func quoted(s string) string { return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'" }
