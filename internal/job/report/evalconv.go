package report

import (
	"errors"
	"fmt"
	"math"

	"backporch/internal/geometry"
	"backporch/internal/job"
	"backporch/internal/table"
)

// convergence is misconvergence at zones.
func (r *Result) convergence(g *Given) error {
	height := g.pictureMM(r.M)
	if height == 0 {
		return errors.New("misconvergence is held against the height of the picture, which is not known: give the size of the screen with the set")
	}
	tube := geometry.Tube{Height: height, Delta: g.Set != nil && g.Set.Guns == job.Delta}
	tube.Line, _ = g.LineMM(r.M) // 0 where the raster is not known
	for _, o := range r.M.Offsets {
		r.Offsets = append(r.Offsets, geometry.Offset{Zone: o.Zone, Gun: o.Gun, Right: o.Right, Down: o.Down})
	}
	m, err := geometry.Convergence(r.Offsets, tube)
	if err != nil {
		return err
	}
	r.PictureMM = height
	// Both ends of a distance are read, to a fifth of what a ruler is.
	mm := geometry.ReadingError / 5
	hold := func(j Judged, sigma float64) {
		j.Sigma, j.Across, j.Basis = sigma, sigma, fmt.Sprintf("assumed: an offset is read to %.4g mm (common practice)", mm)
		r.hold(g, j)
	}
	worst := math.Inf(-1)
	for _, z := range m.Zones {
		if z.Zone.Central {
			hold(Judged{Key: "convergence-center", Limit: job.LimitConvergenceCenter, Name: "Misconvergence, middle", Unit: "% of picture height", Decimals: 2, Value: m.Center.Percent}, 100*mm/height)
		}
		worst = math.Max(worst, z.Farthest.MM)
	}
	if m.At != "" {
		hold(Judged{Key: "convergence-edge", Limit: job.LimitConvergenceEdge, Name: "Misconvergence, worst of the outer zones", Unit: "% of picture height", Decimals: 2, Value: m.Edge.Percent}, 100*mm/height)
	}
	hold(Judged{Key: "convergence-mm", Limit: job.LimitConvergenceMM, Name: "Misconvergence, worst of all zones", Unit: "mm", Decimals: 2, Value: worst}, mm)
	for _, v := range []struct {
		gun   string
		known bool
		v     geometry.Vector
	}{{"red", m.RedKnown, m.Red}, {"blue", m.BlueKnown, m.Blue}} {
		if v.known {
			hold(Judged{Key: "static-" + v.gun + "-right", Minor: true, Name: "Middle, " + v.gun + " lines right of green", Unit: "mm", Decimals: 2, Value: v.v.Right}, mm)
			hold(Judged{Key: "static-" + v.gun + "-down", Minor: true, Name: "Middle, " + v.gun + " lines below green", Unit: "mm", Decimals: 2, Value: v.v.Down}, mm)
		}
	}
	if m.HasDynamic {
		hold(Judged{Key: "convergence-dynamic", Minor: true, Name: "Worst zone once the middle is right", Unit: "mm", Decimals: 2, Value: m.Dynamic.MM}, mm)
	}
	for _, t := range m.Terms {
		if t.Known {
			r.hold(g, Judged{Key: t.Key, Minor: true, Name: t.Name, Unit: t.Unit, Decimals: 2, Value: t.Value, Sigma: t.Sigma, Across: t.Sigma,
				Basis: fmt.Sprintf("assumed: an offset is read to %.4g mm (common practice)", mm)})
		}
	}
	r.Tables = append(r.Tables, zoneTable(m))
	r.Words = append(r.Words, m.Notes...)
	return nil
}

// pictureMM is the height of the picture on the glass: of the screen that was
// measured, else of the diagonal; 0 where neither is known.
func (g *Given) pictureMM(m *job.Measurement) float64 {
	switch {
	case m.Edges != nil && m.Edges.Height > 0:
		return m.Edges.Height
	case g.Set != nil && g.Set.DiagonalMM > 0:
		wide := 4. / 3
		if g.Set.Aspect == "16:9" {
			wide = 16. / 9
		}
		return g.Set.DiagonalMM / math.Hypot(1, wide)
	}
	return 0
}

// zoneTable is each zone in the units that people use.
func zoneTable(m *geometry.Misconvergence) *table.Table {
	t := &table.Table{Name: "zones", Title: "Misconvergence by zone", Columns: []table.Column{{Name: "Zone"},
		{Name: "Red right", Unit: "mm", Decimals: 2}, {Name: "Red down", Unit: "mm", Decimals: 2},
		{Name: "Blue right", Unit: "mm", Decimals: 2}, {Name: "Blue down", Unit: "mm", Decimals: 2},
		{Name: "Farthest pair"}, {Name: "Apart", Unit: "mm", Decimals: 2}, {Name: "Apart", Unit: "lines", Decimals: 1},
		{Name: "Apart", Unit: "% of height", Key: "apart_percent_of_height", Decimals: 2}}}
	for _, z := range m.Zones {
		row := []any{z.Zone.Name, nil, nil, nil, nil, z.Pair, z.Farthest.MM, nil, z.Farthest.Percent}
		if z.Red != nil {
			row[1], row[2] = z.Red.Right, z.Red.Down
		}
		if z.Blue != nil {
			row[3], row[4] = z.Blue.Right, z.Blue.Down
		}
		if z.Farthest.Lines > 0 {
			row[7] = z.Farthest.Lines
		}
		t.Add(row...)
	}
	return t
}
