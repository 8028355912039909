//go:build unix

package killtest

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/smalldisk"
)

// somebody is a user who is not the system's own, which may write anywhere. Source: Debian, base-passwd: nobody (from memory).
const somebody = 65534

// end ends the host as Ctrl-C does, whose exit code is 130 (128 and the number of the signal, as shells count it).
func (h *host) end(t *testing.T) {
	t.Helper()
	assert.NilError(t, h.process.Process.Signal(os.Interrupt))
	if err := h.process.Wait(); h.process.ProcessState.ExitCode() != 130 {
		t.Fatalf("%v, not exit code 130\n%s", err, h.output.String())
	}
	h.process = nil
}

// refused starts the host as somebody, and wants it to end with exit code 3 and words.
func (h *host) refused(t *testing.T, want ...string) {
	t.Helper()
	c := exec.Command(h.command, "serve", h.library, "--data", h.data, "--http", h.port, "--https", "off")
	if os.Getuid() == 0 {
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: somebody, Gid: somebody}}
	}
	c.Env = append(os.Environ(), "XDG_CACHE_HOME="+filepath.Join(filepath.Dir(h.data), "cache"))
	out, err := c.CombinedOutput()
	if c.ProcessState == nil || c.ProcessState.ExitCode() != 3 {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, w := range append(want, "\n  do: ") {
		if !strings.Contains(string(out), w) {
			t.Errorf("it does not say %q:\n%s", w, out)
		}
	}
}

// letIn lets everybody into a test's folder.
func letIn(t *testing.T, dir string) {
	t.Helper()
	for ; dir != filepath.Clean(os.TempDir()) && dir != "/"; dir = filepath.Dir(dir) {
		assert.NilError(t, os.Chmod(dir, 0o755))
	}
}

// A class that could not write anything down does not start.
func TestStartsThatAreRefused(t *testing.T) {
	h := newHost(t)
	h.start(t)
	h.end(t)
	h.start(t) // an orderly end is no reason to speak
	h.end(t)
	if strings.Contains(h.output.String(), "not ended properly") {
		t.Error(h.output.String())
	}
	letIn(t, filepath.Dir(h.command))
	give := func(mode os.FileMode) {
		t.Helper()
		err := filepath.WalkDir(h.data, func(path string, d os.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if os.Getuid() == 0 {
				if err := os.Lchown(path, somebody, somebody); err != nil {
					return err
				}
			}
			if d.IsDir() {
				return os.Chmod(path, 0o755)
			}
			return nil
		})
		assert.NilError(t, err)
		assert.NilError(t, os.Chmod(filepath.Join(h.data, "class.db"), mode))
	}
	give(0o444)
	h.refused(t, "class.db cannot be written", "--data")
	give(0o644)
	if os.Getuid() == 0 { // a folder of somebody else's
		assert.NilError(t, os.Lchown(h.data, 0, 0))
		h.refused(t, "cannot be used", "--data")
	}

	data := h.data
	h.data = filepath.Join(filepath.Dir(data), "letters")
	assert.NilError(t, os.MkdirAll(h.data, 0o755))
	assert.NilError(t, os.WriteFile(filepath.Join(h.data, "letter.txt"), nil, 0o644))
	h.refused(t, "holds other files", "--data")
	if info, err := os.Stat(h.data); err != nil || info.Mode().Perm() != 0o755 {
		t.Errorf("the folder of somebody's letters is changed: %v, %v", info, err)
	}
	if entries, err := os.ReadDir(h.data); err != nil || len(entries) != 1 {
		t.Errorf("something was put among somebody's letters: %v, %v", entries, err)
	}
}

// A disk without room ends the start, and loses nothing.
func TestStartOnAFullDisk(t *testing.T) {
	h := newHost(t)
	disk := smalldisk.Mount(t, "24m")
	h.data = filepath.Join(disk, "class")
	h.start(t)
	h.end(t)
	empty := smalldisk.Fill(t, disk)
	if os.Getuid() == 0 {
		assert.NilError(t, exec.Command("chown", "-R", "65534:65534", disk).Run())
	}
	letIn(t, filepath.Dir(h.command))
	letIn(t, disk)
	h.refused(t, "no room left")
	empty()
	h.start(t)
	h.end(t)
}
