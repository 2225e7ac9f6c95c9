package cli

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/format"
	"backporch/internal/kit"
	"backporch/internal/output"
	"backporch/internal/render"
)

type kitOptions struct {
	*Streams
	pictureFlags

	Rasters  string
	Setups   string
	Patterns []string
	Formats  string
	Ident    string
	Output   string
	Seconds  string
	Zip      bool
	Clip     bool
	Force    bool
}

// newKit returns the kit command. Tests pass runF to see the parsed options
// without doing the work.
func newKit(s *Streams, runF func(context.Context, *kitOptions) error) *cobra.Command {
	o := &kitOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "kit",
		Short: "Write a folder with every pattern, as pictures and as videos",
		Long: `Write a folder with the whole catalogue for one raster: every pattern as a PNG
picture and as a Y4M video, numbered in the order of work; a page (index.html)
with that order, what each picture is for and what it must read; a contact
sheet; README.txt in plain words; readings.txt and readings.csv with what a
scope must show; and kit.json with every file's SHA-256, levels and options.
The first picture proves that the player shows files one to one.

With --device the files are those that the device reads, in its size and its
colors; README.txt then tells how to copy them, how to set the device, what it
cannot show and how far each picture is off.

With several rasters or setups each has a folder of its own, below one page.
A setup that a raster cannot have (7.5 on 625 lines) is left out, which is said.

--patterns takes names of patterns and words for groups, with commas between,
or a pattern with options; repeat it for more. The groups are
` + strings.Join(kit.GroupWords(), ", ") + `.
The proof of one-to-one playback is always there.

A still is one frame of video, to be repeated; what moves is one period, 2 s at
most. Of what moves a picture shows the first frame. With --zip all goes into
one archive, FOLDER.zip, instead of a folder; -o - writes it to standard output.
The same command gives the same bytes, with the same build of the program.

The folder or archive appears when it is complete. An earlier kit is replaced
with --force; files of your own in its folder are kept.

` + caution,
		Example: `  backporch kit
  backporch kit --raster 240p -o kit-240p
  backporch kit --setup 7.5 --player-setup 0 -o kit-setup
  backporch kit --device pixel-256 --zip
  backporch kit --rasters 480i,240p --setups as-player,7.5 --formats png
  backporch kit --patterns levels,crosshatch --patterns "bars-full set=75/0/75/0"`,
		GroupID: "make",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			for many, one := range map[string]string{"rasters": "raster", "setups": "setup"} {
				if cmd.Flags().Changed(many) && cmd.Flags().Changed(one) {
					return usagef("--%s and --%s both say which; give one of them", one, many)
				}
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
	f.StringVarP(&o.Output, "output", "o", "", "folder to write, or archive with --zip (backporch-kit-RASTER or -DEVICE)")
	o.pictureFlags.add(cmd, f)
	f.StringVar(&o.Rasters, "rasters", "", "several rasters with commas between, or all that there are, or that the device has: all")
	f.StringVar(&o.Setups, "setups", "", "several setups with commas between: as-player, 0, 7.5")
	f.StringArrayVar(&o.Patterns, "patterns", nil, "patterns, or groups: "+strings.Join(kit.GroupWords(), ", ")+" (all)")
	f.StringVar(&o.Formats, "formats", "", "file formats with commas between: "+strings.Join(format.Names(), ", ")+" (png,y4m; with --device those that it reads)")
	f.StringVar(&o.Ident, "ident", "", "caption in every picture that has room: text with {pattern}, {raster}, {setup}; auto is all three")
	f.StringVar(&o.Seconds, "seconds", "", "length of every video in seconds (one frame; what moves: one period)")
	f.BoolVar(&o.Zip, "zip", false, "write one archive instead of a folder")
	f.BoolVar(&o.Clip, "clip", false, "accept the nearest level where setup or levels are out of the format's reach")
	f.BoolVar(&o.Force, "force", false, "replace an earlier kit")
	complete(cmd, "rasters", append(rasterNames(), "all"))
	complete(cmd, "setups", []string{"as-player", "0", "7.5", "as-player,7.5", "0,7.5"})
	complete(cmd, "patterns", append(kit.GroupWords(), patternNames()...))
	complete(cmd, "formats", append(format.Names(), "png,y4m"))
	return cmd
}

func (o *kitOptions) run(ctx context.Context) error {
	q, skipped, err := o.request()
	if err != nil {
		return err
	}
	bar := newProgress(o.Streams, "patterns")
	q.Progress = bar.set
	res, err := kit.Make(ctx, *q)
	bar.done()
	var reach *render.RangeError
	var wrong *kit.RequestError
	if errors.As(err, &reach) || errors.As(err, &wrong) {
		return &usageError{err: err}
	}
	if err != nil {
		return err
	}
	o.report(q, res, skipped)
	return nil
}

// request turns the flags into a request; what is wrong with them is a usage
// error. skipped says which setups were left out.
func (o *kitOptions) request() (q *kit.Request, skipped []string, err error) {
	q = &kit.Request{
		Force: o.Force, Zip: o.Zip, Out: o.Out, Clip: o.Clip, Ident: o.Ident,
		Patterns: o.patterns(), Program: "backporch " + Version,
	}
	if o.Formats != "" {
		q.Formats = list(o.Formats)
	}
	if skipped, err = o.variants(q); err != nil {
		return nil, nil, err
	}
	q.Root = "backporch-kit"
	switch {
	case q.Device != nil:
		q.Root += "-" + q.Device.Name
	case o.Rasters == "":
		q.Root += "-" + q.Variants[0].Raster.Name
	}
	q.Root = strings.Map(func(r rune) rune { // a device's name may be a spelling with options
		if strings.ContainsRune(` /\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, q.Root)
	switch {
	case o.Output == output.Stdout && !o.Zip:
		return nil, nil, usagef("a kit is a folder and cannot go to standard output; name one with -o, or use --zip")
	case o.Output == output.Stdout && o.OutTerminal:
		return nil, nil, usagef("standard output is a terminal; name a file with -o, or pipe the archive into a program")
	case o.Output == output.Stdout:
		q.Dir = o.Output
		return q, skipped, nil
	case o.Output == "":
		q.Dir = q.Root
	default:
		q.Dir = filepath.Clean(o.Output)
	}
	if o.Zip && !strings.HasSuffix(strings.ToLower(q.Dir), ".zip") {
		q.Dir += ".zip"
	}
	return q, skipped, nil
}

// report tells what was made and what is not in it.
func (o *kitOptions) report(q *kit.Request, res *kit.Result, skipped []string) {
	out := o.Out
	if q.Dir == output.Stdout {
		out = o.Err // standard output is the archive
	}
	say := func(format string, args ...any) { fmt.Fprintf(out, format+"\n", args...) }
	switch {
	case q.Dir == output.Stdout:
		say("%d files, %.1f MB before packing", res.Files, float64(res.Bytes)/1e6)
	case q.Zip:
		say("%s: %d files, %.1f MB before packing; unpack it and open %s/index.html", q.Dir, res.Files, float64(res.Bytes)/1e6, q.Root)
	default:
		say("%s: %d files, %.1f MB; open %s/index.html", q.Dir, res.Files, float64(res.Bytes)/1e6, q.Dir)
	}
	for _, s := range skipped {
		say("left out: %s", s)
	}
	if res.Video > 0 {
		say("%s absent from the pictures, which cannot hold %s; the videos can, and the page names %[2]s", are(res.Video, "patch", "patches"), them(res.Video))
	}
	if res.Absent > 0 {
		say("%s absent, since no file of this kit can hold %s; the page names %[2]s", are(res.Absent, "patch", "patches"), them(res.Absent))
	}
	if res.Clipped > 0 {
		say("%s clipped, pictures and videos counted; the page names %s", are(res.Clipped, "patch", "patches"), them(res.Clipped))
	}
	if res.Beyond > 0 {
		say("%s beyond 1 IRE, 2 %% of chroma or 1 degree when %s the device; README.txt and the page name %s", are(res.Beyond, "patch", "patches"), numbered(res.Beyond, "it leaves", "they leave"), them(res.Beyond))
	}
	if res.Bare > 0 {
		say("%s without room for the caption; the page names %s", are(res.Bare, "picture", "pictures"), them(res.Bare))
	}
	for _, v := range q.Variants {
		if e := v.Plan.SyncError(); e != 0 {
			say("sync stays the player's, %+.1f mV against %s", float64(e), v.Plan.Wire.Name)
			break
		}
	}
}

// are is "1 patch is" or "2 patches are".
func are(n int, one, many string) string {
	return fmt.Sprint(n) + " " + numbered(n, one+" is", many+" are")
}

// them is what n things are called after that.
func them(n int) string { return numbered(n, "it", "them") }

// numbered returns the word for one thing, or for another number of them.
func numbered(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
