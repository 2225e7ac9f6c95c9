package cli

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/wavefile"
)

type waveOptions struct {
	*Streams
	pictureFlags
	signalFlags

	Words []string // of the pattern's one-line spelling

	Format   string
	Offset   bool
	Frames   int
	Seconds  string
	Lines    string
	Field    int
	Output   string
	Sidecar  string
	Clip     bool
	Force    bool
	counted  bool // --frames was given
	lineWise bool // --lines or --field was given
}

// newWave returns the wave command. Tests pass runF to see the parsed options
// without doing the work.
func newWave(s *Streams, runF func(context.Context, *waveOptions) error) *cobra.Command {
	o := &waveOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "wave PATTERN [NAME=VALUE]...",
		Short: "Write the signal on the cable as samples",
		Long: `Write the complete signal of a pattern, with its sync, burst and blanking, as
samples for an arbitrary-waveform generator, a digital-to-analog converter or a
program: composite and Y/C at four times the subcarrier, component and RGB at
27 MHz. Options of the pattern follow its name as NAME=VALUE.

  wav  RIFF/WAVE of the words of s16; a channel for each signal, such as Y and C
  s16  16-bit words with a sign: 32 times the 10-bit code less that of blanking
  u16  16-bit words, each a 10-bit code: blanking 240 and white 800 on 525 lines,
       256 and 844 on 625; C, PB and PR swing about 512
  csv  text: a few lines (--lines), a row for each sample, in us and mV

Words are little-endian, the channels in turn. A file begins with the first
sample at or after 0H of line 1 of color field 1 and holds whole color sequences
(2 frames of 480i, 4 of 576i), so that it loops without a seam. FILE.json beside
it says the rate, what the codes of every channel stand for, and the rest;
"backporch scope" needs it to read the file.

Levels are those on a cable that ends in 75 ohm; set a generator that shows its
open-circuit voltage to twice of them, and never connect one to a set's input
before its level, offset and 75 ohm are checked. Without --wire the signal is
composite: with 7.5 IRE setup on 525 lines, PAL on 625.

` + caution,
		Example: "  backporch wave bars-full\n  backporch wave bars-full --wire yc-pal --raster 576i --seconds 10 -o bars.wav\n" +
			"  backporch wave bars-eg1 --lines 20-30 -o lines.csv\n  backporch wave bars-full --burst off --format u16 -o - | player -",
		GroupID:           "make",
		Args:              spelled("PATTERN"),
		ValidArgsFunction: completePattern,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			o.Words = args
			o.counted = cmd.Flags().Changed("frames")
			o.lineWise = cmd.Flags().Changed("lines") || cmd.Flags().Changed("field")
			if o.counted && o.Seconds != "" {
				return usagef("--frames and --seconds both say how long; give one of them")
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	o.pictureFlags.add(cmd, f)
	o.signalFlags.add(cmd, f)
	f.BoolVar(&o.Offset, "offset-25hz", false, "288p: the subcarrier of 576i, 25 Hz higher; the signal then loops after 625 frames and more")
	f.StringVar(&o.Format, "format", "", "file format, if the name given with -o does not say it: "+strings.Join(wavefile.Formats(), ", "))
	f.IntVar(&o.Frames, "frames", 0, "frames, rounded up to whole color sequences (one)")
	f.StringVar(&o.Seconds, "seconds", "", "length in seconds, instead of --frames; rounded up likewise")
	f.StringVar(&o.Lines, "lines", "", "csv: lines of the frame, such as 20 or 20-30 (the middle one of field 1)")
	f.IntVar(&o.Field, "field", 0, "csv: field of the color sequence that the lines are from, from 1 (of the first frame)")
	f.StringVarP(&o.Output, "output", "o", "", "file to write; - is standard output (PATTERN-RASTER-WIRE.wav)")
	f.StringVar(&o.Sidecar, "sidecar", "", "with -o - or a device: file for the description (none)")
	f.BoolVar(&o.Clip, "clip", false, "accept the nearest level where the player's levels are out of reach")
	f.BoolVar(&o.Force, "force", false, "overwrite existing files")
	complete(cmd, "format", wavefile.Formats())
	return cmd
}
