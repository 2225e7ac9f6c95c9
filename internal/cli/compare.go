package cli

import (
	"context"
	"fmt"
	"image/png"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/colorimetry"
	"backporch/internal/compare"
	"backporch/internal/composite"
	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/internal/typo"
	"backporch/pattern"
	"backporch/pattern/frame"
	"backporch/timing"
)

type compareOptions struct {
	*Streams
	pictureFlags
	tableFlags
	tubeFlags

	Words      []string // of the pattern's one-line spelling
	Axis       string
	Values     string
	Only       [3]bool // red, green, blue
	Separation string
	Table      bool
	Files      string
	Output     string
	Width      int
	Exposure   float64
	Force      bool
}

// newCompare returns the compare command. Tests pass runF to see the parsed
// options without doing the work.
func newCompare(s *Streams, runF func(context.Context, *compareOptions) error) *cobra.Command {
	o := &compareOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "compare PATTERN [NAME=VALUE]...",
		Short: "Show side by side what settings make of a pattern",
		Long: `Show one pattern side by side as different sources and settings of a set make
it: a page of pictures as the tube shows them, with luminance, contrast, crushed
and lifted steps and color errors under each. Every picture has gone through the
encoded signal and a model of the set; nothing is painted.

What differs is the axis:

  setup              source and set with 7.5 IRE of setup and without (525 lines;
                     the usual one there)
  component          source and set at N10, Betacam with and without setup (the
                     usual one on component wires; 625 lines: N10 and Betacam)
  phase, gain        the set's knobs for color (phase is the usual one on 625
                     lines, with and without a delay line)
  burst              burst of the source, automatic color control off and on
  color-temperature  white of the set
  tv-lines           luma bandwidth of the set

Both sources of the axes setup and component play the same file. --table, --json
and --csv print the numbers alone. --files writes the picture of each variant as
a file for the player: shown on a set that is right, it looks as the wrong
setting would.

` + caution,
		Example: `  backporch compare pluge
  backporch compare bars-full --axis phase --values -10,0,10 --blue-only
  backporch compare bars-eg1 --axis component --table
  backporch compare near-black --files variants`,
		GroupID:           "know",
		Args:              spelled("PATTERN"),
		ValidArgsFunction: completePattern,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			o.Words = args
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	o.addFlags(cmd, f)
	return cmd
}

func (o *compareOptions) addFlags(cmd *cobra.Command, f *pflag.FlagSet) {
	f.StringVar(&o.Axis, "axis", "", "what differs: "+strings.Join(compare.AxisNames(), ", ")+" (setup; component on component wires; phase on 625 lines)")
	f.StringVar(&o.Values, "values", "", "values of a numeric axis, with commas between them; tv-lines also takes full")
	f.BoolVar(&o.Only[2], "blue-only", false, "light the blue gun alone, and compare the bars that it shows")
	f.BoolVar(&o.Only[0], "red-only", false, "the same with the red gun")
	f.BoolVar(&o.Only[1], "green-only", false, "the same with the green gun")
	f.StringVar(&o.Separation, "separation", "", "how the set parts luma and color of composite: "+strings.Join(compare.SeparationNames(), ", ")+" (notch; comb2 for tv-lines)")
	o.tubeFlags.add(cmd)
	o.pictureFlags.add(cmd, f)
	f.BoolVar(&o.Table, "table", false, "print the numbers alone, as a table")
	o.tableFlags.add(cmd)
	f.StringVar(&o.Files, "files", "", "folder to write: the picture of each variant as a PNG of the raster's size")
	f.StringVarP(&o.Output, "output", "o", "", "page to write, a PNG; - is standard output (PATTERN-RASTER-AXIS.png)")
	f.IntVar(&o.Width, "width", compare.UsualWidth, fmt.Sprintf("width of the page in pixels, %d to %d", compare.MinWidth, compare.MaxWidth))
	f.Float64Var(&o.Exposure, "exposure", 0, "show the page brighter, as a camera would: each step from 0 to 12 doubles the light")
	f.BoolVar(&o.Force, "force", false, "overwrite what exists")
	complete(cmd, "axis", compare.AxisNames())
	complete(cmd, "separation", compare.SeparationNames())
}

func (o *compareOptions) run(ctx context.Context) error {
	numbers := o.Table || o.JSON || o.CSV
	if err := o.checkOutput(numbers); err != nil {
		return err
	}
	q, err := o.request()
	if err != nil {
		return err
	}
	res, err := compare.Run(*q)
	if err != nil {
		return &usageError{err: err}
	}
	if o.Files != "" {
		if err := o.writeFiles(ctx, res); err != nil {
			return err
		}
	}
	switch {
	case o.Output != "" || o.Files == "" && !numbers:
		if err := o.writePage(ctx, res, !numbers); err != nil {
			return err
		}
	case !numbers:
		o.summary(res, fmt.Sprintf("%s: %d pictures and compare.json", o.Files, len(res.Outcomes)))
	}
	if numbers {
		return o.print(o.Streams, res.Record())
	}
	return nil
}

// checkOutput refuses what cannot be written before anything is reckoned.
func (o *compareOptions) checkOutput(numbers bool) error {
	forms := 0
	for _, on := range []bool{o.Table, o.JSON, o.CSV} {
		if on {
			forms++
		}
	}
	switch {
	case forms > 1:
		return usagef("--table, --json and --csv each say how to print; give one of them")
	case o.Width < compare.MinWidth || o.Width > compare.MaxWidth:
		return usagef("--width: %d is not within %d to %d pixels", o.Width, compare.MinWidth, compare.MaxWidth)
	case !(o.Exposure >= 0 && o.Exposure <= 12):
		return usagef("--exposure: %g is not within 0 to 12; each step doubles the light", o.Exposure)
	case o.Output == output.Stdout && numbers:
		return usagef("-o - and a table cannot both go to standard output; name a file with -o, or leave one out")
	case o.Output == output.Stdout && o.OutTerminal:
		return usagef("standard output is a terminal; name a file with -o, or pipe the picture into a program")
	case o.Files == output.Stdout:
		return usagef("--files names a folder, and standard output is none; give a name")
	case o.Output == "" || o.Output == output.Stdout:
		return nil
	case filepath.Ext(o.Output) != "" && !strings.EqualFold(filepath.Ext(o.Output), ".png"):
		return usagef("%s: a page is a PNG; use a name that ends in .png (--json, --csv and --table print to standard output)", o.Output)
	}
	return output.Check(o.Output, o.Force)
}

// request turns the flags into a comparison.
func (o *compareOptions) request() (*compare.Request, error) {
	spec := strings.Join(o.Words, " ")
	pt, err := pattern.Parse(spec)
	if err != nil {
		return nil, &usageError{err: err}
	}
	axis, err := o.axis(pt)
	if err != nil {
		return nil, err
	}
	if axis == compare.ColorTemperature && o.White != colorimetry.D65.Name {
		return nil, usagef("--axis color-temperature varies the white of the set itself; leave --white out, and list whites with --values")
	}
	job, wire, err := o.source(pt, spec, axis)
	if err != nil {
		return nil, err
	}
	q := &compare.Request{
		Spec: spec, Scene: job.Scene, View: job.View, Aspect: job.Aspect,
		Carried: func(r *timing.Raster) (*frame.Frame, error) { return job.Carried(r, 0) },
		Wire:    wire, Options: composite.Standard, Axis: axis,
	}
	if q.Values, err = o.values(axis); err != nil {
		return nil, err
	}
	if q.Gun, err = o.gun(); err != nil {
		return nil, err
	}
	q.Set, err = o.set(job.Raster, wire)
	q.Choose, q.Exposure = o.Separation == "", o.Exposure
	return q, err
}

// axis reads --axis; without it the usual one of the wire.
func (o *compareOptions) axis(pt pattern.Pattern) (compare.Axis, error) {
	if o.Axis != "" {
		a, err := compare.ParseAxis(o.Axis)
		if err != nil {
			return 0, usagef("--axis: unknown axis %q%s; use %s", o.Axis, typo.Suggest(o.Axis, compare.AxisNames()), strings.Join(compare.AxisNames(), ", "))
		}
		return a, nil
	}
	v, w, err := o.onWire(pt)
	if err != nil {
		return 0, err
	}
	if w == nil {
		w = composite.Usual(v.Raster.Scan)
	}
	return compare.UsualAxis(w, v.Raster.Scan), nil
}

// source lays the pattern out for the sources. Where the axis varies the levels
// themselves all sources play one plain file.
func (o *compareOptions) source(pt pattern.Pattern, spec string, axis compare.Axis) (*render.Job, *composite.Wire, error) {
	if axis != compare.Setup && axis != compare.Component {
		return o.layoutOnWire(pt, spec)
	}
	if o.Setup != "as-player" || o.PlayerSetup != "" || o.Player != "" {
		return nil, nil, usagef("--axis %s varies the levels of source and set itself; leave --setup, --player-setup and --player out", axis)
	}
	v, w, err := o.onWire(pt)
	if err != nil {
		return nil, nil, err
	}
	if w == nil || o.Wire == "" { // a set of bars written with 7.5 asks for a wire, too
		w = composite.Usual(v.Raster.Scan)
	}
	if axis == compare.Component && o.Wire != "" && w.Kind != composite.YPbPr {
		return nil, nil, usagef("--axis component compares component wires, and --wire %s is none; leave --wire out", w.Name)
	}
	v.Plan = colorimetry.Plan{}
	job, err := v.layout(pt, spec, w)
	return job, w, err
}

// writePage writes the page and says what is on it.
func (o *compareOptions) writePage(ctx context.Context, res *compare.Result, talk bool) error {
	if o.Output == "" {
		o.Output = compareName(res) + ".png"
	}
	img, err := res.Page(o.Width)
	if err != nil {
		return &usageError{err: err}
	}
	err = output.File(ctx, o.Output, o.Force, o.Out, func(w io.Writer) error {
		return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, img)
	})
	if err != nil || !talk {
		return err
	}
	o.summary(res, fmt.Sprintf("%s: %d pictures", o.Output, len(res.Outcomes)))
	return nil
}

// compareName is what the files of a comparison are named after.
func compareName(res *compare.Result) string {
	name, _, _ := strings.Cut(res.Spec, " ")
	name += "-" + res.View.Shown.Name + "-" + res.Axis.String()
	if res.Gun != compare.AllGuns {
		name += "-" + res.Gun.String()
	}
	return name
}

// summary says in short what came out.
func (o *compareOptions) summary(res *compare.Result, head string) {
	to := o.Out
	if o.Output == output.Stdout {
		to = o.Err
	}
	fmt.Fprintf(to, "%s, %s\n%s", head, res.Axis.Help(), res.Summary())
	if res.NoGuns != "" {
		fmt.Fprintf(to, "no pairs of bars to read: %s; %s\n", res.NoGuns, compare.WithBars)
	}
	for _, line := range []string{res.Advice(), res.Caution()} {
		if line != "" {
			fmt.Fprintln(to, line)
		}
	}
}
