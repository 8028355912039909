package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// suite is the tests of one package.
type suite struct {
	path    string
	scratch string // folder of its own
	args    []string
	limit   time.Duration
}

// newSuite builds the tests of a package with some files laid over others, and runs them once without a fault.
func newSuite(path, scratch string, files map[string]string) (*suite, error) {
	s := &suite{path: path, limit: 5 * time.Minute}
	var err error
	if s.scratch, err = os.MkdirTemp(scratch, ""); err != nil {
		return nil, err
	}
	out, err := exec.Command("go", "list", "-json=TestImports,XTestImports", "./"+path).Output()
	if err != nil {
		return nil, fmt.Errorf("go list %s: %w", path, err)
	}
	var l listed
	if err := json.Unmarshal(out, &l); err != nil {
		return nil, err
	}
	if strings.Contains(strings.Join(append(l.TestImports, l.XTestImports...), " "), "pgregory.net/rapid") {
		s.args = []string{"-rapid.seed=1", "-rapid.nofailfile"}
	}
	if err := s.build("all", files); err != nil {
		return nil, err
	}
	begin := time.Now()
	if out, err := s.run("all", 0); err != nil {
		return nil, fmt.Errorf("the tests of %s fail without a mutant: %w: %s", s.path, err, out)
	}
	s.limit = max(5*time.Since(begin), 10*time.Second)
	return s, nil
}

// build makes a test binary with some files laid over others.
func (s *suite) build(binary string, files map[string]string) error {
	replace := map[string]string{}
	for name, text := range files {
		path, err := filepath.Abs(name)
		if err != nil {
			return err
		}
		replace[path] = filepath.Join(s.scratch, filepath.Base(name))
		if err := os.WriteFile(replace[path], []byte(text), 0o600); err != nil {
			return err
		}
	}
	list, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return err
	}
	overlay := filepath.Join(s.scratch, "overlay.json")
	if err := os.WriteFile(overlay, list, 0o600); err != nil {
		return err
	}
	build := exec.Command("go", "test", "-c", "-p=1", "-vet=off", "-overlay", overlay, "-o", filepath.Join(s.scratch, binary), "./"+s.path)
	if out, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("the tests of %s: %w: %s", s.path, err, out)
	}
	return nil
}

// run runs a test binary with one of its mutants, or with none for 0.
func (s *suite) run(binary string, mutant int) ([]byte, error) {
	c := exec.Command(filepath.Join(s.scratch, binary), append([]string{"-test.failfast", "-test.timeout", s.limit.String()}, s.args...)...)
	c.Dir, c.Env = s.path, append(os.Environ(), fmt.Sprint("MUTANT=", mutant))
	return c.CombinedOutput()
}

// kill tries the k-th mutant on one package after the other and returns the first that
// notices it; empty when none does.
func kill(m mutant, k int, alone bool, suites []*suite) (by string, err error) {
	for _, s := range suites {
		binary := "all"
		if alone {
			binary = "one"
			if err := s.build(binary, map[string]string{m.file.name: m.text()}); err != nil {
				return "", err
			}
		}
		var failed *exec.ExitError
		if _, err := s.run(binary, k+1); errors.As(err, &failed) {
			return s.path, nil
		} else if err != nil {
			return "", err
		}
	}
	return "", nil
}
