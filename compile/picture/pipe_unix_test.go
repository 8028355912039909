//go:build unix

package picture

import "syscall"

// notAFile makes a pipe, which a reader would wait at for ever.
func notAFile(name string) error { return syscall.Mkfifo(name, 0o666) }
