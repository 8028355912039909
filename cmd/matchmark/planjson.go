package main

import (
	"math"

	"matchmark/procedure"
	"matchmark/procedure/room"
	"matchmark/procedure/sessions"
)

// planJSON is a plan for scripts. All times are minutes; those within a session
// count from its start.
type planJSON struct {
	ID         string         `json:"id"`
	Title      string         `json:"title"`
	Rules      rulesJSON      `json:"rules"`
	Expected   float64        `json:"expected"`
	Deviation  float64        `json:"deviation"`
	Sessions   []sessionJSON  `json:"sessions"`
	Obstacles  []obstacleJSON `json:"obstacles"`
	UnsafeEnds []stepJSON     `json:"unsafeEnds"`
	TooFew     []string       `json:"tooFewPeople"`
}

type rulesJSON struct {
	Session    float64 `json:"session"`
	SetUp      float64 `json:"setUp"`
	ClearDown  float64 `json:"clearDown"`
	Break      float64 `json:"break"`
	BreakEvery float64 `json:"breakEvery"`
	Confidence float64 `json:"confidence"`
	CommonPace float64 `json:"commonPace"`
	Teams      int     `json:"teams"`
	Start      string  `json:"start"`
	People     int     `json:"people"`
}

type sessionJSON struct {
	Number     int       `json:"number"`
	End        float64   `json:"end"`
	CarefulEnd float64   `json:"carefulEnd"`
	Overrun    float64   `json:"overrun"`
	AllKeep    float64   `json:"allKeep"`
	Rows       []rowJSON `json:"rows"`
	// Apart is by how much each team starts after the one before, Visits are the hold points that the trainer signs.
	Apart  float64     `json:"apart"`
	Visits []visitJSON `json:"visits"`
}

type visitJSON struct {
	Team int       `json:"team"`
	Due  float64   `json:"due"`
	Item string    `json:"item"`
	Step *stepJSON `json:"step"`
	// Wait is for how long the team waits for the trainer.
	Wait float64 `json:"wait"`
}

type rowJSON struct {
	Kind  sessions.RowKind `json:"kind"`
	Start float64          `json:"start"`
	End   float64          `json:"end"`
	Clock string           `json:"clock"`
	// Latest is there on checkpoints only.
	Latest *float64      `json:"latest,omitempty"`
	Item   string        `json:"item,omitempty"`
	Step   *stepJSON     `json:"step,omitempty"`
	Stop   sessions.Stop `json:"stop,omitempty"`
}

// stepJSON is a step of a procedure, on one variant.
type stepJSON struct {
	Procedure string `json:"procedure"`
	Variant   string `json:"variant,omitempty"`
	ID        string `json:"id"`
	Number    int    `json:"number"`
	Title     string `json:"title"`
}

type obstacleJSON struct {
	Item    string     `json:"item"`
	From    *stepJSON  `json:"from,omitempty"`
	To      *stepJSON  `json:"to,omitempty"`
	Needs   float64    `json:"needs"`
	Stops   []stepJSON `json:"stops"`
	Others  []stepJSON `json:"others"`
	TooLong []longJSON `json:"tooLong"`
}

type longJSON struct {
	Item  string    `json:"item"`
	From  *stepJSON `json:"from,omitempty"`
	To    *stepJSON `json:"to,omitempty"`
	Needs float64   `json:"needs"`
	Hangs string    `json:"hangs,omitempty"`
}

func (w *planWriter) json() planJSON {
	r := w.plan.Rules
	out := planJSON{
		ID: w.course.ID, Title: w.course.Title, Expected: hundredths(w.plan.Expected), Deviation: hundredths(w.plan.Deviation),
		Rules: rulesJSON{r.Length, r.SetUp, r.ClearDown, r.Break.Length, r.Break.Every, r.Confidence, r.CommonPace, w.course.Pace.Teams, r.Clock(0), w.course.Pace.People},
		// Lists are lists, also when they are empty.
		Sessions: []sessionJSON{}, Obstacles: []obstacleJSON{}, UnsafeEnds: []stepJSON{}, TooFew: english(w.short()),
	}
	for _, s := range w.plan.Sessions {
		session := sessionJSON{Number: s.Number, End: hundredths(s.End), CarefulEnd: hundredths(s.CarefulEnd), Overrun: math.Round(1e6*s.Overrun) / 1e6}
		for _, row := range s.Rows {
			j := rowJSON{Kind: row.Kind, Start: hundredths(row.Start), End: hundredths(row.End), Clock: r.Clock(row.Start), Stop: row.Stop}
			if row.Checkpoint {
				latest := hundredths(row.Latest)
				j.Latest = &latest
			}
			if row.Item != nil {
				j.Item, j.Step = row.Item.Title, stepForJSON(row.Job, row.Step)
			}
			session.Rows = append(session.Rows, j)
		}
		c := w.class(&s)
		session.AllKeep = math.Round(1e6*s.AllKeep(c.Teams, c.Apart)) / 1e6
		session.Apart, session.Visits = c.Apart, []visitJSON{}
		visits := c.Visits()
		clashes := room.Clashes(visits, room.Signing)
		for _, v := range visits {
			j := visitJSON{Team: v.Team, Due: hundredths(v.Due), Item: v.Item.Title, Step: stepForJSON(v.Item.Job, v.Step)}
			if len(clashes) > 0 && clashes[0].Second == v {
				j.Wait = hundredths(clashes[0].Wait)
				clashes = clashes[1:]
			}
			session.Visits = append(session.Visits, j)
		}
		out.Sessions = append(out.Sessions, session)
	}
	for _, o := range w.plan.Obstacles {
		j := obstacleJSON{
			Item: o.Item.Title, From: stepForJSON(o.Item.Job, o.From), To: stepForJSON(o.Item.Job, o.To), Needs: hundredths(o.Needs),
			Stops: proposalsForJSON(o.Stops), Others: proposalsForJSON(o.Others), TooLong: []longJSON{},
		}
		for _, l := range o.TooLong {
			long := longJSON{Item: l.Item.Title, From: stepForJSON(l.Item.Job, l.From), To: stepForJSON(l.Item.Job, l.To), Needs: hundredths(l.Needs)}
			if l.Hangs != nil {
				long.Hangs = l.Hangs.ID
			}
			j.TooLong = append(j.TooLong, long)
		}
		out.Obstacles = append(out.Obstacles, j)
	}
	for _, x := range w.plan.Breaches {
		out.UnsafeEnds = append(out.UnsafeEnds, *stepForJSON(x.Item.Job, x.Step))
	}
	return out
}

func proposalsForJSON(all []sessions.Proposal) []stepJSON {
	out := make([]stepJSON, 0, len(all))
	for _, p := range all {
		out = append(out, *stepForJSON(p.Item.Job, p.Step))
	}
	return out
}

func stepForJSON(job *procedure.Job, s *procedure.Step) *stepJSON {
	if s == nil {
		return nil
	}
	out := &stepJSON{Procedure: job.Procedure.ID, ID: s.ID, Number: s.Number, Title: s.Title}
	if job.Variant != nil {
		out.Variant = job.Variant.ID
	}
	return out
}

// hundredths rounds a time to hundredths of a minute, so that no machine's last digit shows.
func hundredths(minutes float64) float64 { return math.Round(100*minutes) / 100 }
