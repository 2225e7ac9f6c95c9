package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/composite"
	"backporch/internal/wavefile"
	"backporch/timing"
)

// drawing are the flags that say how a signal is drawn; the others say how it is
// made.
var drawing = []string{"view", "line", "field", "signal", "units", "targets", "width", "format", "output", "force"}

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
	if _, err := os.Stat(path); err != nil {
		return nil, err
	}
	side, err := os.ReadFile(wavefile.SidecarName(path))
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
