package cli

import (
	"context"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/internal/check"
)

type checkOptions struct {
	*Streams
	pictureFlags
	tableFlags

	File     string
	Pattern  string
	Played   string
	Format   string
	RGBRange string
	Frames   int
	Region   string
	Class    string
	Via      string
	Learn    string
	Source   string
	Name     string
	HTML     string
	Compare  string
	Force    bool

	rastered bool // --raster was given
	scope    scopeCheck
	ofFile   []string // flags that belong to a capture
	ofScope  []string // flags that belong to --scope
}

const checkLong = `Say whether a source is fit to align a set against. FILE is a capture of what the
player puts out while it plays the pattern: a picture (PNG, BMP), a video (Y4M, or
whatever an installed ffmpeg reads), raw frames with --format and --raster, or
samples that wave wrote. Frames of a still pattern are averaged. The picture is
found by itself: shifted, scaled, cropped by up to a quarter.

A capture shows the player and the capture device together. Without --via every
verdict says so, and is never "fit". Learn the device once, from a source whose
levels are known, and take it out of all later captures:

  backporch check known.y4m --pattern bars-eg1 --learn device.json --source exact
  backporch check other.y4m --pattern bars-eg1 --via device.json

--scope FILE.csv needs no capture: it measures the export of an oscilloscope at the
connector of the source, and its --json is a --source to learn from.

--via none says that nothing analog was in between: a decoded file, a screenshot.

Classes of tolerance: bench, to align by eye and oscilloscope; studio, what the
standards allow; any, which refuses only what no setting can correct.
"backporch list classes" has the figures and their sources.

The exit code is 0 if the source is fit, or fit with a correction that is named,
and 3 if it is not fit or cannot be judged.

` + caution

// newCheck returns the check command. Tests pass runF to see the parsed options
// without doing the work.
func newCheck(s *Streams, runF func(context.Context, *checkOptions) error) *cobra.Command {
	o := &checkOptions{Streams: s}
	o.scope = scopeCheck{Streams: s, pictureFlags: &o.pictureFlags, tableFlags: &o.tableFlags}
	cmd := &cobra.Command{
		Use:   "check FILE | --scope FILE.csv",
		Short: "Judge a source by a capture of what it plays",
		Long:  checkLong,
		Example: "  backporch check capture.y4m --pattern bars-eg1\n  backporch check --scope line.csv --pattern bars-full --json\n  backporch check capture.mkv --pattern \"bars-full set=75/0/75/0\" --via device.json --html report.html\n" +
			"  backporch check shot.png --pattern pluge --via none --class studio\n  backporch check now.y4m --pattern bars-eg1 --via device.json --compare before.json",
		GroupID: "know",
		Args: func(cmd *cobra.Command, args []string) error {
			if o.scope.File != "" {
				return exactly(0, "")(cmd, args)
			}
			return exactly(1, "FILE, the capture to judge,")(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if err := o.belongs(cmd); err != nil {
				return err
			}
			if len(args) == 1 {
				o.File = args[0]
			}
			o.rastered = cmd.Flags().Changed("raster")
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&o.Pattern, "pattern", "", `pattern that was played, with its options: "bars-full set=75/0/75/0" (what a PNG of ours says of itself)`)
	f.StringVar(&o.Class, "class", "bench", "tolerances: "+strings.Join(check.Classes(), ", "))
	f.StringVar(&o.Via, "via", "", "calibration of the capture device, CAL.json, or none: nothing analog was in between (not known)")
	f.StringVar(&o.Learn, "learn", "", "write a calibration of the capture device to this file; FILE captures the source that --source names")
	f.StringVar(&o.Source, "source", "", "with --learn: exact, the levels of the source are as they should be; or what check --scope --json measured of it")
	f.StringVar(&o.Name, "name", "", "with --learn: a name for the capture device (none)")
	f.StringVar(&o.HTML, "html", "", "write the report as a page with the annotated capture")
	f.StringVar(&o.Compare, "compare", "", "say what has changed since an earlier check, the JSON that --json printed")
	f.StringVar(&o.Region, "region", "", "edges of the analog picture in the capture, X0,Y0,X1,Y1 in samples and rows, instead of finding it")
	f.IntVar(&o.Frames, "frames", 0, "frames to average at most (all; of a moving pattern 24, which are looked at one by one)")
	f.StringVar(&o.Format, "format", "", "format of FILE, if its name does not say it: "+strings.Join(openNames(), ", "))
	f.StringVar(&o.RGBRange, "rgb-range", "", "range of a picture or of raw R'G'B': full or studio (full)")
	f.StringVar(&o.Played, "played", "", "what the player was given: video, or picture (png, bmp), which lacks some patches (video; with --via none what FILE is)")
	own := names(f)
	o.scope.add(cmd, f)
	o.ofScope = without(names(f), own)
	o.ofFile = without(own, []string{"pattern"})
	o.pictureFlags.add(cmd, f)
	f.Lookup("raster").Usage = "lines and samples that the player was given: " + strings.Join(rasterNames(), ", ") + " (the one of FILE's size and order of fields, else by its rate 480i or 576i; with --device its own)"
	f.BoolVar(&o.Force, "force", false, "overwrite existing files")
	o.tableFlags.add(cmd)
	complete(cmd, "class", check.Classes())
	complete(cmd, "rgb-range", []string{"full", "studio"})
	complete(cmd, "played", []string{"video", "picture"})
	completeBy(cmd, "pattern", completePattern)
	return cmd
}

// names lists the flags that are defined so far.
func names(f *pflag.FlagSet) (list []string) {
	f.VisitAll(func(f *pflag.Flag) { list = append(list, f.Name) })
	return list
}

// without is a less b.
func without(a, b []string) (list []string) {
	for _, name := range a {
		if !slices.Contains(b, name) {
			list = append(list, name)
		}
	}
	return list
}

// belongs refuses flags of a capture where a scope's export is measured, and the
// other way round.
func (o *checkOptions) belongs(cmd *cobra.Command) (err error) {
	list, what := o.ofScope, "belongs to --scope, and a capture was given; leave it out"
	if o.scope.File != "" {
		list, what = o.ofFile, "belongs to a capture, and --scope measures an oscilloscope's export; leave it out"
	}
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if slices.Contains(list, f.Name) && err == nil {
			err = usagef("--%s %s", f.Name, what)
		}
	})
	return err
}
