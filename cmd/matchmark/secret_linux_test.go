package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
	"gotest.tools/v3/assert"
)

// terminal opens a pseudoterminal: what is written to keyboard is typed on screen's terminal.
func terminal(t *testing.T) (keyboard, tty *os.File) {
	t.Helper()
	keyboard, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no pseudoterminal here: %v", err)
	}
	t.Cleanup(func() { keyboard.Close() })
	if err := unix.IoctlSetPointerInt(int(keyboard.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Skipf("no pseudoterminal here: %v", err)
	}
	number, err := unix.IoctlGetInt(int(keyboard.Fd()), unix.TIOCGPTN)
	assert.NilError(t, err)
	if tty, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0); err != nil {
		t.Skipf("no pseudoterminal here: %v", err)
	}
	t.Cleanup(func() { tty.Close() })
	return keyboard, tty
}

func echoes(t *testing.T, tty *os.File) bool {
	t.Helper()
	state, err := unix.IoctlGetTermios(int(tty.Fd()), unix.TCGETS)
	assert.NilError(t, err)
	return state.Lflag&unix.ECHO != 0
}

// silenced waits until the terminal does not show what is typed.
func silenced(t *testing.T, tty *os.File) {
	t.Helper()
	for range 500 {
		if !echoes(t, tty) {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the terminal goes on showing what is typed")
}

// A PIN that is typed on a terminal is not shown there.
func TestSecretIsNotShown(t *testing.T) {
	keyboard, tty := terminal(t)
	go func() {
		silenced(t, tty)
		fmt.Fprint(keyboard, "731948\n")
	}()
	got, err := readSecret(context.Background(), tty)
	if err != nil || got != "731948" {
		t.Fatalf("%q, %v", got, err)
	}
	if !echoes(t, tty) {
		t.Error("the terminal does not show any more what is typed")
	}
	fmt.Fprint(tty, "end.")
	var screen strings.Builder
	buffer := make([]byte, 64)
	for !strings.Contains(screen.String(), "end.") {
		n, err := keyboard.Read(buffer)
		assert.NilError(t, err)
		screen.Write(buffer[:n])
	}
	if strings.Contains(screen.String(), "731948") {
		t.Errorf("the screen shows %q", screen.String())
	}
}

// Who stops at the question gets a terminal back that shows what is typed.
func TestSecretStopped(t *testing.T) {
	_, tty := terminal(t)
	ctx, cancel := context.WithCancel(context.Background())
	go func() {
		silenced(t, tty)
		cancel()
	}()
	_, err := readSecret(ctx, tty)
	var stopped *failure
	if !errors.As(err, &stopped) || stopped.code != exitInterrupted || !echoes(t, tty) {
		t.Errorf("%v, shown: %t", err, echoes(t, tty))
	}
}

// From a pipe the line is read as it is.
func TestSecretFromAPipe(t *testing.T) {
	out, in, err := os.Pipe()
	assert.NilError(t, err)
	defer out.Close()
	fmt.Fprint(in, "731948\r\n")
	in.Close()
	if got, err := readSecret(context.Background(), out); err != nil || got != "731948" {
		t.Errorf("%q, %v", got, err)
	}
}
