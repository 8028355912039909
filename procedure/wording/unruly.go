package wording

// unruly holds the syllables of common words that the rules get wrong.
//
// Source: the CMU Pronouncing Dictionary; the fewer where it gives several.
var unruly = map[string]int{
	"alias": 3, "aliases": 4, "anyone": 3, "area": 3, "areas": 3, "argue": 2, "average": 2, "being": 2, "beings": 2,
	"business": 2, "coax": 2, "coefficient": 4, "coordinate": 4, "diamond": 2, "dial": 1, "dials": 1, "different": 2,
	"difference": 2, "differences": 3, "dual": 1, "embed": 2, "every": 2, "everyone": 3, "everything": 3, "everywhere": 3,
	"eye": 1, "eyes": 1, "eyelet": 2, "family": 2, "fluid": 2, "fluids": 2, "forever": 3, "general": 2, "geometry": 4,
	"hundred": 2, "idea": 3, "ideas": 3, "ideal": 2, "increment": 3, "interest": 2, "linear": 3, "maybe": 2, "naked": 2, "nuclear": 3,
	"oblique": 2, "people": 2, "pliers": 2, "poem": 2, "quiet": 2, "ratio": 3, "ruin": 2, "safety": 2, "several": 2, "someone": 2, "soldier": 2,
	"tilde": 2, "timeout": 2, "wherever": 3, "recipe": 3, "recipes": 3, "axial": 3, "radial": 3,
	"element": 3, "elements": 3, "supplement": 3,
}
