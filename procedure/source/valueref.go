package source

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"matchmark/procedure"
	"matchmark/procedure/measure"
)

// A value of a register in code marks, such as `17.torque` or `gearbox.mass`, is printed from its row: it stands in
// one place and is right in all.

var valueForm = regexp.MustCompile(`^(?:[a-z][a-z0-9-]*|[1-9][0-9]{0,2})\.[a-z][a-z-]*$`)

// isValueRef reports whether words in code marks name a value of a register.
func isValueRef(words string) bool {
	return strings.Contains(words, ".") && valueForm.MatchString(words)
}

// valueWords returns a value of a row as it is printed; empty when there is no such row or value.
func valueWords(ref string, m *procedure.Machine) string {
	id, column, found := strings.Cut(ref, ".")
	if !found || m == nil {
		return ""
	}
	t := m.Thing(id)
	if t == nil {
		return ""
	}
	words := ""
	_, row := t.Register()
	procedure.EachField(row, func(f *procedure.Field, value any) {
		if f.Word == column {
			words = Printed(value, m)
		}
	})
	return words
}

// Printed is a field of a row in words: a quantity as its author wrote it, a torque in both units, names as what people call the things. It is empty for what
// has no words of its own. The value is a pointer to the field.
func Printed(value any, m *procedure.Machine) string {
	switch v := value.(type) {
	case *measure.Quantity:
		return printedQuantity(*v)
	case *[]measure.Quantity:
		var all []string
		for _, q := range *v {
			all = append(all, printedQuantity(q))
		}
		return strings.Join(all, ", ")
	case *string:
		return *v
	case *int:
		if *v > 0 {
			return strconv.Itoa(*v)
		}
	case *[]procedure.Ref:
		var names []string
		for _, r := range *v {
			name := r.ID
			if t := m.Thing(r.ID); t != nil {
				name = t.Row.Name
			}
			names = append(names, name)
		}
		return strings.Join(names, ", ")
	}
	return ""
}

// printedQuantity is a quantity as its author wrote it, a torque in newton metres and in pound-force feet, of which the
// one that was not written has three digits, as on the pages.
func printedQuantity(q measure.Quantity) string {
	if q.IsZero() {
		return ""
	}
	other := ""
	if q.Dimension() == measure.Torque {
		switch q.Unit() {
		case "N·m":
			other = "lbf·ft"
		default:
			other = "N·m"
		}
	}
	if other == "" {
		return q.String()
	}
	x := q.Float(other)
	places := max(2-int(math.Floor(math.Log10(x))), 0)
	number := strconv.FormatFloat(x, 'f', places, 64)
	if places > 0 {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return q.String() + " (" + number + " " + other + ")"
}
