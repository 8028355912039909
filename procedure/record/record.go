// Package record is what the bench writes down while a job is done: times, ticks,
// confirmations, measured values, findings with photos, and the repairs made.
//
// A record is one JSON file per job. A job is one machine taken apart and put
// together again, so that the record covers the removal and the refitting. Several
// tablets may write on one job; Merge brings their records together, in any order
// and any number of times with the same result. Every entry therefore has a key
// that no other entry shares, and carries when and on which tablet it was last
// changed: of two states of one entry the later one counts.
//
// FORMAT.md beside this file describes the file for people, record.schema.json
// for programs.
package record

// Format and Version say what a file is. A reader refuses a version above its own, and
// reads those below as if they were its own: version 2 added Finding.FoundBy and the second form of signatures.
const (
	Format  = "matchmark-job-record"
	Version = 2
)

// Record is one job as the bench wrote it down. Each field says by the word behind "is", which stands in forms,
// what may stand there; with a question mark also nothing. What a written record never leaves out must be there.
type Record struct {
	Format  string `json:"format" is:"any"`
	Version int    `json:"version" is:"version"`
	// Job is the job's name: 26 characters out of 0-9 and a-z, drawn at random by the tablet that began it.
	Job string `json:"job" is:"random"`
	// Machine says in the learner's words which machine stands there, such as "No. 4"; may be empty.
	Machine Entry[string] `json:"machine"`
	// Procedure is the procedure that takes out, and Variant the machine's variant; empty when it has none.
	Procedure string `json:"procedure" is:"procedure"`
	Variant   string `json:"variant,omitempty" is:"variant?"`
	// Edition and Content say which text the bench worked from: the author's edition, and
	// the first 16 hexadecimal digits of the hash of what the procedure is made of (see Content).
	Edition string `json:"edition" is:"name"`
	Content string `json:"content" is:"content"`
	// Tablets are the tablets that wrote on this job, by their names of 26 random characters.
	Tablets map[string]Tablet `json:"tablets" is:"tablet"`
	// Passed, Ticks and Work are by step; a step's key is its way and its name: "out/hub-off", "back/hub-off".
	Passed map[string]Entry[bool] `json:"passed,omitempty" is:"step of a way"`
	// Ticks are the rows of the page that are ticked: key WAY/ROW, the row's id in the page.
	Ticks map[string]Entry[bool] `json:"ticks,omitempty" is:"row"`
	// Work are the spells of work: key WAY/STEP@TABLET@FROM.
	Work map[string]Interval `json:"work,omitempty" is:"work"`
	// Confirmed are the confirmations of hold points: key WAY/ROW, or the StopKey of a finding.
	Confirmed map[string]Confirmation `json:"confirmed,omitempty" is:"hold"`
	// Signed are the signatures that the class host gave: key WAY/ROW, or the StopKey of a finding.
	Signed map[string]Signature `json:"signed,omitempty" is:"hold"`
	// Measured are the values read off: key WAY/ROW.
	Measured map[string]Measurement `json:"measured,omitempty" is:"row"`
	// Findings by their names: 26 random characters, or "m-" and the measurement's key for one that a value out of limits made.
	Findings map[string]Finding `json:"findings,omitempty" is:"finding"`
	// Repairs say which findings are repaired: key the finding's name.
	Repairs map[string]Repair `json:"repairs,omitempty" is:"finding"`
	// Photos are the pictures that findings name, by the SHA-256 of their bytes in hexadecimal.
	// A photo may be absent: the file then lies beside the record, as photos/HASH.jpg.
	Photos map[string]Photo `json:"photos,omitempty" is:"photo"`
}

// Stamp says when and where an entry was last changed. At is milliseconds since
// 1970 in UTC by the tablet's clock, raised above the stamp that it replaces, so
// that a change always counts as later than what it changed.
type Stamp struct {
	At     int64  `json:"at" is:"moment"`
	Tablet string `json:"tablet" is:"random"`
	// By is who did it, as typed; may be empty.
	By string `json:"by,omitempty" is:"name"`
}

// Stamped is the stamp of whatever carries one.
func (s *Stamp) Stamped() *Stamp { return s }

// Entry is a value with its stamp.
type Entry[T any] struct {
	Value T `json:"value" is:"name"`
	Stamp
}

// Tablet is where a tablet stands.
type Tablet struct {
	// Learner is who works on it, as typed; may be empty.
	Learner string `json:"learner" is:"name"`
	// Phase and Step are where it is; Step is "ui_end" on the closing page.
	Phase Phase  `json:"way" is:"way"`
	Step  string `json:"step" is:"step?"`
	// Waits is the row of the hold point that waits for a signature; empty when none does.
	Waits string `json:"waits,omitempty" is:"waits?"`
	Stamp
}

// Phase is the removal or the refitting.
type Phase string

// The two ways.
const (
	Removal   Phase = "out"
	Refitting Phase = "back"
)

// Interval is a piece of time worked on one step by one tablet; both ends in milliseconds since 1970.
// Spells of several tablets may overlap: the time of a step is what their union covers.
type Interval struct {
	From int64 `json:"from" is:"moment"`
	To   int64 `json:"to" is:"moment"`
}

// Confirmation is one confirmation of a hold point. A signature that was written on the tablet is its text.
type Confirmation struct {
	Given bool   `json:"given"`
	Text  string `json:"text,omitempty" is:"name"`
	Stamp
}

// Signature is a hold point signed at the class host by the trainer. Seal is the host's
// Ed25519 signature over SealedText, Key the host's public key, both in hexadecimal.
type Signature struct {
	// Form is 2; 0 is the first form, whose seal leaves out machine, variant, edition, step and lines.
	Form int `json:"form,omitempty" is:"form"`
	// Who signed: the person's pseudonym (see Pseudonym); in the first form the name itself.
	Who string `json:"who" is:"name"`
	// Name and Salt are what the pseudonym stands for; both are empty once the name was deleted.
	Name string `json:"name,omitempty" is:"name"`
	Salt string `json:"salt,omitempty" is:"salt?"`
	At   int64  `json:"at" is:"moment"`
	// Machine, Edition and Content are the record's when it was signed. The machine must be the
	// record's still; a later merge may raise the other two, and the seal must hold nevertheless.
	Machine string `json:"machine,omitempty" is:"name"`
	Edition string `json:"edition,omitempty" is:"name"`
	Content string `json:"content,omitempty" is:"content?"`
	// Step is the hold point's step, and Lines are the words of all that was confirmed there, a line each.
	Step  string `json:"step,omitempty" is:"step?"`
	Lines string `json:"lines,omitempty" is:"lines"`
	Key   string `json:"key" is:"key"`
	Seal  string `json:"seal" is:"seal"`
}

// Measurement is a value that was read off.
type Measurement struct {
	// Look is what was measured, in the author's words at that time; Thing the inspected thing's name.
	Look  string `json:"look" is:"text"`
	Thing string `json:"thing" is:"name"`
	// Value is the number as typed with a decimal point, Unit its unit; both empty when taken back.
	Value string `json:"value" is:"number?"`
	Unit  string `json:"unit" is:"name"`
	// Low and High are the limits that it was held against, as the page says them; empty for none.
	Low  string `json:"low,omitempty" is:"name"`
	High string `json:"high,omitempty" is:"name"`
	Stamp
}

// Kind says what is wrong with a thing.
type Kind string

// The kinds of finding.
const (
	Damaged      Kind = "damaged"
	Worn         Kind = "worn"
	Missing      Kind = "missing"
	Leaking      Kind = "leaking"
	Contaminated Kind = "contaminated"
	WrongPart    Kind = "wrong-part"
	BadRepair    Kind = "bad-repair"
)

// Severity says what a finding stops.
type Severity string

// The severities, worst first.
const (
	// StopsWork: work does not go on until somebody in charge has looked (see StopKey).
	StopsWork Severity = "stops-work"
	// BeforeRefit: must be repaired before the step that it gates.
	BeforeRefit Severity = "before-refit"
	// Watch: noted for the next service; gates nothing.
	Watch Severity = "watch"
)

// Finding is one defect found at the bench.
type Finding struct {
	// Phase and Step are where it was found.
	Phase Phase  `json:"way" is:"way"`
	Step  string `json:"step" is:"step"`
	// Thing is a thing of the machine's registers; empty when Other says it in words.
	Thing string `json:"thing,omitempty" is:"thing?"`
	Other string `json:"other,omitempty" is:"name"`
	// Name is what the page called the thing, for the day when the registers no longer know it.
	Name     string   `json:"name" is:"name"`
	Kind     Kind     `json:"kind" is:"kind"`
	Severity Severity `json:"severity" is:"severity"`
	Words    string   `json:"words,omitempty" is:"text"`
	// Repair is the repair wanted, in words.
	Repair string `json:"repair,omitempty" is:"text"`
	// Before is the step of the refitting that waits for the repair; empty: before the refitting begins.
	Before string `json:"before,omitempty" is:"step?"`
	// Photos are names of Record.Photos, in order.
	Photos []string `json:"photos,omitempty" is:"photo"`
	// Measured is the key of the measurement that made the finding; empty for one that a person made.
	Measured string `json:"measured,omitempty" is:"row?"`
	// Withdrawn is true once the finding is taken back; it stays in the record so that a merge does not bring it back.
	Withdrawn bool `json:"withdrawn,omitempty"`
	// Found is when it was first written down, milliseconds since 1970.
	Found int64 `json:"found" is:"moment"`
	// FoundBy is who wrote it down first, where a class host knows: the stamp's By is who changed it last, or took it back.
	FoundBy string `json:"foundBy,omitempty" is:"name"`
	Stamp
}

// Finder is who found it, as far as anybody knows.
func (f *Finding) Finder() string {
	if f.FoundBy != "" || f.Withdrawn {
		return f.FoundBy
	}
	return f.By
}

// Repair says that a finding is repaired, or no longer. It does not let work go on that the finding stops.
type Repair struct {
	Done bool   `json:"done"`
	Note string `json:"note,omitempty" is:"text"`
	Stamp
}

// Photo is a picture, scaled on the tablet.
type Photo struct {
	// Type is image/jpeg.
	Type   string `json:"type" is:"photo type"`
	Width  int    `json:"width" is:"side"`
	Height int    `json:"height" is:"side"`
	// Data is the picture in base64; empty when it lies beside the record.
	Data string `json:"data,omitempty" is:"any"`
}
