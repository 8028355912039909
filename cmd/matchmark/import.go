package main

import (
	"context"
	"errors"

	"matchmark/compile/host/datafolder"
	"matchmark/compile/host/store"
	"matchmark/procedure/say"
)

// importCommand brings a class that ran on its own into a database of several workshops.
type importCommand struct {
	dataFlag
	databaseFlag
	Who string `required:"" placeholder:"NAME" help:"Your account in the database; it is noted who brought the class in."`
}

// Help is shown below the command's one line.
func (*importCommand) Help() string {
	return `For a workshop whose class ran in its data folder, without the database: while the network was away, or before there was one. End that class first. What is there already comes in no second time, so the command may be given again, also after it broke off. What was deleted on either side stays deleted. The data folder stays as it is; tablets join the workshop's class anew.`
}

// Run brings the class in.
func (m *importCommand) Run(ctx context.Context, c *console) error {
	if err := m.check(); err != nil {
		return err
	}
	if m.Database == "" {
		return &failure{code: exitUsage, problem: say.That("no database is named"), do: say.That("name it with --database, and the workshop with --workshop")}
	}
	dir, err := m.folder()
	if err != nil {
		return err
	}
	if !store.Holds(dir) {
		return &failure{code: exitWorld, problem: say.That("there are no class data in %folder", say.Name(dir)), do: say.That("name the folder with --data")}
	}
	lock, err := datafolder.Lock(dir)
	if err != nil {
		return ofHost(err)
	}
	defer lock.Close()
	from, err := store.Open(ctx, dir, store.Options{})
	if err != nil {
		return ofHost(err)
	}
	defer from.Close()
	into, err := store.Open(ctx, dir, store.Options{Database: m.Database, Workshop: m.Workshop})
	if err != nil {
		return ofHost(err)
	}
	defer into.Close()
	account, err := into.Account(ctx, m.Who)
	if errors.Is(err, store.ErrUnknown) {
		return &failure{code: exitUsage, problem: say.That("nobody has an account called %name", say.Quoted(m.Who)), do: say.That("name your account with --who")}
	}
	if err != nil {
		return ofHost(err)
	}
	by, err := into.Trainer(ctx, account.Name)
	if err != nil {
		return ofHost(err)
	}
	out, err := into.Import(ctx, by.ID, from)
	if err != nil {
		return ofHost(err)
	}
	c.print(say.That("New in the workshop: %jobs %jobs(job|jobs), %entries %entries(entry|entries), %photos %photos(photo|photos), %results %results(quiz result|quiz results), %names %names(name|names), %tablets %tablets(tablet|tablets). Deleted there as in the class: %deleted.",
		say.Count(out.Jobs), say.Count(out.Entries), say.Count(out.Photos), say.Count(out.Results), say.Count(out.Names), say.Count(out.Tablets), say.Count(out.Deleted)))
	return nil
}
