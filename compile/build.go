package compile

import (
	"crypto/sha256"
	"fmt"
	"io"
	"os"

	"matchmark/compile/cache"
)

// buildSum names the program with its theme and words, which are part of it, by
// the sum of its own file.
func buildSum() (cache.Sum, error) {
	name, err := os.Executable()
	if err != nil {
		return cache.Sum{}, fmt.Errorf("finding the program's own file: %w", err)
	}
	file, err := os.Open(name)
	if err != nil {
		return cache.Sum{}, fmt.Errorf("reading the program's own file: %w", err)
	}
	defer file.Close()
	hash := sha256.New()
	if _, err := io.Copy(hash, file); err != nil {
		return cache.Sum{}, fmt.Errorf("reading the program's own file: %w", err)
	}
	return cache.Sum(hash.Sum(nil)), nil
}
