package cli

import (
	"context"
	"fmt"
	"image/png"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/composite"
	"backporch/internal/output"
	"backporch/internal/scope"
	"backporch/timing"
)

type scopeOptions struct {
	*Streams
	pictureFlags
	signalFlags

	Words []string // of the pattern's one-line spelling, or a file

	View    string
	Line    int
	Field   int
	Channel string
	Units   string
	Targets int
	Width   int
	Format  string

	RGBRange string
	Output   string
	Force    bool
}

// newScope returns the scope command. Tests pass runF to see the parsed
// options without doing the work.
func newScope(s *Streams, runF func(context.Context, *scopeOptions) error) *cobra.Command {
	o := &scopeOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "scope PATTERN|FILE [NAME=VALUE]...",
		Short: "Draw what a waveform monitor and a vectorscope show",
		Long: `Draw what a waveform monitor or a vectorscope shows of a pattern's signal, as a
PNG or SVG picture for the bench: set your own instrument beside it. The trace
is computed from the samples of the encoded signal, the graticule from the
numbers of the standards.

  line     one line, with its sync and burst (--line, else the middle one)
  lines    all picture lines over each other
  field    a whole field, with the vertical interval
  parade   the signals of a Y/C, component or RGB wire side by side
  vector   the vectorscope, locked to the burst: targets with their tolerances

FILE is a file of samples with its description, as wave writes it, or a picture:
.y4m, .png, .bmp, or with --raster .bt656 and raw frames such as .uyvy. Of a video
the first frame is drawn. It is taken as a player shows it that puts it out one
to one: its samples are those of the raster, and between them is what a player's
filter makes, a sinc of their band; --wire names the levels that the player makes.

Without --wire the signal is composite: with 7.5 IRE setup on 525 lines, PAL on
625. The levels on the picture hold for a cable that ends in 75 ohm: without the
termination everything is twice as high, with two of them two thirds.

` + caution,
		Example: "  backporch scope bars-full\n  backporch scope bars-eg1 --view vector --setup 0\n  backporch scope bars-full set=100/0/75/0 --raster 576i --view parade --wire component-n10 -o n10.svg",
		GroupID: "know",
		Args:    spelled("PATTERN or FILE"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return patternNames(), cobra.ShellCompDirectiveDefault
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			o.Words = args
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd)
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&o.View, "view", "line", "what to draw: "+strings.Join(scope.ViewNames(), ", "))
	f.IntVar(&o.Line, "line", 0, "analog line to draw alone, from 1 (line: the middle one; else all)")
	f.IntVar(&o.Field, "field", 0, "field of the color sequence to draw, from 1 (line, field: 1; else the first frame)")
	f.StringVar(&o.Channel, "signal", "", "which of the wire's signals: Y, C, PB, PR, R, G, B (the one with sync)")
	f.StringVar(&o.Units, "units", "", "numbers beside the picture: ire or mv (ire on 525-line composite and Y/C, else mv)")
	f.IntVar(&o.Targets, "targets", 75, "bars that the targets of the vectorscope belong to: 75 or 100")
	o.pictureFlags.add(cmd, f)
	o.signalFlags.add(cmd, f)
	f.StringVar(&o.RGBRange, "rgb-range", "", "of a FILE that holds R'G'B': full or studio (full)")
	f.IntVar(&o.Width, "width", 1080, fmt.Sprintf("width of the picture in pixels, %d to %d", scope.MinWidth, scope.MaxWidth))
	f.StringVar(&o.Format, "format", "", "png or svg, if the name given with -o does not say it (png)")
	f.StringVarP(&o.Output, "output", "o", "", "file to write; - is standard output (PATTERN-RASTER-WIRE-VIEW.png)")
	f.BoolVar(&o.Force, "force", false, "overwrite an existing file")
	complete(cmd, "view", scope.ViewNames())
	complete(cmd, "units", []string{"ire", "mv"})
	complete(cmd, "targets", []string{"75", "100"})
	complete(cmd, "format", []string{"png", "svg"})
	complete(cmd, "rgb-range", []string{"full", "studio"})
	return cmd
}

func (o *scopeOptions) run(cmd *cobra.Command) error {
	ctx := cmd.Context()
	options, err := o.picture()
	if err != nil {
		return err
	}
	format, err := o.format()
	if err != nil {
		return err
	}
	if o.Output == output.Stdout && o.OutTerminal {
		return usagef("standard output is a terminal; name a file with -o, or pipe the picture into a program")
	}
	if o.Output != "" && o.Output != output.Stdout {
		// Refuse a target that cannot be before anything else is looked at.
		if err := output.Check(o.Output, o.Force); err != nil {
			return err
		}
	}
	src, err := o.source(cmd)
	if err != nil {
		return err
	}
	if err := o.pick(src, &options); err != nil {
		return err
	}
	w, err := src.wave(options.Frame, options.View == scope.Field)
	if err != nil {
		return err
	}
	options.Frame -= w.Frame
	options.Title, options.Subtitle = src.title, src.subtitle
	p, err := scope.Draw(w, options)
	if err != nil {
		return &usageError{err: err}
	}
	path := o.Output
	if path == "" {
		path = fmt.Sprintf("%s-%v.%s", src.name, options.View, format)
	}
	err = output.File(ctx, path, o.Force, o.Out, func(w io.Writer) error {
		if format == "svg" {
			return p.WriteSVG(w)
		}
		e := png.Encoder{CompressionLevel: png.BestSpeed}
		return e.Encode(w, p.Image())
	})
	if err != nil {
		return err
	}
	for _, n := range src.notes {
		fmt.Fprintf(o.Err, "note: %s\n", n)
	}
	if path != output.Stdout {
		fmt.Fprintf(o.Out, "%s: %s\n%s\n", path, p.Subtitle, p.Notes)
	}
	return nil
}

// picture reads the flags that say what to draw.
func (o *scopeOptions) picture() (s scope.Options, err error) {
	if s.View, err = scope.ParseView(o.View); err != nil {
		return s, usagef("--view: %w", err)
	}
	if s.Units, err = scope.ParseUnits(o.Units); err != nil {
		return s, usagef("--units: %w", err)
	}
	if o.Line < 0 {
		return s, usagef("--line: lines count from 1; %d is none", o.Line)
	}
	if o.Field < 0 {
		return s, usagef("--field: fields count from 1; %d is none", o.Field)
	}
	s.Line, s.Channel, s.Targets, s.Width = o.Line, o.Channel, o.Targets, o.Width
	return s, nil
}

// format returns "png" or "svg".
func (o *scopeOptions) format() (string, error) {
	ext := strings.ToLower(strings.TrimPrefix(filepath.Ext(o.Output), "."))
	switch {
	case o.Format != "":
		if f := strings.ToLower(o.Format); f == "png" || f == "svg" {
			return f, nil
		}
		return "", usagef("--format: %q is neither png nor svg", o.Format)
	case o.Output == "" || o.Output == output.Stdout:
		return "png", nil
	case ext == "png" || ext == "svg":
		return ext, nil
	}
	return "", usagef("%s: the name ends in neither .png nor .svg; rename it, or use --format", o.Output)
}

// pick turns a field of the color sequence into a frame and its field.
func (o *scopeOptions) pick(src *scopeSource, s *scope.Options) error {
	s.Frame = src.first
	if o.Field == 0 {
		return nil
	}
	fields := src.scan.Fields
	if most := fields * src.frames; o.Field > most {
		return usagef("--field: there is no field %d; %s has %d", o.Field, src.has, most)
	}
	s.Frame, s.Field = src.first+(o.Field-1)/fields, (o.Field-1)%fields+1
	return nil
}

// A scopeSource is what the signal is taken from.
type scopeSource struct {
	name            string // of the picture, without view and extension
	title, subtitle string
	notes           []string
	scan            *timing.Scan
	first, frames   int    // frames that can be asked for
	has             string // what has so many fields
	wave            func(frame int, more bool) (*composite.Wave, error)
}
