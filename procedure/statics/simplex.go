package statics

import (
	"math/big"
	"slices"
)

// system is the question whether numbers x, none of them below zero, solve rows · x = right.
// All numbers are exact, so the answer is the same on every processor.
type system struct {
	columns int
	rows    [][]*big.Rat
	right   []*big.Rat
}

func newSystem(columns int) *system { return &system{columns: columns} }

// row adds an equation, and returns its coefficients to be filled in.
func (s *system) row(right *big.Rat) []*big.Rat {
	row := zeros(s.columns)
	s.rows, s.right = append(s.rows, row), append(s.right, right)
	return row
}

func zeros(n int) []*big.Rat {
	room := make([]big.Rat, n)
	out := make([]*big.Rat, n)
	for i := range out {
		out[i] = &room[i]
	}
	return out
}

// tableau is a system brought into the form in which each row has a variable of its own, its
// basis. The columns behind those of the system are artificial: one for each equation.
type tableau struct {
	system *system
	rows   [][]*big.Rat // the last number of each is its right side
	basis  []int
	cost   []*big.Rat // what one more of each variable costs
	turned []bool     // equations that were multiplied by -1
}

// solve finds a solution, or else proof that there is none: numbers, one for each equation, such
// that the sum of the equations times these is at most zero on the left for every x and above zero on the right.
//
// It is the first phase of the simplex method, with the least column that improves and the least variable of those that may
// leave, which cannot go round in circles. Equations that follow from others are taken out.
//
// Source: R. G. Bland, "New finite pivoting rules for the simplex method", Mathematics of Operations Research 2 (1977); the proof is Farkas' lemma.
func (s *system) solve() (t *tableau, proof []*big.Rat) {
	n, m := s.columns, len(s.rows)
	t = &tableau{system: s, cost: zeros(n + m + 1), turned: make([]bool, m)}
	for i, from := range s.rows {
		row := zeros(n + m + 1)
		t.turned[i] = s.right[i].Sign() < 0
		for j, x := range append(slices.Clone(from), s.right[i]) {
			to := row[j]
			if j == n {
				to = row[n+m]
			}
			if to.Set(x); t.turned[i] {
				to.Neg(to)
			}
		}
		row[n+i].SetInt64(1)
		t.rows, t.basis = append(t.rows, row), append(t.basis, n+i)
		for j := range n + m + 1 {
			if j < n || j == n+m {
				t.cost[j].Sub(t.cost[j], row[j])
			}
		}
	}
	t.improve(n + m)
	if t.cost[n+m].Sign() != 0 {
		proof = zeros(m)
		for i := range proof {
			proof[i].Sub(big.NewRat(1, 1), t.cost[n+i])
			if t.turned[i] {
				proof[i].Neg(proof[i])
			}
		}
		s.mustRefute(proof)
		return nil, proof
	}
	t.dropDependent()
	return t, nil
}

// improve lowers the cost as far as it goes, with the first columns only; bounded is false when it goes on for ever.
func (t *tableau) improve(columns int) (bounded bool) {
	last := len(t.cost) - 1
	for {
		enter := -1
		for j := range columns {
			if t.cost[j].Sign() < 0 {
				enter = j
				break
			}
		}
		if enter < 0 {
			return true
		}
		leave := -1
		var least big.Rat
		for i, row := range t.rows {
			if row[enter].Sign() <= 0 {
				continue
			}
			ratio := new(big.Rat).Quo(row[last], row[enter])
			if c := ratio.Cmp(&least); leave < 0 || c < 0 || c == 0 && t.basis[i] < t.basis[leave] {
				leave = i
				least.Set(ratio)
			}
		}
		if leave < 0 {
			return false
		}
		t.pivot(leave, enter)
	}
}

// pivot makes a column the basis of a row.
func (t *tableau) pivot(i, j int) {
	row := t.rows[i]
	by := new(big.Rat).Inv(row[j])
	for _, x := range row {
		if x.Sign() != 0 {
			x.Mul(x, by)
		}
	}
	var product big.Rat
	clear := func(other []*big.Rat) {
		if other[j].Sign() == 0 {
			return
		}
		times := new(big.Rat).Set(other[j])
		for k, x := range row {
			if x.Sign() != 0 {
				other[k].Sub(other[k], product.Mul(times, x))
			}
		}
	}
	for k, other := range t.rows {
		if k != i {
			clear(other)
		}
	}
	clear(t.cost)
	t.basis[i] = j
}

// dropDependent takes the artificial variables out. A row that has no other variable follows from the rest.
func (t *tableau) dropDependent() {
	for i := 0; i < len(t.rows); {
		if t.basis[i] < t.system.columns {
			i++
			continue
		}
		enter := slices.IndexFunc(t.rows[i][:t.system.columns], func(x *big.Rat) bool { return x.Sign() != 0 })
		if enter < 0 {
			t.rows, t.basis = slices.Delete(t.rows, i, i+1), slices.Delete(t.basis, i, i+1)
			continue
		}
		t.pivot(i, enter)
		i++
	}
	for i, row := range t.rows { // the artificial variables are done with
		t.rows[i] = append(row[:t.system.columns], row[len(row)-1])
	}
}

// most returns the highest value of the sum of the variables times the given weights, nil when it has no bound. The tableau can be asked again.
func (t *tableau) most(weights []*big.Rat) *big.Rat {
	n := t.system.columns
	t.cost = zeros(n + 1)
	for j, w := range weights {
		t.cost[j].Neg(w)
	}
	var product big.Rat
	for i, row := range t.rows {
		if times := new(big.Rat).Set(t.cost[t.basis[i]]); times.Sign() != 0 {
			for k, x := range row {
				t.cost[k].Sub(t.cost[k], product.Mul(times, x))
			}
		}
	}
	if !t.improve(n) {
		return nil
	}
	return new(big.Rat).Set(t.cost[n])
}

// point is the solution at which the tableau stands. It is put into the equations before it is given out.
func (t *tableau) point() []*big.Rat {
	x := zeros(t.system.columns)
	for i, j := range t.basis {
		x[j].Set(t.rows[i][len(t.rows[i])-1])
	}
	t.system.mustHold(x)
	return x
}

// mustHold panics when x is no solution: then this package is at fault.
func (s *system) mustHold(x []*big.Rat) {
	for _, v := range x {
		if v.Sign() < 0 {
			panic("statics: a balance with a load below zero")
		}
	}
	for i, row := range s.rows {
		if sumOf(row, x).Cmp(s.right[i]) != 0 {
			panic("statics: a balance that does not hold when it is put into the equations")
		}
	}
}

// mustRefute panics when a proof proves nothing.
func (s *system) mustRefute(proof []*big.Rat) {
	for j := range s.columns {
		column := zeros(len(s.rows))
		for i, row := range s.rows {
			column[i] = row[j]
		}
		if sumOf(column, proof).Sign() > 0 {
			panic("statics: a motion against a support")
		}
	}
	if sumOf(s.right, proof).Sign() <= 0 {
		panic("statics: a motion in which nothing falls")
	}
}

func sumOf(a, b []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	var product big.Rat
	for i := range a {
		if a[i].Sign() != 0 && b[i].Sign() != 0 {
			sum.Add(sum, product.Mul(a[i], b[i]))
		}
	}
	return sum
}
