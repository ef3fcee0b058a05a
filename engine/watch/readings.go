package watch

import (
	"io"

	"candelua/engine/progress"
	"candelua/engine/report"
	"candelua/engine/result"
)

// Names of what is made of readings.
const (
	readingsName  = "Readings so far"
	longInMinutes = 600 // seconds from which a time is in minutes
	wideOnLog     = 100 // the ratio of luminances from which they are drawn on a logarithmic scale
)

// readingsOf makes a table of readings, and its drawing: luminance against time.
func readingsOf(all []progress.Mean) (*result.Table, drawing) {
	unit, per := "s", 1.0
	if all[len(all)-1].Seconds >= longInMinutes {
		unit, per = "min", 60
	}
	r := result.New()
	t, err := r.Table(readingsName, "", []result.Column{{Name: "step"}, {Name: "time", Unit: unit}, {Name: "luminance", Unit: "cd/m²"}, {Name: "patch"}})
	if err != nil {
		panic(err) // its names are ours
	}
	least, most := all[0].Y, all[0].Y
	for i, m := range all {
		row := map[string]any{"step": float64(m.Step), "time": m.Seconds / per, "luminance": m.Y}
		if i >= len(all)-mostRows { // the others are only drawn
			row["patch"] = m.Patch()
		}
		if t.Add(row) != nil {
			continue // no finite number
		}
		least, most = min(least, m.Y), max(most, m.Y)
	}
	p := &result.Plot{ID: "readings-so-far", Title: readingsName, Table: t.ID, X: "time", Y: []string{"luminance"}, LogY: least > 0 && most > wideOnLog*least}
	return t, drawing{p.ID, p.Title, func(w io.Writer) error { return report.PlotSVG(w, t, p, report.PointsOf(1)) }}
}
