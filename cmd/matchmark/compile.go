package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"matchmark/compile"
	"matchmark/compile/cache"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// outputFlag is the option of the commands that write a site.
type outputFlag struct {
	Output string `short:"o" default:"site" placeholder:"DIR" help:"Folder for the site; a site made by matchmark is replaced. It is \"site\" when not given."`
}

// cacheFlags say where a compile keeps what it made for the next one.
type cacheFlags struct {
	Cache   string `placeholder:"DIR" help:"Cache folder, so that the next compile makes only the pages that change. Default: your user cache folder."`
	NoCache bool   `help:"Do not use a cache."`
}

// apart refuses a cache in the site's folder: a site is replaced whole, and what is not its own stands in the way.
func (f cacheFlags) apart(site string) error {
	if f.NoCache || f.Cache == "" {
		return nil
	}
	inner, err := filepath.Abs(f.Cache)
	if err != nil {
		return nil // cache.Open and output.Begin say what is wrong
	}
	outer, err := filepath.Abs(site)
	if err != nil {
		return nil
	}
	if way, err := filepath.Rel(outer, inner); err == nil && filepath.IsLocal(way) {
		return &failure{code: exitUsage, problem: say.That("--cache: the folder %folder lies in that of the site", say.Quoted(f.Cache)), do: say.That("name another folder with --cache, or leave it out")}
	}
	return nil
}

func (f cacheFlags) cache() *cache.Cache {
	if f.NoCache {
		return nil
	}
	return cache.Open(f.Cache)
}

// compileCommand makes the site.
type compileCommand struct {
	libraryArgument
	outputFlag
	cacheFlags
	AnswerKeys string `placeholder:"DIR" help:"Also write the site with the answer keys of its quizzes into this folder, for the trainer. The site in the other folder, for learners, never has them."`
	Verify     bool   `help:"Compare every file of the old site byte by byte. Without it, size and time of change decide."`
}

// Help is shown below the command's one line.
func (*compileCommand) Help() string {
	return `The site opens from its folder or from any web server, and needs no network. Answer keys of quizzes are left out; --answer-keys writes them into a folder of their own, which is for the trainer: put it on no server, and give it to no learner. A quiz that marks itself has its answers in the page's source; for an examination, hand out the paper form. When the library has errors, or when anything fails, nothing is written and an old site stays as it was.`
}

// Run compiles.
func (m *compileCommand) Run(ctx context.Context, c *console) error {
	if err := m.apart(m.Output); err != nil {
		return err
	}
	if err := m.keysApart(); err != nil {
		return err
	}
	to, err := newFolderOrZip(m.Output)
	if err != nil {
		return err
	}
	defer to.abandon()
	tradeMemoryForTime()
	files, closeIt, err := m.open()
	if err != nil {
		return err
	}
	defer closeIt()
	shown := c.startProgress()
	defer shown.stop()
	var log diagnostic.Log
	how := compile.Options{Cache: m.cache(), Verify: m.Verify, LeaveOutAdvice: true, WithoutKeys: true, Progress: shown.set, Trace: c.buildTrace()}
	sum, err := compile.Site(ctx, files, to.folder, &log, how)
	if err == nil && m.AnswerKeys != "" {
		how.WithoutKeys = false
		_, err = compile.Site(ctx, files, m.AnswerKeys, new(diagnostic.Log), how)
	}
	shown.stop()
	if ctx.Err() != nil && err != nil {
		return &failure{code: exitInterrupted, problem: say.That("stopped; nothing was written, an old site stays as it was")}
	}
	found := log.Sorted()
	all := faults(found)
	advice := sum.Advice + len(found) - len(all)
	if err := m.messages(c, all); err != nil {
		return err
	}
	switch {
	case errors.Is(err, compile.ErrDiagnostics):
		m.counted(c, all, say.That("Nothing was written."))
		return libraryErrors(all)
	case err != nil:
		return err
	case len(all) > 0:
		m.counted(c, all, say.That("The site was written all the same."))
		fmt.Fprintln(c.err)
	}
	if err := to.finish(); err != nil {
		return err
	}
	m.demoHint(c)
	c.note(written(sum))
	if advice > 0 {
		c.note(say.That(`"matchmark check" gives %count %count(suggestion|suggestions).`, say.Count(advice)))
	}
	if m.AnswerKeys != "" {
		c.note(say.That("The site with answer keys is in %folder: quiz/NAME/key.html. It is for the trainer alone.", say.Name(m.AnswerKeys)))
	}
	if to.zip != "" {
		c.note(say.That("It is in %file; unpack it, and open index.html in a browser.", say.Name(to.zip)))
		return nil
	}
	c.note(say.That("Open %file in a browser.", say.Name(filepath.Join(m.Output, "index.html"))))
	return nil
}

// keysApart refuses a folder for the answer keys that learners would get with the site.
func (m *compileCommand) keysApart() error {
	if m.AnswerKeys == "" {
		return nil
	}
	keys, err := filepath.Abs(m.AnswerKeys)
	if err != nil {
		return nil // compile.Site says what is wrong
	}
	site, err := filepath.Abs(m.Output)
	if err != nil {
		return nil
	}
	for _, two := range [][2]string{{site, keys}, {keys, site}} {
		if way, err := filepath.Rel(two[0], two[1]); err == nil && filepath.IsLocal(way) {
			return &failure{code: exitUsage, problem: say.That("--answer-keys: the folders %keys and %site lie in each other", say.Quoted(m.AnswerKeys), say.Quoted(m.Output)), do: say.That("name a folder beside that of the site")}
		}
	}
	return nil
}

// explainHint ends a list of messages.
var explainHint = say.That(`"matchmark explain CODE" says more about a message.`)

// written says what a compile has made.
func written(sum compile.Summary) say.Text {
	return say.That("Wrote %procedures %procedures(procedure|procedures), %pages %pages(page|pages) and %pictures %pictures(picture|pictures).",
		say.Count(sum.Procedures), say.Count(sum.Pages), say.Count(sum.Pictures))
}
