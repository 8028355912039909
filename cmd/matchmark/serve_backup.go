package main

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"time"

	"matchmark/compile/host/datafolder"
	"matchmark/compile/host/store"
	"matchmark/procedure/say"
)

// backupCommand copies a class's data.
type backupCommand struct {
	dataFlag
	keepFlag
}

// Help is shown below the command's one line.
func (*backupCommand) Help() string {
	return `It may be made while the class works: the copy is whole, and as of one moment. It lies in the folder backups of the data folder; copy it to another disk from there.`
}

// Run makes a backup.
func (m *backupCommand) Run(ctx context.Context, c *console) error {
	dir, err := m.folder()
	if err != nil {
		return err
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return &failure{code: exitWorld, problem: say.That("%data is a file; class data are in a folder", say.Quoted(m.Data)), do: say.That("name the folder with --data")}
	}
	file, err := store.Backup(ctx, dir, m.Keep, time.Now())
	if errors.Is(err, fs.ErrNotExist) {
		return &failure{code: exitWorld, problem: say.That("there are no class data in %folder", say.Name(dir)), do: say.That("name the folder with --data")}
	}
	if err != nil {
		return ofHost(err)
	}
	c.print(say.That("Made and checked the backup %file", say.Name(file)))
	return nil
}

// restoreCommand gets a backup back.
type restoreCommand struct {
	Backup string `arg:"" name:"FILE" optional:"" help:"The backup to restore. Default: the newest valid one."`
	dataFlag
}

// Help is shown below the command's one line.
func (*restoreCommand) Help() string {
	return `End the class first. The database that is there is put aside into a folder beside it, not deleted. What was handed in after the backup, tablets that still have it send again by themselves.`
}

// Run gets a backup back.
func (m *restoreCommand) Run(ctx context.Context, c *console) error {
	dir, err := m.folder()
	if err != nil {
		return err
	}
	if m.Backup != "" {
		switch info, err := os.Stat(m.Backup); {
		case errors.Is(err, fs.ErrNotExist):
			return &failure{code: exitWorld, problem: say.That("there is no file %name", say.Quoted(m.Backup)), do: say.That("check the name; without a name the newest valid backup is taken")}
		case err == nil && info.IsDir():
			return &failure{code: exitWorld, problem: say.That("%backup is a folder; a backup is a file", say.Quoted(m.Backup)), do: say.That("name a file in it that ends in .db")}
		}
	}
	lock, err := datafolder.Lock(dir)
	if err != nil {
		return ofHost(err)
	}
	defer lock.Close()
	took, old, err := store.Restore(ctx, dir, m.Backup, time.Now())
	var unsound *store.RefusedError
	switch {
	case errors.Is(err, store.ErrUnknown):
		return &failure{code: exitWorld, problem: say.That("no valid backup found in %folder", say.Name(dir)), do: say.That("name a backup that you have elsewhere: matchmark restore FILE")}
	case errors.As(err, &unsound):
		return &failure{code: exitWorld, problem: say.That("%backup cannot be taken: %cause", say.Name(m.Backup), say.Why(err)), do: say.That("name another backup, or none to take the newest valid one")}
	case err != nil:
		return ofHost(err)
	}
	c.print(say.That("Got back %file", say.Name(took)))
	if old != "" {
		c.print(say.That("What was there before lies in %folder", say.Name(old)))
	}
	return nil
}
