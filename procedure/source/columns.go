package source

import "matchmark/procedure"

// RegisterForm is the form of one register: its columns.
type RegisterForm struct {
	Kind    procedure.RegisterKind
	Means   string
	Columns []Attribute
}

// Column returns the column with that heading.
func (r *RegisterForm) Column(name string) (Attribute, bool) {
	for _, c := range r.Columns {
		if c.Name == name {
			return c, true
		}
	}
	return Attribute{}, false
}

var (
	idColumn      = Attribute{Name: "id", Type: Name, Required: true, Means: "the name that steps use"}
	nameColumn    = Attribute{Name: "name", Type: Words, Required: true, Means: "what people call it"}
	variantColumn = Attribute{Name: "variants", Type: Names, Means: "the variants that have it; all when empty"}
	noteColumn    = Attribute{Name: "note", Type: Words, Means: "anything else"}
	joinsColumn   = Attribute{Name: "joins", Type: Names, Means: "the parts that it holds together"}
	standColumn   = Attribute{Name: "stand", Type: Words, Means: "where it goes when it is off, and in what attitude, so that it cannot roll or fall"}
	singleUse     = Attribute{Name: "single-use", Type: Yes, Means: "a new one goes in"}
)

// RegisterForms lists the registers in the order of the reference page.
func RegisterForms() []RegisterForm { return registerForms }

var registerForms = []RegisterForm{
	{procedure.VariantRegister, "The range of similar machines.", []Attribute{idColumn, nameColumn, noteColumn}},
	{procedure.PartRegister, "What comes off, and what stays (base parts).", []Attribute{
		idColumn, nameColumn,
		{Name: "letter", Type: Words, Means: "its reference in figures, one or two capital letters"},
		{Name: "mass", Type: Amount, Means: "its mass"},
		{Name: "side", Type: Choice, Of: []string{"left", "right"}, Means: "the side of a part that has a twin"},
		{Name: "twin", Type: Name, Means: "the part that looks like it"},
		{Name: "mark", Type: Words, Means: "the match mark that it needs before it comes off"},
		{Name: "face", Type: Words, Means: "which way round it goes back"},
		{Name: "under", Type: Names, Means: "the parts that must be off before it"},
		standColumn,
		{Name: "base", Type: Yes, Means: "it stays in the machine"},
		variantColumn, noteColumn,
	}},
	{procedure.FastenerRegister, "Callout numbers: one or several like fasteners that are undone together.", []Attribute{
		{Name: "no", Type: Callout, Required: true, Means: "the callout number"},
		nameColumn,
		{Name: "kind", Type: Choice, Required: true, Of: fastenerKinds(), Means: "what it is"},
		{Name: "thread", Type: Words, Means: "the designation by ISO 261/262, such as M12 or M12x1.25"},
		{Name: "length", Type: Amount, Means: "its length"},
		{Name: "class", Type: Words, Means: "the property class by ISO 898-1, such as 8.8"},
		{Name: "drive", Type: Words, Means: "what turns it: `hex 18 mm`, `hex key 8 mm`"},
		{Name: "count", Type: Whole, Means: "how many there are; 1 when empty"},
		{Name: "torque", Type: Amount, Means: "the tightening torque"},
		{Name: "tolerance", Type: Amount, Means: "the allowed deviation, a torque or percent"},
		{Name: "angle", Type: Amount, Means: "a further turn after the torque"},
		{Name: "no-torque", Type: Words, Means: "why there is no torque"},
		{Name: "sequence", Type: Words, Means: "the tightening sequence"},
		{Name: "treatment", Type: Words, Means: "oil, threadlocker, anti-seize, dry"},
		{Name: "friction", Type: Decimal, Means: "the nut factor K of T = K·F·d"},
		singleUse, joinsColumn,
		{Name: "locks", Type: Names, Means: "the fasteners that it locks"},
		{Name: "bag", Type: Words, Means: "the bag or box that it goes into"},
		variantColumn, noteColumn,
	}},
	{procedure.ConnectionRegister, "Hoses, cables, linkages, belts, chains, connectors, earth straps.", []Attribute{
		idColumn, nameColumn,
		{Name: "kind", Type: Choice, Of: procedure.ConnectionKinds, Means: "what it is"},
		joinsColumn,
		{Name: "needs", Type: Names, Means: "the conditions that must hold before it comes off"},
		{Name: "mark", Type: Words, Means: "the mark that it needs before it comes off"},
		{Name: "carries", Type: Name, Means: "the fluid inside"},
		standColumn, variantColumn, noteColumn,
	}},
	{procedure.FluidRegister, "What is drained before a circuit is opened.", []Attribute{
		idColumn, nameColumn,
		{Name: "quantity", Type: Amount, Means: "how much there is"},
		{Name: "drain", Type: Words, Means: "where it comes out"},
		{Name: "container", Type: Name, Means: "the container that it goes into"},
		{Name: "hazard", Type: Words, Means: "what it does to people and floors"},
		{Name: "flush", Type: Words, Means: "what must be flushed before filling"},
		singleUse, variantColumn, noteColumn,
	}},
	{procedure.SupportRegister, "Jacks, hoists, slings, stands, chocks, hands.", []Attribute{
		idColumn, nameColumn,
		{Name: "kind", Type: Choice, Of: procedure.SupportKinds, Means: "what it is; `hands` are people's"},
		{Name: "capacity", Type: Amount, Means: "the rated capacity; of a sling, that of one leg hanging straight"},
		{Name: "legs", Type: Whole, Means: "the legs of a sling"},
		{Name: "angle", Type: Amount, Means: "the angle of a sling's legs from the horizontal"},
		variantColumn, noteColumn,
	}},
	{procedure.ConditionRegister, "States that work needs: isolated, proved dead, cool, slack in the drive.", []Attribute{
		idColumn, nameColumn,
		{Name: "needs", Type: Names, Means: "the conditions that must hold before it can be established"},
		{Name: "undo", Type: Words, Means: "how it is undone at refitting"},
		{Name: "lost-by", Type: Names, Means: "the things whose refitting ends it"},
		{Name: "energy", Type: Yes, Means: "it keeps energy away: no work on the machine without it"},
		variantColumn, noteColumn,
	}},
	{procedure.ToolRegister, "What must lie ready.", []Attribute{
		idColumn, nameColumn,
		{Name: "kind", Type: Choice, Required: true, Of: toolKinds(), Means: "which list it stands on"},
		{Name: "quantity", Type: Amount, Means: "how much or how many"},
		{Name: "single", Type: Yes, Means: "there is only one in the shop"},
		variantColumn, noteColumn,
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
		string(procedure.ConditionRegister), string(procedure.ToolRegister),
	}
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
