package workorder

import (
	"testing"

	"github.com/a-h/templ"

	"matchmark/compile/pagetest"
)

func TestHostileStringsStayText(t *testing.T) {
	pagetest.Hostile(t, nil, func(v view) templ.Component { return orderPage(&v) })
}
