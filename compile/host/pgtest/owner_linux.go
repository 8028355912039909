package pgtest

import (
	"errors"
	"os"
	"os/exec"
	osuser "os/user"
	"strconv"
	"syscall"
)

var (
	fast  os.Signal = syscall.SIGINT
	crash os.Signal = syscall.SIGQUIT
)

// owner is who the server runs as: not root, for whom it does not start.
func owner() (*syscall.Credential, error) {
	if os.Getuid() != 0 {
		return nil, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		if u, err := osuser.Lookup(name); err == nil {
			uid, err := strconv.ParseUint(u.Uid, 10, 32)
			gid, err2 := strconv.ParseUint(u.Gid, 10, 32)
			if err == nil && err2 == nil {
				return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, nil
			}
		}
	}
	return nil, errors.New("it does not run as root, and there is no user postgres or nobody")
}

// giveAway gives a folder to whom the server runs as.
func giveAway(dir string) error {
	who, err := owner()
	if err != nil || who == nil {
		return err
	}
	return os.Chown(dir, int(who.Uid), int(who.Gid))
}

// asOwner has a program run as that user. It ends with the test that started it.
func asOwner(program *exec.Cmd) error {
	who, err := owner()
	program.SysProcAttr = &syscall.SysProcAttr{Credential: who, Pdeathsig: syscall.SIGQUIT}
	return err
}
