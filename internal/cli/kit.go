package cli

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"backporch/internal/kit"
	"backporch/internal/output"
	"backporch/internal/render"
)

type kitOptions struct {
	*Streams
	pictureFlags

	Output  string
	Seconds string
	Clip    bool
	Force   bool
}

// newKit returns the kit command. Tests pass runF to see the parsed options
// without doing the work.
func newKit(s *Streams, runF func(context.Context, *kitOptions) error) *cobra.Command {
	o := &kitOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "kit",
		Short: "Write a folder with every pattern, as pictures and as videos",
		Long: `Write a folder with the whole catalogue for one raster: every pattern as a PNG
picture and as a Y4M video, a page (index.html) with what each is for and what
it must read, a contact sheet, and kit.json with every file's SHA-256, levels
and options. The first picture proves that the player shows files one to one.

The folder appears when it is complete. An earlier kit is replaced with --force;
files of your own in it are kept.

` + caution,
		Example: "  backporch kit\n  backporch kit --raster 240p -o kit-240p\n  backporch kit --setup 7.5 --player-setup 0 -o kit-setup",
		GroupID: "make",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
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
	f.StringVarP(&o.Output, "output", "o", "", "folder to write (backporch-kit-RASTER)")
	o.pictureFlags.add(cmd, f)
	f.StringVar(&o.Seconds, "seconds", "", "length of every video in seconds (one frame)")
	f.BoolVar(&o.Clip, "clip", false, "accept the nearest level where setup or levels are out of the format's reach")
	f.BoolVar(&o.Force, "force", false, "replace an earlier kit")
	return cmd
}

func (o *kitOptions) run(ctx context.Context) error {
	p, err := o.resolve(nil)
	if err != nil {
		return err
	}
	q := kit.Request{
		Dir: o.Output, Force: o.Force, Raster: p.Raster, Plan: p.Plan, Edges: p.Edges, Aspect: p.Aspect, Single: p.Single,
		Clip: o.Clip, Frames: 1, Program: "backporch " + Version,
	}
	switch q.Dir {
	case "":
		q.Dir = "backporch-kit-" + p.Raster.Name
	case output.Stdout:
		return usagef("a kit is a folder and cannot go to standard output; name one with -o")
	}
	q.Dir = filepath.Clean(q.Dir)
	if o.Seconds != "" {
		if q.Frames, err = seconds(o.Seconds, p.Raster); err != nil {
			return err
		}
	}
	bar := newProgress(o.Streams, "patterns")
	q.Progress = bar.set
	res, err := kit.Make(ctx, q)
	bar.done()
	var reach *render.RangeError
	if errors.As(err, &reach) {
		return &usageError{err: err}
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(o.Out, "%s: %d files, %.1f MB; open %s/index.html\n", q.Dir, res.Files, float64(res.Bytes)/1e6, q.Dir)
	if res.Absent > 0 {
		fmt.Fprintf(o.Out, "%d patches are absent from the PNG pictures, which cannot hold them; the videos can, and the page names them\n", res.Absent)
	}
	if res.Clipped > 0 {
		fmt.Fprintf(o.Out, "%d patches are clipped, pictures and videos counted; the page names them\n", res.Clipped)
	}
	if e := p.Plan.SyncError(); e != 0 {
		fmt.Fprintf(o.Out, "sync stays the player's, %+.1f mV against %s\n", float64(e), p.Plan.Wire.Name)
	}
	return nil
}
