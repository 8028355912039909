// Package smalldisk gives tests a disk that is soon full.
package smalldisk

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"
)

// Mount mounts an empty disk of a size as mount(8) writes it, such as "6m", and
// returns its folder. It skips the test where that is not to be had: only root can, on Linux.
func Mount(t *testing.T, size string) string {
	t.Helper()
	dir := t.TempDir()
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("a small disk can be mounted by root on Linux only")
	}
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size="+size, "tmpfs", dir).CombinedOutput(); err != nil {
		t.Skipf("a small disk cannot be mounted here: %v %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", dir).CombinedOutput(); err != nil {
			t.Errorf("%v %s", err, out)
		}
	})
	return dir
}

// Fill fills a disk that Mount returned to its last byte. empty makes room again.
func Fill(t *testing.T, disk string) (empty func()) {
	t.Helper()
	filler := filepath.Join(disk, "filler")
	f, err := os.Create(filler)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	block := make([]byte, 4096)
	for {
		if _, err := f.Write(block); errors.Is(err, syscall.ENOSPC) {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	return func() {
		if err := os.Remove(filler); err != nil {
			t.Fatal(err)
		}
	}
}
