// Package state carries a machine's state through the steps of a job: which
// fasteners are in, which parts are in their place and what holds them, what is
// connected, drained, supported and established. It judges nothing. The rules of
// the order check read the trace that Run returns.
//
// What each verb does, in plain words:
//
//   - loosen turns a tight fastener loose. Loosening a tab washer flattens its
//     tab. A loose fastener still holds.
//   - remove takes a fastener out, or a part off by hand. A part that is off
//     stands where its register row says. Whatever carried it is free again.
//   - keep changes nothing; it notes that the fastener stays in on purpose.
//   - fit puts a fastener back, finger-tight, or a part into its place. Pins,
//     circlips, keys and clamps that nothing turns are tight at once. A single-use fastener counts as new.
//   - tighten makes a loose fastener tight; for a tab washer, bends its tab.
//   - disconnect and connect take a connection apart and join it again.
//   - drain, flush and fill work on a fluid. A single-use fluid is new after fill.
//   - support lets supports take a part's weight where it is; release takes them away.
//   - lift takes a part off its place, or off its stand, on the supports that carry it.
//   - set down puts a lifted part on a stand. The lifting gear stays on, slack,
//     until it is released.
//   - establish makes a condition true, verify proves that it is. What nobody
//     established cannot be proved.
//   - undo ends a condition. Conditions that need it are lost with it.
//   - mark, inspect and clean leave the machine as it is; a mark is remembered.
//
// A part is off its place once it was removed, lifted or set down. Base parts stay.
// A condition is also lost when something in its lost-by column is fitted,
// connected, filled or established.
//
// When work stops, what keeps energy away still does, but it is not proved any more: see Stopped. A way
// back begins after a stop.
//
// What hangs on what. Bolts, screws, nuts, pins, circlips and clamps that join two
// or more parts carry weight, tight or loose. Studs, keys, plugs and tab washers do
// not. A part in its place is held when carrying fasteners lead from it, part by
// part, to a base part, or when a support carries it or a part that hangs together
// with it. A part that never had a carrying fastener sits by itself. Parts that no
// chain of fasteners joins to a base part are not judged: the registers do not say
// what they hang on. From 10 kg (RestKg) on, parts that hang together are heavy.
//
// Parts that hang together leave together: a part that is lifted takes along what
// is still fastened to it and to nothing that stays. Such a part rides, and when it
// comes off on the bench and is fitted again, it goes back on to what it rode on.
//
// What is tied. A fastener that is in ties its parts to each other; one that joins
// a single part ties it to the machine. Plugs, studs and keys tie nothing: a part
// slides off a stud and off a key. Connections tie in the same way.
//
// An action that cannot be done (removing what is already out) leaves the state
// that it meant to reach, so that one fault does not bring on others.
package state
