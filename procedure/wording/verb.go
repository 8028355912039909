package wording

import "strings"

// imperatives are verbs of the workshop that start an instruction. Verbs that
// are at least as often nouns or adjectives there are left out: "clamp", "oil", "clear", "stop".
var imperatives = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(`
		add adjust align apply assemble attach bend blow bolt bring carry catch check clean close collect compare
		connect count cover cut detach disconnect drain draw drill drive drop dry empty establish examine fasten feel fill find fit fix
		flatten flush fold get give grease grip guide hang hold inspect insert install isolate jack join keep
		label lay lead leave let lift listen loosen look lower lubricate make mark measure mount move note open place
		pour press prise prove pull push put raise reach read record refit release remove renew
		repeat replace report rest roll rotate run screw secure separate set shake shut slacken slide squeeze stand
		start steady store strap support switch take tap tell test thread tie tighten tilt touch
		turn undo unhook unlock unplug unscrew use verify wait walk wash watch wear weigh wipe withdraw work wrap write`) {
		m[w] = true
	}
	return m
}()

// holding verbs go on while the next thing is done: "Hold the shaft and turn the nut" is one instruction.
var holding = map[string]bool{"hold": true, "keep": true, "press": true, "steady": true, "support": true, "wait": true, "let": true, "stand": true}

// participle returns the verb whose past participle a word is; ok is false for
// a word that is none, or not reliably.
func participle(word string) (verb string, ok bool) {
	if v, ok := irregular[word]; ok {
		return v, true
	}
	stem, ok := strings.CutSuffix(word, "ed")
	if !ok || len(stem) < 2 {
		return "", false
	}
	candidates := []string{stem, stem + "e"}
	if i, ok := strings.CutSuffix(stem, "i"); ok {
		candidates = append(candidates, i+"y")
	}
	if n := len(stem); stem[n-1] == stem[n-2] {
		candidates = append(candidates, stem[:n-1])
	}
	for _, c := range candidates {
		if imperatives[c] {
			return c, true
		}
	}
	return "", false
}

var irregular = map[string]string{
	"bent": "bend", "blown": "blow", "brought": "bring", "caught": "catch", "cut": "cut", "done": "do", "drawn": "draw", "driven": "drive",
	"felt": "feel", "found": "find", "given": "give", "held": "hold", "hung": "hang", "kept": "keep", "laid": "lay", "led": "lead", "left": "leave",
	"made": "make", "put": "put", "read": "read", "run": "run", "set": "set", "shaken": "shake", "shut": "shut", "taken": "take", "told": "tell",
	"undone": "undo", "withdrawn": "withdraw", "worn": "wear", "written": "write",
}
