// Package filelock locks a file against other processes. The system lets a lock
// go when its process dies, so a stale lock file holds nobody up.
package filelock

import "errors"

// ErrLocked says that a living process holds the lock.
var ErrLocked = errors.New("locked by another process")
