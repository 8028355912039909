package writing

import (
	"errors"
	"net/http"

	"matchmark/compile/assist"
)

// grid is a register as a grid of cells.
type grid struct {
	Kind    string     `json:"kind"`
	Title   string     `json:"title"`
	Columns []column   `json:"columns"`
	Rows    [][]string `json:"rows"`
}

type column struct {
	Name     string  `json:"name"`
	Means    string  `json:"means"`
	Required bool    `json:"required"`
	Several  bool    `json:"several"`
	Values   []value `json:"values"`
}

type value struct {
	Word  string `json:"word"`
	Means string `json:"means"`
}

// openGrid shows the register at a place.
func openGrid(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	g, err := r.gridAt(a)
	if err != nil {
		return nil, err
	}
	out := grid{Kind: g.Kind, Title: g.Title, Rows: g.Rows, Columns: []column{}}
	for _, c := range g.Columns {
		x := column{c.Name, c.Means, c.Required, c.Several, []value{}}
		for _, v := range c.Values {
			x.Values = append(x.Values, value{v.Word, v.Means})
		}
		out.Columns = append(out.Columns, x)
	}
	return out, nil
}

// writeGrid answers with the changes that write other cells.
func writeGrid(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	g, err := r.gridAt(a)
	if err != nil {
		return nil, err
	}
	edits, err := g.Write(a.Rows)
	if err != nil {
		return nil, &Refusal{Problem: "grid", Detail: err.Error(), status: http.StatusUnprocessableEntity}
	}
	return inFiles(edits), nil
}

func (r *Room) gridAt(a *asked) (*assist.Grid, error) {
	at, err := r.place(a)
	if err != nil {
		return nil, err
	}
	g, err := r.asks().Grid(a.File, at)
	switch {
	case errors.Is(err, assist.ErrNoRegister), errors.Is(err, assist.ErrNoFile):
		return nil, &Refusal{Problem: "noregister", Detail: err.Error(), status: http.StatusNotFound}
	case errors.Is(err, assist.ErrFromFile):
		return nil, &Refusal{Problem: "elsewhere", Detail: err.Error(), status: http.StatusConflict}
	}
	return g, err
}

// thing is a thing of the machine, to choose from.
type thing struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Letter   string `json:"letter"`
	Register string `json:"register"`
}

// things lists the things of the machine that a file is about.
func things(r *Room, _ *http.Request, _ http.ResponseWriter, a *asked) (any, error) {
	if err := r.take(a); err != nil {
		return nil, err
	}
	all, err := r.asks().Things(a.File)
	out := []thing{}
	for _, t := range all {
		out = append(out, thing{t.ID, t.Name, t.Letter, t.Register})
	}
	return out, none(err)
}
