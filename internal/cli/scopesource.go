package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/composite"
	"backporch/internal/render"
	"backporch/internal/wavefile"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

// source finds out what the command line names.
func (o *scopeOptions) source(cmd *cobra.Command) (*scopeSource, error) {
	if !strings.ContainsAny(o.Words[0], `./\`) {
		return o.patternSource()
	}
	if len(o.Words) > 1 {
		return nil, usagef("%s is a file and takes no options; %q is one word too many", o.Words[0], o.Words[1])
	}
	if _, ok := wavefile.FormatOf(o.Words[0]); ok {
		return o.waveSource(cmd)
	}
	return o.frameSource(cmd)
}

// patternSource encodes a pattern.
func (o *scopeOptions) patternSource() (*scopeSource, error) {
	if o.RGBRange != "" {
		return nil, usagef("--rgb-range belongs to a file that holds R'G'B', and %s is no file; leave it out", o.Words[0])
	}
	spec := strings.Join(o.Words, " ")
	p, err := pattern.Parse(spec)
	if err != nil {
		return nil, &usageError{err: err}
	}
	job, w, err := o.layoutOnWire(p, spec)
	if err != nil {
		return nil, err
	}
	src := &scopeSource{name: o.Words[0] + "-" + job.Raster.Name + "-" + w.Name, title: spec, subtitle: job.Raster.Name}
	if job.Plan.Player != nil && !job.Plan.Plain() {
		src.subtitle += ", " + render.SetupName(job.Plan)
	}
	src.notes = signalNotes(job)
	return src, o.encode(src, w, job.Raster.Scan, job.Carried)
}

// encode makes the source a signal of frames that carried returns on a
// lattice.
func (o *scopeOptions) encode(src *scopeSource, w *composite.Wire, s *timing.Scan, carried func(*timing.Raster, int) (*frame.Frame, error)) error {
	options, err := o.options(w)
	if err != nil {
		return err
	}
	enc, err := composite.NewEncoder(w, s, options)
	if err != nil {
		return &usageError{err: err}
	}
	src.scan, src.frames = s, w.Sequence(s)
	src.has = fmt.Sprintf("the sequence of %s on %s", w.Name, s.Name)
	src.wave = func(n int, more bool) (*composite.Wave, error) {
		frames := 1
		if more {
			frames = 2 // a field ends in the next frame
		}
		return enc.Encode(n, frames, carried)
	}
	return nil
}

// signalNotes says what the signal does not have as the pattern defines it.
func signalNotes(job *render.Job) (notes []string) {
	if l := job.Lost.Clipped(true); len(l) > 0 && job.Plan.Player != nil {
		notes = append(notes, "clipped: "+clippedText(l))
	}
	if job.Aspect.Cmp(aspect4x3) != 0 {
		notes = append(notes, "laid out for a screen switched to 16:9; the cable carries no signal for it")
	}
	return notes
}
