package compile

import (
	"context"
	"iter"
	"maps"
	"slices"

	"matchmark/procedure/parallel"
)

// unitNames lists the units of the library as it is.
func (s *Session) unitNames() []unitName {
	names := []unitName{{overallUnit, ""}, {fixedUnit, ""}}
	for _, name := range s.index.names {
		kind := strayUnit
		switch h := s.inputs[name].heading; {
		case h.Kind == "refit":
			if s.index.procedures[h.Of] != "" {
				continue // read with its procedure
			}
		case h.ID == "":
		case h.Kind == "procedure":
			kind = procedureUnit
		case h.Kind == "machine":
			kind = machineUnit
		case h.Kind == "steps":
			kind = stepsUnit
		case h.Kind == "course":
			kind = courseUnit
		case h.Kind == "quiz":
			if s.index.procedures[h.Of] != "" {
				continue
			}
		}
		names = append(names, unitName{kind, name})
	}
	return names
}

// makeAll makes every unit that is not up to date. While an update knows of errors it
// looks at what has them and at what has changed; the rest is made once these are gone.
func (s *Session) makeAll(ctx context.Context) error {
	if s.only && (s.broken.Load() || s.erring()) {
		s.checking = true
		s.broken.Store(true)
		err := s.makeKinds(ctx)
		s.checking = false
		if err != nil || s.erring() || s.unjoined() {
			return err
		}
		s.broken.Store(false)
	}
	if err := s.makeKinds(ctx); err != nil {
		return err
	}
	return s.stagePictures(ctx)
}

// erring reports whether a unit has errors, as far as it is known.
func (s *Session) erring() bool {
	for name := range s.behind {
		if u := s.units[name]; u != nil && hasErrors(u.found) {
			return true
		}
	}
	return false
}

// makeKinds makes the units that are wanted: procedures first, then what is made from their cards.
func (s *Session) makeKinds(ctx context.Context) error {
	for _, kinds := range [][]unitKind{{procedureUnit, strayUnit, fixedUnit}, {machineUnit, stepsUnit, courseUnit}, {overallUnit}} {
		if err := s.makeUnits(ctx, s.wantedUnits(kinds...)); err != nil {
			return err
		}
		if s.moved.Load() {
			return errMoved
		}
	}
	return nil
}

// makeUnits brings those of the units up to date that need it.
func (s *Session) makeUnits(ctx context.Context, units []*unit) error {
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = u.label()
	}
	errs := make([]error, len(units))
	parallel.Each(names, func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil && !s.moved.Load() {
			before := *units[i]
			errs[i] = s.bring(units[i])
			s.note(&before, units[i])
			if s.only && units[i].kind == procedureUnit {
				s.follow(&before, units[i])
			}
		}
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// wantedUnits lists the units of some kinds that are looked at in this update, in order.
func (s *Session) wantedUnits(kinds ...unitKind) []*unit {
	if !s.only || s.behind == nil {
		return s.unitsOf(maps.Keys(s.units), s.wanted, kinds...)
	}
	names := map[unitName]bool{}
	for _, some := range []map[unitName]bool{s.dirty, s.unplaced, s.behind} {
		maps.Copy(names, some)
	}
	return s.unitsOf(maps.Keys(names), s.wanted, kinds...)
}

// unitsOf lists those of some units that are of some kinds and wanted, in order.
func (s *Session) unitsOf(names iter.Seq[unitName], wanted func(*unit) bool, kinds ...unitKind) []*unit {
	var out []*unit
	for name := range names {
		if u := s.units[name]; u != nil && slices.Contains(kinds, name.kind) && wanted(u) {
			out = append(out, u)
		}
	}
	slices.SortFunc(out, func(a, b *unit) int { return a.compare(b.unitName) })
	return out
}

// lookBehind finds the units that the next update has to look at again.
func (s *Session) lookBehind() {
	if s.behind != nil {
		return
	}
	s.behind = map[unitName]bool{}
	for name, u := range s.units {
		if u.isBehind() {
			s.behind[name] = true
		}
	}
}

func (u *unit) isBehind() bool { return !u.made || hasErrors(u.found) }

// note takes down what has become of a unit.
func (s *Session) note(before, now *unit) {
	s.mu.Lock()
	defer s.mu.Unlock()
	mark := func(set map[unitName]bool, is bool) {
		switch {
		case set == nil:
		case is:
			set[now.unitName] = true
		default:
			delete(set, now.unitName)
		}
	}
	mark(s.behind, now.isBehind())
	mark(s.telling, s.tells(now))
	if !slices.Equal(before.deps, now.deps) {
		s.showing, s.picturesStand = nil, false
	}
}

// wanted reports whether a unit is looked at in this update: it was marked, it has
// errors, it has no files yet, or its files have not reached the folder.
func (s *Session) wanted(u *unit) bool {
	if !s.only || s.dirty[u.unitName] || hasErrors(u.found) {
		return true
	}
	return !s.checking && (s.unplaced[u.unitName] || !u.made)
}
