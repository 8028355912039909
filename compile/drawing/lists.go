package drawing

// lists are short lists of whole numbers, one for each item, in one piece of memory.
type lists struct {
	ends []int // of each item's list, among all
	all  []int
}

// listed makes the lists of n items from pairs of an item and what goes to the end of its list.
func listed(n, pairs int, pair func(i int) (of, value int)) lists {
	room := make([]int, n+pairs)
	l := lists{ends: room[:n], all: room[n:]}
	for i := range pairs {
		of, _ := pair(i)
		l.ends[of]++
	}
	start := 0
	for of, count := range l.ends {
		l.ends[of] = start // for now; each value moves it on, to the end at last
		start += count
	}
	for i := range pairs {
		of, value := pair(i)
		l.all[l.ends[of]] = value
		l.ends[of]++
	}
	return l
}

// of is the list of an item.
func (l lists) of(item int) []int {
	start := 0
	if item > 0 {
		start = l.ends[item-1]
	}
	return l.all[start:l.ends[item]]
}
