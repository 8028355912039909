package claims

import (
	"iter"
	"regexp"
	"slices"
	"strings"

	"matchmark/procedure"
)

// WayBack is what the words of a step become where its acts are turned round.
type WayBack struct {
	// Before are the sentences that stand before the acts, and Behind those behind them, each list in the order of the way back.
	Before, Behind []string
	// Path are the sentences that tell how a load is moved, in the order of the way out: a load goes back the way that it came.
	Path []string
	// Noted are what was measured and written down on the way out.
	Noted []string
	// Where says where something was opened, and is closed again.
	Where []string
	// Unknown is true when some sentence tells what nobody can turn round: how it is done back is to be written.
	Unknown bool
}

// way is a text in the making.
type way struct {
	*Step
	out WayBack
	// front are said first, as they stand; turned are said in reverse.
	front, turned []string
	// ordered is true where words say in which order the pieces of a row come out.
	ordered bool
	forced  bool // the words are about a tool that only takes apart
	sprung  bool // something is pressed against its spring, and let go of further on
	moves   bool // the step moves a load on something else than hands
}

// WayBack turns the sentences of a step round. The last come first; what holds something is said before; what
// was laid ready before the first act is put away behind the last one.
// Motions of a load that hangs or rolls are reversible: they are turned round by their words, or else given as the way that it took.
func (s *Step) WayBack(all iter.Seq[*Sentence]) WayBack {
	var list []*Sentence
	for x := range all {
		if x.Role == Telling {
			list = append(list, x)
		}
	}
	w := &way{Step: s}
	if !s.names.own {
		w.out.Unknown = slices.ContainsFunc(list, func(x *Sentence) bool { return !s.Says(x) })
		return w.out
	}
	list = slices.DeleteFunc(list, func(x *Sentence) bool { return len(x.words) == 0 })
	w.ordered = slices.ContainsFunc(list, w.givesOrder)
	w.moves = slices.ContainsFunc(s.acts, func(a *procedure.Action) bool {
		return a.Verb == procedure.Lift || a.Verb == procedure.SetDown
	})
	for i, x := range list {
		w.sentence(i, x, list)
	}
	w.path()
	slices.Reverse(w.turned)
	w.out.Before = append(w.front, w.inOrder(w.turned)...)
	return w.out
}

// sentence takes the sentence at a place of the step.
func (w *way) sentence(i int, x *Sentence, list []*Sentence) {
	bare := bareText(x.Text)
	held := w.Holding(x) || w.holdsBoth(x)
	switch pressed := sprung.MatchString(bare) && i+1 < len(list); {
	case w.aboutForcer(x):
	case strings.Contains(x.Text, marker):
		w.out.Unknown = w.out.Unknown || !held && !w.Says(x) && !w.OneWay(x)
	case pressed:
		w.pressed(bare, list[i+1:])
	case w.sprung && letsGo.MatchString(bare):
	case held && len(w.turned) > 0 && slices.ContainsFunc(x.words, func(y string) bool { return y == "these" || y == "those" }):
		w.turned[len(w.turned)-1] += " " + strings.TrimSpace(x.Text) // it means what the sentence before names
	case held:
		if i > 0 && correcting.MatchString(bare) && strings.HasPrefix(list[i-1].Text, "Watch ") {
			w.front = append(w.front, strings.TrimSpace(list[i-1].Text))
		}
		w.front = append(w.front, strings.TrimSpace(x.Text))
	case written.MatchString(bare) && i > 0 && measuring.MatchString(bareText(list[i-1].Text)):
		w.out.Noted = append(w.out.Noted, measuring.FindStringSubmatch(bareText(list[i-1].Text))[1])
	case measuring.MatchString(bare) || written.MatchString(bare):
	case w.laidAway(bare):
	case i > 0 && w.afterIt(bare, bareText(list[i-1].Text)):
	case w.ordered && w.undone(x):
		w.turned = append(w.turned, piecesBack(bare))
	case w.moves && motion.MatchString(bare) && !testsLift(x.words) && len(w.fasteners(x)) == 0:
		w.out.Path = append(w.out.Path, strings.TrimSpace(x.Text))
		w.turned = append(w.turned, "") // its place, in case that all of the path is turned round by its words
	case w.Says(x), w.OneWay(x), w.onTheWayOut(x, bare):
		if back, ok := pieceBack(bare); ok && w.disconnects() {
			w.turned = append(w.turned, back)
		}
	case where.MatchString(bare) && w.disconnects():
		w.out.Where = append(w.out.Where, where.FindStringSubmatch(bare)[1])
	default:
		w.turn(bare)
	}
}

// turn turns a sentence round by its words.
func (w *way) turn(bare string) {
	back, ok := pieceBack(bare)
	if !ok {
		back, ok = w.turnedText(bare)
	}
	if !ok {
		w.out.Unknown = true
		return
	}
	w.turned = append(w.turned, back)
}

// path turns the way of a load round by its words, if that can be done with all of them.
func (w *way) path() {
	if len(w.out.Path) == 0 {
		return
	}
	var back []string
	for _, x := range w.out.Path {
		if text, ok := w.turnedText(bareText(x)); ok {
			back = append(back, text)
		}
	}
	if len(back) == len(w.out.Path) {
		w.out.Path = nil
	}
	for i, text := range w.turned {
		if text == "" && w.out.Path == nil {
			w.turned[i], back = back[0], back[1:]
		}
	}
	w.turned = slices.DeleteFunc(w.turned, func(text string) bool { return text == "" })
}

// pressed takes what holds something against its spring, which the words let go of further on: it is pressed and let go of the same way
// when it goes back.
func (w *way) pressed(bare string, rest []*Sentence) {
	let := slices.IndexFunc(rest, func(x *Sentence) bool { return letsGo.MatchString(bareText(x.Text)) })
	if let < 0 {
		w.out.Unknown = true
		return
	}
	w.sprung = true
	w.front = append(w.front, bare)
	w.out.Behind = append([]string{bareText(rest[let].Text)}, w.out.Behind...)
}

// givesOrder reports whether a sentence says which pieces of one row come out first.
func (w *way) givesOrder(x *Sentence) bool {
	return w.undone(x) && !w.Step.ordered() && slices.ContainsFunc(x.words, func(y string) bool { return y == "first" || y == "last" })
}

// undone reports whether a sentence undoes fasteners that acts of the step take out.
func (w *way) undone(x *Sentence) bool {
	all := x.words
	if len(all) > 1 && all[0] == "then" {
		all = all[1:]
	}
	return simple[all[0]] == Undoing && slices.ContainsFunc(w.fasteners(x), func(t *procedure.Thing) bool {
		return slices.ContainsFunc(w.acts, func(a *procedure.Action) bool { return a.Verb == procedure.Remove && a.Object.ID == t.Row.ID })
	})
}

// fasteners are those of the step that a sentence names.
func (w *way) fasteners(x *Sentence) []*procedure.Thing {
	return slices.DeleteFunc(w.acted(x.words), func(t *procedure.Thing) bool { return t.Fastener == nil })
}

func (w *way) disconnects() bool {
	return slices.ContainsFunc(w.acts, func(a *procedure.Action) bool { return a.Verb == procedure.Disconnect })
}

// holdsBoth reports whether a sentence tells what is done on the way back as on the way out: where somebody stands and reaches in, what is
// held or watched over, and a support that is set right under its load.
func (w *way) holdsBoth(x *Sentence) bool {
	all, bare := x.words, bareText(x.Text)
	switch {
	case len(all) < 3:
		return false
	case all[0] == "stand", all[0] == "reach" && all[1] == "in", strings.HasPrefix(bare, "Keep hold of "), strings.HasPrefix(bare, "Let your helper hold "):
		return true
	case all[0] == "hold":
		return w.namesTool(all, procedure.Consumable) && slices.Contains(all, "over")
	case all[0] == "your" && all[1] == "helper":
		return w.moves && slices.ContainsFunc(all, func(y string) bool { return y == "steers" || y == "guides" })
	case correcting.MatchString(bare):
		return w.namesSupport(x)
	}
	return false
}

// onTheWayOut reports whether a sentence is about the way out alone, beyond what OneWay knows: the oil that runs into its tray, a
// fastener that goes in again for the moment, and what must not happen until the job ends.
func (w *way) onTheWayOut(x *Sentence, bare string) bool {
	all := x.words
	switch {
	case all[0] == "hold" && w.namesTool(all, procedure.Container), runsOut.MatchString(bare), all[0] == "nothing" && len(all) > 1 && all[1] == "may":
		return true
	case testsLift(all) || demands(all):
		return slices.ContainsFunc(w.acts, func(a *procedure.Action) bool { return a.Verb == procedure.Lift })
	case all[0] == "run" && slices.Contains(all, "in"):
		return w.does(procedure.Fit, all[1:])
	case all[0] == "tighten":
		return w.does(procedure.Tighten, all[1:])
	case strings.HasPrefix(bare, "Close the bag"), strings.HasPrefix(bare, "Shut the bag"):
		return true
	}
	return false
}

// does reports whether an act of the step is the one that words tell; "it" is any.
func (w *way) does(verb procedure.Verb, all []string) bool {
	named := w.acted(all)
	return slices.ContainsFunc(w.acts, func(a *procedure.Action) bool {
		return a.Verb == verb && (slices.Contains(all, "it") || slices.ContainsFunc(named, func(t *procedure.Thing) bool { return t.Row.ID == a.Object.ID }))
	})
}

// namesTool reports whether words name a tool of a kind.
func (s *Step) namesTool(all []string, kind procedure.ToolKind) bool {
	return slices.ContainsFunc(s.names.mentions(all, s.has), func(m mention) bool {
		return slices.ContainsFunc(m.things, func(t *procedure.Thing) bool { return t.Tool != nil && t.Tool.Kind == kind })
	})
}

// aboutForcer reports whether a sentence tells how a tool that only takes apart is set and worked: a puller, a wedge. What follows is
// about it, until it comes away again or has done its work.
func (w *way) aboutForcer(x *Sentence) bool {
	named := slices.ContainsFunc(x.words, func(y string) bool { return forcers[singular(y)] })
	before := w.forced
	switch {
	case named && (slices.Contains(x.words, "off") || slices.Contains(x.words, "away")), loosened.MatchString(bareText(x.Text)) && before && !named && forcing[x.words[0]] && x.words[0] == "work":
		w.forced = false
		return true
	case named:
		w.forced = true
		return true
	}
	if before && !forcing[x.words[0]] {
		w.forced = false
	}
	return w.forced
}

var (
	forcers = map[string]bool{"puller": true, "wedge": true, "extractor": true, "separator": true}
	forcing = map[string]bool{"centre": true, "center": true, "turn": true, "work": true, "tap": true, "drive": true, "screw": true, "set": true, "pull": true, "tighten": true, "wait": true}

	loosened   = regexp.MustCompile(`\buntil .* (?:off|out|free|loose)\b`)
	sprung     = regexp.MustCompile(`^(?:Press|Push|Pull|Draw) .* against (?:its|the) spring\b`)
	letsGo     = regexp.MustCompile(`^Let (?:the spring|it|go of .*) (?:go )?(?:slowly|gently)\b|^Let .* spring go\b`)
	correcting = regexp.MustCompile(`^(?:Correct|Adjust) `)
	measuring  = regexp.MustCompile(`^(?:Measure|Note|Read) ((?:how|where) [^.]*)\.?$`)
	written    = regexp.MustCompile(`^(?:Write|Note) (?:it|this|that|both|them|the value) down\b`)
	runsOut    = regexp.MustCompile(`^Let .* (?:run|drip|drain) (?:empty|out|off|dry)\b`)
	where      = regexp.MustCompile(`^Turn .* until (the [^,.]* (?:stands|lies|is|points) [^,.]*)\.?$`)
	// motion begins a sentence that moves a load, or what it stands on.
	motion = regexp.MustCompile(`^(?:Lift|Draw|Pull|Push|Bring|Lower|Turn|Swing|Roll|Slide|Raise|Carry|Move|Release|Set) `)
)

// testsLift reports whether words lift a load a little, to see how it hangs.
func testsLift(all []string) bool {
	return (all[0] == "lift" || all[0] == "raise") && slices.Contains(all, "by") && slices.ContainsFunc(all, numbered)
}

// demands reports whether words say what must be so, and tell nobody to do anything.
func demands(all []string) bool {
	return len(all) > 2 && (slices.Contains(all[1:3], "must") || slices.Contains(all[1:3], "may")) && all[0] != "you"
}

// LiftTest reports whether a sentence before a lift belongs to the try at its beginning: that is the same whichever way the load goes then.
func (x *Sentence) LiftTest() bool {
	return len(x.words) > 0 && (testsLift(x.words) || demands(x.words) || looks[x.words[0]])
}

// bareText is a sentence without the word that ties it to the one before.
func bareText(s string) string {
	s = strings.TrimSpace(s)
	for _, tie := range []string{"Then ", "Now "} {
		if rest, ok := strings.CutPrefix(s, tie); ok && rest != "" {
			return strings.ToUpper(rest[:1]) + rest[1:]
		}
	}
	return s
}

// piecesBack tells of fasteners that were told to be undone that they go in. Which come first is said once all are there.
func piecesBack(bare string) string {
	_, rest, _ := strings.Cut(bare, " ")
	rest = strings.NewReplacer(" first.", ".", " last.", ".", " first,", ",", " for last.", ".").Replace(rest)
	way := "Run in "
	if nuts.MatchString(rest) {
		way = "Run on "
	}
	return way + rest
}

var nuts = regexp.MustCompile(`\bnuts?\b`)

// inOrder says of pieces that go in one after the other which are the first.
func (w *way) inOrder(texts []string) []string {
	if !w.ordered {
		return texts
	}
	before := false
	for i, text := range texts {
		if !strings.HasPrefix(text, "Run in ") && !strings.HasPrefix(text, "Run on ") {
			continue
		}
		if before {
			texts[i] = "Then r" + text[1:]
		} else {
			texts[i] = strings.TrimSuffix(text, ".") + " first."
		}
		before = true
	}
	return texts
}

// laid finds what is laid ready or opened before the work, which is put away or shut behind it.
var laid = []struct {
	words *regexp.Regexp
	back  string
}{
	{regexp.MustCompile(`^Cover (.*?) with (?:the |a )?(.*?)(?:, so that .*)?\.$`), "Take the $2 off $1."},
	{regexp.MustCompile(`^(?:Lay|Spread|Put) (the [^,]*?(?:mat|film|cloth|sheet|cover|board)) (?:on|over|on to) (.*?)\.$`), "Take $1 off $2."},
	{regexp.MustCompile(`^(?:Slide|Push|Pull) (the [^,]*?(?:sleeve|cover|sock)) over (the [^,]*?)\.$`), "Slide $1 off $2."},
	{regexp.MustCompile(`^Open (the [^,]*?(?:cap|vent|filler)\b.*?)(?: by [^,]*)?\.$`), "Shut $1."},
}

func (w *way) laidAway(bare string) bool {
	for _, x := range laid {
		if x.words.MatchString(bare) {
			w.out.Behind = append([]string{x.words.ReplaceAllString(bare, x.back)}, w.out.Behind...)
			return true
		}
	}
	return false
}

var (
	following = regexp.MustCompile(`^(\w+) (the [^,]*?) (?:off|out) after it\.$`)
	leading   = regexp.MustCompile(`^(\w+) (the [^,]*?) (?:off|out) `)
)

// afterIt turns a sentence round that does to a second thing what the one before does to a first: the second goes back where the first
// came from, and the first after it.
func (w *way) afterIt(bare, before string) bool {
	second, first := following.FindStringSubmatch(bare), leading.FindStringSubmatch(before)
	if second == nil || first == nil || first[1] != second[1] || len(w.turned) == 0 {
		return false
	}
	back, ok := w.turnedText(strings.Replace(before, first[2], second[2], 1))
	if !ok {
		return false
	}
	w.turned[len(w.turned)-1] = first[1] + " " + first[2] + " on after it."
	w.turned = append(w.turned, back)
	return true
}

// turning are the ways in which words of the way out become those of the way back.
var turning = []struct {
	words *regexp.Regexp
	back  string
}{
	{regexp.MustCompile(`^Plug (.*?) and cap (.*?)(?: at once)?\.$`), "Take the plugs out of $1 and the caps off $2."},
	{regexp.MustCompile(`^Plug (.*?)(?: at once)?\.$`), "Take the plug out of $1."},
	{regexp.MustCompile(`^Cap (.*?)(?: at once)?\.$`), "Take the cap off $1."},
	{regexp.MustCompile(`^Leave (.*?) (?:for|until) last\.$`), "Begin with $1."},
	{regexp.MustCompile(`^Release (the [^,]*brakes?)\.$`), "Set $1."},
	{regexp.MustCompile(`^Set (the [^,]*brakes?)\.$`), "Release $1."},
	{regexp.MustCompile(`^(Push|Pull|Slide|Draw) ([^,]*?) back on (?:to )?([^,]*?)(?: as far as it goes)?\.$`), "$1 $2 forward again from $3."},
	{regexp.MustCompile(`^(Push|Pull|Slide|Draw) ([^,]*?) forward on (?:to )?([^,]*?)(?: as far as it goes)?\.$`), "$1 $2 back on $3."},
	{regexp.MustCompile(`^(Push|Pull|Slide|Draw|Roll) (the [^,]*?) back (.*?)until (.*?) (is|are) out of ([^,]*)\.$`), "$1 $2 forward ${3}until $4 $5 in $6."},
	{regexp.MustCompile(`^(Push|Pull|Slide|Draw|Swing|Move|Turn) ([^,]*?) away from ([^,]*)\.$`), "$1 $2 back to $3."},
	{regexp.MustCompile(`^Spread ([^,]*?) and pull them off ([^,]*)\.$`), "Spread $1 and push them on to $2."},
	{regexp.MustCompile(`^Roll (the [^,]*?) off ([^,]*)\.$`), "Roll $1 on to $2."},
	{regexp.MustCompile(`^(?:Pull|Push|Draw|Slide|Press) (the [^,]*?) off ([^,]*)\.$`), "Push $1 on to $2."},
	{regexp.MustCompile(`^(?:Take|Lift) (the [^,]*?) off ([^,]*)\.$`), "Put $1 on to $2."},
	{regexp.MustCompile(`^(?:Pull|Push|Draw|Slide|Press) (the [^,]*?) out of ([^,]*)\.$`), "Push $1 into $2."},
	{regexp.MustCompile(`^Take (the [^,]*?) out of ([^,]*)\.$`), "Put $1 into $2."},
	{regexp.MustCompile(`^(?:Pull|Push|Draw|Slide|Press) ([^,]*?) out( [^,]*)?\.$`), "Push $1 in$2."},
}

// turnedText is a sentence in the other direction; false when no table knows one.
func (w *way) turnedText(bare string) (string, bool) {
	for _, x := range turning {
		if !x.words.MatchString(bare) {
			continue
		}
		back := x.words.ReplaceAllString(bare, x.back)
		if (strings.Contains(back, " forward again from ") || strings.Contains(back, " back on ")) && w.marked() {
			back = strings.TrimSuffix(back, ".") + ", until the marks line up."
		}
		return back, true
	}
	return "", false
}

// pieces are loose ones of what is taken apart: the spider of a coupling, the link of a chain.
var pieces = []struct {
	words *regexp.Regexp
	back  string
}{
	{regexp.MustCompile(`^Take (the [^,]*?) out\.$`), "Put $1 in."},
	{regexp.MustCompile(`^Push (the [^,]*?) out to the (rear|front|left|right)\.$`), "Push $1 in from the $2."},
}

// pieceBack tells of a loose piece that came out how it goes in again.
func pieceBack(bare string) (string, bool) {
	for _, x := range pieces {
		if x.words.MatchString(bare) {
			return x.words.ReplaceAllString(bare, x.back), true
		}
	}
	return "", false
}

// marked reports whether what the step takes apart has a match mark.
func (w *way) marked() bool {
	return slices.ContainsFunc(w.acts, func(a *procedure.Action) bool {
		t := w.things[a.Object.ID]
		return t != nil && t.Connection != nil && t.Connection.Mark != "" && a.Verb == procedure.Disconnect
	})
}
