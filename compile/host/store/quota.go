package store

import (
	"errors"
	"fmt"
)

// What one tablet may have kept: far more than a course brings, and far less than what fills the class's room.
const (
	mostJobsOfOne   = 200
	mostTriesOfOne  = 1000
	mostNamesOfOne  = 50 // of others, that were typed in quizzes
	mostPhotosOfOne = 6 * MostJobPhotos
)

// ErrTabletFull means that a tablet has had as much kept as one may.
var ErrTabletFull = errors.New("the tablet has had as much kept as one may")

// mayKeep refuses one thing more of a tablet's when there are too many; count says how many, for the tablet's name.
func (w *writer) mayKeep(tablet, count string, more, most int64) error {
	n, err := size(w.ctx, w.conn, count, tablet)
	if err != nil {
		return fmt.Errorf("counting what a tablet has kept: %w", err)
	}
	if n+more > most {
		return ErrTabletFull
	}
	return nil
}
