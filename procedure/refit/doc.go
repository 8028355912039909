// Package refit derives the refitting: from what a job took apart, the procedure
// that puts it together again.
//
// What counts is what is different at the end of the job. What was taken off and
// fitted again on the way needs no refitting. The rest is turned round in reverse order:
//
//   - a fastener that is out is fitted, then tightened; one that was only loosened is tightened
//   - a part is fitted: by hand, or with the supports that carried it when it left
//   - a connection is connected, a fluid filled in, flushed before if its row asks for that
//   - a condition is undone if its row says how; others pass by themselves
//
// Plain reverse order is not enough, so some actions move back:
//
//   - All fasteners of a joint (those that join the same parts) are in before the
//     first of them is tightened. They are tightened in the reverse of the order in
//     which they were loosened.
//   - A lock is closed after what it locks is tight.
//   - A support is taken away after the fasteners that take over from it are tight,
//     unless it is wanted for another part before that.
//   - A fluid is filled in after its connections and plugs are closed.
//   - Conditions that keep energy away end last, after a final hold point; those that
//     others need end first: the lock comes off before the machine is switched on.
//
// Common practice, no source, for all of these.
//
// Energy that was proved away is proved again before the first step, because days
// may lie between. Each lift gets a hold point right before it. Times, people,
// tools, figures and cautions are those of the step that is turned round, but for
// cautions that the author marks as about taking out; a cautious
// guess, since nobody has measured the refitting yet.
//
// Authors change the refitting with steps of their own: see Additions.
package refit
