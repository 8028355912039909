package source

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"matchmark/procedure"
)

// Every column of a register fills a declared field of its row, and every field has its
// column: what compares rows by their fields sees all that an author can write.
func TestColumnsAreTheFieldsOfRows(t *testing.T) {
	rows := map[procedure.RegisterKind]any{
		procedure.VariantRegister: procedure.Variant{}, procedure.PartRegister: procedure.Part{}, procedure.FastenerRegister: procedure.Fastener{},
		procedure.ConnectionRegister: procedure.Connection{}, procedure.FluidRegister: procedure.Fluid{}, procedure.SupportRegister: procedure.Support{},
		procedure.ConditionRegister: procedure.Condition{}, procedure.SourceRegister: procedure.EnergySource{}, procedure.ToolRegister: procedure.Tool{},
	}
	for _, form := range RegisterForms() {
		row, known := rows[form.Kind]
		if !known {
			t.Errorf("the row of the register %s is not known here", form.Kind)
			continue
		}
		var columns, fields []string
		for _, c := range form.Columns {
			if name := c.Name; name == "no" {
				columns = append(columns, "id") // a fastener's name is its callout number
			} else {
				columns = append(columns, name)
			}
		}
		for _, f := range procedure.FieldsOf(reflect.TypeOf(row)) {
			if f.Word != "variants" || form.Kind != procedure.VariantRegister { // a variant is for itself
				fields = append(fields, f.Word)
			}
		}
		slices.Sort(columns)
		slices.Sort(fields)
		if !slices.Equal(columns, fields) {
			t.Errorf("register %s: the columns are %s, the fields %s", form.Kind, strings.Join(columns, " "), strings.Join(fields, " "))
		}
	}
}
