package source

import (
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/hazard"
)

// RegisterForm is the form of one register: its columns.
type RegisterForm struct {
	Kind    procedure.RegisterKind
	Means   string
	Columns []grammar.Attribute
}

// Column returns the column with that heading.
func (r *RegisterForm) Column(name string) (grammar.Attribute, bool) {
	for i := range r.Columns { // an attribute is large: it is copied once
		if r.Columns[i].Name == name {
			return r.Columns[i], true
		}
	}
	return grammar.Attribute{}, false
}

var (
	idColumn      = grammar.Attribute{Name: "id", Type: grammar.Name, Required: true, Means: "the name that steps use"}
	nameColumn    = grammar.Attribute{Name: "name", Type: grammar.Words, Required: true, Means: "what people call it"}
	variantColumn = grammar.Attribute{Name: "variants", Type: grammar.Names, Means: "the variants that have it; all when empty"}
	noteColumn    = grammar.Attribute{Name: "note", Type: grammar.Words, Means: "anything else"}
	joinsColumn   = grammar.Attribute{Name: "joins", Type: grammar.Names, Means: "the parts that it holds together"}
	letterColumn  = grammar.Attribute{Name: "letter", Type: grammar.Words, Means: "its reference in figures, one or two capital letters; otherwise made of its name"}
	standColumn   = grammar.Attribute{Name: "stand", Type: grammar.Words, Means: "where it goes when it is off, and in what attitude, so that it cannot roll or fall"}
	singleUse     = grammar.Attribute{Name: "single-use", Type: grammar.Yes, Means: "a new one goes in, and the old one is thrown away; `no` says that the old one goes back where most throw it away"}
	wasteColumn   = grammar.Attribute{Name: "waste", Type: grammar.Words, Means: "where it goes when it does not go back: `oily rags bin`; the list of what lies ready names it, and so does the act that takes it off or drains it"}
	hazardColumn  = grammar.Attribute{Name: "hazard", Type: grammar.Words, Means: "what it does to people and floors: " + hazardWords() + ", or in your own words, `its edge cuts`. The first step that touches it warns of it, and its tools protect from it; `none` for nothing"}
	riskColumn    = grammar.Attribute{Name: "risk", Type: grammar.Words, Means: "what is left of its hazard when all is done that the job says: a harm and a chance of the library's `matrix`, such as `lost days, unlikely`; printed on the risk assessment"}
	jointColumn   = grammar.Attribute{Name: "joint", Type: grammar.Choice, Of: procedure.Joints, Means: "how it carries weight: `pin` lets the parts turn, `fixed` holds their angle, `none` carries nothing; when empty, three or more at one place between two parts hold the angle, and what joins a part to a base does not"}
	placeColumn   = grammar.Attribute{Name: "at", Type: grammar.Position, Means: "where it joins: one place, or several among which its number is spread"}
	eyeColumn     = grammar.Attribute{Name: "eye", Type: grammar.Choice, Of: procedure.EyeMakes, Means: "how an eye bolt is made, which says what it keeps of its rating when it is pulled at an angle: `plain` without a collar, nothing; `collar` by DIN 580 and ISO 3266, `shoulder` by inch catalogues; `swivel`, which turns into the pull, all of it"}
	ratedColumn   = grammar.Attribute{Name: "rated", Type: grammar.Amount, Means: "the load that it may carry at each place, either way"}
)

var onBench = grammar.Attribute{Name: "on-bench", Type: grammar.Name, Means: "the unit that must be off its place and set down when that is done: what is inside a gearbox comes out, and goes in again, only while the gearbox stands on the bench"}

var broughtColumn = grammar.Attribute{Name: "brought", Type: grammar.Yes, Means: "it is put on for the job, as a lifting eye, a guide pin, a bracket or a beam is: `fit` puts it on and `remove` takes it off again before the job ends, or `keep` says why it stays on; the way back puts it on where the job took it off, and takes it off where the job put it on"}

// rightHand is the hand of a thread for which nothing has to be said.
const rightHand = "right"

// RegisterForms lists the registers in the order of the reference page.
func RegisterForms() []RegisterForm { return registerForms }

var registerForms = []RegisterForm{
	{procedure.VariantRegister, "The range of similar machines.", []grammar.Attribute{idColumn, nameColumn, noteColumn}},
	{procedure.PartRegister, "What comes off, and what stays (base parts).", []grammar.Attribute{
		idColumn, nameColumn,
		{Name: "letter", Type: grammar.Words, Means: "its reference in figures, one or two capital letters"},
		{Name: "mass", Type: grammar.Amount, Means: "its mass"},
		{Name: "side", Type: grammar.Choice, Of: []string{"left", "right"}, Means: "the side of a part that has a twin"},
		{Name: "twin", Type: grammar.Name, Means: "the part that looks like it"},
		{Name: "mark", Type: grammar.Words, Means: "the match mark that it needs before it comes off"},
		{Name: "face", Type: grammar.Words, Means: "which way round it goes back"},
		{Name: "under", Type: grammar.Names, Means: "the parts that must be off before it"},
		onBench,
		{Name: "held-by", Type: grammar.Name, Means: "the part that it is pressed into or on to, without a fastener: a bearing in its housing. It comes along with that part, and its mass counts there, until it is taken off by itself"},
		standColumn,
		{Name: "base", Type: grammar.Yes, Means: "it stays in the machine"},
		hazardColumn, riskColumn, singleUse, wasteColumn,
		{Name: "centre", Type: grammar.Position, Means: "its centre of mass; with it, and with the places of what joins and carries it, it is worked out whether it keeps its balance"},
		{Name: "seat", Type: grammar.Position, Means: "where it rests, in its place, on what stays: pads, rails"},
		{Name: "feet", Type: grammar.Position, Means: "the corners on which it stands once it is set down, in the same coordinates"},
		{Name: "footprint", Type: grammar.Words, Means: "the size of what it stands on once it is set down, such as `700 mm x 500 mm`, where no places are stated: its centre of mass is taken to be over the middle"},
		{Name: "height", Type: grammar.Amount, Means: "the height of its centre of mass over its footprint"},
		{Name: "round", Type: grammar.Yes, Means: "it rolls on a flat floor"},
		broughtColumn,
		variantColumn, noteColumn,
	}},
	{procedure.FastenerRegister, "Callout numbers: one or several like fasteners that are undone together.", []grammar.Attribute{
		{Name: "no", Type: grammar.Callout, Required: true, Means: "the callout number"},
		nameColumn,
		{Name: "kind", Type: grammar.Choice, Required: true, Of: fastenerKinds(), Means: "what it is"},
		{Name: "thread", Type: grammar.Words, Means: "the designation by ISO 261/262, such as M12 or M12x1.25"},
		{Name: "hand", Type: grammar.Choice, Of: []string{procedure.LeftHand, rightHand}, Means: "`left` for a thread that is undone clockwise; `LH` behind the thread says the same. Pages, the checklist and the torque sheet then say which way it turns"},
		{Name: "length", Type: grammar.Amount, Means: "its length"},
		{Name: "class", Type: grammar.Words, Means: "the property class by ISO 898-1, such as 8.8"},
		{Name: "drive", Type: grammar.Words, Means: "what turns it: `hex 18 mm`, `hex key 8 mm`"},
		{Name: "count", Type: grammar.Whole, Means: "how many there are; 1 when empty"},
		{Name: "torque", Type: grammar.Amount, Means: "the tightening torque"},
		{Name: "tolerance", Type: grammar.Amount, Means: "the allowed deviation, a torque or percent"},
		{Name: "angle", Type: grammar.Amount, Means: "a further turn after the torque"},
		{Name: "no-torque", Type: grammar.Words, Means: "why there is no torque"},
		{Name: "stages", Type: grammar.Words, Means: "the passes after finger-tight, with commas between: torques, shares of the torque, angles: `30 %, 70 %, 100 %`, `40 N·m, 90 deg`"},
		{Name: "pattern", Type: grammar.Choice, Of: procedure.Patterns, Means: "the order in which its pieces are tightened; where a figure shows each of them, they are numbered there"},
		{Name: "tight-after", Type: grammar.Names, Means: "the fasteners that must be tight before this one is"},
		{Name: "retorque", Type: grammar.Words, Means: "when the torque is tried once more: `after 8 h of work`"},
		{Name: "sequence", Type: grammar.Words, Means: "what else there is to say about the order of tightening"},
		{Name: "treatment", Type: grammar.Words, Means: "oil, threadlocker, anti-seize, dry"},
		{Name: "friction", Type: grammar.Decimal, Means: "the nut factor K of T = K·F·d"},
		singleUse, wasteColumn, hazardColumn, riskColumn,
		{Name: "joins", Type: grammar.Names, Means: "the parts that it holds together, and the connections that it holds: the line of a banjo bolt, the chain of a clip"},
		{Name: "under", Type: grammar.Names, Means: "the parts that must be off before it can be reached"},
		onBench,
		{Name: "with", Type: grammar.Words, Means: "what belongs to each piece: `2 washers, nut`"},
		{Name: "locks", Type: grammar.Names, Means: "the fasteners that it locks"},
		{Name: "bag", Type: grammar.Words, Means: "the bag or box that it goes into"},
		jointColumn, placeColumn, ratedColumn, eyeColumn, broughtColumn,
		variantColumn, noteColumn,
	}},
	{procedure.ConnectionRegister, "Hoses, cables, linkages, belts, chains, connectors, earth straps.", []grammar.Attribute{
		idColumn, nameColumn,
		{Name: "kind", Type: grammar.Choice, Of: procedure.ConnectionKinds, Means: "what it is"},
		letterColumn,
		joinsColumn,
		{Name: "needs", Type: grammar.Names, Means: "the conditions that must hold before it comes off"},
		{Name: "mark", Type: grammar.Words, Means: "the mark that it needs before it comes off"},
		{Name: "carries", Type: grammar.Name, Means: "the fluid inside"},
		hazardColumn, riskColumn,
		{Name: "under", Type: grammar.Names, Means: "the parts that must be off before it can be reached"},
		onBench,
		{Name: "joint", Type: grammar.Choice, Of: procedure.Joints, Means: "`pin` or `fixed` when it carries weight from one part to another, as a flanged pipe does; nothing when it does not: hoses, belts, couplings"},
		placeColumn, ratedColumn, standColumn, variantColumn, noteColumn,
	}},
	{procedure.FluidRegister, "What is drained before a circuit is opened.", []grammar.Attribute{
		idColumn, nameColumn,
		letterColumn,
		{Name: "quantity", Type: grammar.Amount, Means: "how much there is"},
		{Name: "drain", Type: grammar.Words, Means: "where it comes out"},
		{Name: "under", Type: grammar.Names, Means: "the parts that must be off before it can be reached there"},
		onBench,
		{Name: "container", Type: grammar.Name, Means: "the container that it goes into"},
		hazardColumn, riskColumn,
		{Name: "flush", Type: grammar.Words, Means: "what must be flushed before filling"},
		singleUse, wasteColumn, variantColumn, noteColumn,
	}},
	{procedure.SupportRegister, "Jacks, hoists, slings, stands, chocks, hands.", []grammar.Attribute{
		idColumn, nameColumn,
		{Name: "kind", Type: grammar.Choice, Of: procedure.SupportKinds, Means: "what it is, which says what it can do: a load hangs from a hoist, over slings, shackles and eye bolts; jacks, stands, pallets, trays and cradles carry it from below, and of these only jacks raise it; trays and cradles keep it from rolling too; chocks keep it from rolling and props from tipping, and carry nothing; `hands` are people's"},
		letterColumn,
		{Name: "capacity", Type: grammar.Amount, Means: "the rated capacity; of a sling with several legs, what `per` says; of eye bolts, that of one pulled straight"},
		{Name: "per", Type: grammar.Choice, Of: procedure.Pers, Means: "what the capacity of a sling with several legs is that of: one `leg` hanging straight, or the whole `assembly` at its `rated-angle`, which is what a tag has"},
		{Name: "rated-angle", Type: grammar.Amount, Means: "the flattest angle of the legs, from the horizontal, for which the tag gives the assembly's capacity"},
		{Name: "legs", Type: grammar.Whole, Means: "the legs of a sling; how many eye bolts"},
		{Name: "angle", Type: grammar.Amount, Means: "the angle of a sling's legs, or of the pull on eye bolts, from the horizontal"},
		{Name: "other-angle", Type: grammar.Amount, Means: "the angle of the second of two legs that stand unequally, with the hook over the centre of gravity"},
		{Name: "hitch", Type: grammar.Choice, Of: procedure.Hitches, Means: "how a sling is put on; straight when nothing is stated"},
		{Name: "choke", Type: grammar.Amount, Means: "the angle of a choker hitch at its choke: over 120 deg when it hangs freely"},
		{Name: "tag", Type: grammar.Amount, Means: "the load that the tag or the maker's table allows for all legs or eye bolts in this arrangement; it goes before what is worked out"},
		eyeColumn,
		{Name: "at", Type: grammar.Position, Means: "where it stands or hangs on the machine, for acts that do not say so"},
		{Name: "into", Type: grammar.Names, Means: "the eyes, lugs and beams of the machine that it is hooked into: callout numbers and parts, which are on and tight before it takes weight and as long as it has it"},
		variantColumn, noteColumn,
	}},
	{procedure.ConditionRegister, "States that work needs: isolated, proved dead, cool, slack in the drive.", []grammar.Attribute{
		idColumn, nameColumn,
		{Name: "needs", Type: grammar.Names, Means: "the conditions that must hold before it can be established"},
		{Name: "undo", Type: grammar.Words, Means: "how it is undone at refitting"},
		{Name: "lost-by", Type: grammar.Names, Means: "the things whose refitting ends it"},
		{Name: "energy", Type: grammar.Yes, Means: "it keeps energy away: no work on the machine without it"},
		{Name: "by", Type: grammar.Names, Means: "what is done to make it hold: the plug that is pulled, the valve that is shut, the bleed that is opened; that is no work before it holds"},
		{Name: "proved-at", Type: grammar.Names, Means: "the parts at which it is proved: what they are under must be off by then"},
		{Name: "proved-by", Type: grammar.Names, Means: "the conditions whose proof proves it too, and nothing else does: a valve is proved shut by the bleed behind it, which stays open and silent"},
		{Name: "zone", Type: grammar.Yes, Means: "it bars the zone of a hanging load"},
		variantColumn, noteColumn,
	}},
	{procedure.SourceRegister, "Sources of energy that can hurt people who work on the machine, and what keeps each away. A machine without any says why in its front matter: `no-energy`.", []grammar.Attribute{
		idColumn, nameColumn,
		{Name: "kind", Type: grammar.Choice, Required: true, Of: procedure.EnergyKinds, Means: "what it is"},
		{Name: "where", Type: grammar.Words, Means: "where it is isolated"},
		{Name: "isolated", Type: grammar.Names, Means: "the conditions that keep it away"},
		{Name: "proved", Type: grammar.Names, Means: "the conditions by which that is proved; one of those that keep it away, as a rule"},
		{Name: "reaches", Type: grammar.Names, Means: "the parts, connections and fluids at which it can hurt somebody; everything when empty"},
		{Name: "guards", Type: grammar.Names, Means: "the parts that stand against it: they are on before it comes back"},
		{Name: "no-guards", Type: grammar.Words, Means: "why nothing has to stand against it"},
		riskColumn, variantColumn, noteColumn,
	}},
	{procedure.ToolRegister, "What must lie ready.", []grammar.Attribute{
		idColumn, nameColumn,
		{Name: "kind", Type: grammar.Choice, Required: true, Of: toolKinds(), Means: "which list it stands on"},
		letterColumn,
		{Name: "quantity", Type: grammar.Amount, Means: "how much or how many lie ready for a job; of a tool no more are used at a time. Nothing means one"},
		{Name: "single", Type: grammar.Yes, Means: "there is only one in the shop"},
		{Name: "fits", Type: grammar.Words, Means: "what it is for: drives (`hex 18 mm`), a range of torque (`40-200 N·m`, with its tolerance `40-200 N·m ± 4 %`), acts (`remove hub`, `fit 7, 8`, `mark`) or things. A step that does such work needs it, whether it lists it or not"},
		{Name: "revision", Type: grammar.Words, Means: "of a document, which one holds: `C`, `2024-05`; printed wherever the document is named"},
		{Name: "against", Type: grammar.Words, Means: "what protection protects from, in the words of the column hazard: `hot`, `corrosive, slippery`. Steps that touch what is so need it, whether they list it or not; without it the name says it: gloves, goggles, helmet"},
		wasteColumn, variantColumn, noteColumn,
	}},
}

func registerForm(kind procedure.RegisterKind) *RegisterForm {
	for i := range registerForms {
		if registerForms[i].Kind == kind {
			return &registerForms[i]
		}
	}
	return nil
}

func registerNames() []string {
	return []string{
		string(procedure.VariantRegister), string(procedure.PartRegister), string(procedure.FastenerRegister),
		string(procedure.ConnectionRegister), string(procedure.FluidRegister), string(procedure.SupportRegister),
		string(procedure.ConditionRegister), string(procedure.SourceRegister), string(procedure.ToolRegister),
	}
}

// hazardWords lists the words for hazards, in code marks.
func hazardWords() string {
	var out []string
	for _, k := range hazard.Kinds {
		out = append(out, "`"+string(k)+"`")
	}
	return strings.Join(out, ", ")
}

func fastenerKinds() []string {
	var out []string
	for _, k := range procedure.FastenerKinds {
		out = append(out, string(k))
	}
	return out
}

func toolKinds() []string {
	var out []string
	for _, k := range procedure.ToolKinds {
		out = append(out, string(k))
	}
	return out
}
