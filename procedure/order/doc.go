// Package order works out which steps of a job must come before which, and why:
// from what the author states (needs, after) and from what the actions imply.
//
// The edges make every order that they allow as good as the author's own: what an
// action needs to find (a fastener out, a circuit drained, a condition proved, a
// support on) was brought about in the author's order by some earlier action, and
// the edges keep that action before it; what would spoil it stays after it. Orders
// are never listed. What a part hangs on is the one thing that does not depend on a
// single earlier action, since any of several fasteners may hold it. There the
// fasteners on one way from the part to a base part, at the moment before the
// author lets it go, are tied to the support: while the support is not on yet, no
// order can have taken that way apart.
//
// A step counts as one piece of work. Hold points, lifts and setting down split the
// job: all steps before stay before, all after stay after.
package order
