package fastening

import (
	"fmt"
	"slices"
	"strings"

	"matchmark/procedure/diagnostic"
	"matchmark/procedure/measure"
	"matchmark/procedure/say"
)

// Class is a property class or an inch grade of steel bolts, screws and studs.
type Class struct {
	// Name is the designation: "8.8", "Grade 5".
	Name string
	// Inch is true for a grade of inch bolts.
	Inch      bool
	strengths []strength
	// smallest is the least diameter that a grade covers, in mm; zero for a class of ISO 898-1.
	smallest float64
}

// strength holds for nominal diameters up to and including upTo.
type strength struct {
	upTo           float64 // mm
	tensile, proof float64 // MPa
}

// Diameters that ISO 898-1 covers, in mm.
const (
	smallestInClass = 1.6
	largestInClass  = 39
)

// classes is the table of property classes.
//
// Source: ISO 898-1, minimum tensile strength and stress under proof load, by
// public copies; 5.6 and 6.8 from memory.
var classes = []Class{
	{Name: "4.6", strengths: []strength{{largestInClass, 400, 225}}},
	{Name: "4.8", strengths: []strength{{largestInClass, 420, 310}}},
	{Name: "5.6", strengths: []strength{{largestInClass, 500, 280}}},
	{Name: "5.8", strengths: []strength{{largestInClass, 520, 380}}},
	{Name: "6.8", strengths: []strength{{largestInClass, 600, 440}}},
	{Name: "8.8", strengths: []strength{{16, 800, 580}, {largestInClass, 830, 600}}},
	{Name: "9.8", strengths: []strength{{16, 900, 650}}},
	{Name: "10.9", strengths: []strength{{largestInClass, 1040, 830}}},
	{Name: "12.9", strengths: []strength{{largestInClass, 1220, 970}}},
}

// Classes returns the names of the property classes, weakest first.
func Classes() []string {
	out := make([]string, len(classes))
	for i, c := range classes {
		out[i] = c.Name
	}
	return out
}

// ParseClass reads a property class of ISO 898-1, or a grade of SAE J429 or ASTM A193. A class that has its form
// but does not exist gives a *measure.ParseError with the nearest one, a class
// of another standard ("A2-70", "45H", "8" of a nut) ErrNotCovered.
func ParseClass(s string) (Class, error) {
	if c, known, err := parseGrade(s); known {
		return c, err
	}
	word := strings.TrimSpace(s)
	for _, c := range classes {
		if c.Name == word {
			return c, nil
		}
	}
	if word == "" || strings.Trim(word, "0123456789.,") != "" || strings.Trim(word, "0123456789") == "" {
		return Class{}, fmt.Errorf("class %q: %w", s, ErrNotCovered)
	}
	at := strings.Index(s, word)
	return Class{}, &measure.ParseError{
		Input: s, Offset: at, End: at + len(word), Suggest: meant(word), Sure: slices.Contains(Classes(), strings.ReplaceAll(word, ",", ".")),
		Wrong:  say.That("there is no property class %class", say.Name(word)),
		Advice: say.That("The classes are %classes.", say.Each[say.Word](say.Commas, Classes())),
	}
}

// meant returns the class that a mistyped one stands for; empty when none is near.
func meant(word string) string {
	word = strings.ReplaceAll(word, ",", ".")
	if slices.Contains(Classes(), word) {
		return word
	}
	return diagnostic.Nearest(word, Classes())
}

// ofNut returns the class of the bolts that a nut's class is made for, the
// strongest that it can load fully.
//
// Source: ISO 898-2, from memory.
func ofNut(class string) (Class, error) {
	bolts := map[string]string{"4": "4.8", "5": "5.8", "6": "6.8", "8": "8.8", "9": "9.8", "10": "10.9", "12": "12.9"}
	if b, ok := bolts[strings.TrimSpace(class)]; ok {
		return ParseClass(b)
	}
	return ParseClass(class)
}

// Proof returns the stress under proof load in MPa for a nominal diameter in
// mm; 0 for a diameter that the class does not cover.
func (c Class) Proof(diameter float64) float64 { return c.of(diameter).proof }

func (c Class) of(diameter float64) strength {
	least := smallestInClass
	if c.Inch {
		least = c.smallest
	}
	if diameter < least {
		return strength{}
	}
	for _, s := range c.strengths {
		if diameter <= s.upTo {
			return s
		}
	}
	return strength{}
}

// ProofLoad returns the proof load of a thread in newtons, Fp = As · Sp; 0 for
// a diameter that the class does not cover.
//
// Source: ISO 898-1, proof loads, by public copies of its tables.
func ProofLoad(t Thread, c Class) float64 { return t.StressArea() * c.Proof(t.Diameter) }
