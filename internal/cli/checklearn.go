package cli

import (
	"context"
	"fmt"
	"io"
	"math"
	"time"

	"backporch/internal/check"
	"backporch/internal/composite"
	"backporch/internal/measure"
	"backporch/internal/output"
	"backporch/internal/table"
)

// now is the time of the run, in UTC and whole seconds.
func (o *checkOptions) now() time.Time { return time.Now().UTC().Truncate(time.Second) }

// learn writes a calibration, and prints what the device does.
func (o *checkOptions) learn(ctx context.Context, r *check.Report) error {
	source, color, err := o.source(r)
	if err != nil {
		return err
	}
	c, err := measure.Learn(r.Result, r.Request, source)
	if err != nil {
		return fmt.Errorf("%s: %w", o.File, err)
	}
	if !color {
		c.Chroma = nil // the scope has not seen it
	}
	c.Program, c.Made, c.File, c.Source, c.Pattern, c.Name = r.Program, o.now(), o.File, o.Source, r.Spec, o.Name
	text, err := c.JSON()
	if err != nil {
		return err
	}
	if err := output.File(ctx, o.Learn, o.Force, o.Out, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}); err != nil {
		return err
	}
	return o.print(o.Streams, learned(c, o.Learn))
}

// source is the levels of what the capture device was learned from, and whether
// those of color are among them.
func (o *checkOptions) source(r *check.Report) (known measure.Known, color bool, err error) {
	if o.Source == "exact" {
		return measure.Exact, true, nil
	}
	data, err := readSmall(o.Source)
	if err != nil {
		return nil, false, err
	}
	s, err := check.ParseScope(data)
	if err == nil {
		if w := composite.Lookup(s.Wire); w != nil {
			s.Family = w.Family
		}
		err = s.Check(r)
	}
	if err != nil {
		return nil, false, fmt.Errorf("%s %w", o.Source, err)
	}
	return s.Known, s.ChromaGain != nil, nil
}

// learned is what the device does, for people and programs.
func learned(c *measure.Calibration, path string) *table.Record {
	gain, sigmaGain := c.ChromaGain()
	phase, sigmaPhase := c.Phase()
	orNil := func(p *float64) any {
		if p == nil {
			return nil
		}
		return *p
	}
	rec := &table.Record{Name: "check learn", Fields: []table.Field{
		{Name: "Calibration", Value: path}, {Name: "Source", Value: c.Source}, {Name: "Pattern", Value: c.Pattern}, {Name: "Raster", Value: c.Raster}, {Name: "Frames", Value: c.Frames},
		{Name: "Luma gain", Unit: "%", Decimals: 2, Value: 100 * c.LumaGain},
		{Name: "Luma gain, sigma", Unit: "%", Decimals: 2, Value: 100 * math.Hypot(c.SigmaWhite, c.SigmaBlack)},
		{Name: "Black", Unit: "IRE", Decimals: 2, Value: 100 * c.Black}, {Name: "Black, sigma", Unit: "IRE", Decimals: 2, Value: 100 * c.SigmaBlack},
		{Name: "Off a straight line, at most", Unit: "IRE", Key: "bent_ire", Decimals: 2, Value: 100 * c.Bent},
		{Name: "Chroma gain", Unit: "%", Decimals: 2, Value: 100 * gain}, {Name: "Chroma gain, sigma", Unit: "%", Decimals: 2, Value: 100 * sigmaGain},
		{Name: "Chroma phase", Unit: "deg", Decimals: 2, Value: phase}, {Name: "Chroma phase, sigma", Unit: "deg", Decimals: 2, Value: sigmaPhase},
		{Name: "Shift to the right", Unit: "samples", Key: "shift_samples", Decimals: 2, Value: orNil(c.Shift)},
		{Name: "Shift down", Unit: "rows", Key: "shift_rows", Decimals: 2, Value: orNil(c.Down)},
		{Name: "Luma ends", Unit: "MHz", Decimals: 2, Value: orNil(c.Bandwidth)}, {Name: "Chroma ends", Unit: "MHz", Decimals: 2, Value: orNil(c.ChromaBandwidth)},
		{Name: "Cuts below black", Value: c.CutsBlack}, {Name: "Cuts above white", Value: c.CutsWhite},
	}}
	rec.Notes = []string{"Take the device out of later captures with --via " + path + ". Leave its settings (gain control, brightness, hue, sharpness) as they are; learn it anew when they change, for each raster, and twice a year."}
	if !c.CutsBlack && !c.CutsWhite {
		rec.Notes = append(rec.Notes, "What happens to levels beyond black and white is only known if the pattern has them; bars-eg1 has a level below black.")
	}
	return rec
}
