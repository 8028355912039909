package main

import (
	"fmt"
	"runtime/debug"
)

// versionCommand prints the version.
type versionCommand struct{}

// Run prints the version.
func (*versionCommand) Run(c *console) error {
	_, err := fmt.Fprintln(c.out, "matchmark", version())
	return err
}

// version is the version that the build noted, which is "unknown" for a build outside the repository.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		return info.Main.Version
	}
	return "unknown"
}
