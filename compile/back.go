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
		if back := refit.Derive(p, refit.AdditionsOf(p), words.T); len(back.Steps) > 0 {
			p.Back, back.Forth = back, p
		}
	})
	out := *lib
	out.Procedures = nil
	for _, p := range lib.Procedures {
		out.Procedures = append(out.Procedures, p)
		if p.Back != nil {
			out.Procedures = append(out.Procedures, p.Back)
		}
	}
	return &out, nil
}

// WaysBack is the library with the refittings, as the site has them, for commands that need no site.
func WaysBack(lib *procedure.Library) (*procedure.Library, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	return withWaysBack(lib, theme)
}
