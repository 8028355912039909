package source

import (
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/position"
	"matchmark/procedure/say"
	"matchmark/procedure/text"
)

// cells turns one row into a registered thing, reporting what it cannot read.
type cells struct {
	r    *reader
	row  row
	form *RegisterForm
}

func (c *cells) common() procedure.Row {
	id := c.row.get("id")
	if id.text != "" && !isName(id.text) {
		advice := say.That("Use lower-case letters, digits and hyphens, a letter first.")
		var fixes []diagnostic.Fix
		if name := nameFrom(id.text); name != "" {
			advice = say.That("Did you mean %meant?", say.Quote(name))
			fixes = append(fixes, diagnostic.Replace(id.span, name, false))
		}
		c.r.report("bad-name", id.span, say.That("%name is not a name", say.Quote(id.text)), advice, fixes...)
	}
	if id.text == "" {
		name := c.row.get("name")
		id.text, id.span = nameFrom(name.text), name.span
	}
	return procedure.Row{ID: id.text, Name: c.words("name"), Variants: c.refs("variants"), Note: c.words("note"), Span: id.span}
}

func (c *cells) residual() procedure.Residual { return procedure.Residual{Risk: c.words("risk")} }

func (c *cells) words(column string) string { return c.row.get(column).text }

func (c *cells) refs(column string) []procedure.Ref {
	x := c.row.get(column)
	if x.text == "" {
		return nil
	}
	return splitRefs(x.text, x.span)
}

func (c *cells) ref(column string) procedure.Ref {
	x := c.row.get(column)
	if x.text == "" {
		return procedure.Ref{}
	}
	return procedure.Ref{ID: x.text, Span: x.span}
}

func (c *cells) yes(column string) bool {
	x := c.row.get(column)
	if x.text == "" || x.text == "yes" {
		return x.text != ""
	}
	said := strings.ToLower(x.text)
	if !slices.Contains(yesWords, said) && !slices.Contains(noWords, said) {
		c.r.report("cell-value", x.span, say.That("%value is neither yes nor empty", say.Quote(x.text)), say.That("Write yes, or leave the cell empty."))
	}
	return slices.Contains(yesWords, said)
}

// no reports whether a cell says no, which is more than saying nothing.
func (c *cells) no(column string) bool {
	return slices.Contains(noWords, strings.ToLower(c.row.get(column).text))
}

func (c *cells) choice(column string) string {
	x := c.row.get(column)
	if x.text == "" {
		return ""
	}
	a, _ := c.form.Column(column)
	if slices.Contains(a.Of, x.text) {
		return x.text
	}
	said := strings.ToLower(strings.TrimSuffix(x.text, "."))
	for _, w := range a.Of {
		if w == said || w+"s" == said || slices.Contains(choiceWords[w], said) {
			return w
		}
	}
	c.r.reportNear("cell-value", x.span, say.That("%value cannot stand in the column %column", say.Quote(x.text), say.Quote(column)), x.text, a.Of, oneOf(a.Of))
	return ""
}

func (c *cells) whole(column string, otherwise, least, most int) int {
	x := c.row.get(column)
	if x.text == "" {
		return otherwise
	}
	n, err := strconv.Atoi(x.text)
	if err != nil && column != "no" {
		n, err = c.pieces(x.text)
	}
	if _, _, several := numberRange(x.text); several && column == "no" {
		c.r.report("cell-value", x.span, say.That("%value are several numbers, and a row has one", say.Quote(x.text)), say.That("Write a row for each, or one number with how many there are under count."))
		return otherwise
	}
	if err != nil || n < least || n > most {
		c.r.report("cell-value", x.span, say.That("%value is not a whole number from %least to %most", say.Quote(x.text), say.Count(least), say.Count(most)),
			say.That("Write a whole number."))
		return otherwise
	}
	return n
}

// pieces reads a count as people write it: "4 pcs", "4x".
func (c *cells) pieces(s string) (int, error) {
	if q, err := measure.ParseAs(s, measure.Count); err == nil {
		s = strings.TrimSuffix(q.String(), " "+q.Unit())
	}
	return strconv.Atoi(strings.Trim(s, "xX× "))
}

func (c *cells) amount(column string, dims ...measure.Dimension) measure.Quantity {
	x := c.row.get(column)
	if x.text == "" {
		return measure.Quantity{}
	}
	return c.r.quantityIn(x.unit, x.text, x.span, dims...)
}

// torque reads the torque with what it may deviate, which may stand behind it or in a column of its own.
func (c *cells) torque() (torque, tolerance measure.Quantity) {
	x := c.row.get("torque")
	if x.text == "" {
		return torque, c.tolerance()
	}
	if !strings.ContainsAny(x.text, "0123456789") {
		c.r.report("cell-value", x.span, say.That("%value is no torque", say.Quote(x.text)), say.That("Write a number and its unit. When there is none, leave the cell empty and write the reason into the column no-torque."))
		return torque, tolerance
	}
	torque, tolerance = c.r.within(x.unit, x.text, x.span, measure.Torque)
	own := c.row.get("tolerance")
	switch {
	case tolerance.IsZero():
		tolerance = c.tolerance()
	case own.text != "" && !own.shared:
		c.r.reportSee("cell-value", own.span, say.That("the torque says already what it may deviate"), say.That("Keep one of the two."), x.span, say.That("the torque"))
	}
	return torque, tolerance
}

// tolerance reads a column of tolerances, with or without the sign for both ways.
func (c *cells) tolerance() measure.Quantity {
	x := c.row.get("tolerance")
	for _, sign := range []string{"±", "+/-", "+-"} {
		if rest, ok := strings.CutPrefix(x.text, sign); ok {
			x.text = strings.TrimSpace(rest)
			break
		}
	}
	if x.text == "" {
		return measure.Quantity{}
	}
	return c.r.quantityIn(x.unit, x.text, x.span, measure.Torque, measure.Ratio)
}

func (c *cells) part() *procedure.Part {
	return &procedure.Part{
		Row: c.common(), Residual: c.residual(), Letter: c.letter(), Mass: c.amount("mass", measure.Mass), Side: c.choice("side"), Twin: c.ref("twin"),
		Mark: c.words("mark"), Face: c.words("face"), Under: c.refs("under"), OnBench: c.ref("on-bench"), HeldBy: c.heldBy(), Stand: c.words("stand"), Base: c.yes("base"),
		Hazard: c.words("hazard"), SingleUse: c.yes("single-use"), Waste: c.words("waste"),
		Centre: c.place("centre"), Seat: c.places("seat"), Feet: c.places("feet"), Round: c.yes("round"),
		Footprint: c.size("footprint"), Height: c.amount("height", measure.Length), Brought: c.yes("brought"),
	}
}

// heldBy is the part that a part is pressed into, which is another one.
func (c *cells) heldBy() procedure.Ref {
	by, x := c.ref("held-by"), c.row.get("held-by")
	if by.ID == "" {
		return by
	}
	switch {
	case by.ID == c.row.get("id").text:
		c.r.report("cell-value", x.span, say.That("the part is to be held by itself"), say.That("Name the part that it is pressed into or on to."))
	case c.yes("base"):
		c.r.report("cell-value", x.span, say.That("a base part stays in the machine, and nothing has to hold it"), say.That("Leave one of the two cells empty."))
	default:
		return by
	}
	return procedure.Ref{}
}

func (c *cells) joint() procedure.Joint {
	return procedure.Joint{Joint: c.choice("joint"), At: c.places("at"), Rated: c.amount("rated", measure.Mass, measure.Force)}
}

func (c *cells) places(column string) position.List {
	x := c.row.get(column)
	if x.text == "" {
		return ""
	}
	return c.r.places("cell-value", x.text, x.span)
}

// size is a length and a width.
func (c *cells) size(column string) position.Size {
	x := c.row.get(column)
	if x.text == "" {
		return ""
	}
	s, err := position.ParseSize(x.text)
	if err != nil {
		c.r.report("cell-value", x.span, say.That("%value is no length and width", say.Quote(x.text)), say.That("Write both, above zero and with an x between them: 700 mm x 500 mm."))
	}
	return s
}

// place is one place, and no more.
func (c *cells) place(column string) position.List {
	l := c.places(column)
	if len(l.Points()) > 1 {
		x := c.row.get(column)
		c.r.report("cell-value", x.span, say.That("%value are several places, and this is one", say.Quote(x.text)), say.That("Write one place."))
		return ""
	}
	return l
}

func (c *cells) letter() string {
	x := c.row.get("letter")
	for _, b := range []byte(x.text) {
		if b < 'A' || b > 'Z' || len(x.text) > 2 {
			c.r.report("cell-value", x.span, say.That("%value is not a reference letter", say.Quote(x.text)), say.That("Use one or two capital letters, such as A."))
			return ""
		}
	}
	return x.text
}

func (c *cells) fastener() *procedure.Fastener {
	no := c.row.get("no")
	torque, tolerance := c.torque()
	f := &procedure.Fastener{
		Row:      procedure.Row{ID: no.text, Name: c.words("name"), Variants: c.refs("variants"), Note: c.words("note"), Span: no.span},
		Residual: c.residual(),
		Number:   c.whole("no", 0, 1, 999), Kind: procedure.FastenerKind(c.choice("kind")),
		Thread: c.words("thread"), ThreadSpan: c.row.get("thread").span,
		Length: c.amount("length", measure.Length),
		Class:  c.words("class"), ClassSpan: c.row.get("class").span,
		Drive: c.words("drive"), DriveSpan: c.row.get("drive").span,
		Count:  c.whole("count", 1, 1, 200),
		Torque: torque, TorqueSpan: c.row.get("torque").span,
		Tolerance: tolerance, Angle: c.amount("angle", measure.Angle),
		NoTorque: c.words("no-torque"), Sequence: c.words("sequence"), Treatment: c.words("treatment"), Friction: c.friction(),
		Eye: c.choice("eye"), Reused: c.no("single-use"), Hazard: c.words("hazard"),
		SingleUse: c.yes("single-use"), Waste: c.words("waste"), Joins: c.refs("joins"), Locks: c.refs("locks"), Bag: c.words("bag"), Brought: c.yes("brought"), Joint: c.joint(),
	}
	f.Hand = c.hand(f)
	f.Stages, f.StagesSpan = c.stages(f), c.row.get("stages").span
	f.Pattern, f.TightAfter, f.Retorque = c.choice("pattern"), c.refs("tight-after"), c.words("retorque")
	f.Under, f.OnBench, f.With = c.refs("under"), c.ref("on-bench"), c.words("with")
	if f.Number > 0 {
		f.ID = strconv.Itoa(f.Number)
	}
	return f
}

// hand reads which way a thread turns, from its column or from the end of the thread's designation.
func (c *cells) hand(f *procedure.Fastener) string {
	x, marked := c.row.get("hand"), strings.HasSuffix(f.Thread, procedure.LeftHandMark)
	switch hand := c.choice("hand"); {
	case hand == rightHand && marked:
		c.r.reportSee("cell-value", x.span, say.That("the thread says that it is left-hand, and this says right"), say.That("Keep one of the two."), f.ThreadSpan, say.That("the thread"))
	case hand == procedure.LeftHand && !f.Kind.Threaded() && f.Thread == "" && f.Kind != "" && !x.shared:
		c.r.report("cell-value", x.span, say.That("a %kind has no thread that could be left-hand", say.Word(string(f.Kind))), say.That("Leave the cell empty, or state the thread."))
	case hand == procedure.LeftHand || marked:
		return procedure.LeftHand
	}
	return ""
}

// fingerTight are the words for the state that all passes follow; as a first stage they say nothing else.
var fingerTight = []string{"finger-tight", "finger tight", "hand-tight", "by hand", "handfest"}

// stages reads the passes of a fastener: torques and shares of its torque that rise, up to the torque, then angles. What
// they say about torque and angle goes into the fastener where its row does not say it.
func (c *cells) stages(f *procedure.Fastener) []measure.Quantity {
	x := c.row.get("stages")
	var out []measure.Quantity
	bad := func(at text.Span, wrong, advice say.Text) []measure.Quantity {
		c.r.report("cell-value", at, wrong, advice)
		return nil
	}
	var last, turn measure.Quantity // the last torque or share; all the angles
	for _, ref := range splitRefs(x.text, x.span) {
		if len(out) == 0 && slices.Contains(fingerTight, strings.ToLower(ref.ID)) {
			continue
		}
		q := c.r.quantity(ref.ID, ref.Span, measure.Torque, measure.Ratio, measure.Angle)
		if q.IsZero() {
			return nil // reported
		}
		out = append(out, q)
		switch {
		case q.Dimension() == measure.Angle && turn.IsZero():
			turn = q
		case q.Dimension() == measure.Angle:
			turn, _ = turn.Add(q)
		case !turn.IsZero():
			return bad(ref.Span, say.That("a torque cannot follow an angle: it is passed already"), say.That("Write the torques first, then the angles."))
		case q.Dimension() == measure.Ratio && f.Torque.IsZero():
			return bad(ref.Span, say.That("this is a share of a torque that the row does not state"), say.That("State the torque in its column."))
		default:
			reached := q
			if q.Dimension() == measure.Ratio {
				reached = f.Torque.Share(q)
			}
			if !last.IsZero() && reached.Compare(last) <= 0 {
				return bad(ref.Span, say.That("the passes do not rise here"), say.That("Write the smallest torque first and the full one last."))
			}
			last = reached
		}
	}
	switch {
	case f.Torque.IsZero():
		f.Torque, f.TorqueSpan = last, x.span
	case !last.IsZero() && !last.Equal(f.Torque):
		return bad(x.span, say.That("the last torque of the passes is %last, and the row's torque is %torque", say.Word(last.String()), say.Word(f.Torque.String())),
			say.That("End the torques with the row's own, or with 100 %."))
	case last.IsZero() && len(out) > 0:
		out = append([]measure.Quantity{f.Torque}, out...)
	}
	switch {
	case f.Angle.IsZero():
		f.Angle = turn
	case len(out) > 0 && turn.IsZero():
		out = append(out, f.Angle)
	case len(out) > 0 && !turn.Equal(f.Angle):
		return bad(x.span, say.That("the angles of the passes make %turn, and the row's angle is %angle", say.Word(turn.String()), say.Word(f.Angle.String())), say.That("Keep one of the two."))
	}
	return out
}

func (c *cells) friction() float64 {
	x := c.row.get("friction")
	if x.text == "" {
		return 0
	}
	written := x.text
	if c.r.numbers.Comma {
		written = strings.Replace(written, ",", ".", 1)
	}
	k, err := strconv.ParseFloat(written, 64)
	if err != nil || !(k >= 0.05 && k <= 0.5) {
		c.r.report("cell-value", x.span, say.That("%value is not a nut factor K from 0.05 to 0.5", say.Quote(x.text)),
			say.That("Write the K of T = K·F·d, such as 0.2 for dry steel."))
		return 0
	}
	return k
}

func (c *cells) connection() *procedure.Connection {
	return &procedure.Connection{
		Row: c.common(), Residual: c.residual(), Kind: c.choice("kind"), Letter: c.letter(), Joins: c.refs("joins"), Needs: c.refs("needs"), Mark: c.words("mark"),
		Hazard: c.words("hazard"), Carries: c.ref("carries"), Under: c.refs("under"), OnBench: c.ref("on-bench"), Stand: c.words("stand"), Joint: c.joint(),
	}
}

func (c *cells) fluid() *procedure.Fluid {
	return &procedure.Fluid{
		Row: c.common(), Residual: c.residual(), Letter: c.letter(), Quantity: c.amount("quantity", measure.Volume), Drain: c.words("drain"), Under: c.refs("under"), OnBench: c.ref("on-bench"), Container: c.ref("container"),
		Hazard: c.words("hazard"), Flush: c.words("flush"), SingleUse: c.yes("single-use"), Waste: c.words("waste"),
	}
}

func (c *cells) support() *procedure.Support {
	return &procedure.Support{
		Row: c.common(), Kind: c.choice("kind"), Letter: c.letter(), Capacity: c.amount("capacity", measure.Mass),
		Legs: c.whole("legs", 0, 1, 4), Angle: c.amount("angle", measure.Angle), OtherAngle: c.amount("other-angle", measure.Angle),
		Hitch: c.choice("hitch"), Choke: c.amount("choke", measure.Angle), Tag: c.amount("tag", measure.Mass),
		Per: c.choice("per"), RatedAngle: c.amount("rated-angle", measure.Angle), Eye: c.choice("eye"), At: c.places("at"), Into: c.refs("into"),
	}
}

func (c *cells) condition() *procedure.Condition {
	return &procedure.Condition{
		Row: c.common(), Needs: c.refs("needs"), Undo: c.words("undo"), LostBy: c.refs("lost-by"), Energy: c.yes("energy"),
		Zone: c.yes("zone"), By: c.refs("by"), ProvedAt: c.refs("proved-at"), ProvedBy: c.refs("proved-by"),
	}
}

func (c *cells) energySource() *procedure.EnergySource {
	return &procedure.EnergySource{
		Row: c.common(), Residual: c.residual(), Kind: c.choice("kind"), Where: c.words("where"), Isolated: c.refs("isolated"), Proved: c.refs("proved"),
		Reaches: c.refs("reaches"), Guards: c.refs("guards"), NoGuards: c.words("no-guards"),
	}
}

func (c *cells) tool() *procedure.Tool {
	return &procedure.Tool{
		Row: c.common(), Kind: procedure.ToolKind(c.choice("kind")), Letter: c.letter(),
		Quantity: c.quantity(), Single: c.yes("single"), Fits: c.words("fits"), Use: c.use(), Against: c.words("against"), Revision: c.revision(), Waste: c.words("waste"),
	}
}

// revision is which one of a document holds; nothing else has one.
func (c *cells) revision() string {
	x, kind := c.row.get("revision"), c.row.get("kind")
	if x.text == "" {
		return ""
	}
	if kind.text != string(procedure.Document) {
		c.r.report("cell-value", x.span, say.That("only a document has a revision, and this is a %kind", say.Word(kind.text)), say.That("Leave the cell empty, or write document into the column kind."))
		return ""
	}
	return c.words("revision")
}

// quantity is how much of a tool or of a consumable there must be: a number alone counts pieces.
func (c *cells) quantity() measure.Quantity {
	x := c.row.get("quantity")
	if x.text == "" {
		return measure.Quantity{}
	}
	if x.unit == "" {
		x.unit = "pcs"
	}
	return c.r.quantityIn(x.unit, x.text, x.span, measure.Volume, measure.Mass, measure.Length, measure.Count)
}

// yesWords and noWords are read as yes and as nothing, whatever their case.
var (
	yesWords = []string{"yes", "y", "x", "true", "ja", "✓", "✔", "☑"}
	noWords  = []string{"no", "n", "false", "nein", "☐"}
)

// choiceWords are further words for what can stand in a column that takes one of a list, in the languages of the words table.
var choiceWords = map[string][]string{
	"bolt": {"hex bolt", "sechskantschraube"}, "screw": {"cap screw", "socket screw", "schraube"}, "nut": {"mutter", "lock nut"}, "stud": {"stiftschraube"},
	"pin": {"stift", "dowel", "dowel pin"}, "circlip": {"snap ring", "retaining ring", "sicherungsring"}, "tab washer": {"lock tab", "sicherungsblech"},
	"clamp": {"clip", "schelle"}, "key": {"passfeder", "parallel key"}, "plug": {"drain plug", "verschlussschraube"},
	procedure.Crosswise: {"cross", "in a cross", "over cross", "star", "über kreuz", "kreuzweise"}, procedure.Outwards: {"outwards", "outward", "from the middle outward", "from the centre outwards", "from the center outwards", "von der mitte nach außen", "von innen nach außen"}, procedure.InTurn: {"one after another", "around", "der reihe nach"},
	"left": {"l", "links", "lh"}, "right": {"r", "rechts", "rh"},
	"hose": {"schlauch"}, "pipe": {"rohr"}, "cable": {"kabel"}, "electrical connector": {"connector", "electric plug", "stecker"}, "earth strap": {"ground strap", "erdung", "masseband"},
	"linkage": {"gestänge"}, "belt": {"riemen", "v belt", "v-belt", "keilriemen"}, "chain": {"kette"},
	"hoist": {"hebezeug", "kran"}, "sling": {"schlinge", "web sling"}, "chain sling": {"kettengehänge"}, "jack": {"heber"}, "stand": {"bock"}, "pallet": {"palette"}, "tray": {"crate", "bin", "wanne"}, "cradle": {"v-stand", "v stand"}, "shackle": {"schäkel"}, "prop": {"strut", "stütze"}, "chock": {"keil"}, "hands": {"hände"},
	"tool": {"hand tool", "werkzeug"}, "lifting": {"lifting gear"}, "protection": {"ppe", "schutz", "psa"}, "container": {"behälter"}, "marking": {"markierung"}, "consumable": {"verbrauch", "verbrauchsmaterial"},
}
