package preview

import (
	"errors"
	"testing"

	"gotest.tools/v3/assert"

	"matchmark/compile/output"
)

func TestCheckAddress(t *testing.T) {
	for address, want := range map[string]string{
		"127.0.0.1:8017": "127.0.0.1:8017", "localhost:0": "localhost:0", "[::1]:80": "[::1]:80", "8017": "127.0.0.1:8017", ":8017": "127.0.0.1:8017", "127.1.2.3:9": "127.1.2.3:9",
		"0.0.0.0:8017": "", "192.168.1.2:8017": "", "[::]:8017": "", "example.org:80": "", "127.0.0.1": "", "localhost:http": "", "localhost:-1": "", "localhost:65536": "", "": "", "::1:80": "",
	} {
		got, err := CheckAddress(address)
		var fault *output.Fault
		if got != want || (want == "") != errors.As(err, &fault) {
			t.Errorf("%q: %q, %v, want %q", address, got, err, want)
		}
	}
}

func TestListenTwice(t *testing.T) {
	first, err := Listen(t.Context(), "127.0.0.1:0")
	assert.NilError(t, err)
	defer first.Close()
	_, err = Listen(t.Context(), first.Addr().String())
	var fault *output.Fault
	if !errors.As(err, &fault) {
		t.Errorf("the second listener got %v", err)
	}
}
