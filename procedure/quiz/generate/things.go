package generate

import (
	"slices"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

func fastenerName(x *procedure.Fastener) string { return name(x.Row) }

// keeps asks which fastener stays in at a step, and why.
func (f *common) keeps() []made {
	var out []made
	for _, s := range f.distinct() {
		gone := f.outAfter(s)
		for _, a := range s.Actions() {
			t := f.m.Thing(a.Object.ID)
			if a.Verb != procedure.Keep || a.Reason.Plain() == "" || t == nil || !slices.Contains(f.fasteners(), t.Fastener) || slices.Contains(gone, t.Fastener) {
				continue
			}
			id := "keep-" + s.ID + "-" + t.Row.ID
			said := f.reasons(t.Row.ID, id)
			if len(said) == 0 {
				said = []procedure.Prose{a.Reason}
			}
			var wrong []procedure.Prose
			for i, x := range drawn(f, id, gone, fastenerName) {
				wrong = append(wrong, f.kept(x, said[i%len(said)]))
			}
			q := procedure.Question{ID: id, Step: ref(s.ID), About: []procedure.Ref{ref(t.Row.ID)}}
			if m, ok := f.single("keep", q, f.words("quiz.made.keep", s.Title), f.kept(t.Fastener, a.Reason), wrong, name(*t.Row), a.Reason.Plain()); ok {
				out = append(out, m)
			}
		}
	}
	return out
}

// kept is a fastener with a reason to leave it in.
func (f *common) kept(x *procedure.Fastener, reason procedure.Prose) procedure.Prose {
	return prose(f.words("quiz.made.kept", fastenerName(x), reason.Plain()))
}

// reasons are the author's reasons for keeping other fasteners.
func (f *common) reasons(but, question string) []procedure.Prose {
	var out []procedure.Prose
	for _, s := range f.steps {
		for _, a := range s.Actions() {
			if a.Verb == procedure.Keep && a.Object.ID != but && a.Reason.Plain() != "" {
				out = append(out, a.Reason)
			}
		}
	}
	return drawn(f, question, out, procedure.Prose.Plain)
}

// outAfter are the fasteners that are out when a step ends, in every variant.
func (f *common) outAfter(s *procedure.Step) []*procedure.Fastener {
	var out []*procedure.Fastener
	for _, x := range f.fasteners() {
		in := false
		for _, j := range f.jobs {
			t := j.Trace()
			of := t.Assembly.Fastener(x.ID)
			in = in || of == nil || t.After(index(j, s)).Fastener(of).In()
		}
		if !in {
			out = append(out, x)
		}
	}
	return out
}

// handled are the verbs that tell that a procedure works on a fastener, the most telling first.
var handled = [...]procedure.Verb{procedure.Remove, procedure.Loosen, procedure.Tighten, procedure.Fit, procedure.Keep}

// torques asks for the torque of a fastener.
func (f *common) torques() []made {
	var out []made
	for _, x := range f.fasteners() {
		s := f.stepOf(x.ID, handled[:]...)
		if s == nil || x.Torque.IsZero() || !x.Angle.IsZero() {
			continue
		}
		id := "torque-" + x.ID
		unit, decimals := x.Torque.Unit(), decimalsOf(x.Torque)
		taken := []measure.Quantity{x.Torque}
		for _, o := range drawn(f, id, f.m.Fasteners, func(o *procedure.Fastener) string { return o.ID }) {
			if !o.Torque.SameDimension(x.Torque) || o.Torque.IsZero() {
				continue
			}
			shown, err := measure.Parse(o.Torque.Format(unit, decimals))
			if err != nil || allowed(x, shown) || slices.ContainsFunc(taken, func(t measure.Quantity) bool { return !apart(t, shown) }) {
				continue
			}
			taken = append(taken, shown)
		}
		q := procedure.Question{ID: id, Step: ref(s.ID), About: []procedure.Ref{ref(x.ID)}}
		if m, ok := f.single("torque", q, f.words("quiz.made.torque", fastenerName(x)), prose(f.quantity(x.Torque)), proses(taken[1:], f.quantity), f.quantity(x.Torque)); ok {
			out = append(out, m)
		}
	}
	return out
}

// quantity writes a quantity with the decimal sign of the language.
func (f *common) quantity(q measure.Quantity) string {
	return strings.Replace(q.String(), ".", f.words("number.decimal"), 1)
}

// apart reports whether two positive quantities differ by a fifth of the smaller one at least.
func apart(a, b measure.Quantity) bool {
	if a.Compare(b) < 0 {
		a, b = b, a
	}
	return b.Sign() > 0 && a.Times(5).Compare(b.Times(6)) >= 0
}

// allowed reports whether a torque lies within a fastener's tolerance.
func allowed(x *procedure.Fastener, torque measure.Quantity) bool {
	low, high, err := x.Torque.Window(x.Tolerance)
	return err != nil || torque.Compare(low) >= 0 && torque.Compare(high) <= 0
}

// decimalsOf counts the digits behind the decimal point.
func decimalsOf(q measure.Quantity) int {
	number, _, _ := strings.Cut(q.String(), " ")
	_, behind, _ := strings.Cut(number, ".")
	return len(behind)
}

// renewals asks which fastener goes in new.
func (f *common) renewals() []made {
	var used []*procedure.Fastener
	for _, x := range f.fasteners() {
		if !x.SingleUse && x.Note == "" && f.stepOf(x.ID, procedure.Remove) != nil {
			used = append(used, x)
		}
	}
	var out []made
	for _, x := range f.fasteners() {
		s := f.stepOf(x.ID, procedure.Remove)
		if s == nil || !x.SingleUse {
			continue
		}
		id := "new-" + x.ID
		q := procedure.Question{ID: id, Step: ref(s.ID), About: []procedure.Ref{ref(x.ID)}}
		if m, ok := f.single("new", q, f.words("quiz.made.new"), prose(fastenerName(x)), proses(drawn(f, id, used, fastenerName), fastenerName), fastenerName(x)); ok {
			out = append(out, m)
		}
	}
	return out
}

// faces asks which way round a part goes back.
func (f *common) faces() []made {
	var out []made
	for _, x := range f.m.Parts {
		s := f.stepOf(x.ID, procedure.Remove, procedure.Lift)
		if s == nil || x.Face == "" || !f.everywhere(x.Variants) || !f.alone(x.Row) {
			continue
		}
		id := "face-" + x.ID
		var others []string
		for _, o := range f.m.Parts {
			if o.Face != "" && plain(o.Face) != plain(x.Face) {
				others = append(others, o.Face)
			}
		}
		others = drawn(f, id, others, itself)
		wrong := append(others[:min(len(others), mostWrong-1)], f.words("quiz.made.face.any"))
		q := procedure.Question{ID: id, Step: ref(s.ID), About: []procedure.Ref{ref(x.ID)}}
		if m, ok := f.single("face", q, f.words("quiz.made.face", name(x.Row)), prose(x.Face), proses(wrong, itself), x.Face); ok {
			out = append(out, m)
		}
	}
	return out
}

// leastTargets is how many places a figure shows at least, so that pointing is no guess.
const leastTargets = 3

// points asks to point at a fastener on the figure of a step that works on it.
func (f *common) points() []made {
	var out []made
	for _, x := range f.fasteners() {
		s := f.stepOf(x.ID, handled[:]...)
		if s == nil {
			continue
		}
		for _, figure := range s.FigureNames() {
			if !f.showsOnce(figure, x.ID) {
				continue
			}
			out = append(out, made{"point", &procedure.Question{
				ID: "point-" + x.ID, Kind: procedure.PointAnswer, Points: 1, Generated: true, Span: f.p.Span,
				Step: ref(s.ID), About: []procedure.Ref{ref(x.ID)}, Stem: prose(f.words("quiz.made.point", fastenerName(x))),
				Figure: ref(figure), Target: ref(x.ID),
			}, nil})
			break
		}
	}
	return out
}

// showsOnce reports whether a figure has one balloon with one leader for a thing, among balloons enough.
func (f *common) showsOnce(figure, id string) bool {
	fig := f.p.Figure(figure)
	if fig == nil || len(fig.Balloons) < leastTargets {
		return false
	}
	n := 0
	for _, b := range fig.Balloons {
		if b.Ref.ID == id {
			n++
		}
	}
	return n == 1
}
