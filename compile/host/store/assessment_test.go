package store

import (
	"errors"
	"testing"
	"time"

	"gotest.tools/v3/assert"

	"matchmark/procedure/assessment"
)

// What was seen of a learner is kept once, under names that can go, comes along with a class that is brought in, and ends with its time.
func TestAssessments(t *testing.T) {
	both(t, func(t *testing.T, at func(Options) *Store) {
		now := time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
		s := at(Options{Now: func() time.Time { return now }})
		defer closeIt(t, s)
		kim, err := s.Trainer(t.Context(), "Kim Holt")
		assert.NilError(t, err)
		ada(t, s)
		seen := assessment.Assessment{Learner: " ada  BERG", Procedure: "out", Finished: "2026-03-02", Aims: []assessment.Aim{{Number: 1, Verdict: assessment.Alone}}}
		failed := seen
		failed.Lines = []assessment.Seen{{Line: "x.1", Must: true}}
		for _, a := range []assessment.Assessment{seen, seen, failed} {
			assert.NilError(t, s.TakeAssessment(t.Context(), kim.ID, a))
		}
		if err := s.TakeAssessment(t.Context(), kim.ID, assessment.Assessment{Learner: "Nobody"}); !errors.Is(err, ErrUnknown) {
			t.Errorf("%v", err)
		}
		want := func(s *Store, n int, observer string) {
			t.Helper()
			all, err := s.Assessments(t.Context())
			assert.NilError(t, err)
			for _, a := range all {
				if a.Learner != "Ada Berg" || a.Observer != observer {
					t.Errorf("%+v", a.Assessment)
				}
			}
			if len(all) != n {
				t.Errorf("%d assessments, want %d", len(all), n)
			}
		}
		want(s, 2, "Kim Holt")

		other := open(t, t.TempDir(), Options{Now: func() time.Time { return now }})
		defer closeIt(t, other)
		for _, fresh := range []int{2, 0} {
			if out, err := other.Import(t.Context(), "", s); err != nil || out.Results != fresh {
				t.Errorf("%+v, %v", out, err)
			}
			want(other, 2, "Kim Holt")
		}

		_, _, err = s.Forget(t.Context(), "", kim.ID)
		assert.NilError(t, err)
		want(s, 2, "")
		for _, months := range []int{13, 36} { // what was missed ends with the class, what was shown with the evidence
			now = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC).AddDate(0, months+1, 0)
			out, err := s.Expire(t.Context(), Retention{Class: 12, Valid: 24, Evidence: 12}, func(Result) bool { return false })
			if err != nil || out.Results != 1 {
				t.Errorf("after %d months: %+v, %v", months, out, err)
			}
		}
		want(s, 0, "")
	})
}
