package check_test

import (
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"gotest.tools/v3/assert"

	"matchmark/procedure/check"
	"matchmark/procedure/diagnostic"
	"matchmark/procedure/source"
)

const combinationMachine = `---
kind: machine
id: m
title: Pump
no-energy: a model on the desk
---
::: register variants
| id | name |
|---|---|
| old | Old one |
| new | New one |
:::

::: register parts
| id | name | mass | base |
|---|---|---|---|
| frame | Frame | | yes |
| hub | Hub | 2 kg | |
:::
`

// Readings, decisions, rounds, waits, chapters and trades put together so that they make no sense: each has an error, and no other.
func TestCombinationsThatMakeNoSense(t *testing.T) {
	const play = "- [ ] read play in mm: at most 1 mm {of=hub}\n"
	const worn = "- [ ] decide worn: Is it worn?\n"
	a := func(text string) string { return "## A {#a}\n{time=1}\n\nLook.\n\n" + text + "\n" }
	b := func(braces, text string) string {
		return "## B {#b}\n{time=1 " + braces + "}\n\nLook.\n\n" + text + "\n"
	}
	c := func(text string) string { return "## C {#c}\n{time=1}\n\nLook.\n\n" + text + "\n" }
	round := func(braces string) string { return "# Round\n{" + braces + "}\n\n" }
	for name, x := range map[string]struct{ job, codes string }{
		"sense: a decision, both ways":              {a(worn) + b("if=worn", "") + c("::: only {if=\"not worn\"}\nWords.\n:::\n"), ""},
		"sense: a round with a reading":             {round(`until="play within" most=3`) + a(play), ""},
		"step by a name that nobody finds":          {b("if=worn", ""), "undefined-finding"},
		"block by a name that nobody finds":         {a("::: only {if=worn}\nWords.\n:::\n"), "undefined-finding"},
		"step before the decision":                  {b("if=worn", "") + c(worn), "found-late"},
		"block before the decision of its step":     {a("::: only {if=worn}\nWords.\n:::\n\n" + worn), "found-late"},
		"step that decides on itself":               {b("if=worn", worn), "found-late"},
		"value in a text before it is read":         {a("Use `play.value`.\n") + c(play), "found-late"},
		"sum before its values":                     {a("- [ ] compute shim in mm = play\n") + c(play), "found-late"},
		"sum of itself":                             {a("- [ ] compute shim in mm = shim\n"), "found-late"},
		"sum of a name that nobody finds":           {a("- [ ] compute shim in mm = play\n"), "undefined-finding"},
		"sum of millimetres and bar":                {a(play + "- [ ] compute shim in bar = play\n"), "sum-units"},
		"sum of a decision":                         {a(worn) + c("- [ ] compute shim in mm = worn\n\n::: only {if=worn}\nWords.\n:::\n"), "sum-units"},
		"sum of temperatures":                       {a("- [ ] read heat in °C {of=hub}\n- [ ] compute rise in °C = heat\n"), "sum-units"},
		"sum of a series":                           {a("- [ ] read level in mm every 5 min for 20 min {of=hub}\n- [ ] compute drop in mm = level\n"), "sum-units"},
		"value without limits decides":              {a("- [ ] read play in mm {of=hub}\n") + b(`if="play out"`, ""), "finding-without-limits"},
		"value without limits ends a round":         {round(`until="play within" most=3`) + a("- [ ] read play in mm {of=hub}\n"), "finding-without-limits"},
		"two findings of one name":                  {a(play) + c(play), "repeated-finding"},
		"decision and reading of one name":          {a(play) + c("- [ ] decide play: Is it loose?\n\n::: only {if=play}\nWords.\n:::\n"), "repeated-finding"},
		"decision on a reading of another variant":  {"## A {#a}\n{time=1 variants=old}\n\nLook.\n\n" + play + "\n" + b(`if="play out" variants=new`, ""), "found-late"},
		"decision on a reading of one of two":       {"## A {#a}\n{time=1 variants=old}\n\nLook.\n\n" + play + "\n" + b(`if="play out"`, ""), "found-late"},
		"round without an end":                      {round("most=3") + a(play), "round-form"},
		"round that may go on for ever":             {round(`until="play within"`) + a(play), "round-form"},
		"round of one":                              {round(`until="play within" most=1`) + a(play), "round-form"},
		"round with more rounds than the most":      {round(`until="play within" most=3 rounds=1/2/5`) + a(play), "round-form"},
		"round that does not look":                  {a(play) + round(`until="play within" most=3`) + c(""), "round-blind"},
		"round until what nobody finds":             {round(`until="play within" most=3`) + a(""), "undefined-finding"},
		"round that takes steps in":                 {round(`until="play within" most=3`) + "::: include shared\n:::\n\n" + a(play), "round-form"},
		"condition without a name":                  {a(worn) + b(`if="worn and"`, ""), "find-form"},
		"condition with a word too many":            {a(worn) + b(`if="worn really"`, ""), "find-form"},
		"reading in no unit":                        {a("- [ ] read play {of=hub}\n"), "find-form"},
		"reading in an unknown unit":                {a("- [ ] read play in glugs {of=hub}\n"), "bad-quantity"},
		"limits of another unit":                    {a("- [ ] read play in mm: at most 3 bar {of=hub}\n"), "find-form"},
		"limits of an unknown unit":                 {a("- [ ] inspect hub\n\n::: inspect\n- Hub: at most 3 glugs\n:::\n"), "bad-quantity"},
		"series of one point":                       {a("- [ ] read heat in °C every 10 min for 10 min {of=hub}\n"), "find-form"},
		"wait with words behind it":                 {a("- [ ] wait 5 min: it cools\n\nGo on.\n"), "find-form"},
		"wait without a reason":                     {a("- [ ] wait 5 min\n"), "find-form"},
		"must without words":                        {a("- [ ] must\n"), "find-form"},
		"must with words before the colon":          {a("- [ ] must not: heat it\n"), "find-form"},
		"must that is a whole text":                 {a("- [ ] must: " + strings.Repeat("Never heat it. ", 11) + "\n"), "find-form"},
		"must as a block":                           {a("::: must\nNever heat it.\n:::\n"), "find-form"},
		"decision that is certain":                  {a("- [ ] decide worn: Is it worn? {chance=100}\n") + b("if=worn", ""), "attribute-value"},
		"reading of a thing that is not there":      {a("- [ ] read play in mm {of=hubb}\n"), "undefined-reference"},
		"wait on a thing that is not there":         {a("- [ ] wait 5 min: it cools {on=hubb}\n"), "undefined-reference"},
		"caution of a chapter without steps":        {a("") + "# Empty\n\n::: caution\nHot.\n:::\n", "misplaced-block"},
		"condition that never holds":                {a(worn) + b(`if="worn and not worn"`, ""), "never-done"},
		"block that its step rules out":             {a(worn) + b("if=worn", "::: only {if=\"not worn\"}\nWords.\n:::\n"), "never-done"},
		"decision on a reading after it":            {b(`if="play out"`, "") + c(play), "found-late"},
		"series that ends before its interval":      {a("- [ ] read heat in °C every 60 min for 10 min {of=hub}\n"), "find-form"},
		"series without an end":                     {a("- [ ] read heat in °C every 10 min {of=hub}\n"), "bad-quantity"},
		"series without an interval":                {a("- [ ] read heat in °C for 10 min {of=hub}\n"), "bad-quantity"},
		"series by length":                          {a("- [ ] read heat in °C every 10 mm for 60 mm {of=hub}\n"), "bad-quantity"},
		"limits the wrong way round":                {a("- [ ] read play in mm: 3 mm to 1 mm {of=hub}\n"), "find-form"},
		"limits of two units":                       {a("- [ ] read play in mm: 1 mm to 3 bar {of=hub}\n"), "find-form"},
		"sum without values":                        {a("- [ ] compute shim in mm =\n"), "find-form"},
		"sum that ends too early":                   {a(play + "- [ ] compute shim in mm = play +\n"), "find-form"},
		"sum by a fraction":                         {a(play + "- [ ] compute shim in mm = 0.5 play\n"), "find-form"},
		"wait of no time":                           {a("- [ ] wait 0 min: it cools\n"), "find-form"},
		"wait of a length":                          {a("- [ ] wait 5 mm: it cools\n"), "bad-quantity"},
		"two waits in a step":                       {a("- [ ] wait 5 min: it cools\n- [ ] wait 6 min: it dries\n"), "find-form"},
		"decision without a question":               {a("- [ ] decide worn\n"), "find-form"},
		"decision that is no question of chance":    {a("- [ ] decide worn: Is it worn? {chance=0}\n") + b("if=worn", ""), "attribute-value"},
		"table without a unit":                      {a("::: readings t \"Run\" {of=hub}\n| at | rim |\n|---|---|\n| top | |\n\n:::\n"), "missing-attribute"},
		"table with no place to read":               {a("::: readings t \"Run\" {of=hub unit=mm}\n| at | rim |\n|---|---|\n| top | - |\n\n:::\n"), "empty-block"},
		"table with limits in bar":                  {a("::: readings t \"Run\" {of=hub unit=mm limits=\"at most 1 bar\"}\n| at | rim |\n|---|---|\n| top | |\n\n:::\n"), "find-form"},
		"table with two rows of one name":           {a("::: readings t \"Run\" {of=hub unit=mm}\n| at | rim |\n|---|---|\n| top | |\n| top | |\n\n:::\n"), "find-form"},
		"round with a trade that nobody has":        {round(`until="play within" most=3 who=plumber`) + a(play+"- [ ] wait 5 min: it cools\n"), "undefined-reference"},
		"sense: a must in a step that only some do": {a(worn) + b("if=worn", "- [ ] must: Never over 120 °C.\n"), ""},
		"reading with a name in capitals":           {a("- [ ] read Play in mm {of=hub}\n"), "find-form"},
		"reading with a blank in its name":          {a("- [ ] read the play in mm {of=hub}\n"), "find-form"},
		"value for a parameter that is not there":   {"::: include shared {thing=hub}\n:::\n\n" + a(""), "unknown-parameter"},
		"trade that library.yaml does not list":     {b("who=plumber", ""), "undefined-reference"},
		"more trades than people":                   {b(`who="fitter, slinger" people=1`, ""), "attribute-value"},
		"trade of a chapter that is not there":      {"# Work\n{who=plumber}\n\n" + a(""), "undefined-reference"},
		"text with a value that only some have":     {a(worn) + b("if=worn", play) + c("Use `play.value`.\n"), "found-late"},
		"sum of a value that only some have":        {a(worn) + b("if=worn", play) + c("- [ ] compute shim in mm = play\n"), "found-late"},
		"block with a value of its opposite":        {a(worn) + b("if=worn", play) + c("::: only {if=\"not worn\"}\nUse `play.value`.\n:::\n"), "found-late"},
		"sense: a value where it is surely read":    {a(worn) + b("if=worn", play) + c("::: only {if=worn}\nUse `play.value`.\n:::\n"), ""},
		"sense: a question below a question":        {a(worn) + b("if=worn", "- [ ] decide cracked: Is it cracked?\n") + "## C {#c}\n{time=1 if=cracked}\n\nLook.\n", ""},
		"round that may leave out its reading":      {a(worn) + round(`until="play within" most=3`) + c("") + b("if=worn", play), "found-late"},
		"sense: a round that only some do":          {a(worn) + round(`until="play within" most=3`) + b("if=worn", play), ""},
		"round without steps":                       {a(play) + round(`until="play within" most=3`), "round-form"},
		"round until what never is":                 {round(`until="play within and play out" most=3`) + a(play), "never-done"},
		"round until what always is":                {round(`until="play within or play out" most=3`) + a(play), "never-done"},
		"condition that always holds":               {a(worn) + b(`if="worn or not worn"`, ""), "never-done"},
		"block that is always done":                 {a(worn) + b("", "::: only {if=\"worn or not worn\"}\nWords.\n:::\n"), "never-done"},
		"value of a decision":                       {a(worn) + b("if=worn", "") + c("Use `worn.value`.\n"), "undefined-value"},
		"value of a whole table":                    {a("::: readings t \"Run\" {of=hub unit=mm}\n| at | rim |\n|---|---|\n| top | |\n\n:::\n") + c("Use `t.value`.\n"), "undefined-value"},
		"value that nobody reads":                   {a("Use `pla.value`.\n"), "undefined-value"},
		"chance of a value without limits":          {a("- [ ] read play in mm {of=hub chance=30}\n"), "idle-attribute"},
		"decision with an attribute outside braces": {a("- [ ] decide worn: Is it worn? chance=30\n") + b("if=worn", ""), "find-form"},
		"reading with one outside braces":           {a("- [ ] read play in mm of=hub\n") + c("Use `play.value`.\n"), "find-form"},
		"wait with one outside braces":              {a("- [ ] wait 5 min: it cools on=hub\n"), "find-form"},
		"hold point with one outside braces":        {a("::: hold \"Before\" signature=trainer\n- All is well\n:::\n"), "fence-syntax"},
		"inspection with one outside braces":        {a("- [ ] inspect hub\n\n::: inspect of=hub\n- Hub: whole\n:::\n"), "fence-syntax"},
		"chapter with a condition":                  {a(worn) + "# Part\n{if=worn}\n\n" + b("if=worn", ""), "unknown-attribute"},
		"step that goes round by itself":            {a("") + b(`until="play within" most=3`, play), "unknown-attribute"},
		"hold point for some only":                  {a(worn + "\n::: only {if=worn}\nWords.\n\n::: hold \"X\"\n- All is well\n:::\n:::\n"), "misplaced-block"},
		"round on one variant only":                 {round(`until="play within" most=3`) + "## A {#a}\n{time=1 variants=old}\n\nLook.\n\n" + play + "\n" + c(""), "found-late"},
		"steps taken in twice":                      {"::: include shared\n:::\n\n::: include shared\n:::\n\n" + a(""), "repeated-include"},
		"table with columns of one name":            {a("::: readings t \"Run\" {of=hub unit=mm}\n| at | rim | rim |\n|---|---|---|\n| top | | |\n\n:::\n"), "find-form"},
		"table without a name":                      {a("::: readings \"Run\" {of=hub unit=mm}\n| at | rim |\n|---|---|\n| top | |\n\n:::\n"), "missing-name"},
		"limits in words":                           {a("- [ ] read play in mm: about 3 mm {of=hub}\n"), "find-form"},
		"limits against each other":                 {a("- [ ] read play in mm: at least 3 mm at most 1 mm {of=hub}\n"), "find-form"},
		"series of too many":                        {a("- [ ] read heat in °C every 1 s for 500 s {of=hub}\n"), "find-form"},
		"question asked twice":                      {a(worn+worn) + b("if=worn", ""), "repeated-finding"},
		"condition of two words without marks":      {a(play) + b("if=play out", ""), "attribute-value"},
	} {
		fsys := fstest.MapFS{
			"library.yaml": {Data: []byte("title: L\ntrades: [Fitter, Slinger]\n")},
			"m.md":         {Data: []byte(combinationMachine)},
			"shared.md":    {Data: []byte("---\nkind: steps\nid: shared\ntitle: Shared\n---\n## S {#s}\n{time=1}\n\nWords.\n")},
			"job.md":       {Data: []byte("---\nkind: procedure\nid: job\ntitle: Job\nmachine: m\nedition: \"1\"\n---\n" + x.job)},
		}
		if !strings.Contains(x.job, "include") {
			delete(fsys, "shared.md")
		}
		var log diagnostic.Log
		read, err := source.Read(fsys, &log)
		assert.NilError(t, err)
		check.Library(read.Resolve(&log), &log)
		var codes []string
		for _, d := range log.Sorted() {
			if d.Severity == diagnostic.Error && !slices.Contains(codes, string(d.Code)) {
				codes = append(codes, string(d.Code))
			}
			if d.Says().String() == "" || d.Span.File == nil {
				t.Errorf("%s: %s says nothing, or nowhere", name, d.Code)
			}
		}
		want := strings.Fields(x.codes)
		slices.Sort(want)
		slices.Sort(codes)
		if !slices.Equal(codes, want) {
			t.Errorf("%s is told as %q, want %q", name, codes, want)
		}
	}
}
