package state

// timeline is how each of several things is in the course of a trace: how it was at
// the start, and what each event that changed it made of it. Earlier moments stay as they were.
type timeline[T any] [][]version[T]

// version is how a thing is from the event of that index on; None is the start.
type version[T any] struct {
	from int32
	is   T
}

// newTimeline returns n things that are all alike at the start.
func newTimeline[T any](n int, start T) timeline[T] {
	return startingFrom(n, func(int) T { return start })
}

// startingFrom returns n things with their start.
func startingFrom[T any](n int, start func(i int) T) timeline[T] {
	out := make(timeline[T], n)
	room := make([]version[T], 2*n) // most things change once in a job
	for i := range out {
		out[i] = append(room[2*i:2*i:2*i+2], version[T]{None, start(i)})
	}
	return out
}

// at returns how a thing is right after the event of that index.
func (t timeline[T]) at(i int, event int32) *T {
	versions := t[i]
	low, high := 0, len(versions) // it is at least version low, and none from high on
	for high-low > 1 {
		if mid := (low + high) / 2; versions[mid].from <= event {
			low = mid
		} else {
			high = mid
		}
	}
	return &versions[low].is
}

// set says how a thing is from the event of that index on, which must be the latest.
func (t timeline[T]) set(i int, event int32, is T) {
	if last := len(t[i]) - 1; t[i][last].from == event {
		t[i][last].is = is
		return
	}
	t[i] = append(t[i], version[T]{event, is})
}

// then returns another timeline, which starts from what the things are after the
// event of that index; start makes a start of what a thing was.
func (t timeline[T]) then(event int32, start func(T) T) timeline[T] {
	return startingFrom(len(t), func(i int) T { return start(*t.at(i, event)) })
}
