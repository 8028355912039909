// Package preview shows an author what a library looks like while it is being
// written: it notices what is saved, serves the last good site on this computer
// alone, and puts the messages of a failed compile into the page.
package preview

import (
	"bytes"
	"encoding/json"
	"fmt"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/say"
)

// Outcome is how one compile ended.
type Outcome struct {
	// Written is true when the site was written, which it never is with errors.
	Written bool
	// Diagnostics are the messages about the library, in the order to show.
	Diagnostics []diagnostic.Diagnostic
	// Language is what they are said in, nil for English.
	Language say.Language
	// Failure is what stopped a compile that found nothing wrong with the
	// library, such as a full disk. It is empty otherwise.
	Failure string
}

// state is an outcome as the panel's script gets it.
type state struct {
	// Edition changes whenever the site has been written: a page of another
	// edition is out of date.
	Edition     string          `json:"edition"`
	Written     bool            `json:"written"`
	Failure     string          `json:"failure,omitempty"`
	Diagnostics json.RawMessage `json:"diagnostics"`
}

// encode returns the state as JSON in one line, as an event needs it.
func encode(edition string, o Outcome) ([]byte, error) {
	var list bytes.Buffer
	if err := diagnostic.PrintJSON(&list, o.Language, o.Diagnostics); err != nil {
		return nil, fmt.Errorf("messages for the page: %w", err)
	}
	return json.Marshal(state{Edition: edition, Written: o.Written, Failure: o.Failure, Diagnostics: list.Bytes()})
}
