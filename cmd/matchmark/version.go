package main

import (
	"fmt"
	"runtime/debug"

	"github.com/alecthomas/kong"
)

// versionCommand prints the version.
type versionCommand struct{}

// Run prints the version.
func (*versionCommand) Run(c *console) error {
	_, err := fmt.Fprintln(c.out, "matchmark", version())
	return err
}

// versionFlag prints the version, whatever else stands on the command line.
type versionFlag bool

// BeforeReset prints, and ends the reading of the command line as --help does.
func (versionFlag) BeforeReset(parsed *kong.Context, c *console) error {
	if err := (&versionCommand{}).Run(c); err != nil {
		return err
	}
	parsed.Kong.Exit(exitFine)
	return nil
}

// released is the tag of a release, set by the linker; empty for other builds.
var released string

// version is that of the release or else the one that the build noted, which is "unknown" for a build outside the repository.
func version() string {
	if released != "" {
		return released
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return "unknown"
}
