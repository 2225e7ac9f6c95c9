package cli

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/deliver"
	"backporch/internal/kit"
	"backporch/internal/typo"
)

type deliverOptions struct {
	*Streams
	pictureFlags

	Target   *deliver.Target
	Pattern  string
	Kit      bool
	Patterns []string
	Seconds  string
	Audio    string
	Depth    int
	Ident    string
	Output   string
	Clip     bool
	Force    bool
	JSON     bool

	told   func(done, total int) // of the file that is being made
	motion *deliver.Motion       // of the files of --kit
}

// newDeliver returns the deliver command, with a subcommand for each target.
// Tests pass runF to see the parsed options without doing the work.
func newDeliver(s *Streams, runF func(context.Context, *deliverOptions) error) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "deliver TARGET",
		Short: "Make a file that players play, and prove it",
		Long: `Make a file that players play, by an installed ffmpeg, and prove it.

The encoder is given the samples that its format holds and converts nothing. The
file is then decoded again: every patch must be within the stated codes of its
definition, levels below black and above white must be there, and what the file
says of itself (order of fields, interlacing, range, matrix, shape, rate, length)
must be that of the raster. Bars that move are encoded in the same way and must
come out field by field at their time. The result is printed, and kept beside the
file as FILE.json. A file that fails is not kept.

The targets:

` + targetLines() + `

` + caution,
		Example: `  backporch deliver h264-mp4 --pattern bars-eg1
  backporch deliver mpeg2-dvd --pattern "crosshatch color=green" --raster 576i -o green.mpg
  backporch deliver h264-mp4 --pattern moving-bar --raster 240p --seconds 20
  backporch deliver ffv1-mkv --kit -o masters`,
		GroupID: "make",
		Args:    cobra.ArbitraryArgs,
		// Flags belong to targets: what is wrong here is the target.
		FParseErrWhitelist: cobra.FParseErrWhitelist{UnknownFlags: true},
		RunE: func(cmd *cobra.Command, args []string) error {
			var names []string
			for _, c := range cmd.Commands() {
				names = append(names, c.Name())
			}
			if len(args) == 0 {
				return &usageError{fmt.Errorf("TARGET is missing, or not the first word after deliver; use one of %s", strings.Join(names, ", ")), cmd.CommandPath()}
			}
			return &usageError{fmt.Errorf("unknown target %q%s; use one of %s", args[0], typo.Suggest(args[0], names), strings.Join(names, ", ")), cmd.CommandPath()}
		},
	}
	for _, t := range deliver.Targets() {
		cmd.AddCommand(newDeliverTarget(s, t, runF))
	}
	cmd.AddCommand(newDeliverDisc(s, nil))
	return cmd
}

// targetLines lists the targets for the help.
func targetLines() string {
	var lines []string
	for _, t := range deliver.Targets() {
		lines = append(lines, fmt.Sprintf("  %-11s %s", t.Name, t.Title))
	}
	return strings.Join(append(lines, fmt.Sprintf("  %-11s %s", discName, discShort)), "\n")
}

func newDeliverTarget(s *Streams, t *deliver.Target, runF func(context.Context, *deliverOptions) error) *cobra.Command {
	o := &deliverOptions{Streams: s, Target: t}
	cmd := &cobra.Command{
		Use:     t.Name,
		Short:   t.Title,
		Long:    targetLong(t),
		Example: fmt.Sprintf("  backporch deliver %s --pattern bars-eg1\n  backporch deliver %s --kit -o videos", t.Name, t.Name),
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			if err := o.check(cmd); err != nil {
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
	f.StringVar(&o.Pattern, "pattern", "", "the pattern, with its options: \"crosshatch color=green\"")
	f.BoolVar(&o.Kit, "kit", false, "a folder with every pattern, numbered in the order of work")
	f.StringArrayVar(&o.Patterns, "patterns", nil, "with --kit: only these patterns, or groups: "+strings.Join(kit.GroupWords(), ", ")+" (all)")
	f.StringVar(&o.Seconds, "seconds", "", "length in seconds, rounded to whole frames, and up to whole periods of what moves (10)")
	o.pictureFlags.add(cmd, f)
	f.StringVar(&o.Audio, "audio", "", "sound: none, silent, or tone, which is 1 kHz at line-up level ("+string(t.Audio)+")")
	if len(t.Depths) > 1 {
		f.IntVar(&o.Depth, "depth", 0, fmt.Sprintf("bits a sample: %s (%d)", depths(t.Depths), t.Depths[0]))
		complete(cmd, "depth", strings.Split(depths(t.Depths), " or "))
	}
	f.StringVar(&o.Ident, "ident", "", "caption in the picture, beside all named patches; may hold {pattern}, {raster} and {setup}; auto: all three")
	f.StringVarP(&o.Output, "output", "o", "", "file to write (PATTERN-RASTER"+t.Extension+"), or folder with --kit (backporch-"+t.Name+"-RASTER)")
	f.BoolVar(&o.Clip, "clip", false, "accept the nearest level where setup or levels are out of the format's reach")
	f.BoolVar(&o.Force, "force", false, "overwrite an existing file, or replace an earlier folder")
	f.BoolVar(&o.JSON, "json", false, "print the proof as JSON; with --kit the list of files")
	complete(cmd, "pattern", patternNames())
	complete(cmd, "patterns", append(kit.GroupWords(), patternNames()...))
	complete(cmd, "audio", deliver.Audios())
	complete(cmd, "ident", []string{"auto"})
	return cmd
}

func depths(list []int) string {
	var s []string
	for _, n := range list {
		s = append(s, strconv.Itoa(n))
	}
	return strings.Join(s, " or ")
}

// targetLong is what help says of a target.
func targetLong(t *deliver.Target) string {
	within := fmt.Sprintf("Every patch is within %g codes of its definition, or the file is not kept.", t.Tolerance)
	switch t.Tolerance {
	case 0:
		within = "It is lossless: every code is as computed, or the file is not kept."
	case 1:
		within = "Every patch is within 1 code of its definition, or the file is not kept."
	}
	return fmt.Sprintf(`%s: for %s.

%s

Rasters: %s.`, t.Title, t.Use, within, strings.Join(t.Rasters, ", "))
}

// check refuses flags that do not go together.
func (o *deliverOptions) check(cmd *cobra.Command) error {
	usage := func(format string, args ...any) error {
		return &usageError{fmt.Errorf(format, args...), cmd.CommandPath()}
	}
	switch {
	case o.Pattern == "" && !o.Kit:
		return usage("--pattern is missing; `backporch list patterns` names them all, and --kit takes every one")
	case o.Pattern != "" && o.Kit:
		return usage("--pattern is one file and --kit a folder with many; give one of them")
	case len(o.Patterns) > 0 && !o.Kit:
		return usage("--patterns chooses from --kit; for one file use --pattern")
	case o.Output == "-":
		return usage("a file must be read again to be proved, so it cannot go to standard output; name it with -o")
	case o.Audio != "" && !slices.Contains(deliver.Audios(), o.Audio):
		return usage("--audio: %q is none of none, silent and tone", o.Audio)
	}
	return nil
}
