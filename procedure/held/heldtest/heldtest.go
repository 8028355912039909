// Package heldtest gives tests a file system that fails as Windows does.
package heldtest

import (
	"path/filepath"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"matchmark/procedure/held"
)

// Ever is for a file that is never let go of.
const Ever = -1

// Hold has somebody hold all files whose path ends so, in slashes, for a number of tries. Names are asked for as the program gives them.
// It returns how often the program met one. Tests that hold files do not run in parallel.
func Hold(t *testing.T, ending string, tries int64) (met *atomic.Int64) {
	t.Helper()
	met = &atomic.Int64{}
	held.Try(&held.Trial{Patience: 40 * time.Millisecond, Says: func(name string) error {
		if !strings.HasSuffix(filepath.ToSlash(name), ending) || met.Add(1) > tries && tries != Ever {
			return nil
		}
		return held.ErrInUse
	}})
	t.Cleanup(Release)
	return met
}

// Without makes the file system one without hard links and modes, as that of a stick: it refuses both.
// Source: Linux, fat_setattr: EPERM for a mode that FAT does not have (from memory).
func Without(t *testing.T) {
	t.Helper()
	held.Try(&held.Trial{Patience: 40 * time.Millisecond, Link: syscall.EPERM, Chmod: syscall.EPERM})
	t.Cleanup(Release)
}

// Release lets all files go.
func Release() { held.Try(nil) }
