//go:build !windows

package held

import (
	"errors"
	"syscall"
)

func inUse(error) bool { return false }

func denied(error) bool { return false }

func full(err error) bool { return errors.Is(err, syscall.ENOSPC) }
