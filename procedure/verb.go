package procedure

// Verb is what is done to a thing.
type Verb string

// The verbs of the action list and the fastener callout.
const (
	Remove     Verb = "remove"
	Loosen     Verb = "loosen"
	Keep       Verb = "keep"
	Fit        Verb = "fit"
	Tighten    Verb = "tighten"
	Disconnect Verb = "disconnect"
	Connect    Verb = "connect"
	Drain      Verb = "drain"
	Fill       Verb = "fill"
	Flush      Verb = "flush"
	Mark       Verb = "mark"
	Hang       Verb = "support"
	Release    Verb = "release"
	Lift       Verb = "lift"
	SetDown    Verb = "set down"
	Inspect    Verb = "inspect"
	Clean      Verb = "clean"
	Establish  Verb = "establish"
	Verify     Verb = "verify"
	Undo       Verb = "undo"
	Tally      Verb = "count"
)

// VerbRule says what a verb applies to.
type VerbRule struct {
	Verb Verb
	// Means says in one line what the verb does to the machine's state.
	Means string
	// Objects are the kinds of thing that it is done to.
	Objects []ThingKind
	// Word is the preposition before the further things; empty when the verb takes none.
	Word string
	// With are the kinds of the further things.
	With []ThingKind
	// NeedsWith is true when the further thing must be named.
	NeedsWith bool
	// NeedsReason is true when the author must say why.
	NeedsReason bool
}

// VerbRules is the table of verbs, in the order of the language reference.
var VerbRules = []VerbRule{
	{Verb: Remove, Means: "Takes a fastener out, or a part off by hand.", Objects: []ThingKind{FastenerThing, PartThing}},
	{Verb: Loosen, Means: "Turns a fastener loose, or flattens a tab washer; it stays in place.", Objects: []ThingKind{FastenerThing}},
	{Verb: Keep, Means: "Leaves a fastener in on purpose; say why.", Objects: []ThingKind{FastenerThing}, NeedsReason: true},
	{Verb: Fit, Means: "Puts a fastener or a part back, finger-tight.", Objects: []ThingKind{FastenerThing, PartThing}},
	{Verb: Tighten, Means: "Tightens a fitted fastener to its torque.", Objects: []ThingKind{FastenerThing}},
	{Verb: Disconnect, Means: "Takes a connection apart.", Objects: []ThingKind{ConnectionThing}},
	{Verb: Connect, Means: "Joins a connection again.", Objects: []ThingKind{ConnectionThing}},
	{Verb: Drain, Means: "Lets a fluid out into a container.", Objects: []ThingKind{FluidThing}, Word: "into", With: []ThingKind{ToolThing}, NeedsWith: true},
	{Verb: Fill, Means: "Fills a fluid in, by kind and quantity.", Objects: []ThingKind{FluidThing}},
	{Verb: Flush, Means: "Flushes a drained circuit.", Objects: []ThingKind{FluidThing}},
	{Verb: Mark, Means: "Puts a match mark or a label on, before things come apart.", Objects: []ThingKind{PartThing, ConnectionThing, FastenerThing}},
	{Verb: Hang, Means: "Lets a support take a part's weight.", Objects: []ThingKind{PartThing}, Word: "with", With: []ThingKind{SupportThing}, NeedsWith: true},
	{Verb: Release, Means: "Takes a support away from a part.", Objects: []ThingKind{PartThing}, Word: "from", With: []ThingKind{SupportThing}, NeedsWith: true},
	{Verb: Lift, Means: "Lifts a part clear with the supports that carry it.", Objects: []ThingKind{PartThing}, Word: "with", With: []ThingKind{SupportThing}, NeedsWith: true},
	{Verb: SetDown, Means: "Sets a lifted part down on a stand.", Objects: []ThingKind{PartThing}, Word: "on", With: []ThingKind{SupportThing}, NeedsWith: true},
	{Verb: Inspect, Means: "Looks at a thing; an inspect block says what is acceptable.", Objects: []ThingKind{PartThing, ConnectionThing, FastenerThing, FluidThing}},
	{Verb: Clean, Means: "Cleans a thing.", Objects: []ThingKind{PartThing, ConnectionThing, FastenerThing}},
	{Verb: Establish, Means: "Makes a condition true.", Objects: []ThingKind{ConditionThing}},
	{Verb: Verify, Means: "Proves that a condition is true.", Objects: []ThingKind{ConditionThing}},
	{Verb: Undo, Means: "Ends a condition, in the way that its row says.", Objects: []ThingKind{ConditionThing}},
	{Verb: Tally, Means: "Counts tools, cloths and plugs, so that none stays inside when something is closed.", Objects: []ThingKind{ToolThing}},
}

// Rule returns the verb's rule; ok is false for an unknown verb.
func (v Verb) Rule() (rule VerbRule, ok bool) {
	for i := range VerbRules {
		if VerbRules[i].Verb == v {
			return VerbRules[i], true
		}
	}
	return VerbRule{}, false
}
