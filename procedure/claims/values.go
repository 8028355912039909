package claims

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/text"
)

// Step is a step with what its acts are done to, as the claims of its words are held against it.
type Step struct {
	*procedure.Step
	machine *procedure.Machine
	names   *Names
	acts    []*procedure.Action
	things  map[string]*procedure.Thing // what acts are done to, and what with
}

// NewStep makes a step ready to be asked.
func NewStep(s *procedure.Step, m *procedure.Machine, names *Names) *Step {
	out := &Step{Step: s, machine: m, names: names, acts: s.Actions(), things: map[string]*procedure.Thing{}}
	for _, a := range out.acts {
		for _, r := range append([]procedure.Ref{a.Object}, a.With...) {
			if t := m.Thing(r.ID); t != nil {
				out.things[r.ID] = t
			}
		}
	}
	return out
}

func (s *Step) has(id string) bool { return s.things[id] != nil }

// Differing is a value in the words that is none of those that the rows state.
type Differing struct {
	Span text.Span
	// Says is the value as it stands there, and Rows are the rows that state others, with what they state.
	Says string
	Rows []Stated
}

// Stated is what a row states.
type Stated struct {
	Row   *procedure.Row
	Value string
}

// quantity finds a number with its unit, or one with a mark such as M12; group 1 is the number, 2 the unit.
// hasFigure reports whether a text holds a figure: most hold none, and looking for that first costs next to nothing.
func hasFigure(text string) bool { return strings.ContainsAny(text, "0123456789") }

var quantity = regexp.MustCompile(`(?:^|[\s(≤≥±<>~])(-?[0-9]+(?:[.,][0-9]+)?)[  ]?(N·m|Nm|lbf·ft|lbf ft|kg|t|lbs?|L|l|litres?|liters?|ml|mL|°C|°F)(?:[^\p{L}0-9²³/·]|$)`)

// bounds are words before a number that make it a bound or an estimate of something else: such a value need not stand in a row.
var bounds = regexp.MustCompile(`(?i)(?:under|over|up to|at most|at least|more than|less than|above|from|to|every|within|between|limit of|first|next|last|another|höchstens|mindestens|mehr als|weniger als|unter|über|bis|bis zu|ab|von|innerhalb)\s*$`)

var roughly = regexp.MustCompile(`(?i)(?:about|around|some|roughly|nearly|almost|approx\.?|approximately|etwa|rund|ca\.|ungefähr)\s*$`)

// Values finds the quantities of a sentence that the rows of what it is about contradict: torques, masses, volumes,
// temperatures. A quantity of a thing that states none claims nothing.
func (s *Step) Values(x *Sentence) (out []Differing) {
	if !hasFigure(x.Text) {
		return nil
	}
	for _, m := range quantity.FindAllStringSubmatchIndex(x.Text, -1) {
		number, unit := x.Text[m[2]:m[3]], x.Text[m[4]:m[5]]
		q, err := measure.Reading{Comma: strings.Contains(number, ",")}.Parse(number + " " + unit)
		if err != nil {
			continue
		}
		before := x.Text[:m[2]]
		stated, bounded := s.stated(q.Dimension(), x), bounds.MatchString(before)
		if len(stated) == 0 || bounded && q.Dimension() != measure.Temperature && q.Dimension() != measure.Torque {
			continue
		}
		if slices.ContainsFunc(stated, func(v valued) bool { return v.agrees(q, number, roughly.MatchString(before)) }) ||
			q.Dimension() == measure.Torque && s.stage(q, stated) || rangeBehind.MatchString(x.Text[m[5]:]) {
			continue
		}
		d := Differing{Span: x.spanOf(m[2], m[5]), Says: strings.TrimSpace(x.Text[m[2]:m[5]])}
		for _, v := range stated {
			if v.row != nil {
				d.Rows = append(d.Rows, Stated{v.row, v.value.String()})
			}
		}
		out = append(out, d)
	}
	return out
}

var rangeBehind = regexp.MustCompile(`^(?:\s+(?:to|bis)\s+|\s*[–-]\s*)[0-9]`)

// stage reports whether a torque is one on the way: less than that of a row, which the step gives too.
func (s *Step) stage(q measure.Quantity, stated []valued) bool {
	return slices.ContainsFunc(stated, func(v valued) bool {
		return q.Compare(v.value) < 0 && slices.ContainsFunc(s.torques(), func(t measure.Quantity) bool { return t.Equal(v.value) })
	})
}

// torques are those that the words of the step give.
func (s *Step) torques() (out []measure.Quantity) {
	for x := range Sentences(s.Step, s.names) {
		for _, m := range quantity.FindAllStringSubmatch(x.Text, -1) {
			if q, err := measure.Parse(m[1] + " " + m[2]); err == nil && q.Dimension() == measure.Torque {
				out = append(out, q)
			}
		}
	}
	return out
}

// valued is a value that a row states, or that follows from several, which have no row then.
type valued struct {
	row       *procedure.Row
	value     measure.Quantity
	tolerance measure.Quantity
}

// agrees reports whether a claim is the value: to as many digits as the claim has, or within a twentieth where it says "about".
func (v valued) agrees(q measure.Quantity, number string, about bool) bool {
	if !v.value.SameDimension(q) {
		return false
	}
	unit := q.Unit()
	want, got := v.value.Float(unit), q.Float(unit)
	decimals := 0
	if at := strings.IndexAny(number, ".,"); at >= 0 {
		decimals = len(number) - at - 1
	}
	step := math.Pow(10, float64(-decimals))
	if trailing := len(number) - len(strings.TrimRight(number, "0")); decimals == 0 && q.Unit() != v.value.Unit() && trailing > 0 {
		step = math.Pow(10, float64(trailing)) // a round number of another unit is a rounded one
	}
	off := math.Abs(want - got)
	if about {
		return off <= max(math.Abs(want)/20, step/2)
	}
	if v.value.Unit() != unit {
		return off <= step/2+1e-9
	}
	if low, high, err := v.value.Window(v.tolerance); err == nil && !v.tolerance.IsZero() && (q.Equal(low) || q.Equal(high)) {
		return true
	}
	return v.value.Equal(q)
}

var weighing = regexp.MustCompile(`(?i)\b(weighs?|weighing|mass|rated|capacity|wiegt|wiegen|Masse|Tragfähigkeit)\b`)

// carrying are words that may give the load of the moment as well as what a support can carry.
var carrying = regexp.MustCompile(`(?i)\b(carr(?:y|ies)|lifts?|holds?|trägt|hebt|hält)\b`)

// Weighs reports whether a text says what something weighs, or may carry.
func Weighs(s string) bool { return weighing.MatchString(s) }

// stated are the values of a dimension that rows state of what a sentence is about.
func (s *Step) stated(d measure.Dimension, x *Sentence) (out []valued) {
	carries := d == measure.Mass && carrying.MatchString(x.Text) && s.namesSupport(x)
	if d == measure.Mass && !Weighs(x.Text) && !carries || d == measure.Temperature && x.Role == Explaining {
		return nil
	}
	about := s.about(x)
	add := func(row *procedure.Row, q, tolerance measure.Quantity) {
		if q.Dimension() == d {
			out = append(out, valued{row, q, tolerance})
		}
	}
	switch d {
	case measure.Torque:
		for _, t := range about {
			if t.Fastener != nil {
				add(t.Row, t.Fastener.Torque, t.Fastener.Tolerance)
			}
		}
	case measure.Mass:
		var parts []measure.Quantity
		for _, t := range about {
			switch {
			case t.Part != nil:
				add(t.Row, t.Part.Mass, measure.Quantity{})
				parts = append(parts, t.Part.Mass)
				if all := s.pressed(t.Part); len(all) > 1 {
					if whole, ok := sumOf(all); ok {
						add(t.Row, whole, measure.Quantity{})
					}
				}
			case t.Support != nil:
				add(t.Row, t.Support.Capacity, measure.Quantity{})
				add(t.Row, t.Support.Tag, measure.Quantity{})
			}
		}
		if carries { // what hangs there may be meant as well
			for _, id := range s.inOrder() {
				if p := s.things[id].Part; p != nil {
					parts = append(parts, p.Mass)
					add(s.things[id].Row, p.Mass, measure.Quantity{})
				}
			}
		}
		if sum, ok := sumOf(parts); ok && len(parts) > 1 {
			add(nil, sum, measure.Quantity{})
		}
	case measure.Volume:
		for _, t := range about {
			switch {
			case t.Fluid != nil:
				add(t.Row, t.Fluid.Quantity, measure.Quantity{})
			case t.Tool != nil:
				add(t.Row, t.Tool.Quantity, measure.Quantity{})
			}
		}
		if !slices.ContainsFunc(about, func(t *procedure.Thing) bool { return t.Fluid != nil }) {
			return nil
		}
	case measure.Temperature:
		for _, t := range about {
			if t.Condition != nil {
				for _, q := range inName(t.Row.Name, d) {
					add(t.Row, q, measure.Quantity{})
				}
			}
		}
	}
	return out
}

// pressed are the masses of a part and of what is pressed into or on to it, which comes along.
func (s *Step) pressed(p *procedure.Part) []measure.Quantity {
	masses := []measure.Quantity{p.Mass}
	for _, q := range s.machine.Parts {
		if q.HeldBy.ID == p.ID {
			masses = append(masses, q.Mass)
		}
	}
	return masses
}

// namesSupport reports whether a sentence names a support.
func (s *Step) namesSupport(x *Sentence) bool {
	return slices.ContainsFunc(s.names.mentions(x.words, s.has), func(m mention) bool {
		return slices.ContainsFunc(m.things, func(t *procedure.Thing) bool { return t.Support != nil })
	})
}

func sumOf(all []measure.Quantity) (sum measure.Quantity, ok bool) {
	for i, q := range all {
		if q.IsZero() {
			return sum, false
		}
		if i == 0 {
			sum = q
			continue
		}
		var err error
		if sum, err = sum.Add(q); err != nil {
			return sum, false
		}
	}
	return sum, len(all) > 0
}

// inName are the quantities of a dimension that a name states, such as "oil below 40 °C".
func inName(name string, d measure.Dimension) (out []measure.Quantity) {
	for _, m := range quantity.FindAllStringSubmatch(name, -1) {
		if q, err := measure.Parse(m[1] + " " + m[2]); err == nil && q.Dimension() == d {
			out = append(out, q)
		}
	}
	return out
}

// about are the things that a sentence is about: those that it names, or else those of the step's acts.
func (s *Step) about(x *Sentence) (out []*procedure.Thing) {
	if named := s.named(x); len(named) > 0 {
		return named
	}
	for _, id := range s.inOrder() {
		out = append(out, s.things[id])
	}
	return out
}

// named are the things that a sentence names which have a value of some kind, and those of the step of the other kinds:
// "the pump weighs 95 kg" is about the pump and no other part, and may be about the step's fluid.
func (s *Step) named(x *Sentence) (out []*procedure.Thing) {
	kinds := map[procedure.ThingKind]bool{}
	for _, m := range s.names.mentions(x.words, s.has) {
		for _, t := range m.things {
			kinds[t.Kind] = true
			out = append(out, t)
		}
	}
	if len(out) == 0 {
		return nil
	}
	heavy := kinds[procedure.PartThing] || kinds[procedure.SupportThing]
	for _, id := range s.inOrder() {
		t := s.things[id]
		if kinds[t.Kind] || heavy && (t.Kind == procedure.PartThing || t.Kind == procedure.SupportThing) {
			continue
		}
		out = append(out, t)
	}
	return out
}

// inOrder are the things of the step, in the order of its acts.
func (s *Step) inOrder() (out []string) {
	seen := map[string]bool{}
	for _, a := range s.acts {
		for _, r := range append([]procedure.Ref{a.Object}, a.With...) {
			if s.has(r.ID) && !seen[r.ID] {
				seen[r.ID] = true
				out = append(out, r.ID)
			}
		}
	}
	return out
}

// counted are the numbers that words write out.
var counted = map[string]int{
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
	"thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "eighteen": 18, "twenty": 20, "both": 2,
}

func countOf(w string) (int, bool) {
	if n, ok := counted[w]; ok {
		return n, true
	}
	n, err := strconv.Atoi(w)
	return n, err == nil && n > 0 && n < 1000
}

// Counts finds the numbers of fasteners in a sentence that no row of the step's has, nor a sum of them: "the ten bolts".
func (s *Step) Counts(x *Sentence) (out []Differing) {
	if x.Role != Telling {
		return nil
	}
	for i, w := range x.words {
		n, ok := countOf(w)
		if !ok || i+1 >= len(x.words) {
			continue
		}
		head, at := s.counts(x.words, i+1)
		if head == "" || w == "both" || strings.HasPrefix(prior(x.words, i), "number") {
			continue
		}
		var rows []Stated
		var pieces []int
		for _, a := range s.acts {
			t := s.things[a.Object.ID]
			if t == nil || t.Fastener == nil || s.names.phraseOf(t).head != head && string(t.Fastener.Kind) != head {
				continue
			}
			if a.Count.N > 0 {
				pieces = append(pieces, a.Count.N)
			}
			pieces = append(pieces, max(t.Fastener.Count, 1))
			rows = append(rows, Stated{t.Row, strconv.Itoa(max(t.Fastener.Count, 1))})
		}
		if len(rows) == 0 || reaches(pieces, n) || len(rows) == n || n < sum(pieces) && s.counted(head, pieces) {
			continue
		}
		out = append(out, Differing{Span: x.Span, Says: s.names.quote(x, x.words[i:at+1]), Rows: rows})
	}
	return out
}

func sum(all []int) (out int) {
	for _, n := range all {
		out += n
	}
	return out
}

// counted reports whether the words of the step give the right number of some fasteners, at once or side by side: "the two lower
// screws" and "the two upper screws" of four.
func (s *Step) counted(head string, pieces []int) bool {
	total := 0
	for x := range Sentences(s.Step, s.names) {
		for i, w := range x.words {
			n, ok := countOf(w)
			if !ok || i+1 >= len(x.words) || x.Role != Telling {
				continue
			}
			if h, _ := s.counts(x.words, i+1); h == head {
				if total += n; reaches(pieces, n) {
					return true
				}
			}
		}
	}
	return reaches(pieces, total)
}

func prior(all []string, i int) string {
	if i == 0 {
		return ""
	}
	return all[i-1]
}

// counts is the noun that a number counts, of up to two words behind it that say which: "twelve cover bolts".
func (s *Step) counts(all []string, from int) (head string, at int) {
	for i := from; i < min(len(all), from+3); i++ {
		h := singular(all[i])
		if heading[all[i]] || h == all[i] && i > from {
			return "", 0
		}
		if h != all[i] && s.isFastener(h) {
			return h, i
		}
	}
	return "", 0
}

func (s *Step) isFastener(head string) bool {
	return slices.ContainsFunc(s.acts, func(a *procedure.Action) bool {
		t := s.things[a.Object.ID]
		return t != nil && t.Fastener != nil && (s.names.phraseOf(t).head == head || string(t.Fastener.Kind) == head)
	})
}

// reaches reports whether some of the numbers add up to n.
func reaches(all []int, n int) bool {
	sums := map[int]bool{0: true}
	for _, x := range all {
		for sum := range sums {
			if sum+x <= n {
				sums[sum+x] = true
			}
		}
	}
	return sums[n]
}

var (
	thread = regexp.MustCompile(`(?:^|[\s(])(M[0-9]+(?:\.[0-9])?(?:[x×][0-9.]+)?)(?:[^\p{L}0-9]|$)`)
	size   = regexp.MustCompile(`([0-9]+(?:[.,][0-9]+)?) ?mm (socket|spanner|wrench|hex key|hex bit|key|bit)\b`)
	socket = regexp.MustCompile(`\b(?:[Ss]ocket|[Nn]uss|[Ss]chlüssel),? ([0-9]+) ?mm`)
	sized  = regexp.MustCompile(`\b([0-9]+)er[ -](Nuss|Schlüssel|Steckschlüssel|Inbus|Ringschlüssel)`)
)

// Designations finds threads and sizes of tools in a sentence that fit none of the step's fasteners.
func (s *Step) Designations(x *Sentence) (out []Differing) {
	if !hasFigure(x.Text) {
		return nil
	}
	var threads, drives []Stated
	for _, id := range s.inOrder() {
		f := s.things[id].Fastener
		if f == nil {
			continue
		}
		if f.Thread != "" {
			threads = append(threads, Stated{s.things[id].Row, f.Thread})
		}
		if f.Drive != "" {
			drives = append(drives, Stated{s.things[id].Row, f.Drive})
		}
	}
	for _, m := range thread.FindAllStringSubmatchIndex(x.Text, -1) {
		words := strings.Replace(x.Text[m[2]:m[3]], "×", "x", 1)
		if len(threads) > 0 && !slices.ContainsFunc(threads, func(t Stated) bool {
			return t.Value == words || strings.HasPrefix(t.Value, words+"x") || strings.HasPrefix(words, t.Value+"x")
		}) && !s.otherThing(x) {
			out = append(out, Differing{x.spanOf(m[2], m[3]), words, threads})
		}
	}
	for _, m := range append(size.FindAllStringSubmatchIndex(x.Text, -1), slices.Concat(socket.FindAllStringSubmatchIndex(x.Text, -1), sized.FindAllStringSubmatchIndex(x.Text, -1))...) {
		words := x.Text[m[2]:m[3]]
		if len(drives) > 0 && !slices.ContainsFunc(drives, func(t Stated) bool { return strings.Contains(t.Value, " "+words+" mm") }) && !s.counterHolds(words) {
			out = append(out, Differing{x.spanOf(m[2], m[3]), words + " mm", drives})
		}
	}
	return out
}

// otherThing reports whether a sentence names a fastener that is none of the step's: its thread is not in question here.
func (s *Step) otherThing(x *Sentence) bool {
	for _, m := range s.names.mentions(x.words, s.has) {
		for _, t := range m.things {
			if t.Fastener != nil && m.modified && !s.has(t.Row.ID) {
				return true
			}
		}
	}
	return false
}

// counterHolds reports whether a tool of that size is among the step's: a second one holds against the first.
func (s *Step) counterHolds(size string) bool {
	return slices.ContainsFunc(s.Tools, func(r procedure.Ref) bool {
		t := s.machine.Thing(r.ID)
		return t != nil && strings.Contains(t.Row.Name, " "+size+" mm")
	})
}

// labelled is a word with what tells one of its kind from the others, such as "Bag 4".
var labelled = regexp.MustCompile(`(\pL+) \pL*[0-9][\pL0-9]*`)

// Bags finds bags in a sentence into which nothing of the step goes.
func (s *Step) Bags(x *Sentence) (out []Differing) {
	if !hasFigure(x.Text) {
		return nil
	}
	var rows []Stated
	for _, id := range s.inOrder() {
		if f := s.things[id].Fastener; f != nil && f.Bag != "" {
			rows = append(rows, Stated{s.things[id].Row, f.Bag})
		}
	}
	if len(rows) == 0 {
		return nil
	}
	prefix, _, found := strings.Cut(rows[0].Value, " ")
	if !found {
		return nil
	}
	for _, m := range labelled.FindAllStringSubmatchIndex(x.Text, -1) {
		words := x.Text[m[0]:m[1]]
		if x.Text[m[2]:m[3]] != prefix {
			continue
		}
		known := slices.ContainsFunc(s.machine.Fasteners, func(f *procedure.Fastener) bool { return f.Bag == words })
		if (known || startsLike(words, rows)) && !slices.ContainsFunc(rows, func(r Stated) bool { return r.Value == words }) {
			out = append(out, Differing{x.spanOf(m[0], m[1]), words, rows})
		}
	}
	return out
}

func startsLike(words string, rows []Stated) bool {
	for _, r := range rows {
		if len(r.Value) > 0 && strings.TrimRight(r.Value, "0123456789") == strings.TrimRight(words, "0123456789") {
			return true
		}
	}
	return false
}
