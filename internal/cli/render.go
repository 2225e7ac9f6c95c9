package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/colorimetry"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/output"
	"backporch/internal/render"
	"backporch/pattern"
)

type renderOptions struct {
	*Streams
	pictureFlags

	Entry   pattern.Entry
	Pattern pattern.Pattern
	Options []*pattern.Option

	Format  format.Choice
	Ident   string
	Frame   int
	Frames  int
	Seconds string
	Output  string
	Clip    bool
	Force   bool
}

// newRender returns the render command. Each pattern is a subcommand with
// flags of its own; they are made only when render is what the command line is
// about. Tests pass runF to see the parsed options without doing the work.
func newRender(s *Streams, args []string, runF func(context.Context, *renderOptions) error) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "render PATTERN",
		Short: "Write one pattern as a picture or a stream",
		Long: `Write one pattern as a picture or a stream.

The format follows from the name given with -o, or from --format. Without -o
the picture is written as PATTERN-RASTER.png in the current folder; -o - writes
to standard output, so that every stream can be piped.

A PNG holds 8-bit full-range RGB, which has no code below black. Patches that
need one are replaced and named in a message; a Y'CbCr stream such as .y4m
holds them all.`,
		Example: `  backporch render bars-eg1
  backporch render crosshatch --color green --raster 240p -o green.png
  backporch render pluge --setup 7.5 -o pluge.y4m
  backporch render bars-full --format uyvy --seconds 10 -o - | player -`,
		GroupID: "make",
		Args:    cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return &usageError{fmt.Errorf("PATTERN is missing; `backporch list patterns` names them all"), cmd.CommandPath()}
			}
			_, err := pattern.Find(args[0])
			return &usageError{err: err}
		},
	}
	if needs(args, "render") {
		for _, e := range patternsIn(args) {
			cmd.AddCommand(newRenderPattern(s, e, runF))
		}
	}
	return cmd
}

// patternsIn returns the patterns that the command line names, or all where it
// names none: to list, to complete, and to find a near name.
func patternsIn(args []string) []pattern.Entry {
	all := pattern.All()
	named := slices.DeleteFunc(slices.Clone(all), func(e pattern.Entry) bool { return !slices.Contains(args, e.Name) })
	if len(named) == 0 {
		return all
	}
	return named
}

func newRenderPattern(s *Streams, e pattern.Entry, runF func(context.Context, *renderOptions) error) *cobra.Command {
	o := &renderOptions{Streams: s, Entry: e}
	o.Pattern, o.Options = e.New()
	short, _, _ := strings.Cut(e.Use, ":")
	cmd := &cobra.Command{
		Use:     e.Name,
		Short:   short,
		Long:    patternLong(e),
		Example: "  " + e.Example,
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flags().Changed("frames") && o.Seconds != "" {
				return usagef("--frames and --seconds both say how long; give one of them")
			}
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	for _, opt := range o.Options {
		v := f.VarPF(opt, opt.Name, "", opt.Help+": "+opt.Range)
		if opt.IsBoolFlag() {
			v.NoOptDefVal = "true"
		}
		if len(opt.Choices) > 0 {
			complete(cmd, opt.Name, opt.Choices)
		}
	}
	o.pictureFlags.add(cmd, f)
	o.addFileFlags(cmd)
	return cmd
}

func patternLong(e pattern.Entry) string {
	long := "Use: " + e.Use + ".\n\nSource: " + e.Source + "."
	if e.Still != "" {
		long += "\n\nCaution: " + e.Still
	}
	return long
}

func (o *renderOptions) addFileFlags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&o.Ident, "ident", "", "caption in the picture, beside all named patches; may hold {pattern}, {raster} and {setup}; auto: all three")
	f.StringVar(&o.Format.Name, "format", "", "file format, if the name given with -o does not say it: "+strings.Join(format.Names(), ", ")+"; with --device "+strings.Join(dataFormats, ", ")+": data for a program")
	f.StringVar(&o.Format.Chroma, "chroma", "", "y4m: 411, 420, 420dv, 422 or 444 (422); i420: 420 or 420dv (420); 411 and 420dv are those of DV, 525 and 625 lines")
	f.IntVar(&o.Format.Depth, "depth", 0, "bits a sample: 8 or 10 (y4m, bt656), 8 or 16 (png) (8)")
	f.StringVar(&o.Format.Range, "rgb-range", "", "png, bmp, rgb24 and the like: full or studio, where the format has it (full)")
	f.StringVar(&o.Format.Edition, "edition", "", "bt656, 525 lines: V bit of the current edition, or legacy (current)")
	f.IntVar(&o.Frame, "frame", 0, "of a pattern that moves: the frame that a picture shows or a stream begins with, from 0")
	f.IntVar(&o.Frames, "frames", 1, "frames of a stream, from 1")
	f.StringVar(&o.Seconds, "seconds", "", "length of a stream in seconds, instead of --frames; rounded to whole frames")
	f.StringVarP(&o.Output, "output", "o", "", "file to write; - is standard output (PATTERN-RASTER.png)")
	f.BoolVar(&o.Clip, "clip", false, "accept the nearest level where setup or levels are out of the format's reach")
	f.BoolVar(&o.Force, "force", false, "overwrite an existing file")
	complete(cmd, "ident", []string{"auto"})
	complete(cmd, "format", append(format.Names(), dataFormats...))
	complete(cmd, "chroma", []string{"411", "420", "420dv", "422", "444"})
	complete(cmd, "depth", []string{"8", "10", "16"})
	complete(cmd, "rgb-range", []string{"full", "studio"})
	complete(cmd, "edition", []string{"current", "legacy"})
}

// maxFrames is more than a day of fields.
const maxFrames = 10_000_000

func (o *renderOptions) run(ctx context.Context) error {
	if device.IsData(strings.ToLower(o.Format.Name)) {
		o.Format.Name = strings.ToLower(o.Format.Name)
		return o.runData(ctx)
	}
	if o.Output != "" && o.Output != output.Stdout {
		// Refuse a target that cannot be before anything else is looked at.
		if err := output.Check(o.Output, o.Force); err != nil {
			return err
		}
	}
	job, err := o.layout()
	if err != nil {
		return err
	}
	named := o.Output != ""
	if !named {
		o.Output = o.fileName(job)
	}
	if o.Output == output.Stdout && o.OutTerminal {
		return usagef("standard output is a terminal; name a file with -o, or pipe the picture into a program")
	}
	bar := newProgress(o.Streams, "frames")
	job.Progress = bar.set
	err = output.File(ctx, o.Output, o.Force, o.Out, func(w io.Writer) error { return job.Write(ctx, w) })
	bar.done()
	if err != nil {
		return err
	}
	o.report(job)
	if !named {
		fmt.Fprintln(o.Out, o.Output)
	}
	return nil
}

// baseName is that of files that are not named, without an extension: 8
// capitals for a device that asks for it.
func (o *renderOptions) baseName(job *render.Job) string {
	if short(job) {
		return format.ShortName(o.Entry.Name, nil)
	}
	return o.Entry.Name + "-" + job.Raster.Name
}

// fileName is baseName with the extension of the format.
func (o *renderOptions) fileName(job *render.Job) string {
	if short(job) {
		return o.baseName(job) + strings.ToUpper(job.Format.Extension)
	}
	return o.baseName(job) + job.Format.Extension
}

// short reports whether the device of a job has names of 8 and 3 capitals.
func short(job *render.Job) bool { return job.Device != nil && job.Device.ShortNames }

// layout turns the flags into a job; what is wrong with them is a usage error.
func (o *renderOptions) layout() (*render.Job, error) {
	p, err := o.resolve(o.Pattern)
	if err != nil {
		return nil, err
	}
	if o.Frame < 0 || o.Frame > maxFrames {
		return nil, usagef("--frame: %d is not within 0 to %d", o.Frame, maxFrames)
	}
	if o.Frames < 1 || o.Frames > maxFrames {
		return nil, usagef("--frames: %d is not within 1 to %d", o.Frames, maxFrames)
	}
	if o.Seconds != "" {
		if o.Frames, err = seconds(o.Seconds, p.Raster); err != nil {
			return nil, err
		}
	}
	if err := o.resolveFormat(p.Device); err != nil {
		return nil, &usageError{err: err}
	}
	choice, data := o.Format, ""
	if device.IsData(choice.Name) {
		choice.Name, data = "png", choice.Name // whose colors are those of all pixels
	}
	f, err := format.Resolve(choice)
	if err != nil {
		return nil, &usageError{err: err}
	}
	q := p.request(o.Pattern, pattern.Spell(o.Entry, o.Options), f)
	q.Data = data
	q.Clip, q.First, q.Frames, q.Ident = o.Clip, o.Frame, o.Frames, o.Ident
	q.Tags = [][2]string{{"Software", "backporch " + Version}}
	job, err := q.Layout()
	if err != nil {
		return nil, &usageError{err: o.asFlag(err)}
	}
	return job, nil
}

// resolveFormat finds the format's name: --format, else the extension, else
// PNG, or the usual one of the device, for the file that is named after the
// pattern.
func (o *renderOptions) resolveFormat(dev *device.Profile) (err error) {
	switch {
	case o.Format.Name != "":
	case o.Output == "" && dev != nil:
		f, err := deviceFormat(dev)
		if err != nil {
			return err
		}
		o.Format.Name = f.Name
	case o.Output == "":
		o.Format.Name = "png"
	case o.Output == output.Stdout:
		return fmt.Errorf("-o - needs --format; use one of %s", strings.Join(format.Names(), ", "))
	default:
		o.Format.Name, err = format.ForPath(o.Output)
	}
	return err
}

// asFlag writes an error that begins with the name of an option as the flag is
// written.
func (o *renderOptions) asFlag(err error) error {
	if strings.HasPrefix(err.Error(), "ident: ") {
		return fmt.Errorf("--%w", err)
	}
	for _, opt := range o.Options {
		if strings.HasPrefix(err.Error(), opt.Name+": ") {
			text := "--" + err.Error()
			for _, other := range o.Options { // a way out that names an option
				text = strings.ReplaceAll(text, " "+other.Name+"=", " --"+other.Name+"=")
			}
			return errors.New(text)
		}
	}
	return err
}

// noEmpty refuses flags with an empty value: they come from variables that are
// not set.
func noEmpty(cmd *cobra.Command) (err error) {
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if f.Value.String() == "" && err == nil {
			err = &usageError{fmt.Errorf("--%s is empty; give it a value or leave it out", f.Name), cmd.CommandPath()}
		}
	})
	return err
}

// report tells on standard error what is not in the file as the pattern
// defines it, and what else the user should know.
func (o *renderOptions) report(job *render.Job) {
	say := func(format string, args ...any) { fmt.Fprintf(o.Err, format+"\n", args...) }
	for _, l := range job.Lost.Clipped(false).ByWay() {
		way := l[0].Patch.Way
		switch {
		case way != "":
		case job.Pixels():
			way = "only a source that plays video can hold it"
		case job.Format.Coding.Model == colorimetry.RGB:
			way = "use a video format such as y4m"
		default:
			way = "10 bits reach a little further, a lower level always does"
		}
		say("absent: %s (%s); %s", l.Names(), l[0].Reason, way)
	}
	if l := job.Lost.Clipped(true); len(l) > 0 {
		say("clipped: %s", clippedText(l))
	}
	if job.Device != nil {
		o.reportDevice(job)
	}
	if e := job.Plan.SyncError(); e != 0 {
		say("note: sync stays the player's, %+.1f mV against %s", float64(e), job.Plan.Wire.Name)
	}
	if name, err := format.ForPath(o.Output); err == nil && name != job.Format.Name && !strings.EqualFold(filepath.Ext(o.Output), job.Format.Extension) {
		say("note: %s is written as %s, as --format asks", o.Output, job.Format.Name)
	}
	for _, n := range job.Scene.Notes {
		say("note: %s", n)
	}
	if job.Aspect.Cmp(aspect4x3) != 0 {
		say("note: laid out for a screen switched to 16:9; the file carries the pixel shape, the cable carries no signal for it")
	}
}

// clippedText names the clipped patches and why the first of them is.
func clippedText(l render.LostList) string {
	first := l[0].Patch.Name + " " + l[0].Reason
	if len(l) == 1 {
		return first
	}
	return l.Names() + "; " + first
}
