package edition

import (
	"strings"

	"matchmark/procedure"
)

// content is what stands in a step's blocks, as items. Cautions and hold points are compared by themselves.
type content struct{ text, actions, keyPoints, tips, inspections []item }

func contentOf(p *procedure.Procedure, s *procedure.Step) content {
	var c content
	for _, b := range s.Blocks {
		switch b := b.(type) {
		case *procedure.Instruction:
			c.text = append(c.text, forVariants(b.Variants, paragraphs(b.Prose))...)
		case *procedure.Tip:
			c.tips = append(c.tips, forVariants(b.Variants, paragraphs(b.Prose))...)
		case *procedure.KeyPoint:
			c.keyPoints = append(c.keyPoints, forVariants(b.Variants, plain([]string{b.Point + ": " + b.Reason.Plain()}))...)
		case *procedure.Callout:
			c.actions = append(c.actions, forVariants(b.Variants, actions(p, b.Actions))...)
		case *procedure.ActionList:
			c.actions = append(c.actions, forVariants(b.Variants, actions(p, b.Actions))...)
		case *procedure.Inspection:
			of := thing(p, b.Of.ID)
			for _, i := range b.Items {
				line := i.Look + ": " + i.Accept.Plain()
				c.inspections = append(c.inspections, forVariants(b.Variants, []item{{of.key + ", " + line, of.text + ", " + line}})...)
			}
		}
	}
	return c
}

// forVariants marks items that are meant for some variants only.
func forVariants(variants []procedure.Ref, list []item) []item {
	if len(variants) == 0 {
		return list
	}
	var ids []string
	for _, v := range variants {
		ids = append(ids, v.ID)
	}
	mark := " (" + strings.Join(ids, ", ") + ")"
	for i := range list {
		list[i].key += mark
		list[i].text += mark
	}
	return list
}

// actions writes actions as items: "lift Gearbox with Hoist, Sling".
func actions(p *procedure.Procedure, list []*procedure.Action) []item {
	var out []item
	for _, a := range list {
		object := thing(p, a.Object.ID)
		i := item{string(a.Verb) + " " + object.key, string(a.Verb) + " " + object.text}
		if rule, ok := a.Verb.Rule(); ok && len(a.With) > 0 {
			with := named(p, a.With)
			i.key += " " + rule.Word + " " + strings.Join(keys(with), ", ")
			i.text += " " + rule.Word + " " + strings.Join(words(with), ", ")
		}
		if reason := a.Reason.Plain(); reason != "" {
			i.key += ": " + reason
			i.text += ": " + reason
		}
		out = append(out, i)
	}
	return out
}

// thing is a registered thing as an item: compared by its name in the dialect,
// shown by what people call it. A fastener is shown by its number.
func thing(p *procedure.Procedure, id string) item {
	if p.Machine != nil {
		if v := p.Machine.Variant(id); v != nil && v.Name != "" {
			return item{id, v.Name}
		}
		if t := p.Machine.Thing(id); t != nil && t.Fastener == nil && t.Row.Name != "" {
			return item{id, t.Row.Name}
		}
	}
	return item{id, id}
}

func named(p *procedure.Procedure, refs []procedure.Ref) []item {
	var out []item
	for _, r := range refs {
		out = append(out, thing(p, r.ID))
	}
	return out
}

// titles are steps as items, shown by their titles.
func titles(p *procedure.Procedure, refs []procedure.Ref) []item {
	var out []item
	for _, r := range refs {
		i := item{r.ID, r.ID}
		if s := p.Step(r.ID); s != nil {
			i.text = s.Title
		}
		out = append(out, i)
	}
	return out
}
