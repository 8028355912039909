package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/alecthomas/kong"
)

// manCommand prints the manual page.
type manCommand struct{}

// Help is shown below the command's one line.
func (*manCommand) Help() string {
	return `Read it with: matchmark man | man -l -

To have "man matchmark", write it into a folder of manual pages: matchmark man > ~/.local/share/man/man1/matchmark.1`
}

// Run prints the page, as man(7) lays down.
func (*manCommand) Run(parsed *kong.Context, c *console) error {
	var b bytes.Buffer
	app := parsed.Model
	fmt.Fprintf(&b, ".TH MATCHMARK 1 \"\" %s \"User commands\"\n", roff(`"matchmark `+version()+`"`))
	fmt.Fprint(&b, ".SH NAME\nmatchmark \\- workshop procedures, checked and made into a training site\n.SH SYNOPSIS\n.B matchmark\n.I COMMAND\n[options]\n.SH DESCRIPTION\n")
	manText(&b, about)
	fmt.Fprint(&b, ".SH OPTIONS OF EVERY COMMAND\n")
	for _, f := range shownFlags(app.Node) {
		manFlag(&b, f)
	}
	fmt.Fprint(&b, ".SH COMMANDS\n")
	for _, n := range app.Children {
		fmt.Fprintf(&b, ".SS %s\n%s\n.PP\n", roff(strings.TrimSuffix(plainHelp.Replace(n.Summary()), " [options]")), roff(n.Help))
		if n.Detail != "" {
			manText(&b, n.Detail)
		}
		for _, a := range n.Positional {
			fmt.Fprintf(&b, ".TP\n.I %s\n%s\n", roff(a.Name), roff(a.Help))
		}
		for _, f := range n.Flags {
			if !f.Hidden && f.Name != "help" {
				manFlag(&b, f)
			}
		}
	}
	_, err := c.out.Write(b.Bytes())
	return err
}

// manFlag writes an option.
func manFlag(b *bytes.Buffer, f *kong.Flag) {
	name := "--" + f.Name
	if f.Short != 0 {
		name = "-" + string(f.Short) + ", " + name
	}
	if !f.IsBool() {
		name += "=" + f.FormatPlaceHolder()
	}
	fmt.Fprintf(b, ".TP\n.B %s\n%s\n", roff(name), roff(f.Help))
}

// manText writes paragraphs; lines that are set in stay as they are.
func manText(b *bytes.Buffer, text string) {
	for _, paragraph := range strings.Split(strings.TrimSpace(text), "\n\n") {
		if strings.Contains("\n"+paragraph, "\n  ") {
			fmt.Fprintf(b, ".PP\n.nf\n%s\n.fi\n", roff(paragraph))
			continue
		}
		fmt.Fprintf(b, ".PP\n%s\n", roff(paragraph))
	}
}

// roff keeps words from being read as instructions of the formatter.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	lines := strings.Split(s, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "\n")
}
