package start

import (
	"testing"

	"matchmark/compile/pagetest"
)

func TestHostileStringsStayText(t *testing.T) {
	pagetest.Hostile(t, nil, startPage, runningPage, goodbyePage)
}
