package reference

import (
	"testing"

	"matchmark/compile/pagetest"
)

func TestHostileStringsStayText(t *testing.T) {
	pagetest.Hostile(t, nil, languagePage, messagesPage, guidePage)
}
