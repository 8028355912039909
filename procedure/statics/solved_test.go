package statics

import (
	"math/big"
	"testing"

	"gotest.tools/v3/assert"
)

// TestKeySaysAllThatCounts changes one thing of an arrangement at a time: none shares its key with another, but a name does.
func TestKeySaysAllThatCounts(t *testing.T) {
	at := func() *Arrangement {
		return &Arrangement{
			Bodies: []Body{{Name: "drum", Mass: big.NewRat(80, 1), Centre: At(1, 2, 3)}},
			Ties:   []Tie{{Name: "hook", Kind: Pull, Body: 0, Other: Ground, At: At(1, 2, 4), Along: Up, Rated: big.NewRat(100, 1)}},
		}
	}
	keys := map[string]string{at().key(): "nothing"}
	for what, change := range map[string]func(*Arrangement){
		"one line":      func(a *Arrangement) { a.Line = true },
		"down":          func(a *Arrangement) { down := At(0, 1, -1); a.Down = &down },
		"mass":          func(a *Arrangement) { a.Bodies[0].Mass = big.NewRat(81, 1) },
		"centre":        func(a *Arrangement) { a.Bodies[0].Centre = At(1, 2, 4) },
		"another body":  func(a *Arrangement) { a.Bodies = append(a.Bodies, a.Bodies[0]) },
		"kind":          func(a *Arrangement) { a.Ties[0].Kind = Push },
		"body":          func(a *Arrangement) { a.Ties[0].Body = 1 },
		"other side":    func(a *Arrangement) { a.Ties[0].Other = 1 },
		"place":         func(a *Arrangement) { a.Ties[0].At = At(1, 2, 5) },
		"direction":     func(a *Arrangement) { a.Ties[0].Along = At(0, 1, 1) },
		"rating":        func(a *Arrangement) { a.Ties[0].Rated = big.NewRat(1, 3) },
		"no rating":     func(a *Arrangement) { a.Ties[0].Rated = nil },
		"another tie":   func(a *Arrangement) { a.Ties = append(a.Ties, a.Ties[0]) },
		"nothing holds": func(a *Arrangement) { a.Ties = nil },
	} {
		a := at()
		change(a)
		if other, there := keys[a.key()]; there {
			t.Errorf("a change of %s has the key of a change of %s", what, other)
		}
		keys[a.key()] = what
	}
	named := at()
	named.Bodies[0].Name, named.Ties[0].Name = "cask", "ring"
	assert.Equal(t, named.key(), at().key())
}

// TestMemoStaysSmall fills a memo beyond what it keeps.
func TestMemoStaysSmall(t *testing.T) {
	m := memo{most: 2}
	for _, key := range []string{"a", "b", "c"} {
		m.put(key, Balance{Holds: true})
	}
	_, old := m.get("a")
	_, last := m.get("c")
	assert.Equal(t, len(m.known) <= 2 && !old && last, true)
}
