package source

import "matchmark/procedure/diagnostic"

// Rules documents every code that the reader reports, in the order of the messages page.
func Rules() []diagnostic.Rule { return rules }

func severityOf(code diagnostic.Code) diagnostic.Severity {
	for _, r := range rules {
		if r.Code == code {
			return r.Severity
		}
	}
	panic("source: the code " + string(code) + " is not registered")
}

const (
	errorLevel   = diagnostic.Error
	warningLevel = diagnostic.Warning
)

var rules = []diagnostic.Rule{
	// Files and front matter.
	{Code: "library-empty", Severity: errorLevel, Title: "Empty library", Wrong: "The folder holds no Markdown file.", Why: "There is nothing to compile.", Do: "Write a machine and a procedure, or start from `matchmark new`."},
	{Code: "unreadable-file", Severity: errorLevel, Title: "File cannot be read", Wrong: "A file of the library cannot be opened.", Why: "A step may be missing from the site without anybody noticing.", Do: "Check the permissions, and that it is not a link out of the library."},
	{Code: "file-too-large", Severity: errorLevel, Title: "File too large", Wrong: "A source file is larger than 4 MB, has no empty line for more than 128 KB, or has a line, a nesting or a paragraph full of signs that is out of all proportion.", Why: "No procedure that people wrote is that long; it is likely another kind of file.", Do: "Split it, or take it out of the library."},
	{Code: "not-utf8", Severity: errorLevel, Title: "Not UTF-8", Wrong: "A file holds bytes that are not UTF-8 text.", Why: "Units and names would come out garbled on the sheet.", Do: "Save the file as UTF-8."},
	{Code: "control-character", Severity: errorLevel, Title: "Control character", Wrong: "A file holds a character that is not text.", Why: "Nobody can see it, and a browser may show nothing at all.", Do: "Delete it. It is often left behind by copying out of another program."},
	{Code: "front-matter-missing", Severity: errorLevel, Title: "No front matter", Wrong: "A file does not start with front matter.", Why: "matchmark cannot know whether it is a machine, a procedure, a quiz or a course.", Do: "Start the file with ---, kind, id, title, ---."},
	{Code: "front-matter-syntax", Severity: errorLevel, Title: "Front matter unreadable", Wrong: "The front matter is not YAML, or is not closed.", Why: "Nothing in it can be trusted.", Do: "Write one `name: value` a line between two lines of ---."},
	{Code: "front-matter-field", Severity: errorLevel, Title: "Unknown front matter line", Wrong: "The front matter has a line that this kind of file does not know, or has it twice.", Why: "A mistyped line would be lost without a word.", Do: "Correct the name; the language reference lists them."},
	{Code: "front-matter-value", Severity: errorLevel, Title: "Wrong front matter value", Wrong: "A line of the front matter is missing or has a value that it cannot have.", Why: "Pages, addresses and pass marks come from these lines.", Do: "Give the value in the form that the language reference shows."},
	{Code: "unknown-kind", Severity: errorLevel, Title: "Unknown kind of file", Wrong: "The front matter's kind is not one of the dialect's.", Why: "The file would not be compiled.", Do: "Use machine, procedure, steps, quiz or course."},

	// Blocks.
	{Code: "fence-syntax", Severity: errorLevel, Title: "Opening line unreadable", Wrong: "The opening line of a block has something that does not belong.", Why: "A missing quotation mark can swallow an attribute such as needs=isolated.", Do: `Write: ::: kind name "Title" {attribute=value}.`},
	{Code: "heading-without-name", Severity: errorLevel, Title: "Heading without a name", Wrong: "A heading of level two has no name, so it opens no step.", Why: "What stands below it would go on in the step before, on one screen.", Do: "Write ## Title {#name} for a step, ### for a heading inside a step, # for a section."},
	{Code: "heading-form", Severity: errorLevel, Title: "Step's heading unreadable", Wrong: "A line has the name of a step, and is no heading of level two.", Why: "It would be text in the step before.", Do: "Write ## Title {#name}, with a space behind ##."},
	{Code: "plain-quotation", Severity: diagnostic.Advice, Title: "Quotation in a step", Wrong: "A quotation in a step does not begin with bold words.", Why: "It is shown as a quotation, and as no key point.", Do: "Write the point in bold, or take the > out."},
	{Code: "task-form", Severity: errorLevel, Title: "Task without its box", Wrong: "An item of a task list has no box, or one that is ticked.", Why: "Tasks are what the order of work is judged by; text belongs in a list of its own.", Do: "Write - [ ] and what is done."},
	{Code: "caution-as-text", Severity: warningLevel, Title: "Caution that is text", Wrong: "Some text begins with a signal word, as a caution does, and stands in no caution.", Why: "It does not stand out on the tablet and is missing on the sheets of hazards, and nothing checks what it says.", Do: "Write it into a block: ::: caution and the signal word."},
	{Code: "act-without-box", Severity: warningLevel, Title: "Act without a box", Wrong: "An item of a list, a line, a heading or a cell is a verb and names, as an act is, but has no box.", Why: "It is shown as text, and the order of work does not see it.", Do: "Write - [ ] in front of it, or say it in other words."},
	{Code: "find-form", Severity: errorLevel, Title: "Reading, decision or wait unreadable", Wrong: "A task that reads, computes, decides or waits does not have its form, or a condition cannot be read.", Why: "There would be no field to write the value into, and no way to go by it.", Do: "Write it as the language reference shows."},
	{Code: "round-form", Severity: errorLevel, Title: "Round without its end", Wrong: "A section is gone through again, and does not say until when, or how often at most.", Why: "A learner would go round until the end of the day.", Do: `Write {until="runout within" most=4}.`},
	{Code: "figure-unclear", Severity: warningLevel, Title: "Several figures", Wrong: "A step names no figure, and more than one has all the numbers that it acts on.", Why: "None is shown, since either could be meant.", Do: "Write {figure=name}, or {figure=none} to show none."},
	{Code: "old-form", Severity: diagnostic.Advice, Title: "Older form", Wrong: "A step is a block, or acts stand in blocks, as in the edition of the language before this one.", Why: "The next version of matchmark will not read it.", Do: "Run `matchmark renew`, which writes the library in today's form and changes no page."},
	{Code: "unknown-block", Severity: errorLevel, Title: "Unknown block", Wrong: "There is no such kind of block.", Why: "A mistyped caution would not warn anybody.", Do: "Correct the word; the language reference lists the kinds."},
	{Code: "misplaced-block", Severity: errorLevel, Title: "Block in the wrong place", Wrong: "A block stands where its kind may not.", Why: "It would show on no screen, or on the wrong one.", Do: "Move it to where the language reference allows it."},
	{Code: "unclosed-block", Severity: errorLevel, Title: "Block not closed", Wrong: "A block has no closing line.", Why: "Everything behind it would become part of it.", Do: "Close it with a line of as many colons."},
	{Code: "stray-fence", Severity: errorLevel, Title: "Closing line without a block", Wrong: "A line of colons closes nothing.", Why: "A block before it is likely closed too early.", Do: "Take the line out, or correct the number of colons."},
	{Code: "unclosed-comment", Severity: errorLevel, Title: "Comment not closed", Wrong: "A comment has no end, or the next comment starts before it ends.", Why: "It would take in everything behind it, steps and cautions too.", Do: "Close it with -->."},
	{Code: "missing-name", Severity: errorLevel, Title: "Name missing", Wrong: "A block that needs a name, or another word behind its kind, has none.", Why: "Nothing can refer to it.", Do: "Write the word behind the kind."},
	{Code: "bad-name", Severity: errorLevel, Title: "Not a name", Wrong: "A name has characters that names do not have.", Why: "Names become addresses of pages.", Do: "Use lower-case letters, digits and hyphens, a letter first."},
	{Code: "missing-title", Severity: errorLevel, Title: "Title missing", Wrong: "A step, figure or key point has no title.", Why: "The learner would not know where in the job they are.", Do: "Write the title in quotation marks behind the name."},
	{Code: "unknown-attribute", Severity: errorLevel, Title: "Unknown attribute", Wrong: "A block's braces hold a word that its kind does not know.", Why: "A mistyped needs= would leave a step unguarded.", Do: "Correct the word."},
	{Code: "repeated-attribute", Severity: errorLevel, Title: "Attribute twice", Wrong: "An attribute stands twice in the braces.", Why: "One of the two values would be lost.", Do: "Keep one."},
	{Code: "missing-attribute", Severity: errorLevel, Title: "Attribute missing", Wrong: "A block lacks an attribute that its kind needs.", Why: "A step without a time cannot be planned.", Do: "Add the attribute."},
	{Code: "attribute-value", Severity: errorLevel, Title: "Wrong attribute value", Wrong: "An attribute's value is not of its kind.", Why: "It would be read as something else, or not at all.", Do: "Give the value in the form that the language reference shows."},
	{Code: "idle-attribute", Severity: errorLevel, Title: "Attribute that does nothing", Wrong: "A block has an attribute that has no effect there, such as a tolerance in a question with choices.", Why: "Its author believes that it counts.", Do: "Take it out, or make the block what it is for."},
	{Code: "list-only", Severity: errorLevel, Title: "Text in a list block", Wrong: "A block that holds a list holds something else.", Why: "The text would show nowhere.", Do: "Make it a list item, or move it out."},
	{Code: "empty-block", Severity: errorLevel, Title: "Empty block", Wrong: "A block says nothing.", Why: "An empty caution or hold point looks like safety and is none.", Do: "Fill it, or take it out."},
	{Code: "empty-expected", Severity: errorLevel, Title: "Block must be empty", Wrong: "An include block holds something.", Why: "It would show nowhere.", Do: "Move the content out."},
	{Code: "text-between-steps", Severity: errorLevel, Title: "Text between steps", Wrong: "Text stands between steps.", Why: "At the bench there is one step a screen; this text would be on none.", Do: "Move it into a step, or in front of the first one."},

	// Registers and figures.
	{Code: "register-table", Severity: errorLevel, Title: "Register without a table", Wrong: "A register block holds no table, or text that is none of its rows.", Why: "Its rows would be missing from every sheet.", Do: "Write one table with a heading row and a line of dashes."},
	{Code: "repeated-register", Severity: errorLevel, Title: "Register twice", Wrong: "A machine has the same register twice.", Why: "Readers look for a thing in one place.", Do: "Put all rows into one table."},
	{Code: "unknown-column", Severity: errorLevel, Title: "Unknown column", Wrong: "A register's heading has a column that it does not know.", Why: "A mistyped torque column would leave the torque sheet empty.", Do: "Correct the heading."},
	{Code: "repeated-column", Severity: errorLevel, Title: "Column twice", Wrong: "A register's heading has one column twice.", Why: "One of the two values would be lost.", Do: "Put both into one column."},
	{Code: "missing-column", Severity: errorLevel, Title: "Column missing", Wrong: "A register lacks a column that it needs, and no line Each: stands for it.", Why: "Its rows cannot be named.", Do: "Add the column."},
	{Code: "extra-cell", Severity: errorLevel, Title: "Too many cells", Wrong: "A row has more cells than the heading has columns.", Why: "Markdown drops the last cells without a word.", Do: `Take the cell out, or write | inside a cell as \|.`},
	{Code: "cell-value", Severity: errorLevel, Title: "Wrong cell", Wrong: "A cell is empty or has a value that its column cannot have.", Why: "The row would be wrong on every sheet.", Do: "Give the value in the form that the language reference shows."},
	{Code: "short-row", Severity: warningLevel, Title: "Bar missing", Wrong: "A row ends before the heading does, with a quantity at the end of the words before.", Why: "Where a bar is missing, all that stands behind it is in the wrong column.", Do: "Write the bar; an empty cell has its bars too."},
	{Code: "linked-file", Severity: errorLevel, Title: "Linked file unusable", Wrong: "The file that a register takes its rows from cannot be read, or one of its cells cannot.", Why: "Rows would be missing from every sheet.", Do: "Put the file right, or the link to it: {from=FILE sheet=SHEET}."},
	{Code: "bad-quantity", Severity: errorLevel, Title: "Not a quantity", Wrong: "A quantity has no unit, a wrong one, or no number.", Why: "A torque in the wrong unit breaks a bolt or loses a load.", Do: "Write a number and a unit, such as 45 N·m."},
	{Code: "balloon-syntax", Severity: errorLevel, Title: "Balloon unreadable", Wrong: "A line of a figure is not a balloon.", Why: "The fastener would have no number in the picture.", Do: balloonAdvice},

	// Steps and questions.
	{Code: "bad-time", Severity: errorLevel, Title: "Wrong time", Wrong: "A step's time is negative, out of order, or not a time.", Why: "The cumulative clock and the session plan rest on it.", Do: "Write minutes: 6, or optimistic/most likely/pessimistic as 4/6/10."},
	{Code: "unknown-verb", Severity: errorLevel, Title: "Unknown action", Wrong: "An action starts with a verb that the dialect does not know.", Why: "The order check would not see the action.", Do: "Use one of the verbs in the language reference."},
	{Code: "action-syntax", Severity: errorLevel, Title: "Action unreadable", Wrong: "An action names nothing, or lacks its second name.", Why: "A part that is supported with nothing falls.", Do: "Write a verb, names and, where the verb has one, the preposition with further names."},
	{Code: "missing-reason", Severity: errorLevel, Title: "Reason missing", Wrong: "A kept fastener or a key point has no reason.", Why: "Who does not know why a bolt stays in takes it out.", Do: "Write the reason."},
	{Code: "missing-limit", Severity: errorLevel, Title: "Nothing said to be acceptable", Wrong: "An inspection does not say what is acceptable.", Why: "Two people would judge the same part differently.", Do: "Write a colon and the acceptable state."},
	{Code: "limit-words", Severity: diagnostic.Advice, Title: "Words behind a limit", Wrong: "An acceptable state begins like a limit, and more words stand behind the quantity: at least 3 mm on both sides.", Why: "It is shown as words: the tablet has no field for the reading, and nobody compares it with the limit.", Do: "Write the limit alone behind the colon, and the rest before it: - Tread, on both sides: at least 3 mm."},
	{Code: "two-units", Severity: warningLevel, Title: "Limits in two units", Wrong: "The two ends of a limit stand in two units, such as 598 mm to 24 in.", Why: "Nobody sees at once which end is the larger one, nor in which unit a reading goes into the field.", Do: "Write both ends in one unit; the pages show the other one beside it where the machine has both."},
	{Code: "unread-limit", Severity: warningLevel, Title: "Limit not understood", Wrong: "An acceptable state looks like measured limits, and is not read as such: no unit, units of two kinds, the larger end first, or other words than `at most` and `at least`.", Why: "The tablet has no field for the reading, and nobody compares it with the limit.", Do: "Write `12 mm to 13 mm`, `at least 3 mm` or `at most 0.1 mm`."},
	{Code: "invisible-character", Severity: warningLevel, Title: "Invisible character", Wrong: "A file holds a character that nobody can see: a space without width, a soft hyphen, a sign that turns the direction of writing.", Why: "A name with it in it looks like another name and is none.", Do: "Delete it. It is often left behind by copying out of another program."},
	{Code: "merge-marker", Severity: errorLevel, Title: "Marker of a merge", Wrong: "A line begins with the marker that a version control leaves where two versions of a file could not be joined.", Why: "Both versions stand in the file, and both would be printed.", Do: "Choose one of the two, and delete the markers."},
	{Code: "wrong-ending", Severity: warningLevel, Title: "File that is not read", Wrong: "A file's name ends in .md and something else, or in .markdown, so it is not a part of the library.", Why: "A refitting in `refit.md.txt` changes nothing, and nobody sees that.", Do: "Rename it so that it ends in .md, or take it out of the library."},
	{Code: "empty-step", Severity: errorLevel, Title: "Empty step", Wrong: "A step says nothing.", Why: "It would be an empty screen.", Do: "Write what to do."},
	{Code: "empty-procedure", Severity: errorLevel, Title: "No steps", Wrong: "A procedure has no steps.", Why: "There is nothing to follow.", Do: "Write a step: ## Title {#name}."},
	{Code: "hold-not-last", Severity: errorLevel, Title: "Hold point inside a step", Wrong: "A hold point stands before other blocks of its step.", Why: "It shuts the way to the next step; what stands behind it would be done before it is given.", Do: "Move it to the end, or split the step."},
	{Code: "question-form", Severity: errorLevel, Title: "Question malformed", Wrong: "A question lacks an answer, has two right ones, or its choices are not marked.", Why: "A learner would be marked wrong for a right answer.", Do: "Give the question the form of its type."},
	{Code: "empty-quiz", Severity: errorLevel, Title: "Empty quiz", Wrong: "A quiz has no questions.", Why: "There is nothing to take.", Do: "Write a question block."},

	// Text.
	{Code: "raw-html", Severity: warningLevel, Title: "HTML in the text", Wrong: "A file holds HTML.", Why: "It is shown as text, never run, so it will look odd.", Do: "Write it in Markdown, or put code marks around it."},
	{Code: "picture-in-text", Severity: errorLevel, Title: "Picture in running text", Wrong: "A Markdown picture stands in running text.", Why: "Pictures need a description and a place on the tablet's screen.", Do: "Define a figure block and show it with {figure=name}."},
	{Code: "link-target", Severity: errorLevel, Title: "Link leads nowhere", Wrong: "A link's target is neither a step nor a web address.", Why: "It would be dead at the bench.", Do: "Write (#step-name) or an address that starts with https://."},
	{Code: "undefined-link", Severity: warningLevel, Title: "Link without a target", Wrong: "A reference link has no definition.", Why: "Readers see the square brackets.", Do: "Write [words](#step), or define the target."},
	{Code: "unused-link", Severity: warningLevel, Title: "Target without a link", Wrong: "A link's target is defined, and no link uses it.", Why: "Markdown shows nothing for such a line; text that starts with [Note]: is lost that way.", Do: "Use it in a link, or take the line out."},

	// Names across files.
	{Code: "duplicate-name", Severity: errorLevel, Title: "Name taken twice", Wrong: "Two things have one name.", Why: "A reference could mean either.", Do: "Give one of them another name."},
	{Code: "undefined-name", Severity: errorLevel, Title: "Name leads nowhere", Wrong: "A name is used that nothing has.", Why: "The learner would look for a thing that is not there.", Do: "Correct the name, or register the thing."},
	{Code: "include-cycle", Severity: errorLevel, Title: "Circular inclusion", Wrong: "A steps file takes in itself, directly or through others.", Why: "The procedure would never end.", Do: "Take one of the include blocks out."},
	{Code: "repeated-include", Severity: errorLevel, Title: "Steps taken in twice", Wrong: "A procedure takes in one steps file twice, without other values that change the names of its steps.", Why: "A step has one place in the job; a link to it could mean either.", Do: "Take one of the include blocks out, or write a parameter into the names."},
	{Code: "unknown-parameter", Severity: errorLevel, Title: "Parameter that nobody lists", Wrong: "Braces name a parameter, in shared steps or where they are taken in, that the front matter of the steps does not list.", Why: "The bench would see the braces, or a value would go nowhere.", Do: "List it in the front matter, correct the name, or take it out."},
	{Code: "parameter-value", Severity: errorLevel, Title: "Parameter without a value", Wrong: "Steps are taken in without a value for each of their parameters, or a parameter stands where no value can.", Why: "Nobody would know which thing the steps are about.", Do: "Write a value behind the name of the steps: {part=guard}."},
	{Code: "unused-parameter", Severity: warningLevel, Title: "Parameter without use", Wrong: "The front matter of shared steps lists a parameter that stands nowhere in them.", Why: "Its values would change nothing.", Do: "Write it in braces where its value belongs, or take it out."},
	{Code: "term-form", Severity: errorLevel, Title: "Term not in its form", Wrong: "A line of the glossary does not begin with a word in bold, or the word has no meaning.", Why: "A word that nobody explains is no help at the bench.", Do: "Write a list: - **word**: what it means."},
	{Code: "repeated-term", Severity: errorLevel, Title: "Term twice", Wrong: "A word stands in the glossary twice.", Why: "A word of the trade must mean one thing.", Do: "Put both meanings into one line, or take one out."},
	{Code: "repeated-glossary", Severity: errorLevel, Title: "Glossary twice", Wrong: "A library has two glossary files.", Why: "Readers look a word up in one place.", Do: "Put all terms into one file."},
	{Code: "unused-file", Severity: warningLevel, Title: "Steps never used", Wrong: "No procedure takes in a steps file.", Why: "It may be that an include block is missing.", Do: "Include it, or take the file out."},
}
