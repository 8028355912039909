package source

import (
	"slices"
	"strings"
	"unicode"

	"matchmark/procedure"
	"matchmark/procedure/grammar"
	"matchmark/procedure/measure"
)

// headings are the words that people write above a column, besides its name: in the languages of the
// words table. Case, full stops, hyphens and a unit behind the word do not count.
var headings = map[string][]string{
	"id":          {"ref", "reference", "key", "tag", "kürzel", "kurzname"},
	"no":          {"number", "nr", "nummer", "#", "pos", "position", "item", "item no", "callout", "callout no", "pos nr"},
	"name":        {"description", "designation", "part", "part name", "fastener", "tool", "title", "bezeichnung", "benennung", "beschreibung", "teil", "werkzeug"},
	"letter":      {"buchstabe"},
	"mass":        {"weight", "gewicht", "masse"},
	"side":        {"seite"},
	"twin":        {"pair", "gegenstück"},
	"mark":        {"match mark", "marking", "markierung"},
	"face":        {"orientation", "direction", "lage", "einbaulage"},
	"under":       {"remove first", "blocked by", "vorher ab"},
	"on-bench":    {"only there", "only on the bench", "nur dort", "nur abgesetzt"},
	"held-by":     {"pressed into", "press fit in", "sitzt in", "eingepresst in"},
	"stand":       {"put down", "storage", "ablage", "abstellplatz"},
	"base":        {"stays", "bleibt"},
	"variants":    {"variant", "version", "versions", "variante", "varianten", "ausführung"},
	"note":        {"notes", "remark", "remarks", "comment", "comments", "bemerkung", "bemerkungen", "hinweis", "anmerkung"},
	"kind":        {"type", "sort", "art", "typ"},
	"thread":      {"size", "thread size", "gewinde", "größe"},
	"hand":        {"thread hand", "direction of thread", "gewinderichtung", "drehsinn"},
	"length":      {"länge"},
	"class":       {"grade", "strength", "strength class", "property class", "festigkeit", "festigkeitsklasse"},
	"drive":       {"wrench", "wrench size", "spanner", "key size", "af", "sw", "schlüsselweite", "antrieb"},
	"count":       {"qty", "quantity", "pcs", "pieces", "how many", "anzahl", "menge", "stück", "stk"},
	"torque":      {"tightening torque", "nm", "drehmoment", "anzugsmoment", "anziehdrehmoment"},
	"tolerance":   {"tol", "toleranz"},
	"angle":       {"winkel"},
	"no-torque":   {"why no torque", "ohne drehmoment"},
	"sequence":    {"order", "tightening sequence", "reihenfolge"},
	"treatment":   {"lubrication", "lubricant", "threadlocker", "behandlung", "schmierung"},
	"friction":    {"nut factor", "k", "reibung"},
	"single-use":  {"new at refitting", "replace", "einmalig", "ersetzen"},
	"waste":       {"disposal", "goes to", "entsorgung", "abfall"},
	"joins":       {"connects", "between", "verbindet"},
	"locks":       {"sichert"},
	"bag":         {"box", "tray", "beutel", "tüte", "kiste"},
	"needs":       {"requires", "condition", "conditions", "braucht", "voraussetzung"},
	"carries":     {"fluid", "medium"},
	"quantity":    {"qty", "amount", "volume", "how much", "how many", "pcs", "menge", "anzahl", "stück", "stk"},
	"drain":       {"drain point", "ablass"},
	"container":   {"behälter"},
	"hazard":      {"danger", "gefahr"},
	"risk":        {"what is left", "restrisiko", "risiko"},
	"against":     {"protects from", "schützt vor", "gegen"},
	"flush":       {"spülen"},
	"capacity":    {"wll", "swl", "rated load", "tragfähigkeit", "nutzlast"},
	"legs":        {"strands", "stränge"},
	"undo":        {"undone by", "aufheben"},
	"lost-by":     {"ended by", "endet durch"},
	"energy":      {"energie"},
	"by":          {"made by", "durch"},
	"proved-at":   {"proved where", "nachgewiesen an"},
	"zone":        {"bars the zone", "sperrbereich"},
	"where":       {"isolated where", "wo"},
	"isolated":    {"isolated by", "getrennt durch"},
	"proved":      {"proved by", "nachgewiesen durch"},
	"reaches":     {"what it reaches", "erreicht"},
	"guards":      {"guarded by", "schutz"},
	"revision":    {"rev", "issue", "ausgabe", "stand der zeichnung", "änderungsstand"},
	"single":      {"only one", "nur eines"},
	"fits":        {"for", "suits", "used for", "used on", "passt zu", "für", "verwendung"},
	"stages":      {"passes", "steps", "stufen", "durchgänge"},
	"pattern":     {"tightening pattern", "muster", "anziehmuster"},
	"tight-after": {"tighten after", "after", "fest nach"},
	"retorque":    {"retighten", "check torque", "nachziehen"},
	"with":        {"washers", "washers and nuts", "dazu", "scheiben"},
}

// columnOf finds the column that a heading names, with the unit that it states: "Mass (kg)".
func (f *RegisterForm) columnOf(heading string) (column, unit string, known bool) {
	if _, known := f.Column(heading); known {
		return heading, "", true // as it stands in the reference: nothing to look up
	}
	plain, unit := headingUnit(heading)
	if c, ok := f.spellings()[plainHeading(plain)]; ok {
		if col, _ := f.Column(c); unit == "" || col.Type == grammar.Amount || col.Type == grammar.Whole {
			return c, unit, true
		}
	}
	c, ok := f.spellings()[plainHeading(heading)]
	if ok && plainHeading(heading) == "nm" {
		unit = "N·m"
	}
	return c, unit, ok
}

// names lists the columns' own names.
func (f *RegisterForm) names() []string {
	var out []string
	for _, c := range f.Columns {
		out = append(out, c.Name)
	}
	return out
}

// headingUnit splits "Mass (kg)", "Mass [kg]", "Mass, kg", "Mass in kg" and "Mass / kg" into heading and unit.
func headingUnit(heading string) (plain, unit string) {
	trimmed := strings.TrimRight(strings.TrimSpace(heading), "*_")
	for _, marks := range [][2]string{{"(", ")"}, {"[", "]"}, {", ", ""}, {" in ", ""}, {" / ", ""}, {"/", ""}} {
		at := strings.LastIndex(trimmed, marks[0])
		if at <= 0 || !strings.HasSuffix(trimmed, marks[1]) {
			continue
		}
		inside := strings.TrimSpace(trimmed[at+len(marks[0]) : len(trimmed)-len(marks[1])])
		if _, err := measure.Parse("1 " + inside); err == nil {
			return trimmed[:at], inside
		}
	}
	return heading, ""
}

// plainHeading leaves out what does not count in a heading: case, emphasis, full stops, hyphens.
func plainHeading(s string) string {
	s = strings.Map(func(c rune) rune {
		switch c {
		case '.', ':', '*', '`', '?':
			return -1
		case '-', '_', '\u00a0':
			return ' '
		}
		return unicode.ToLower(c)
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// ofTwoWords reports whether a heading may be one of two words, or a word with its unit.
func (f *RegisterForm) ofTwoWords(heading string) bool {
	first, _, _ := strings.Cut(heading, " ")
	return strings.ContainsAny(heading, "([/,") || startsOf[f.Kind][plainHeading(first)]
}

// startsOf holds the first words of the headings of several words.
var startsOf = func() map[procedure.RegisterKind]map[string]bool {
	out := map[procedure.RegisterKind]map[string]bool{}
	for kind, known := range spellingsOf {
		out[kind] = map[string]bool{}
		for spelling := range known {
			if first, _, several := strings.Cut(spelling, " "); several {
				out[kind][first] = true
			}
		}
	}
	return out
}()

// spellings leads from each way to write a heading to the register's column; the columns' own names come first.
func (f *RegisterForm) spellings() map[string]string { return spellingsOf[f.Kind] }

var spellingsOf = func() map[procedure.RegisterKind]map[string]string {
	out := map[procedure.RegisterKind]map[string]string{}
	for _, f := range registerForms {
		known := map[string]string{}
		for _, c := range f.Columns {
			known[plainHeading(c.Name)] = c.Name
		}
		for _, c := range f.Columns {
			for _, h := range headings[c.Name] {
				if _, taken := known[plainHeading(h)]; !taken {
					known[plainHeading(h)] = c.Name
				}
			}
		}
		out[f.Kind] = known
	}
	return out
}()

// Aliases are the further headings that a column of a register is read from, for the reference.
func (f *RegisterForm) Aliases(column string) []string {
	return slices.DeleteFunc(slices.Clone(headings[column]), func(h string) bool { return f.spellings()[plainHeading(h)] != column })
}

// nameFrom makes a name of what people call a thing: its words before the first comma or bracket, in small letters
// with hyphens; empty when there are none.
func nameFrom(s string) string {
	if at := strings.IndexAny(s, ",(;:"); at > 0 {
		s = s[:at]
	}
	var b strings.Builder
	for _, c := range strings.ToLower(s) {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			b.WriteRune(c)
		case c == 'ä':
			b.WriteString("ae")
		case c == 'ö':
			b.WriteString("oe")
		case c == 'ü':
			b.WriteString("ue")
		case c == 'ß':
			b.WriteString("ss")
		case c == '\'' || c == '’':
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	name := strings.TrimRight(b.String(), "-")
	if !isName(name) {
		return ""
	}
	return name
}
