package site

import (
	"encoding/json"
	"fmt"

	"matchmark/compile/page"
	"matchmark/procedure"
)

// partsData is what the step view tells of a thing that somebody taps in a figure: its row of the machine's register. It is a
// script beside the machine's page, because a page opened from a folder may not fetch, and one for all jobs on the machine.
type partsData struct {
	Titles []string `json:"titles"`
	// Rows are by a thing's id: pairs of a title's place in Titles and what stands there.
	Rows map[string][][2]any `json:"rows"`
}

// emitParts writes that script.
func (e *emitter) emitParts(m *procedure.Machine, r *registers) error {
	if e.out == nil {
		return nil
	}
	data := partsData{Titles: []string{}, Rows: map[string][][2]any{}}
	places := map[string]int{}
	for _, register := range []table{r.parts(), r.fasteners(), r.connections(), r.fluids(), r.supports(), r.tools()} {
		for i := range register.rows {
			row := &register.rows[i]
			var told [][2]any
			for c, title := range register.titles {
				text := r.toldOf(row.Thing, title, row.Cells[c].Text)
				if text == "" {
					continue
				}
				if _, there := places[title]; !there {
					places[title] = len(data.Titles)
					data.Titles = append(data.Titles, title)
				}
				told = append(told, [2]any{places[title], text})
			}
			data.Rows[row.Thing] = told
		}
	}
	content, err := json.Marshal(data)
	if err != nil {
		return fmt.Errorf("registers of %s: %w", m.ID, err)
	}
	return e.out.Write(page.PartsPath(m), append(append([]byte("matchmark.registers = "), content...), ";\n"...))
}

// toldOf is what a cell tells somebody at the bench: of a torque also its other unit, its passes and its tolerance, which
// columns of their own need not say again; a name and a number stand above.
func (r *registers) toldOf(id, title, text string) string {
	column := func(key string) bool { return title == r.words.T("column."+key) }
	switch {
	case column("name"), column("no"), column("letter"):
		return ""
	}
	f := r.machine.Thing(id).Fastener
	switch {
	case f == nil || f.Torque.IsZero():
		return text
	case column("torque"):
		return r.shell.Tightening(f)
	case column("tolerance"), column("stages"), column("angle"):
		return ""
	}
	return text
}
