package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/encode/y4m"
	"backporch/internal/ffmpeg"
	"backporch/internal/format"
	"backporch/internal/ingest"
	"backporch/internal/wavefile"
	"backporch/timing"
)

// openNames are the formats that are read without a converter.
func openNames() []string { return append(format.Names(), wavefile.Formats()[:3]...) }

// A capture is an open file, and what it says of the pattern that it shows.
type capture struct {
	*ingest.Source
	pattern, raster string // "" if it does not say
	file            io.Closer
}

// Close ends all that is still open.
func (c *capture) Close() {
	c.Source.Close() // what was read has been judged; how the reading ends does not matter
	if c.file != nil {
		c.file.Close()
	}
}

// open opens the capture by its name or --format; what is not read here goes
// through an installed converter.
func (o *checkOptions) open(ctx context.Context) (*capture, error) {
	if err := readable(o.File); err != nil {
		return nil, err
	}
	options, err := o.ingestOptions()
	if err != nil {
		return nil, err
	}
	name := filepath.Base(o.File)
	if o.Format != "" {
		name = "capture." + o.Format
	}
	if kind, ok := wavefile.FormatOf(name); ok {
		if kind == "csv" {
			return nil, usagef("%s: a csv of wave holds a few lines alone; give wave --format wav, s16 or u16. What an oscilloscope exports goes to --scope", o.File)
		}
		return o.openWave()
	}
	if !ingest.Known(name) {
		if o.Format != "" {
			return nil, usagef("--format: %q is no format that is read by name; use one of %s, or leave it out for what ffmpeg reads", o.Format, strings.Join(openNames(), ", "))
		}
		return o.openOther(ctx)
	}
	f, err := os.Open(o.File)
	if err != nil {
		return nil, err
	}
	src, err := ingest.Open(name, f, options)
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: %w", o.File, err)
	}
	c := &capture{Source: src, file: f}
	for _, tag := range src.Tags {
		switch tag[0] {
		case "Pattern":
			c.pattern = tag[1]
		case "Raster":
			c.raster = tag[1]
		}
	}
	return c, nil
}

// ingestOptions are what the file does not say itself.
func (o *checkOptions) ingestOptions() (i ingest.Options, err error) {
	switch o.RGBRange {
	case "", "full":
	case "studio":
		i.Studio = true
	default:
		return i, usagef("--rgb-range: %q is neither full nor studio", o.RGBRange)
	}
	if o.rastered || o.Device != "" {
		_, i.Raster, err = o.lattice()
		if err != nil {
			return i, &usageError{err: err}
		}
	}
	return i, nil
}

// openWave decodes samples of our own, as a set would whose setup switch is
// right.
func (o *checkOptions) openWave() (*capture, error) {
	w, m, err := wavefile.Read(o.File, 0, func(name string) (io.ReadCloser, error) { return os.Open(name) })
	if err != nil {
		return nil, err
	}
	d := &composite.Decoder{Family: w.Wire.Family, Separation: composite.Comb2}
	src, err := ingest.OpenSignal(w, d)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", o.File, err)
	}
	return &capture{Source: src, pattern: m.Pattern, raster: m.Raster}, nil
}

// openOther reads through an installed ffmpeg.
func (o *checkOptions) openOther(ctx context.Context) (*capture, error) {
	tool, err := ffmpeg.Find(ctx)
	var missing *ffmpeg.MissingError
	if errors.As(err, &missing) {
		return nil, fmt.Errorf("%s: only %s are read without a converter: %w", o.File, strings.Join(openNames(), ", "), err)
	}
	if err != nil {
		return nil, err
	}
	src, err := ingest.OpenOther(ctx, tool, o.File)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", o.File, err)
	}
	return &capture{Source: src}, nil
}

// guess names the raster that a capture without one was most probably made of:
// the one of its size and order, else that of the system of its rate, which is
// not certain.
func (c *capture) guess() (name string, certain bool) {
	if c.raster != "" && timing.Lookup(c.raster) != nil {
		return c.raster, true
	}
	found := ""
	for _, r := range timing.Rasters() {
		if r.Width != c.Width || r.Height() != c.Height {
			continue
		}
		if y4m.InterlaceOf(r.Order()) == c.Order {
			return r.Name, true
		}
		if found == "" {
			found = r.Name
		}
	}
	switch rate := c.Rate; {
	case found != "":
		return found, true
	case rate.Num == 0:
		return usualRaster, false
	case near(rate.Float64(), 25), near(rate.Float64(), 50):
		return "576i", false
	default:
		return usualRaster, false
	}
}

func near(a, b float64) bool { return a > 0.99*b && a < 1.01*b }

// isRGB reports a file of R'G'B', which lacks what R'G'B' cannot hold.
func (c *capture) isRGB() bool { return c.Coding != nil && c.Coding.Model == colorimetry.RGB }
