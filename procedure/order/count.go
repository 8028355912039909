package order

import "math/big"

// countLimit bounds how many sets of finished nodes Count looks at.
const countLimit = 1 << 20

// Count returns in how many orders the nodes can be done. ok is false when the
// graph has more than 64 nodes or too many sets of finished nodes to count over.
//
// An order is a way from "nothing done" to "all done" over sets of finished nodes
// that hold, with each node, all that must come before it. The number of ways to
// such a set is the sum over the nodes that may have come last.
func (g *Graph) Count() (orders *big.Int, ok bool) {
	if g.N > 64 {
		return nil, false
	}
	before := make([]uint64, g.N)
	for _, e := range g.Edges() {
		before[e.To] |= 1 << e.From
	}
	ways := map[uint64]*big.Int{0: big.NewInt(1)}
	seen := 1
	for range g.N {
		more := map[uint64]*big.Int{}
		for done, n := range ways {
			for u := range g.N {
				if done>>u&1 == 1 || before[u]&^done != 0 {
					continue
				}
				to := done | 1<<u
				if more[to] == nil {
					more[to] = new(big.Int)
				}
				more[to].Add(more[to], n)
			}
		}
		if seen += len(more); seen > countLimit {
			return nil, false
		}
		ways = more
	}
	orders = new(big.Int)
	for _, n := range ways {
		orders.Add(orders, n)
	}
	return orders, true
}
