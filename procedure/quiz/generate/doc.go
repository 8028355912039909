// Package generate makes questions from a procedure's own facts: the order of
// steps, which fastener stays in and why, torques, tools, conditions, what is
// renewed, which way round a part goes back, and where a fastener is in a figure.
//
// Each question has exactly one right answer, by these rules:
//
//   - Only facts that hold in every variant are asked about.
//   - order: the lines are a chain of the precedence graph, each forced before the
//     next in every variant. An order that only the author states forbids nothing.
//   - keep: the wrong fasteners are out by the end of that step.
//   - torque: the wrong ones stand in the same register. After exact conversion
//     each differs from every other by a fifth at least.
//   - tool: the wrong ones are not on the step's list, have none of the sizes that
//     the step works with, and are not tools of one name with another range.
//   - needs: the wrong conditions do not hold before that step.
//   - new: the wrong fasteners are removed, not single-use, and have no note, which may say that a part of them is renewed.
//   - face: the wrong ones are other parts' faces, and that it does not matter.
//   - point: the figure shows the fastener once.
//   - Things are called by their names, so only those whose name nothing else has are asked about.
//
// No question is made whose right answer stands in another question's words, or
// whose words hold another question's right answer. What is picked depends on the
// quiz's seed and on names alone: a new row in a register leaves the rest as it was.
package generate
