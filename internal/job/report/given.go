package report

import (
	"errors"
	"fmt"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/meter"
)

// Given is what the readings of a set are held against.
type Given struct {
	Set  *job.Set
	Plan *job.Plan // tolerances; nil: nothing is judged
	// Guns is the last reading of the red, green and blue fields: the light of
	// these guns is taken instead of the set's named primaries. Nil: none.
	Guns *job.Measurement
	// Gamma is that of the tube, for bars of the blue gun alone; 0: 2.4.
	Gamma float64
	// Nominal says where a crossing of the crosshatch belongs: picture heights
	// from the middle of the picture, x right and y down. Column and row count
	// from the middle lines. Nil: geometry cannot be judged.
	Nominal func(column, row int) (x, y float64)
	Picture float64 // width of the whole picture in picture heights
	Lines   int     // lines of the picture, both fields, for line widths; 0: not known
	System  string  // "525" or "625"
}

// limit is the tolerance of that key, or nil.
func (g *Given) limit(key string) *job.Limit {
	if g.Plan == nil || key == "" {
		return nil
	}
	for i := range g.Plan.Limits {
		if g.Plan.Limits[i].Key == key {
			return &g.Plan.Limits[i]
		}
	}
	return nil
}

// most is the upper bound of the tolerance of that key, or nil.
func (g *Given) most(key string) *float64 {
	if l := g.limit(key); l != nil {
		return l.Max
	}
	return nil
}

// options are what light is held against.
func (g *Given) options() (o meter.Options, err error) {
	if g.Set == nil {
		return o, errors.New("there is no description of the set: give one with `backporch job set`")
	}
	if o.Target, err = colorimetry.ParseWhite(g.Set.White); err != nil {
		return o, fmt.Errorf("target white of the set: %w", err)
	}
	if o.Primaries, err = colorimetry.ParsePrimaries(g.Set.Primaries); err != nil {
		return o, fmt.Errorf("primaries of the set: %w", err)
	}
	if err := o.Primaries.CanMake(o.Target); err != nil {
		return o, err
	}
	o.Measured = g.measured()
	return o, nil
}

// measured is the light of the three fields less the black that was read with
// them, or nil where they do not say it.
func (g *Given) measured() *[3]colorimetry.XYZ {
	if g.Guns == nil {
		return nil
	}
	f, err := meter.Guns(samples(g.Guns.Light))
	if err != nil {
		return nil
	}
	light := f.Light()
	return &light
}

// samples are readings as the meter's package takes them.
func samples(light []job.Light) (list []meter.Sample) {
	for _, l := range light {
		list = append(list, meter.Sample{Level: l.Level / 100, Name: l.Name, XYZ: colorimetry.XYZ{X: l.X, Y: l.Y, Z: l.Z}, Given: l.Given})
	}
	return list
}

// aspect is the width of the picture in heights, for drawings.
func (g *Given) aspect() float64 {
	switch {
	case g.Picture > 0.5 && g.Picture < 3:
		return g.Picture
	case g.Set != nil && g.Set.Aspect == "16:9":
		return 16. / 9
	}
	return 4. / 3
}
