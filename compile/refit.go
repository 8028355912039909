package compile

import (
	"fmt"

	"matchmark/procedure"
	"matchmark/procedure/parallel"
	"matchmark/procedure/refit"
	"matchmark/themes"
)

// withRefittings returns the library with the refitting of each procedure behind it.
// A procedure that leaves nothing to bring back has none.
func withRefittings(lib *procedure.Library, theme *themes.Theme) (*procedure.Library, error) {
	words, err := theme.Words(lib.Language)
	if err != nil {
		return nil, fmt.Errorf("deriving the refitting: %w", err)
	}
	var names []string
	for _, p := range lib.Procedures {
		names = append(names, p.File.Name)
	}
	parallel.Each(names, func(i int) {
		p := lib.Procedures[i]
		attach(p, refit.Derive(p, refit.AdditionsOf(p), words.T))
	})
	return insertRefittings(lib), nil
}

// withRefitting is withRefittings for a part of a library with one procedure, whose refitting is derived already.
func withRefitting(lib *procedure.Library, p, back *procedure.Procedure) *procedure.Library {
	attach(p, back)
	return insertRefittings(lib)
}

// attach gives a procedure its refitting, unless there is nothing to bring back.
func attach(p, back *procedure.Procedure) {
	if len(back.Steps) > 0 {
		p.Refitting, back.Removal = back, p
	}
}

// insertRefittings puts each procedure's refitting behind it.
func insertRefittings(lib *procedure.Library) *procedure.Library {
	out := *lib
	out.Procedures = nil
	for _, p := range lib.Procedures {
		out.Procedures = append(out.Procedures, p)
		if p.Refitting != nil {
			out.Procedures = append(out.Procedures, p.Refitting)
		}
	}
	return &out
}

// DeriveRefittings is the library with the refittings, as the site has them, for commands that need no site.
func DeriveRefittings(lib *procedure.Library) (*procedure.Library, error) {
	theme, err := themes.Load()
	if err != nil {
		return nil, fmt.Errorf("loading the theme: %w", err)
	}
	return withRefittings(lib, theme)
}
