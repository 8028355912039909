package host

import (
	"context"
	"encoding/json"
	"fmt"

	"matchmark/compile/host/store"
	"matchmark/procedure"
	"matchmark/procedure/quiz"
)

// keepWordings keeps the keys of the quizzes that are served from now on, and returns those of
// all wordings that ever were: a try that was begun before a change is marked by what it was asked.
func keepWordings(ctx context.Context, s *store.Store, lib *procedure.Library) ([]quiz.Wording, error) {
	var now []store.Wording
	for _, q := range lib.Quizzes {
		w := quiz.WordingOf(q)
		key, err := json.Marshal(w)
		if err != nil {
			return nil, err
		}
		now = append(now, store.Wording{Quiz: w.Quiz, Edition: w.Edition, Key: key})
	}
	if err := s.KeepWordings(ctx, now); err != nil {
		return nil, err
	}
	kept, err := s.Wordings(ctx)
	if err != nil {
		return nil, err
	}
	var out []quiz.Wording
	for _, k := range kept {
		var w quiz.Wording
		if err := json.Unmarshal(k.Key, &w); err != nil {
			return nil, fmt.Errorf("reading the key of %s %s: %w", k.Quiz, k.Edition, err)
		}
		out = append(out, w)
	}
	return out, nil
}
