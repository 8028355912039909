package claims_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"matchmark/compile"
	"matchmark/procedure/claims"
)

// bench is a machine on which things come off in the ways that words tell.
const bench = `---
kind: machine
id: bench
title: Bench
---
::: register parts
| id | name | letter | mass | stand | base |
|---|---|---|---|---|---|
| frame | Frame | A | | | yes |
| cover | Cover | B | 9 kg | flat on the bench | |
| blade | Blade | C | 2 kg | in its sleeve | |
| pump | Pump | D | 62 kg | on the pallet | |
:::

::: register fasteners
| no | name | kind | thread | count | joins | bag |
|---|---|---|---|---|---|---|
| 1 | Cover screw | bolt | M8 | 4 | cover, frame | Bag 1 |
| 2 | Pump nut | nut | M12 | 4 | pump, frame | Bag 2 |
| 3 | Drain plug | plug | M14x1.5 | 1 | frame | Bag 3 |
:::

::: register connections
| id | name | kind | letter | joins | mark |
|---|---|---|---|---|---|
| coupling | Sleeve coupling | linkage | E | pump, frame | one stroke across sleeve and hub |
| chain | Chain | chain | F | pump, frame | |
:::

::: register supports
| id | name | kind | capacity |
|---|---|---|---|
| hoist | Chain hoist | hoist | 250 kg |
| pallet | Pallet | stand | 500 kg |
:::

::: register tools
| id | name | kind |
|---|---|---|
| tray | Drip tray | container |
| cloths | Cloths | consumable |
| puller | Two-arm puller | tool |
:::
`

// waysBack turns words round that stand before acts.
func waysBack(t *testing.T, acts, words string) string {
	t.Helper()
	model, err := compile.Model(fstest.MapFS{
		"library.yaml": {Data: []byte("title: T\nlanguage: en\n")}, "m.md": {Data: []byte(bench)},
		"p.md": {Data: []byte("---\nkind: procedure\nid: p\ntitle: P\nmachine: bench\nedition: \"1\"\n---\n## Do it {#do}\n{time=1}\n\n" + words + "\n\n" + acts + "\n")},
	})
	if err != nil || len(model.Procedures) != 1 {
		t.Fatal(err)
	}
	names := claims.NamesOf(model.Machines[0], "en")
	s := claims.NewStep(model.Procedures[0].Steps[0], model.Machines[0], names)
	back := s.WayBack(claims.Sentences(s.Step, names))
	var out []string
	add := func(what string, list []string) {
		if len(list) > 0 {
			out = append(out, what+strings.Join(list, " "))
		}
	}
	add("", back.Before)
	add("behind: ", back.Behind)
	add("way: ", back.Path)
	add("noted: ", back.Noted)
	add("where: ", back.Where)
	if back.Unknown {
		out = append(out, "?")
	}
	return strings.Join(out, " | ")
}

// TestWayBack turns round what people write. Common practice, no source: last off goes on first.
func TestWayBack(t *testing.T) {
	cover, blade, coupling := "- [ ] remove 1\n- [ ] remove cover", "- [ ] remove blade", "- [ ] disconnect coupling"
	chain, lift := "- [ ] disconnect chain", "- [ ] lift pump with hoist"
	for _, c := range []struct{ acts, words, want string }{
		{cover, "Undo the four screws. Lift the cover off.", ""},
		{cover, "Undo the two lower screws first. Hold the cover. Then undo the two upper screws.", "Hold the cover. Run in the two upper screws first. Then run in the two lower screws."},
		{"- [ ] remove 2", "Undo the two lower nuts first. Then undo the two upper nuts.", "Run on the two upper nuts first. Then run on the two lower nuts."},
		{cover, "Leave the two top corners for last. Let your helper hold the cover for these.", "Begin with the two top corners. Let your helper hold the cover for these."},
		{cover, "Cover the bowl with film, so that nothing falls into it.", "behind: Take the film off the bowl."},
		{cover, "Lay the soft mat on the belt.", "behind: Take the soft mat off the belt."},
		{cover, "Tilt the cover to the rear.", "?"},
		{cover, "Hold `cover`. Tilt `cover` to the rear.", "?"},
		{cover, "Packed flour burns when it gets hot. Record it.", ""},
		{blade, "Press the blade down against its spring. Let the spring go slowly.", "Press the blade down against its spring. | behind: Let the spring go slowly."},
		{blade, "Press the blade down against its spring.", "?"},
		{blade, "Slide the sleeve over the edge.", "behind: Slide the sleeve off the edge."},
		{blade, "Push the key out of its groove by hand.", "Push the key into its groove by hand."},
		{blade, "Set the puller behind the blade. Turn the spindle until it jumps. Take the puller off.", ""},
		{blade, "Tap a wedge in at each side. Work left and right in turns, until the blade is off its pins. Tilt it.", "?"},
		{coupling, "Push the sleeve back on to the pump hub.", "Push the sleeve forward again from the pump hub, until the marks line up."},
		{coupling, "Push the half forward on its shaft as far as it goes. Take the spider out.", "Put the spider in. Push the half back on its shaft, until the marks line up."},
		{coupling, "Reach in through the hatch. Spread the halves and pull them off the hub.", "Reach in through the hatch. Spread the halves and push them on to the hub."},
		{coupling, "Plug both ports and cap both ends at once.", "Take the plugs out of both ports and the caps off both ends."},
		{chain, "Roll the outer belt off the pulley by hand. Roll the inner belt off after it.", "Roll the inner belt on to the pulley by hand. Roll the outer belt on after it."},
		{chain, "Turn the pump by hand until the spring link stands at the front. Hold a cloth over the clip. Push the link out to the rear.", "Hold a cloth over the clip. Push the link in from the rear. | where: the spring link stands at the front"},
		{chain, "Swing the tensioner away from the chain. Stand to the side.", "Stand to the side. Swing the tensioner back to the chain."},
		{"- [ ] loosen 1", "Measure how far the screw stands out. Write it down.", "noted: how far the screw stands out"},
		{"- [ ] loosen 1", "Measure how far the screw stands out.", ""},
		{"- [ ] remove 3\n- [ ] fit 3\n- [ ] tighten 3", "Hold the tray under the plug. Open the filler cap by one turn. Let it run empty. Run the plug in again. Tighten it. Nothing may drip.", "behind: Shut the filler cap."},
		{lift, "Lift the pump by 10 mm. It must hang level. Draw it back until it is free. Lift it over the frame. Your helper steers with the rope.", "Your helper steers with the rope. | way: Draw it back until it is free. Lift it over the frame."},
		{lift, "Release the brake. Roll the table back together until the pump is out of its housing. Set the brake.", "Release the brake. Roll the table forward together until the pump is in its housing. Set the brake."},
		{"- [ ] remove 2\n- [ ] keep 1: it stays", "Watch the gap. Correct the hoist until the nut turns freely.", "Watch the gap. Correct the hoist until the nut turns freely."},
	} {
		if got := waysBack(t, c.acts, c.words); got != c.want {
			t.Errorf("%q gives %q, want %q", c.words, got, c.want)
		}
	}
}
