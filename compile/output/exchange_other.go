//go:build !linux

package output

import "errors"

// exchange is something that only Linux can do.
func exchange(a, b string) error { return errors.ErrUnsupported }
