package main

import (
	"fmt"
	"os"

	"matchmark/compile"
	"matchmark/procedure/diagnostic"
)

func main() {
	root, err := os.OpenRoot(os.Args[2])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	var log diagnostic.Log
	if _, err := compile.Load(root.FS(), &log); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(3)
	}
	_ = diagnostic.Printer{Excerpt: true}.Print(os.Stdout, log.Sorted())
}
