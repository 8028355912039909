package compile

import (
	"matchmark/compile/cache"
	"matchmark/procedure/say"
)

// The kinds of parts, as the cache numbers them.
const (
	namePart = iota
	wordPart
	quotePart
	foreignPart
	stepPart
	countPart
	decimalPart
	textPart
	listPart
)

// writeText writes a message's line with its parts.
func writeText(f *cache.Fields, t say.Text) {
	f.String(t.Pattern())
	writeParts(f, t.Parts())
}

func writeParts(f *cache.Fields, parts []say.Part) {
	f.Int(len(parts))
	for _, p := range parts {
		writePart(f, p)
	}
}

func writePart(f *cache.Fields, p say.Part) {
	words := func(kind int, s string) { f.Int(kind); f.String(s) }
	switch p := p.(type) {
	case say.Name:
		words(namePart, string(p))
	case say.Word:
		words(wordPart, string(p))
	case say.Quote:
		words(quotePart, string(p))
	case say.Foreign:
		words(foreignPart, string(p))
	case say.Step:
		f.Int(stepPart)
		f.Int(int(p))
	case say.Count:
		f.Int(countPart)
		f.Int(int(p))
	case say.Decimal:
		f.Int(decimalPart)
		f.Float(p.Value)
		f.Int(p.Places)
	case say.Text:
		f.Int(textPart)
		writeText(f, p)
	case say.List:
		f.Int(listPart)
		f.Int(int(p.Join))
		writeParts(f, p.Parts)
	}
}

func readText(r *cache.Reading) say.Text { return say.That(r.String(), readParts(r)...) }

func readParts(r *cache.Reading) (out []say.Part) {
	for range r.Count() {
		out = append(out, readPart(r))
	}
	return out
}

func readPart(r *cache.Reading) say.Part {
	switch r.Int() {
	case namePart:
		return say.Name(r.String())
	case wordPart:
		return say.Word(r.String())
	case quotePart:
		return say.Quote(r.String())
	case foreignPart:
		return say.Foreign(r.String())
	case stepPart:
		return say.Step(r.Int())
	case countPart:
		return say.Count(r.Int())
	case decimalPart:
		return say.Decimal{Value: r.Float(), Places: r.Int()}
	case textPart:
		return readText(r)
	case listPart:
		join := min(max(say.Join(r.Int()), say.Commas), say.EachOr)
		return say.List{Join: join, Parts: readParts(r)}
	}
	return say.Name("") // of content that is damaged
}
