package report

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"backporch/internal/geometry"
	"backporch/internal/job"
	"backporch/internal/table"
)

// geometry is ruler positions: the terms of the raster.
func (r *Result) geometry(g *Given) error {
	if r.M.Edges == nil {
		return errors.New("the size of the visible screen is missing: read its width and height in mm with the ruler positions")
	}
	if g.Nominal == nil || !(g.Picture > 0) {
		return errors.New("it is not known where the lines of the crosshatch belong: the raster of the set is missing")
	}
	fit, err := geometry.Analyze(points(r.M.Rulers, g), geometry.Screen{Width: r.M.Edges.Width, Height: r.M.Edges.Height, Picture: g.Picture})
	if err != nil {
		return err
	}
	r.Fit = fit
	limits := map[string]string{
		"worst-inside": job.LimitGeometryCenter, "worst-outside": job.LimitGeometryEdge,
		"linearity-across": job.LimitLinearity, "linearity-down": job.LimitLinearity,
		"center-right": job.LimitCentering, "center-down": job.LimitCentering,
	}
	for _, t := range fit.Terms {
		if t.Few {
			r.untold(g, Judged{Key: t.Key, Limit: limits[t.Key], Name: t.Name, Unit: t.Unit, Text: "too few points"})
		}
		if !t.Known {
			continue
		}
		decimals := 2
		if t.Unit == "mm" {
			decimals = 1
		}
		minor := limits[t.Key] == "" && t.Key != "width" && t.Key != "height"
		name := t.Name
		if strings.HasSuffix(t.Key, "-screen") {
			name += " against the screen"
		}
		r.hold(g, Judged{Key: t.Key, Minor: minor, Limit: limits[t.Key], Name: name, Unit: t.Unit, Decimals: decimals, Value: t.Value,
			Sigma: t.Sigma, Across: t.Sigma, Basis: rulerBasis()})
	}
	r.overscan(g)
	r.Tables = append(r.Tables, termTable(fit))
	r.geometryWords(fit)
	r.Words = append(r.Words, fit.Notes...)
	return nil
}

// points are the readings beside where they should be.
func points(rulers []job.Ruler, g *Given) (list []geometry.Point) {
	read := func(v *float64) float64 {
		if v == nil {
			return math.NaN()
		}
		return *v
	}
	for _, u := range rulers {
		x, y := g.Nominal(u.Column, u.Row)
		list = append(list, geometry.Point{X: x, Y: y, Across: read(u.Across), Down: read(u.Down)})
	}
	return list
}

// overscan is the spread between the four sides, where all are known.
func (r *Result) overscan(g *Given) {
	var v []float64
	sigma := 0.0
	for _, side := range []string{"left", "right", "top", "bottom"} {
		if t := r.Fit.Term("overscan-" + side); t != nil && t.Known {
			v, sigma = append(v, t.Value), max(sigma, t.Sigma)
		}
	}
	if len(v) == 4 {
		r.hold(g, Judged{Key: "overscan-spread", Limit: job.LimitOverscanSpread, Name: "Overscan, largest side less smallest", Unit: "%", Decimals: 2,
			Value: slices.Max(v) - slices.Min(v), Sigma: sigma * math.Sqrt2, Across: sigma * math.Sqrt2, Basis: rulerBasis()})
	}
}

// geometryWords names the controls of what is largest.
func (r *Result) geometryWords(fit *geometry.Fit) {
	var list []geometry.Term
	for _, t := range fit.Terms {
		if t.Known && t.Controls != "" && !strings.HasPrefix(t.Key, "overscan-") && t.Unit == "% of picture height" && math.Abs(t.Value) >= 0.5 && math.Abs(t.Value) > 3*t.Sigma {
			list = append(list, t)
		}
	}
	slices.SortStableFunc(list, func(a, b geometry.Term) int { return cmp.Compare(math.Abs(b.Value), math.Abs(a.Value)) })
	for _, t := range list[:min(len(list), 4)] {
		r.say("%s is %s (%s). Look to: %s.", t.Name, withUnit(trimmed(t.Value, 1), t.Unit), t.Means, t.Controls)
	}
}

// termTable is each term and where it is set.
func termTable(fit *geometry.Fit) *table.Table {
	t := &table.Table{Name: "terms", Title: "Terms of the raster", Columns: []table.Column{{Name: "Term"}, {Name: "Value", Decimals: 2}, {Name: "Sigma", Decimals: 2},
		{Name: "Unit"}, {Name: "Controls"}}}
	for _, term := range fit.Terms {
		if term.Known {
			t.Add(term.Name, term.Value, term.Sigma, term.Unit, orNil(term.Controls))
		}
	}
	return t
}

// regulation is the size of the picture at several mean levels.
func (r *Result) regulation(g *Given) error {
	var sizes []geometry.Size
	for _, v := range r.M.Sizes {
		sizes = append(sizes, geometry.Size{Level: v.Level / 100, Width: v.Width, Height: v.Height})
	}
	found, err := geometry.Regulate(sizes, 0)
	if err != nil {
		return err
	}
	worst, sigma := 0.0, 0.0
	hold := func(name string, has bool, change, noise float64) {
		if !has {
			return
		}
		r.hold(g, Judged{Key: "regulation-" + name, Minor: true, Name: "Change of " + name + ", dark to bright", Unit: "%", Decimals: 2, Value: change, Sigma: noise, Across: noise, Basis: rulerBasis()})
		if math.Abs(change) >= worst {
			worst, sigma = math.Abs(change), noise
		}
	}
	hold("width", found.HasWidth, found.Width, found.WidthSigma)
	hold("height", found.HasHeight, found.Height, found.HeightSigma)
	r.hold(g, Judged{Key: "regulation", Limit: job.LimitRegulation, Name: "Picture size, change with beam current", Unit: "%", Decimals: 2, Value: worst, Sigma: sigma, Across: sigma, Basis: rulerBasis()})
	if r.find("regulation").Out {
		r.say("The picture breathes with beam current. Look to: %s. It is service work near high voltage.", found.Controls)
	}
	return nil
}

func rulerBasis() string {
	return fmt.Sprintf("assumed: a ruler reads to %.4g mm (common practice)", geometry.ReadingError)
}
