package diagnostic

import (
	"encoding/json"
	"io"
	"net/url"
	"slices"
	"strings"

	"matchmark/procedure/rewrite"
	"matchmark/procedure/text"
)

// sarifBase names the library's folder, which all paths count from.
const sarifBase = "LIBRARY"

// The parts of a log that are written. Each is the standard's object of its name.
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool       sarifTool                `json:"tool"`
		Bases      map[string]sarifArtifact `json:"originalUriBaseIds"`
		ColumnKind string                   `json:"columnKind"`
		Results    []sarifResult            `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name    string      `json:"name"`
		Version string      `json:"version,omitempty"`
		Rules   []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID      Code         `json:"id"`
		Short   sarifContent `json:"shortDescription"`
		Full    sarifContent `json:"fullDescription"`
		Help    sarifContent `json:"help"`
		Default struct {
			Level string `json:"level"`
		} `json:"defaultConfiguration"`
	}
	sarifMessage struct {
		Text string `json:"text"`
	}
	sarifArtifact struct {
		URI         string        `json:"uri,omitempty"`
		Base        string        `json:"uriBaseId,omitempty"`
		Description *sarifMessage `json:"description,omitempty"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn"`
		EndLine     int `json:"endLine"`
		EndColumn   int `json:"endColumn"`
	}
	sarifLocation struct {
		ID       *int `json:"id,omitempty"`
		Physical struct {
			Artifact sarifArtifact `json:"artifactLocation"`
			Region   sarifRegion   `json:"region"`
		} `json:"physicalLocation"`
		Message *sarifMessage `json:"message,omitempty"`
	}
	sarifResult struct {
		Rule         Code               `json:"ruleId"`
		RuleIndex    int                `json:"ruleIndex"`
		Kind         string             `json:"kind,omitempty"`
		Level        string             `json:"level"`
		Message      sarifMessage       `json:"message"`
		Locations    []sarifLocation    `json:"locations,omitempty"`
		Related      []sarifLocation    `json:"relatedLocations,omitempty"`
		Fixes        []sarifFix         `json:"fixes,omitempty"`
		Suppressions []sarifSuppression `json:"suppressions,omitempty"`
		Properties   map[string]any     `json:"properties,omitempty"`
	}
	sarifSuppression struct {
		Kind          string        `json:"kind"`
		Justification string        `json:"justification"`
		Location      sarifLocation `json:"location"`
	}
	sarifFix struct {
		Description sarifMessage  `json:"description"`
		Changes     []sarifChange `json:"artifactChanges"`
		Properties  struct {
			Safe bool `json:"safe"`
		} `json:"properties"`
	}
	sarifChange struct {
		Artifact     sarifArtifact      `json:"artifactLocation"`
		Replacements []sarifReplacement `json:"replacements"`
	}
	sarifReplacement struct {
		Deleted  sarifRegion  `json:"deletedRegion"`
		Inserted sarifContent `json:"insertedContent"`
	}
	sarifContent struct {
		Text string `json:"text"`
	}
)

// PrintSARIF writes the diagnostics as a SARIF log with one run, for systems that gather the
// results of checks. Paths count from the library's folder. rules document the codes, and
// allowed are listed as suppressed where they stand. version is that of matchmark.
//
// Source: OASIS, Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01.
func PrintSARIF(w io.Writer, version string, rules []Rule, all []Diagnostic, allowed []Allowed) error {
	run := sarifRun{
		Tool:       sarifTool{sarifDriver{Name: "matchmark", Version: version, Rules: []sarifRule{}}},
		Bases:      map[string]sarifArtifact{sarifBase: {Description: &sarifMessage{"The folder of the library."}}},
		ColumnKind: "unicodeCodePoints",
		Results:    []sarifResult{},
	}
	index := map[Code]int{}
	for _, r := range rules {
		if uses(all, allowed, r.Code) {
			index[r.Code] = len(run.Tool.Driver.Rules)
			run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, ruleForSARIF(r))
		}
	}
	for _, d := range all {
		run.Results = append(run.Results, resultForSARIF(d, index))
	}
	for _, a := range allowed {
		r := resultForSARIF(a.Diagnostic, index)
		r.Suppressions = []sarifSuppression{{"inSource", a.Reason, placeForSARIF(a.By)}}
		run.Results = append(run.Results, r)
	}
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(sarifLog{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0", Runs: []sarifRun{run},
	})
}

func uses(all []Diagnostic, allowed []Allowed, c Code) bool {
	return slices.ContainsFunc(all, func(d Diagnostic) bool { return d.Code == c }) ||
		slices.ContainsFunc(allowed, func(a Allowed) bool { return a.Code == c })
}

func ruleForSARIF(r Rule) sarifRule {
	out := sarifRule{ID: r.Code, Short: sarifContent{Sentence(r.Title)}, Full: sarifContent{r.Wrong}, Help: sarifContent{r.Why + " " + r.Do}}
	out.Default.Level = levelForSARIF(r.Severity)
	return out
}

// levelForSARIF is a severity in the standard's words.
func levelForSARIF(s Severity) string {
	if s == NotChecked {
		return "none"
	}
	return [...]string{Advice: "note", Warning: "warning", Error: "error"}[s]
}

func resultForSARIF(d Diagnostic, index map[Code]int) sarifResult {
	// -1 stands for a rule that is not in the list. Source: SARIF 2.1.0, section 3.27.6.
	out := sarifResult{Rule: d.Code, RuleIndex: -1, Level: levelForSARIF(d.Severity)}
	if i, ok := index[d.Code]; ok {
		out.RuleIndex = i
	}
	if d.Severity == NotChecked {
		// Not evaluated for want of what an error hides. Source: SARIF 2.1.0, sections 3.27.9 and 3.27.10.
		out.Kind = "open"
	}
	properties := func(name string, value any) {
		if out.Properties == nil {
			out.Properties = map[string]any{}
		}
		out.Properties[name] = value
	}
	if d.Because != nil {
		properties("because", d.Because.Code)
	}
	message := Sentence(d.Says().String())
	if do := d.Advice; !do.Empty() {
		message += " " + do.String()
	}
	out.Message = messageForSARIF(message)
	if d.Span.Valid() {
		out.Locations = []sarifLocation{placeForSARIF(d.Span)}
	}
	for i, r := range d.See {
		place := placeForSARIF(r.Span)
		message := messageForSARIF(r.Says.String())
		place.ID, place.Message = &i, &message
		out.Related = append(out.Related, place)
	}
	for _, f := range d.Fixes {
		out.Fixes = append(out.Fixes, fixForSARIF(f))
	}
	if d.Refitting {
		properties("wayBack", true)
	}
	if len(d.Variants) > 0 {
		properties("variants", d.Variants)
	}
	return out
}

// messageForSARIF is a message; braces would stand for arguments in it.
// Source: SARIF 2.1.0, section 3.11.5.
func messageForSARIF(s string) sarifMessage {
	return sarifMessage{strings.NewReplacer("{", "{{", "}", "}}").Replace(s)}
}

// fixForSARIF groups the edits by file, in the order in which the files first come.
func fixForSARIF(f Fix) sarifFix {
	out := sarifFix{Description: messageForSARIF(f.Title.String())}
	out.Properties.Safe = f.Safe
	for _, e := range f.Edits {
		artifact := artifactForSARIF(e.Span.File)
		at := slices.IndexFunc(out.Changes, func(c sarifChange) bool { return c.Artifact == artifact })
		if at < 0 {
			at, out.Changes = len(out.Changes), append(out.Changes, sarifChange{Artifact: artifact})
		}
		out.Changes[at].Replacements = append(out.Changes[at].Replacements, replacementForSARIF(e))
	}
	return out
}

func replacementForSARIF(e rewrite.Edit) sarifReplacement {
	return sarifReplacement{regionForSARIF(e.Span), sarifContent{e.Text}}
}

func placeForSARIF(s text.Span) (out sarifLocation) {
	out.Physical.Artifact = artifactForSARIF(s.File)
	out.Physical.Region = regionForSARIF(s)
	return out
}

func artifactForSARIF(f *text.File) sarifArtifact {
	return sarifArtifact{URI: (&url.URL{Path: f.Name}).String(), Base: sarifBase}
}

// regionForSARIF is a place: its end column is that behind its last character.
func regionForSARIF(s text.Span) sarifRegion {
	from, to := bounds(s)
	return sarifRegion{from.Line, from.Column, to.Line, to.Column}
}
