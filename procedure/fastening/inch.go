package fastening

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// inch is one inch in mm.
const inch = 25.4

// psi is one pound-force per square inch in MPa.
const psi = 0.00689475729

// unified is one size of the unified threads: its threads per inch in the coarse and the fine series.
type unified struct {
	name         string
	diameter     float64 // in
	coarse, fine int
}

// unifiedSizes is the table of UNC and UNF threads from #4 to 1 1/2 in, by diameter.
//
// Source: ASME B1.1, by public copies of its tables.
var unifiedSizes = []unified{
	{"#4", 0.112, 40, 48}, {"#6", 0.138, 32, 40}, {"#8", 0.164, 32, 36}, {"#10", 0.19, 24, 32},
	{"1/4", 0.25, 20, 28}, {"5/16", 0.3125, 18, 24}, {"3/8", 0.375, 16, 24}, {"7/16", 0.4375, 14, 20}, {"1/2", 0.5, 13, 20},
	{"9/16", 0.5625, 12, 18}, {"5/8", 0.625, 11, 18}, {"3/4", 0.75, 10, 16}, {"7/8", 0.875, 9, 14}, {"1", 1, 8, 12},
	{"1-1/8", 1.125, 7, 12}, {"1-1/4", 1.25, 7, 12}, {"1-3/8", 1.375, 6, 12}, {"1-1/2", 1.5, 6, 12},
}

// inchForm is a unified designation: size, threads per inch, series, class of fit, left hand. Size or threads and series are read
// leniently, so that what is nearly one can be answered.
var inchForm = regexp.MustCompile(`^(#\d{1,2}|\d{1,2}(?:[ -]\d{1,2}/\d{1,2}|/\d{1,2})?)(?:["”″]| in)?(?:\s*[-–x×]\s*(\d{1,3}))?(?:\s*[- ]?\s*(UNC|UNF|UNEF|UNS|UN|unc|unf))?(?:\s*-\s*([123][AB]))?(?:\s*-\s*(LH))?$`)

// parseInch reads a unified designation; known is false for what has another form.
func parseInch(s string) (t Thread, known bool, err error) {
	word := strings.TrimSpace(s)
	at := strings.Index(s, word)
	m := inchForm.FindStringSubmatchIndex(word)
	part := func(i int) string {
		if m[2*i] < 0 {
			return ""
		}
		return word[m[2*i]:m[2*i+1]]
	}
	if m == nil || part(2) == "" && part(3) == "" {
		return Thread{}, false, nil
	}
	fault := func(group int, wrong, advice say.Text, suggest string) (Thread, bool, error) {
		return Thread{}, true, &measure.ParseError{Input: s, Offset: at + m[2*group], End: at + m[2*group+1], Wrong: wrong, Advice: advice, Suggest: suggest}
	}
	name, series := strings.ReplaceAll(part(1), " ", "-"), strings.ToUpper(part(3))
	if series != "" && series != "UNC" && series != "UNF" {
		return Thread{}, true, fmt.Errorf("thread %q: %w", s, ErrNotCovered)
	}
	i := slices.IndexFunc(unifiedSizes, func(u unified) bool { return u.name == name })
	if i < 0 {
		var all []string
		for _, u := range unifiedSizes {
			all = append(all, u.name)
		}
		return fault(1, say.That("there is no unified thread of %size in", say.Name(part(1))), say.That("The sizes are %sizes.", say.Each[say.Word](say.Commas, all)), "")
	}
	u := unifiedSizes[i]
	perInch, _ := strconv.Atoi(part(2)) // three digits at most
	both := say.That("%size in has %coarse threads per inch coarse (UNC) and %fine fine (UNF).", say.Name(u.name), say.Count(u.coarse), say.Count(u.fine))
	switch {
	case perInch == 0 && series == "UNC":
		perInch = u.coarse
	case perInch == 0:
		perInch = u.fine
	case perInch != u.coarse && perInch != u.fine:
		return fault(2, say.That("%size in has no thread of %pitch per inch", say.Name(u.name), say.Count(perInch)), both, "")
	case series != "" && (series == "UNC") != (perInch == u.coarse):
		right := map[bool]string{true: "UNC", false: "UNF"}[perInch == u.coarse]
		return fault(3, say.That("%pitch threads per inch on %size in are %right, not %series", say.Count(perInch), say.Name(u.name), say.Word(right), say.Word(series)), both, right)
	}
	t = Thread{Diameter: u.diameter * inch, Pitch: inch / float64(perInch), Coarse: perInch == u.coarse, LeftHand: part(5) != "", Tolerance: part(4), Inch: u.name, PerInch: perInch}
	return t, true, nil
}

// inchName is the canonical designation of an inch thread: "1/2-13 UNC".
func (t Thread) inchName() string {
	s := fmt.Sprintf("%s-%d UNF", t.Inch, t.PerInch)
	if t.Coarse {
		s = fmt.Sprintf("%s-%d UNC", t.Inch, t.PerInch)
	}
	if t.Tolerance != "" {
		s += "-" + t.Tolerance
	}
	if t.LeftHand {
		s += "-LH"
	}
	return s
}

// grades is the table of inch bolt grades. A grade without a proof stress has only its tensile strength: no share of a
// proof load is made up for it.
//
// Source: SAE J429 and ASTM A193, strengths in psi, by public copies.
var grades = []Class{
	grade("Grade 1", strength{1.5, 60000, 33000}),
	grade("Grade 2", strength{0.75, 74000, 55000}, strength{1.5, 60000, 33000}),
	grade("Grade 5", strength{1, 120000, 85000}, strength{1.5, 105000, 74000}),
	grade("Grade 8", strength{1.5, 150000, 120000}),
	grade("Grade 8.2", strength{1, 150000, 120000}),
	grade("B7", strength{2.5, 125000, 0}, strength{4, 115000, 0}, strength{7, 100000, 0}),
}

// grade makes a class of strengths in inches and psi.
func grade(name string, strengths ...strength) Class {
	c := Class{Name: name, Inch: true, smallest: 0.25 * inch}
	for _, s := range strengths {
		c.strengths = append(c.strengths, strength{s.upTo * inch, s.tensile * psi, s.proof * psi})
	}
	return c
}

// gradeForm is a grade as people write it: "Grade 5", "Gr. 8", "SAE J429 Grade 5", "ASTM A193 B7".
var gradeForm = regexp.MustCompile(`(?i)^(?:(?:SAE(?:\s*J429)?\s*)?(?:grade|gr\.?)\s*|SAE(?:\s*J429)?\s+)(\d{1,2}(?:\.\d)?)$`)

// parseGrade reads a grade of inch bolts; known is false for what has another form.
func parseGrade(s string) (c Class, known bool, err error) {
	word := strings.TrimSpace(s)
	name := strings.ToUpper(strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(strings.ToUpper(word), "ASTM"), " A193")))
	if m := gradeForm.FindStringSubmatch(word); m != nil {
		name = "Grade " + m[1]
	} else if name != "B7" && strings.TrimSpace(strings.TrimPrefix(name, "GRADE")) != "B7" {
		return Class{}, false, nil
	} else {
		name = "B7"
	}
	var all []string
	for _, c := range grades {
		if c.Name == name {
			return c, true, nil
		}
		all = append(all, c.Name)
	}
	at := strings.Index(s, word)
	return Class{}, true, &measure.ParseError{Input: s, Offset: at, End: at + len(word), Wrong: say.That("there is no %grade of SAE J429 in the tables", say.Name(name)),
		Advice: say.That("The grades are %grades.", say.Each[say.Word](say.Commas, all))}
}

// inchHeads is the table of drive sizes of unified threads; 0 where there is none.
//
// Source: ASME B18.2.1 (hex bolts and cap screws) and ASME B18.3 (socket head cap screws), by public copies.
var inchHeads = []struct {
	name       string
	flats, key float64 // in
}{
	{"#4", 0, 3.0 / 32}, {"#6", 0, 7.0 / 64}, {"#8", 0, 9.0 / 64}, {"#10", 0, 5.0 / 32},
	{"1/4", 7.0 / 16, 3.0 / 16}, {"5/16", 1.0 / 2, 1.0 / 4}, {"3/8", 9.0 / 16, 5.0 / 16}, {"7/16", 5.0 / 8, 0}, {"1/2", 3.0 / 4, 3.0 / 8}, {"9/16", 13.0 / 16, 0},
	{"5/8", 15.0 / 16, 1.0 / 2}, {"3/4", 1 + 1.0/8, 5.0 / 8}, {"7/8", 1 + 5.0/16, 0}, {"1", 1 + 1.0/2, 0}, {"1-1/8", 1 + 11.0/16, 0}, {"1-1/4", 1 + 7.0/8, 0},
}
