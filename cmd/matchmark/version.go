package main

import (
	"fmt"
	"runtime/debug"
)

// versionCommand prints the version.
type versionCommand struct{}

// Run prints the version that the build noted, which is "unknown" for a build
// outside the repository.
func (*versionCommand) Run(c *console) error {
	version := "unknown"
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		version = info.Main.Version
	}
	_, err := fmt.Fprintln(c.out, "matchmark", version)
	return err
}
