package held

import (
	"errors"

	"golang.org/x/sys/windows"
)

// byOthers reports whether an error is that of a file which somebody else has open. A folder with such a file in it gives "access denied".
//
// Source: Microsoft, "System Error Codes (0-499)": 5, 32, 33.
func byOthers(err error) bool {
	return errors.Is(err, windows.ERROR_SHARING_VIOLATION) || errors.Is(err, windows.ERROR_LOCK_VIOLATION) || errors.Is(err, windows.ERROR_ACCESS_DENIED)
}
