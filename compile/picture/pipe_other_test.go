//go:build !unix

package picture

import "os"

// notAFile makes a folder, where there are no pipes.
func notAFile(name string) error { return os.Mkdir(name, 0o777) }
