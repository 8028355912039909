// Package record is what the bench writes down while a job is done: times, ticks,
// confirmations, measured values, findings with photos, and the repairs made.
//
// A record is one JSON file per job. A job is one machine taken apart and put
// together again, so that the record covers the way out and the way back. Several
// tablets may write on one job; Merge brings their records together, in any order
// and any number of times with the same result. Every entry therefore has a key
// that no other entry shares, and carries when and on which tablet it was last
// changed: of two states of one entry the later one counts.
//
// FORMAT.md beside this file describes the file for people, record.schema.json
// for programs.
package record

// Format and Version say what a file is. A reader refuses a version above its own.
const (
	Format  = "matchmark-job-record"
	Version = 1
)

// Record is one job as the bench wrote it down.
type Record struct {
	Format  string `json:"format"`
	Version int    `json:"version"`
	// Job is the job's name: 26 characters out of 0-9 and a-z, drawn at random by the tablet that began it.
	Job string `json:"job"`
	// Machine says in the learner's words which machine stands there, such as "No. 4"; may be empty.
	Machine Entry[string] `json:"machine"`
	// Procedure is the procedure that takes out, and Variant the machine's variant; empty when it has none.
	Procedure string `json:"procedure"`
	Variant   string `json:"variant,omitempty"`
	// Edition and Content say which text the bench worked from: the author's edition, and
	// the first 16 hexadecimal digits of the hash of what the procedure is made of (see Content).
	Edition string `json:"edition"`
	Content string `json:"content"`
	// Tablets are the tablets that wrote on this job, by their names of 26 random characters.
	Tablets map[string]Tablet `json:"tablets"`
	// Passed, Ticks and Work are by step; a step's key is its way and its name: "out/hub-off", "back/hub-off".
	Passed map[string]Entry[bool] `json:"passed,omitempty"`
	// Ticks are the rows of the page that are ticked: key WAY/ROW, the row's id in the page.
	Ticks map[string]Entry[bool] `json:"ticks,omitempty"`
	// Work are the spells of work: key WAY/STEP@TABLET@FROM.
	Work map[string]Spell `json:"work,omitempty"`
	// Confirmed are the confirmations of hold points: key WAY/ROW.
	Confirmed map[string]Confirmation `json:"confirmed,omitempty"`
	// Signed are the signatures that the class host gave: key WAY/ROW.
	Signed map[string]Signature `json:"signed,omitempty"`
	// Measured are the values read off: key WAY/ROW.
	Measured map[string]Measurement `json:"measured,omitempty"`
	// Findings by their names: 26 random characters, or "m-" and the measurement's key for one that a value out of limits made.
	Findings map[string]Finding `json:"findings,omitempty"`
	// Repairs say which findings are repaired: key the finding's name.
	Repairs map[string]Repair `json:"repairs,omitempty"`
	// Photos are the pictures that findings name, by the SHA-256 of their bytes in hexadecimal.
	// A photo may be absent: the file then lies beside the record, as photos/HASH.jpg.
	Photos map[string]Photo `json:"photos,omitempty"`
}

// Stamp says when and where an entry was last changed. At is milliseconds since
// 1970 in UTC by the tablet's clock, raised above the stamp that it replaces, so
// that a change always counts as later than what it changed.
type Stamp struct {
	At     int64  `json:"at"`
	Tablet string `json:"tablet"`
	// By is who did it, as typed; may be empty.
	By string `json:"by,omitempty"`
}

// Entry is a value with its stamp.
type Entry[T any] struct {
	Value T `json:"value"`
	Stamp
}

// Tablet is where a tablet stands.
type Tablet struct {
	// Learner is who works on it, as typed; may be empty.
	Learner string `json:"learner"`
	// Way and Step are where it is; Step is "ui_end" on the closing page.
	Way  Way    `json:"way"`
	Step string `json:"step"`
	// Waits is the row of the hold point that waits for a signature; empty when none does.
	Waits string `json:"waits,omitempty"`
	Stamp
}

// Way is the way out or the way back.
type Way string

// The two ways.
const (
	Out  Way = "out"
	Back Way = "back"
)

// Spell is a piece of time worked on one step by one tablet; both ends in milliseconds since 1970.
// Spells of several tablets may overlap: the time of a step is what their union covers.
type Spell struct {
	From int64 `json:"from"`
	To   int64 `json:"to"`
}

// Confirmation is one confirmation of a hold point. A signature that was written on the tablet is its text.
type Confirmation struct {
	Given bool   `json:"given"`
	Text  string `json:"text,omitempty"`
	Stamp
}

// Signature is a hold point signed at the class host by PIN. Seal is the host's
// Ed25519 signature over SealedText, Key the host's public key, both in hexadecimal.
type Signature struct {
	// Who signed, as the host knows the person.
	Who string `json:"who"`
	At  int64  `json:"at"`
	// Content is the record's content when it was signed; empty for the record's own. A
	// later merge may raise that, and the seal must hold nevertheless.
	Content string `json:"content,omitempty"`
	Key     string `json:"key"`
	Seal    string `json:"seal"`
}

// Measurement is a value that was read off.
type Measurement struct {
	// Look is what was measured, in the author's words at that time; Thing the inspected thing's name.
	Look  string `json:"look"`
	Thing string `json:"thing"`
	// Value is the number as typed with a decimal point, Unit its unit; both empty when taken back.
	Value string `json:"value"`
	Unit  string `json:"unit"`
	// Low and High are the limits that it was held against, as the page says them; empty for none.
	Low  string `json:"low,omitempty"`
	High string `json:"high,omitempty"`
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
	// StopsWork: work does not go on until somebody in charge has looked.
	StopsWork Severity = "stops-work"
	// BeforeRefit: must be repaired before the step that it gates.
	BeforeRefit Severity = "before-refit"
	// Watch: noted for the next service; gates nothing.
	Watch Severity = "watch"
)

// Finding is one defect found at the bench.
type Finding struct {
	// Way and Step are where it was found.
	Way  Way    `json:"way"`
	Step string `json:"step"`
	// Thing is a thing of the machine's registers; empty when Other says it in words.
	Thing string `json:"thing,omitempty"`
	Other string `json:"other,omitempty"`
	// Name is what the page called the thing, for the day when the registers no longer know it.
	Name     string   `json:"name"`
	Kind     Kind     `json:"kind"`
	Severity Severity `json:"severity"`
	Words    string   `json:"words,omitempty"`
	// Repair is the repair wanted, in words.
	Repair string `json:"repair,omitempty"`
	// Before is the step of the way back that waits for the repair; empty: before the way back begins.
	Before string `json:"before,omitempty"`
	// Photos are names of Record.Photos, in order.
	Photos []string `json:"photos,omitempty"`
	// Measured is the key of the measurement that made the finding; empty for one that a person made.
	Measured string `json:"measured,omitempty"`
	// Withdrawn is true once the finding is taken back; it stays in the record so that a merge does not bring it back.
	Withdrawn bool `json:"withdrawn,omitempty"`
	// Found is when it was first written down, milliseconds since 1970.
	Found int64 `json:"found"`
	Stamp
}

// Repair says that a finding is repaired, or no longer.
type Repair struct {
	Done bool   `json:"done"`
	Note string `json:"note,omitempty"`
	Stamp
}

// Photo is a picture, scaled on the tablet.
type Photo struct {
	// Type is image/jpeg.
	Type   string `json:"type"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	// Data is the picture in base64; empty when it lies beside the record.
	Data string `json:"data,omitempty"`
}
