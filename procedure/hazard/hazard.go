// Package hazard says what a hazard that a row states asks for: which kinds of hazard
// words speak of, what has to be worn against each, and what a piece of protective
// equipment is good for by its name. It knows words only, no machine and no step.
//
// Source of the kinds: the groups of hazards of ISO 12100:2010, annex B (mechanical, electrical, thermal, noise, material and
// substance, ergonomic, environment), from memory, in the words of a workshop. Which words mean which kind, and what is
// worn against it, is common practice, no source.
package hazard

import (
	"regexp"
	"slices"
	"strings"
)

// Kind is a kind of hazard.
type Kind string

// The kinds of hazard.
const (
	Hot       Kind = "hot"
	Cold      Kind = "cold"
	Corrosive Kind = "corrosive"
	Irritant  Kind = "irritant"
	Toxic     Kind = "toxic"
	Fire      Kind = "flammable"
	Sharp     Kind = "sharp"
	Pinching  Kind = "pinching"
	Flying    Kind = "flying"
	Spring    Kind = "spring"
	Pressure  Kind = "pressure"
	Falling   Kind = "falling"
	Heavy     Kind = "heavy"
	Slippery  Kind = "slippery"
	Dust      Kind = "dust"
	Noise     Kind = "noise"
	Electric  Kind = "electric"
)

// Kinds lists the kinds in the order of the reference page.
var Kinds = []Kind{Hot, Cold, Corrosive, Irritant, Toxic, Fire, Sharp, Pinching, Flying, Spring, Pressure, Falling, Heavy, Slippery, Dust, Noise, Electric}

// None is what an author writes who means that there is no hazard.
const None = "none"

// Place is what protection protects: a part of the body, or the floor that people walk on.
type Place string

// The places that protection protects.
const (
	Hands  Place = "the hands"
	Eyes   Place = "the eyes"
	Head   Place = "the head"
	Ears   Place = "the ears"
	Breath Place = "the lungs"
	Floor  Place = "the floor"
)

// words are those that speak of a kind, English and German: beginnings of words.
type words struct {
	kind Kind
	is   *regexp.Regexp
}

func begins(with string) *regexp.Regexp {
	return regexp.MustCompile(`(?i)(?:^|[^\pL])(?:` + with + `)`)
}

// spoken lists the words of each kind.
var spoken = []words{
	{Corrosive, begins(`corros|caustic|lye\b|acid|alkali|descal|bleach|chlorin|ammonia|ätz|lauge|säure|entkalk`)},
	{Hot, begins(`hot\b|burn|scald|steam|heiß|heiss|verbrenn|verbrüh|dampf`)},
	{Cold, begins(`cold|freez|frost|refrigerant|kalt|kälte|erfrier`)},
	{Irritant, begins(`irrita|itch|skin|allerg|reizt|reizend|juckt|haut`)},
	{Toxic, begins(`toxic|poison|fume|vapour|vapor|giftig|dämpfe|gesundheitsschädlich`)},
	{Fire, begins(`flammab|fire|ignit|explo|entzünd|brennbar|brand`)},
	{Sharp, begins(`sharp|cut\b|cuts\b|cutting|knife|knives|blade|razor|burr|scharf|schneid|messer|klinge|grat\b`)},
	{Pinching, begins(`pinch|crush|trap|caught|draws? in|drawn in|nip\b|shear|finger|quetsch|klemm|eingezogen|einzug|zieht .* ein`)},
	{Flying, begins(`fly\b|flies|flying|eject|chip\b|chips\b|splinter|shatter|fliegt|fliegen|splitter|späne|spritter`)},
	{Spring, begins(`spring|snaps? back|jumps?\b|recoil|feder|schnellt|vorgespannt`)},
	{Pressure, begins(`pressur|spray|squirt|jet\b|sprüht|spritz|druck`)},
	{Falling, begins(`fall|drop|tip\b|tips\b|topple|swing|collaps|fällt|fallen|kipp|stürz|pendel`)},
	{Heavy, begins(`heavy|weigh|schwer`)},
	{Slippery, begins(`slip|slick|rutsch|glatt`)},
	{Dust, begins(`dust|fibre|fiber|lung|inhal|staub|faser|lunge|einatm`)},
	{Noise, begins(`noise|noisy|loud|lärm|laut\b`)},
	{Electric, begins(`electr|shock|voltage|live\b|stromschlag|spannung\b|elektr|kapazit|capacitor`)},
}

var (
	eyes = begins(`eye|face\b|sight|blind|auge|gesicht`)
	skin = begins(`skin|hands?\b|haut|hände|hand\b`)
)

// Read returns the kinds of hazard that words speak of, in the order of Kinds. A fluid that is corrosive by its name burns
// by that, and not by its heat.
func Read(s string) []Kind {
	var out []Kind
	for _, k := range Kinds {
		i := slices.IndexFunc(spoken, func(w words) bool { return w.kind == k })
		if spoken[i].is.MatchString(s) {
			out = append(out, k)
		}
	}
	if slices.Contains(out, Corrosive) && !hotItself.MatchString(s) {
		out = slices.DeleteFunc(out, func(k Kind) bool { return k == Hot })
	}
	if slices.Contains(out, Corrosive) || slices.Contains(out, Hot) || slices.Contains(out, Cold) {
		out = slices.DeleteFunc(out, func(k Kind) bool { return k == Irritant })
	}
	return out
}

var hotItself = begins(`hot\b|steam|scald|heiß|heiss|verbrüh|dampf`)

// Said reports whether words speak of a kind.
func Said(s string, k Kind) bool {
	i := slices.IndexFunc(spoken, func(w words) bool { return w.kind == k })
	return spoken[i].is.MatchString(s)
}

// Need is a place that must be protected from a kind of hazard.
type Need struct {
	Place Place
	Kind  Kind
}

// worn says what a kind asks for whatever else the words say. Gloves are worn against nothing that draws fingers in.
var worn = map[Kind][]Place{
	Hot: {Hands}, Cold: {Hands}, Corrosive: {Hands, Eyes}, Sharp: {Hands}, Flying: {Eyes}, Spring: {Eyes}, Pressure: {Eyes},
	Falling: {Head}, Dust: {Breath}, Toxic: {Breath}, Noise: {Ears}, Slippery: {Floor},
}

// Needs returns what must be protected from the hazards that words speak of, each once.
func Needs(s string) []Need {
	var out []Need
	add := func(p Place, k Kind) {
		if n := (Need{p, k}); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	for _, k := range Read(s) {
		for _, p := range worn[k] {
			add(p, k)
		}
		switch k {
		case Irritant, Hot, Cold, Toxic:
			if eyes.MatchString(s) {
				add(Eyes, k)
			}
			if skin.MatchString(s) && k != Hot && k != Cold {
				add(Hands, k)
			}
		}
	}
	return out
}

// Gear is what a piece of protective equipment is by its name.
type Gear struct {
	// Place is what it protects; empty for what nobody wears, such as a barrier.
	Place Place
	// Good are the kinds that its name says it is for; none when the name says nothing of it.
	Good []Kind
}

// gear are the words for what is worn on each place.
var gear = []struct {
	place Place
	is    *regexp.Regexp
}{
	{Hands, regexp.MustCompile(`(?i)glove|gauntlet|mitten|handschuh`)},
	{Eyes, regexp.MustCompile(`(?i)goggle|safety glasses|\bglasses|spectacle|visor|face ?shield|face screen|eye protection|schutzbrille|brille|visier|gesichtsschutz|augenschutz`)},
	{Head, regexp.MustCompile(`(?i)helmet|hard hat|bump cap|\bhelm|schutzhelm|anstoßkappe`)},
	{Ears, regexp.MustCompile(`(?i)ear ?(plug|muff|defender|protect)|hearing|gehörschutz|ohrstöpsel`)},
	{Breath, regexp.MustCompile(`(?i)mask|respirator|breathing|maske|atemschutz`)},
	{Floor, regexp.MustCompile(`(?i)cloth|\brags?\b|absor|granul|spill|drip tray|oil pad|sawdust|lappen|tücher|putztuch|bindemittel|ölwanne|auffangwanne`)},
}

// suits says what gear whose name has one of the words is for. Spectacles stop what flies, and not what is splashed.
//
// Source: European Commission, Sampling manual for customs and taxation authorities, health and safety, eye protection:
// "Spectacles may well provide protection against flying particles, but will not necessarily provide the required protection
// against chemicals, dust or gas." Gloves by the names of EN 388 (mechanical), EN ISO 374 (chemicals), EN 407 (heat),
// EN 511 (cold) and EN 60903 (live working), from memory.
var suits = []struct {
	place Place
	is    *regexp.Regexp
	kinds []Kind
}{
	{Hands, regexp.MustCompile(`(?i)cut|mechanic|leather|work glove|schnitt|leder|montage`), []Kind{Sharp, Pinching, Flying, Heavy, Spring, Falling}},
	{Hands, regexp.MustCompile(`(?i)leather|heat|hot|oven|weld|leder|hitze|schweiß`), []Kind{Hot, Cold}},
	{Hands, regexp.MustCompile(`(?i)cold|winter|kälte`), []Kind{Cold}},
	{Hands, regexp.MustCompile(`(?i)nitrile|chemical|rubber|neoprene|butyl|latex|vinyl|pvc|lye|acid|disposable|nitril|chemikal|gummi|laugen|säure|einweg`), []Kind{Corrosive, Irritant, Toxic, Slippery, Fire}},
	{Hands, regexp.MustCompile(`(?i)insulat|volt|\d+ ?v\b|elektr|isolier`), []Kind{Electric}},
	{Eyes, regexp.MustCompile(`(?i)glasses|spectacle|bügelbrille`), []Kind{Flying, Spring, Sharp, Pressure, Falling}},
	{Breath, regexp.MustCompile(`(?i)dust|p[123]\b|ffp|staub`), []Kind{Dust}},
}

// GearOf reads the name of a piece of protective equipment.
func GearOf(name string) Gear {
	var g Gear
	for _, x := range gear {
		if x.is.MatchString(name) {
			g.Place = x.place
			break
		}
	}
	for _, x := range suits {
		if x.place == g.Place && x.is.MatchString(name) {
			g.Good = append(g.Good, x.kinds...)
		}
	}
	return g
}

// Serves reports whether gear meets a need: by what it is said to protect from, or without that by its name.
func Serves(name, against string, n Need) bool {
	g := GearOf(name)
	if against != "" {
		return (g.Place == "" || g.Place == n.Place) && Said(against, n.Kind)
	}
	return g.Place == n.Place && (n.Kind != Electric || len(g.Good) > 0) && (len(g.Good) == 0 || slices.Contains(g.Good, n.Kind))
}

// told finds what words tell the learner to wear.
var told = regexp.MustCompile(`(?i)\b(?:wear|put on|with|use|trage|tragen|trag|mit)\b((?:[^.!?;]|\.\d)*)`)

// Told returns the places that words tell people to protect: "Wear goggles and gloves." A sentence that says to take them off,
// or to wear none, tells nothing.
func Told(sentence string) []Place {
	wear := told.FindAllStringSubmatch(sentence, -1)
	if wear == nil || not.MatchString(sentence) {
		return nil
	}
	var out []Place
	for _, m := range wear {
		for _, x := range gear {
			if x.place != Floor && x.is.MatchString(m[1]) && !slices.Contains(out, x.place) {
				out = append(out, x.place)
			}
		}
	}
	return out
}

var not = begins(`no\b|not\b|never|without|take .* off|off\b|nie\b|nicht|kein|ohne|ausziehen`)

// Bodily reports whether words speak of an injury: of skin, eyes, fingers, lungs, or of being hurt.
func Bodily(s string) bool { return bodily.MatchString(s) }

var bodily = begins(`skin|eyes?\b|fingers?\b|lungs?\b|injur|hurt|wound|kill|deadly|death|scald|haut\b|augen?\b|verletz|tödlich|lunge|verbrüh|verätz`)

// Sentences splits running text behind each full stop, question mark or exclamation mark that white space follows.
func Sentences(s string) []string {
	var out []string
	for from, i := 0, 0; i < len(s); i++ {
		if end := i+1 == len(s); end || strings.IndexByte(".!?", s[i]) >= 0 && strings.IndexByte(" \t\r\n", s[i+1]) >= 0 {
			if x := strings.TrimSpace(s[from : i+1]); x != "" {
				out = append(out, x)
			}
			from = i + 1
		}
	}
	return out
}

// Substance returns the kinds of hazard that a fluid of this name commonly has.
func Substance(name string) []Kind {
	var out []Kind
	for _, x := range substances {
		if x.is.MatchString(name) {
			out = append(out, x.kinds...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

var substances = []struct {
	is    *regexp.Regexp
	kinds []Kind
}{
	{begins(`lye\b|caustic|acid|alkali|descal|bleach|chlorin|ammonia|.*lauge|.*säure|entkalk`), []Kind{Corrosive}},
	{begins(`hot\b|steam|frying|fryer|heiß|dampf|fritt`), []Kind{Hot}},
	{begins(`solvent|thinner|petrol|gasoline|spirit|alcohol|ethanol|diesel|lösemittel|lösungsmittel|benzin|spiritus`), []Kind{Fire, Irritant}},
	{begins(`refrigerant|coolant gas|nitrogen|kältemittel|stickstoff`), []Kind{Cold}},
	{begins(`coolant|antifreeze|glycol|brake fluid|kühlmittel|glykol|bremsflüssig`), []Kind{Irritant}},
	{regexp.MustCompile(`(?i)\boil|grease|lubric|öl\b|fett\b`), []Kind{Slippery}},
}
