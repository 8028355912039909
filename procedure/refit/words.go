package refit

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"matchmark/procedure"
	"matchmark/procedure/claims"
	"matchmark/procedure/text"
)

func (d *derivation) instruction(span text.Span, words string) *procedure.Instruction {
	return &procedure.Instruction{Common: procedure.Common{Span: span}, Prose: procedure.Words(span, words)}
}

// name is what people call a thing.
func name(r *procedure.Row) string {
	if r.Name == "" {
		return r.ID
	}
	return r.Name
}

// short is a name up to where it begins to explain itself: "Fan unit" of "Fan unit: plate, motor, impeller".
func short(name string) string {
	if at := strings.IndexAny(name, ",;:("); at > 0 {
		return strings.TrimSpace(name[:at])
	}
	return name
}

// unsaid turns round what the words of a step of the job tell beyond its acts: the sentences before the acts of the way back and those
// behind them. It reports a gap where words tell more than can be turned round, so that nobody knows by them how the thing
// goes back. A row says itself how a condition is undone; gear and what was brought for the job only leave; and a lock is bent over.
func (d *derivation) unsaid(from *procedure.Step, acts []*act) (before, behind []string, gap bool) {
	leaves := func(a *act) bool {
		locks := a.of.Fastener != nil && len(a.of.Fastener.Locks) > 0 // what is done to a lock is said at the act
		return a.verb == procedure.Undo || a.verb == procedure.Release || a.verb == procedure.Remove || a.verb == procedure.Tighten && locks
	}
	if !slices.ContainsFunc(acts, func(a *act) bool { return !leaves(a) }) {
		return nil, nil, false
	}
	of := procedure.Step{Blocks: d.aboutThings(from)}
	back := claims.NewStep(&of, d.out.Job.Machine, d.called()).WayBack(claims.Sentences(&of, d.called()))
	for _, x := range back.Where {
		before = append(before, d.words("refit.where", d.opened(acts), x))
	}
	for _, x := range back.Noted {
		before = append(before, d.words("refit.noted", x))
	}
	before = append(before, back.Before...)
	if len(back.Path) > 0 {
		before = append(before, d.words("refit.way", strings.Join(back.Path, " ")))
	}
	if stay := d.stays(acts); stay != "" {
		before = append(before, stay)
	}
	return before, back.Behind, back.Unknown
}

// stays tells to leave the gear on that a load goes back with, where it has to wait for fasteners.
func (d *derivation) stays(acts []*act) string {
	lift := slices.IndexFunc(acts, func(a *act) bool { return a.verb == procedure.Lift })
	if lift < 0 {
		return ""
	}
	release := slices.IndexFunc(d.acts, func(a *act) bool { return a.verb == procedure.Release && a.of.Part == acts[lift].of.Part })
	if release < slices.Index(d.acts, acts[lift]) {
		return ""
	}
	var names []string
	for _, f := range d.takers(d.acts[release]) {
		if at := d.tightened(f); at >= 0 && at < release {
			names = append(names, d.named(d.calls(d.acts[at])))
		}
	}
	if len(names) == 0 {
		return ""
	}
	key := "refit.stay.below"
	if d.bearings(acts[lift])[hung] {
		key = "refit.stay"
	}
	return d.words(key, d.list(names))
}

// opened is what the first connection of some acts is called.
func (d *derivation) opened(acts []*act) string {
	for _, a := range acts {
		if a.verb == procedure.Connect {
			return d.named(d.calls(a))
		}
	}
	return ""
}

// called are what the machine's things are called.
func (d *derivation) called() *claims.Names {
	if d.names == nil {
		d.names = claims.NamesOf(d.out.Job.Machine, d.words("refit.language"))
	}
	return d.names
}

// aboutThings are the words and acts of a step of the job, without the words that stand before acts on conditions, supports and marks alone: how
// these end is said by their rows.
func (d *derivation) aboutThings(from *procedure.Step) (out []procedure.Block) {
	words := 0 // how many blocks of words the next act has before it
	for _, b := range from.Blocks {
		shown := b.Shows()
		switch {
		case !b.Applies(d.out.Job.Variant):
		case shown.Text != nil:
			out = append(out, b)
			words++
		case len(shown.Actions) > 0:
			if !slices.ContainsFunc(shown.Actions, turnsRound) {
				out = out[:len(out)-words]
			}
			out = append(out, b)
			words = 0
		}
	}
	return out
}

// turnsRound reports whether an act moves, turns, opens or empties something, so that its words may say how.
func turnsRound(a *procedure.Action) bool {
	switch a.Verb {
	case procedure.Establish, procedure.Verify, procedure.Undo, procedure.Hang, procedure.Release, procedure.Mark, procedure.Inspect, procedure.Clean, procedure.Tally, procedure.Keep:
		return false
	}
	return true
}

// title says what a step does by its weightiest actions.
func (d *derivation) title(acts []*act) string {
	key := len(titles)
	for _, a := range acts {
		key = min(key, d.weight(a))
	}
	var names []string
	for _, a := range acts {
		if d.weight(a) != key {
			continue
		}
		n := d.calls(a)
		if key != undoTitle && key != zoneTitle {
			n = d.named(n)
		}
		if !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	switch {
	case len(names) == 0:
		return ""
	case key == undoTitle, key == zoneTitle: // how a condition is undone is an instruction already
		return text.Capitalised(strings.Join(names, "; "))
	}
	return text.Capitalised(d.words(titles[key], d.list(names)))
}

// list joins names as a sentence does.
func (d *derivation) list(names []string) string {
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return d.words("refit.and", strings.Join(names[:last], ", "), names[last])
}

// named is a name as it stands inside a sentence: the right foot, rechten Fuß. A name that is a number stays one.
func (d *derivation) named(name string) string {
	first, size := utf8.DecodeRuneInString(name)
	if !unicode.IsLetter(first) {
		return name
	}
	phrase := d.words("refit.named", name)
	if rest, bare := strings.CutPrefix(phrase, name); bare && rest == "" {
		return accusative(name)
	}
	if second, _ := utf8.DecodeRuneInString(name[size:]); !unicode.IsLower(second) {
		return phrase // V-belt, or an abbreviation
	}
	return d.words("refit.named", string(unicode.ToLower(first))+name[size:])
}

// adjectives are German ones that names of parts begin with. Of all endings in the nominative only this one changes
// in the accusative, and what stands in a title is what is fitted, tightened or held.
var adjectives = []string{
	"Rechter", "Linker", "Oberer", "Unterer", "Vorderer", "Hinterer", "Mittlerer", "Äußerer", "Innerer", "Großer", "Kleiner", "Langer", "Kurzer",
	"Neuer", "Alter", "Erster", "Zweiter", "Dritter", "Dicker", "Dünner", "Runder", "Flacher", "Gerader", "Grüner", "Roter", "Blauer", "Gelber", "Schwarzer", "Weißer",
}

// accusative is a German name as the object of a sentence: Rechter Fuß becomes Rechten Fuß.
func accusative(name string) string {
	first, rest, more := strings.Cut(name, " ")
	if !more || !slices.Contains(adjectives, first) {
		return name
	}
	return strings.TrimSuffix(first, "r") + "n " + rest
}

// titles are the keys of the titles of steps, those of the weightiest actions first.
var titles = [...]string{
	fitTitle: "refit.step.fit", connectTitle: "refit.step.connect", fillTitle: "refit.step.fill", undoTitle: "",
	fastenersTitle: "refit.step.fasteners", tightenTitle: "refit.step.tighten", lockTitle: "refit.step.lock", removeTitle: "refit.step.remove",
	supportTitle: "refit.step.support", supportBelowTitle: "refit.step.support.below", supportHandsTitle: "refit.step.support.hands",
	releaseTitle: "refit.step.release", releaseBelowTitle: "refit.step.release.below", releaseHandsTitle: "refit.step.release.hands", zoneTitle: "",
}

const (
	fitTitle = iota
	connectTitle
	fillTitle
	undoTitle
	fastenersTitle
	tightenTitle
	lockTitle
	removeTitle
	supportTitle
	supportBelowTitle
	supportHandsTitle
	releaseTitle
	releaseBelowTitle
	releaseHandsTitle
	zoneTitle // a barrier that goes last: what comes off the load says more
)

// weight is the place in titles that an act asks for.
func (d *derivation) weight(a *act) int {
	switch {
	case a.verb == procedure.Fit && a.of.Part != nil:
		return fitTitle
	case a.verb == procedure.Connect:
		return connectTitle
	case a.verb == procedure.Fill:
		return fillTitle
	case a.verb == procedure.Undo && a.of.Condition != nil && a.of.Condition.BarsZone():
		return zoneTitle
	case a.verb == procedure.Undo:
		return undoTitle
	case a.verb == procedure.Fit:
		return fastenersTitle
	case a.bends():
		return lockTitle
	case a.verb == procedure.Tighten:
		return tightenTitle
	case a.verb == procedure.Remove:
		return removeTitle
	case a.verb == procedure.Hang:
		return supportTitle + int(d.borne(a))
	}
	return releaseTitle + int(d.borne(a))
}

// calls is what an act's thing is called in a title: a fastener with its number,
// a condition by how it is undone.
func (d *derivation) calls(a *act) string {
	switch t := d.out.Assembly.Machine.Thing(a.object.ID); {
	case t.Fastener != nil && name(t.Row) != t.Row.ID:
		return short(t.Row.Name) + " (" + t.Row.ID + ")"
	case t.Condition != nil:
		return t.Condition.Undo
	default:
		return short(name(t.Row))
	}
}

// bends reports whether the act bends the tab of a tab washer.
func (a *act) bends() bool {
	return a.verb == procedure.Tighten && a.of.Fastener.Kind == procedure.TabWasher
}

// details says what neither the action nor the rows of the registers do: those are
// shown with the action wherever it stands.
func (d *derivation) details(a *act) procedure.Prose {
	words := ""
	switch e := a.of; {
	case a.verb == procedure.Fit && e.Part != nil && (e.Part.Side == "left" || e.Part.Side == "right"):
		words = d.words("refit.side." + e.Part.Side)
	case a.bends() && e.Fastener.NoTorque == "":
		words = d.words("refit.tighten.lock")
	case a.verb == procedure.Connect:
		switch e.Connection.Kind {
		case procedure.Connector, procedure.Cable, procedure.EarthStrap:
			words = d.words("refit.connect.check")
		case procedure.Hose, procedure.Pipe:
			words = d.words("refit.connect.tight")
		}
	case a.verb == procedure.Fill && e.Fluid.SingleUse:
		words = d.words("refit.fill.new")
	}
	return procedure.Words(a.of.Action.Span, words)
}
