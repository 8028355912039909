package claims

import (
	"slices"
	"strings"
)

// Reads reports whether what running text tells can be read in a language. What is no word, such as a torque or a thread, is
// read in any.
func Reads(language string) bool { return readers[mainOf(language)] != nil }

// readers take the words of a text apart, language by language: into words of this package's own, which are English. A noun is only
// ever compared with other nouns of the same library, so that its stem will do.
var readers = map[string]func([]string) []string{
	"en": func(all []string) []string { return all },
	"de": germanWords,
}

func mainOf(language string) string {
	main, _, _ := strings.Cut(strings.ToLower(language), "-")
	return main
}

// german are the words that this package asks for, but for verbs.
var german = map[string]string{
	"der": "the", "die": "the", "das": "the", "den": "the", "dem": "the", "ein": "a", "eine": "a", "einen": "a", "einem": "a", "einer": "a", "ihr": "its", "ihre": "its", "ihren": "its",
	"dein": "your", "deine": "your", "deinen": "your", "diese": "these", "diesen": "these", "alt": "old", "alte": "old", "alten": "old", "neu": "new", "neue": "new", "neuen": "new",
	"des": "of", "vom": "of", "von": "of", "am": "on", "an": "on", "auf": "on", "im": "in", "in": "in", "ins": "in", "für": "for", "mit": "with", "unter": "under", "bei": "at", "beim": "at",
	"zu": "to", "zum": "to", "zur": "to", "aus": "from", "durch": "by", "zwischen": "between", "um": "around", "über": "over", "hinter": "behind",
	"und": "and", "oder": "or", "dann": "then", "bis": "until", "wenn": "when", "bevor": "before", "nachdem": "after", "während": "while", "danach": "then",
	"zwei": "two", "drei": "three", "vier": "four", "fünf": "five", "sechs": "six", "sieben": "seven", "acht": "eight", "neun": "nine", "zehn": "ten", "elf": "eleven", "zwölf": "twelve",
	"beide": "both", "beiden": "both", "umdrehung": "turns", "umdrehungen": "turns", "nur": "only", "zuerst": "first", "zuletzt": "last", "wieder": "again", "überkreuz": "crosswise", "kreuzweise": "crosswise", "zusammen": "together", "langsam": "slowly",
	"ganz": "completely", "gleichmäßig": "evenly", "personen": "people", "person": "person", "leute": "people", "strich": "stroke", "striche": "strokes", "strichen": "strokes",
	"punkt": "dot", "punkte": "dots", "markiert": "marked", "gezeichnet": "marked", "drin": "in", "dran": "on", "drauf": "on", "offen": "open", "geschlossen": "shut", "gesperrt": "shut", "geöffnet": "opened",
}

// germanVerbs are what the learner is told to do, as the infinitive that ends the sentence: "die Haube abnehmen".
var germanVerbs = map[string]string{
	"lösen": "loosen", "lockern": "loosen", "herausdrehen": "undo", "abschrauben": "undo", "herausschrauben": "undo", "losschrauben": "undo", "aufschrauben": "undo",
	"abnehmen": "remove", "herausnehmen": "remove", "ausbauen": "remove", "entfernen": "remove", "abziehen": "remove", "herausziehen": "remove", "abheben": "remove", "herausheben": "remove",
	"anziehen": "tighten", "festziehen": "tighten", "nachziehen": "tighten", "öffnen": "open", "schließen": "shut", "absperren": "shut", "zudrehen": "shut", "aufdrehen": "open",
}

// germanParted are verbs in two parts around what is done: "nehmen Sie die Haube ab", "nimm die Haube ab".
var germanParted = map[string]map[string]string{
	"nehm":     {"ab": "remove", "heraus": "remove", "weg": "remove"},
	"nimm":     {"ab": "remove", "heraus": "remove", "weg": "remove"},
	"zieh":     {"ab": "remove", "heraus": "remove", "an": "tighten", "fest": "tighten", "nach": "tighten"},
	"heb":      {"ab": "remove", "heraus": "remove"},
	"dreh":     {"heraus": "undo", "ab": "undo", "los": "undo", "zu": "shut", "auf": "open"},
	"schraub":  {"heraus": "undo", "ab": "undo", "los": "undo"},
	"bau":      {"aus": "remove"},
	"sperr":    {"ab": "shut"},
	"lös":      {"": "loosen"},
	"lock":     {"": "loosen"},
	"entfern":  {"": "remove"},
	"öffn":     {"": "open"},
	"schließ":  {"": "shut"},
	"schliess": {"": "shut"},
}

// germanWords puts the verb in front and gives the words that mean something here in English, and the others by their stems.
func germanWords(all []string) []string {
	all = slices.Clone(all)
	verb := ""
	if n := len(all); n > 1 {
		if v, ok := germanVerbs[all[n-1]]; ok {
			verb, all = v, all[:n-1]
		} else {
			verb, all = parted(all)
		}
	}
	out := make([]string, 0, len(all)+1)
	if verb != "" {
		out = append(out, verb)
	}
	for _, w := range all {
		if e, ok := german[w]; ok {
			out = append(out, e)
		} else {
			out = append(out, germanStem(w))
		}
	}
	if n := len(all); verb == "" && n > 1 && all[n-1] == "lassen" { // "den hinteren Bolzen drin lassen"
		return append([]string{"leave"}, out[:n-1]...)
	}
	return out
}

// parted takes the verb of a command, and what belongs to it at the end, out of the words; no verb for another sentence.
func parted(all []string) (string, []string) {
	stem := strings.TrimSuffix(strings.TrimSuffix(all[0], "n"), "e")
	ends, ok := germanParted[stem]
	if !ok {
		return "", all
	}
	rest := all[1:]
	if len(rest) > 0 && rest[0] == "sie" {
		rest = rest[1:]
	}
	if len(rest) == 0 {
		return "", all
	}
	if v, ok := ends[rest[len(rest)-1]]; ok {
		return v, rest[:len(rest)-1]
	}
	if v, ok := ends[""]; ok {
		return v, rest
	}
	return "", all
}

// germanStem is a word without the endings of case and number. A plural in -n keeps an English one, so that counts are read.
func germanStem(w string) string {
	switch {
	case len(w) < 5 || strings.HasPrefix(w, marker) || strings.ContainsAny(w, "0123456789"):
		return w
	case strings.HasSuffix(w, "en"):
		return w[:len(w)-2] + "s"
	case strings.HasSuffix(w, "n"):
		return w[:len(w)-1] + "s"
	case strings.HasSuffix(w, "e"):
		return w[:len(w)-1]
	}
	return w
}
