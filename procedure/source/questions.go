package source

import "matchmark/procedure"

// QuestionForm says how one type of question is written.
type QuestionForm struct {
	Kind  procedure.QuestionKind
	Means string
	// Example is a question block that compiles.
	Example string
}

// QuestionForms lists the types of question in the order of the reference page.
func QuestionForms() []QuestionForm {
	return []QuestionForm{
		{procedure.SingleChoice, "One choice is right, `[x]`; the others are wrong, `[ ]`.", `::: question rear-bolt {type=single step=guard-off}
Why does the rear bolt stay in?
- [x] It carries the gearbox.
  > Right: nothing else does yet.
- [ ] It is too tight.
  > No: the torque is not the reason.
:::`},
		{procedure.SeveralChoice, "Any number of choices is right. All of them, and no other, must be ticked.", `::: question before-lift {type=several points=2}
What do you look at before the lift?
- [x] The floor under the load
- [x] The hook latch
- [ ] The paint
:::`},
		{procedure.TrueFalse, "A statement; `answer=true` or `answer=false`.", `::: question own-lock {type=true-false answer=true critical}
Your own lock is on before you open the guard.
:::`},
		{procedure.NumberAnswer, "A quantity; any unit of its kind is taken. `tolerance` says how far it may be off.", `::: question front-torque {type=number answer="80 N·m" tolerance="4 N·m"}
To which torque do you tighten the front bolts?
:::`},
		{procedure.OrderAnswer, "A numbered list in the right order. It is shuffled for the learner.", `::: question order-out {type=order}
In which order does the gearbox come out?
1. Isolate the mixer.
2. Prove it dead.
3. Take the guard off.
4. Undo the bolts.
:::`},
		{procedure.PointAnswer, "A figure without its numbers; the learner points at the right one.", `::: question find-rear-bolt {type=point figure=front answer=3}
Point at the bolt that stays in.
:::`},
	}
}
