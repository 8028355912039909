package csvtable

import (
	"testing"

	"gotest.tools/v3/assert"
)

func TestNewReader(t *testing.T) {
	for _, c := range []struct {
		table string
		want  [][]string
	}{
		{"step,minutes\na,1.5\n", [][]string{{"step", "minutes"}, {"a", "1.5"}}},
		{"step;minutes\na;1,5\n", [][]string{{"step", "minutes"}, {"a", "1,5"}}},
		{"step,of;minutes\na,1\n", [][]string{{"step", "of;minutes"}, {"a", "1"}}}, // a comma in the first line
		{"a\nb,c,d\n", [][]string{{"a"}, {"b", "c", "d"}}},                         // lines of any length
	} {
		got, err := NewReader([]byte(c.table)).ReadAll()
		assert.NilError(t, err)
		assert.DeepEqual(t, got, c.want)
	}
}
