package compile

import (
	"fmt"

	"matchmark/procedure"
	"matchmark/procedure/parallel"
	"matchmark/procedure/refit"
	"matchmark/themes"
)

// withWaysBack returns the library with the refitting of each procedure behind it.
// A procedure that leaves nothing to bring back has none.
func withWaysBack(lib *procedure.Library, theme *themes.Theme) (*procedure.Library, error) {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, fmt.Errorf("deriving the way back: %w", err)
	}
	var names []string
	for _, p := range lib.Procedures {
		names = append(names, p.File.Name)
	}
	parallel.Each(names, func(i int) {
		p := lib.Procedures[i]
		bring(p, refit.Derive(p, refit.AdditionsOf(p), words.T))
	})
	return behind(lib), nil
}

// withWayBack is withWaysBack for a part of a library with one procedure, whose way back is derived already.
func withWayBack(lib *procedure.Library, p, back *procedure.Procedure) *procedure.Library {
	bring(p, back)
	return behind(lib)
}

// bring gives a procedure its way back, unless there is nothing to bring back.
func bring(p, back *procedure.Procedure) {
	if len(back.Steps) > 0 {
		p.Back, back.Forth = back, p
	}
}

// behind puts each procedure's way back behind it.
func behind(lib *procedure.Library) *procedure.Library {
	out := *lib
	out.Procedures = nil
	for _, p := range lib.Procedures {
		out.Procedures = append(out.Procedures, p)
		if p.Back != nil {
			out.Procedures = append(out.Procedures, p.Back)
		}
	}
	return &out
}

// WaysBack is the library with the refittings, as the site has them, for commands that need no site.
func WaysBack(lib *procedure.Library) (*procedure.Library, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	return withWaysBack(lib, theme)
}
