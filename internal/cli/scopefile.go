package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/composite"
	"backporch/internal/format"
	"backporch/internal/ingest"
	"backporch/internal/wavefile"
	"backporch/pattern/frame"
	"backporch/timing"
)

// mostJSON is more than any of our own descriptions has, bytes.
const mostJSON = 16 << 20

// readSmall reads a whole file that is no picture.
func readSmall(path string) ([]byte, error) {
	f, err := openFile(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, mostJSON))
}

// openFile opens a file that the user named.
func openFile(path string) (*os.File, error) {
	if err := readable(path); err != nil {
		return nil, err
	}
	return os.Open(path)
}

// readable reports a path that is no file.
func readable(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("the file %s does not exist; check its name and folder", path)
	case err != nil:
		return err
	case info.IsDir():
		return fmt.Errorf("%s is a folder; name a file in it", path)
	}
	return nil
}

// drawing are the flags that say how a signal is drawn; the others say how it is
// made.
var drawing = []string{"help", "view", "line", "field", "signal", "units", "targets", "width", "format", "output", "force"}

// waveSource reads a file of samples, which is a signal already.
func (o *scopeOptions) waveSource(cmd *cobra.Command) (src *scopeSource, err error) {
	path := o.Words[0]
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if err == nil && !slices.Contains(drawing, f.Name) {
			err = usagef("--%s says how a signal is made, and %s is one already; leave it out", f.Name, path)
		}
	})
	if err != nil {
		return nil, err
	}
	if err := readable(path); err != nil {
		return nil, err
	}
	if name, _ := wavefile.FormatOf(path); name == "csv" {
		return nil, usagef("%s: scope reads no csv, which holds a few lines alone; give wave --format wav, s16 or u16", path)
	}
	side, err := os.ReadFile(wavefile.SidecarName(path))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s cannot be read without its description %s, which wave writes beside it; put both into one folder", path, wavefile.SidecarName(path))
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be read without its description: %w", path, err)
	}
	m, err := wavefile.Parse(side)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", wavefile.SidecarName(path), err)
	}
	base := filepath.Base(path)
	src = &scopeSource{
		name:     strings.TrimSuffix(base, filepath.Ext(base)),
		title:    base,
		subtitle: strings.Trim(m.Pattern+", "+m.Raster, ", "),
		scan:     timing.LookupScan(m.Scan), // Parse has looked it up, too
		first:    (m.ColorField - 1) / m.Fields,
		frames:   m.Frames, has: path,
	}
	src.wave = func(frame int, more bool) (*composite.Wave, error) {
		frames := frame - src.first + 1
		if more {
			frames++
		}
		w, _, err := wavefile.Read(path, frames, func(name string) (io.ReadCloser, error) { return os.Open(name) })
		return w, err
	}
	return src, nil
}

// patternOnly are the flags that lay out a pattern, and not a picture that is
// laid out already.
var patternOnly = []string{"aspect", "edges", "single-line"}

// frameSource reads a picture and encodes what a player makes of it.
func (o *scopeOptions) frameSource(cmd *cobra.Command) (*scopeSource, error) {
	path := o.Words[0]
	for _, name := range patternOnly {
		if cmd.Flags().Changed(name) {
			return nil, usagef("--%s lays out a pattern, and %s is a picture; leave it out", name, path)
		}
	}
	if _, err := format.ForPath(path); err != nil {
		return nil, usagef("%s is neither a pattern nor a file that scope reads; it reads .%s and pictures: %s",
			path, strings.Join(wavefile.Formats()[:3], ", ."), strings.Join(format.Names(), " "))
	}
	options := ingest.Options{Studio: o.RGBRange == "studio"}
	if o.RGBRange != "" && o.RGBRange != "full" && !options.Studio {
		return nil, usagef("--rgb-range: %q is neither full nor studio", o.RGBRange)
	}
	if cmd.Flags().Changed("raster") {
		v, err := o.read(nil, false)
		if err != nil {
			return nil, err
		}
		options.Raster = v.Raster
	}
	f, err := openFile(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	p, err := ingest.Read(path, f, options)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	o.Raster = p.Raster.Name
	v, w, err := o.onWire(nil)
	if err != nil {
		return nil, err
	}
	if v.Plan.Player != nil && v.Plan.Player != v.Plan.Wire {
		return nil, usagef("%s holds what it holds, and the player makes its own levels of it: name these with --wire alone", path)
	}
	if w == nil {
		w = composite.Usual(p.Raster.Scan)
	}
	base := filepath.Base(path)
	src := &scopeSource{
		name:     strings.TrimSuffix(base, filepath.Ext(base)) + "-" + w.Name,
		title:    base,
		subtitle: "played as " + p.Raster.Name,
	}
	return src, o.encode(src, w, p.Raster.Scan, func(r *timing.Raster, _ int) (*frame.Frame, error) { return p.On(r), nil })
}
