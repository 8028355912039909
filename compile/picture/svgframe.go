package picture

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"matchmark/procedure/say"
)

// Bounds of a drawing's width and height, in its own units.
const minSide, maxSide = 0.01, 1_000_000

// frame returns a drawing's size in its own units, and writes it down in the
// root element in one way: a view box at 0 0, and the same width and height.
func frame(root *node) (width, height float64, f *Fault) {
	attributes := map[string]string{}
	for _, a := range root.attributes {
		attributes[a.name] = a.value
	}
	if box, stated := attributes["viewBox"]; stated {
		width, height, f = viewBox(box)
	} else {
		width, height = length(attributes["width"]), length(attributes["height"])
	}
	if f == nil && !(isSide(width) && isSide(height)) {
		f = &Fault{Unusable, say.That("states no size"), say.That(`Give its svg element a viewBox such as "0 0 800 600".`)}
	}
	if f != nil {
		return 0, 0, f
	}
	w, h := number(width), number(height)
	root.attributes = slices.DeleteFunc(root.attributes, func(a attribute) bool {
		return slices.Contains([]string{"viewBox", "width", "height", "x", "y", "preserveAspectRatio"}, a.name)
	})
	root.attributes = slices.Insert(root.attributes, 0,
		attribute{"xmlns", svgSpace}, attribute{"viewBox", "0 0 " + w + " " + h}, attribute{"width", w}, attribute{"height", h})
	return width, height, nil
}

// viewBox reads a view box. Balloons count from the top left corner, so it must start at 0 0.
func viewBox(box string) (width, height float64, f *Fault) {
	fields := strings.FieldsFunc(box, func(r rune) bool { return r == ',' || r == ' ' || r == '\t' || r == '\n' || r == '\r' })
	var numbers [4]float64
	if len(fields) != len(numbers) {
		return 0, 0, nil
	}
	for i, field := range fields {
		n, err := strconv.ParseFloat(field, 64)
		if err != nil {
			return 0, 0, nil
		}
		numbers[i] = n
	}
	if numbers[0] != 0 || numbers[1] != 0 {
		return 0, 0, &Fault{Unusable, say.That("has a viewBox that starts at %x %y", say.Name(fields[0]), say.Name(fields[1])),
			say.That("Start it at 0 0, since balloons count from the top left corner.")}
	}
	return numbers[2], numbers[3], nil
}

// length reads a width or height and returns it in CSS pixels; NaN when it is
// none or relative.
//
// Source: CSS Values and Units Level 4, absolute lengths, from memory.
func length(value string) float64 {
	units := []struct {
		name   string
		pixels float64
	}{{"px", 1}, {"mm", 96 / 25.4}, {"cm", 96 / 2.54}, {"in", 96}, {"pt", 96.0 / 72}, {"pc", 16}, {"", 1}}
	for _, unit := range units {
		digits, is := strings.CutSuffix(value, unit.name)
		if n, err := strconv.ParseFloat(digits, 64); is && err == nil {
			return math.Round(n*unit.pixels*100) / 100
		}
	}
	return math.NaN()
}

func isSide(n float64) bool { return n >= minSide && n <= maxSide }

func number(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }
