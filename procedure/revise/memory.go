package revise

import (
	"bytes"
	"encoding/json"
	"slices"

	"matchmark/procedure"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
	"matchmark/procedure/schedule"
)

// MemoryFile is the file in a library in which the records that count are remembered.
const MemoryFile = "revised.json"

// memoryFormat says what the file is.
const memoryFormat = "matchmark revised times 1"

// Memory is what earlier runs have counted, so that a record counts once, and against the
// estimate that its author gave. The zero Memory remembers nothing.
type Memory struct {
	Format string   `json:"format"`
	Steps  []memory `json:"steps"`
}

// memory is what is remembered of a step.
type memory struct {
	Procedure string `json:"procedure"`
	Step      string `json:"step"`
	// Author is the estimate that the records are weighed against, Written what revise wrote last.
	Author  string   `json:"author"`
	Written string   `json:"written"`
	Records []Record `json:"records"`
	// Settled are the names of records that the author knew when he gave another estimate.
	Settled []string `json:"settled,omitempty"`
}

// ReadMemory reads the file. Data of nothing is the memory of nothing.
func ReadMemory(data []byte) (Memory, error) {
	var m Memory
	if len(data) == 0 {
		return m, nil
	}
	from := json.NewDecoder(bytes.NewReader(data))
	from.DisallowUnknownFields()
	if err := from.Decode(&m); err != nil {
		return Memory{}, say.Because(say.That("%file cannot be read", say.Name(MemoryFile)), err)
	}
	if m.Format != memoryFormat {
		return Memory{}, say.Error(say.That("%file says of itself that it is %format; this version reads %known", say.Name(MemoryFile), say.Quoted(m.Format), say.Quoted(memoryFormat)))
	}
	for _, s := range m.Steps {
		if _, err := estimateOf(s.Author); err != nil {
			return Memory{}, say.Error(say.That("%file: the author's time %time of step %step is none", say.Name(MemoryFile), say.Quoted(s.Author), say.Name(s.Step)))
		}
	}
	return m, nil
}

// Bytes is the file.
func (m Memory) Bytes() ([]byte, error) {
	m.Format = memoryFormat
	out, err := json.MarshalIndent(m, "", "  ")
	return append(out, '\n'), err
}

func estimateOf(s string) (procedure.Estimate, error) {
	if s == "" {
		return procedure.Estimate{}, nil
	}
	a, m, b, err := measure.ParseEstimate(s)
	return procedure.Estimate{Optimistic: a, Likely: m, Pessimistic: b}, err
}

func (m Memory) of(procedure, step string) *memory {
	for i := range m.Steps {
		if s := &m.Steps[i]; s.Procedure == procedure && s.Step == step {
			return s
		}
	}
	return nil
}

// recall brings what is remembered of a step together with its new records: author is the estimate to
// weigh against. A record of a name that is remembered takes the place of the older one. Where the author has given
// another time since, it counts, and the records that he could know do not count any more.
func (e *entry) recall(m Memory) {
	e.author = e.revision.Old
	s := m.of(e.revision.Procedures[0].ID, e.revision.Step.ID)
	if s == nil {
		return
	}
	e.settled = slices.Clone(s.Settled)
	known := s.Records
	if s.Written == formatted(e.revision.Old) {
		e.author, _ = estimateOf(s.Author)
		e.author.Span = e.revision.Old.Span
	} else {
		for _, r := range known {
			e.settled = append(e.settled, r.ID)
		}
		known = nil
	}
	fresh := slices.DeleteFunc(e.records, func(r Record) bool { return r.ID != "" && slices.Contains(e.settled, r.ID) })
	e.revision.Before = len(e.records) - len(fresh)
	e.records = fresh
	for _, r := range known {
		if i := slices.IndexFunc(e.records, func(x Record) bool { return x.ID == r.ID }); i >= 0 {
			e.revision.Before++
			continue
		}
		r.Line = remembered
		e.records = append(e.records, r)
	}
}

// remembered is the line of a record that stands in no file of this run.
const remembered = -1

// formatted is an estimate as its time attribute says it; empty for none.
func formatted(e procedure.Estimate) string {
	if e.Likely <= 0 {
		return ""
	}
	return schedule.Format(e)
}

// remember is what is kept of a step once its new time is written.
func (e *entry) remember(v Revision) memory {
	written := formatted(v.Old)
	if v.Changed && v.Writable {
		written = v.Value
	}
	out := memory{
		Procedure: v.Procedures[0].ID, Step: v.Step.ID, Author: formatted(e.author), Written: written,
		Records: slices.Clone(e.records), Settled: e.settled,
	}
	for i := range out.Records {
		out.Records[i].Line = 0
	}
	return out
}
