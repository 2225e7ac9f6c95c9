package cli

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/tone"
	"backporch/internal/typo"
	"backporch/timing"
)

type toneOptions struct {
	*Streams

	Raster    string
	Frequency string
	Level     float64
	Rate      int
	Depth     int
	Channels  int
	Ident     string
	Frames    int
	Seconds   string
	Output    string
	Force     bool

	counted, leveled bool // --frames, --level were given
}

// newTone returns the tone command. Tests pass runF to see the parsed options
// without doing the work.
func newTone(s *Streams, runF func(context.Context, *toneOptions) error) *cobra.Command {
	o := &toneOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "tone",
		Short: "Write a line-up tone to go with a picture",
		Long: `Write a sine as RIFF/WAVE sound, exactly as long as a number of frames, to line
up sound levels and to find the channels: by default 1000 Hz at -20 dBFS beside
525 lines (SMPTE RP 155) and -18 dBFS beside 625 (EBU R 68), on two channels.

0 dBFS is a sine whose peak is the greatest sample. The tone begins at phase 0;
when it is a whole number of cycles it loops without a seam, else its last 5 ms
fade to silence. --ident left interrupts the left channel for 0.25 s every 3 s,
so that left and right can be told apart.

Turn the amplifier down before you play it, and headphones off: a steady tone
at line-up level is far louder than program, and can harm loudspeakers and ears.`,
		Example: "  backporch tone\n  backporch tone --raster 576i --ident left --seconds 12 -o lineup.wav\n  backporch tone --frames 300 --depth 24 -o - | player -",
		GroupID: "make",
		Args:    exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			o.counted, o.leveled = cmd.Flags().Changed("frames"), cmd.Flags().Changed("level")
			if o.counted && o.Seconds != "" {
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
	f.StringVar(&o.Raster, "raster", "480i", "raster whose frames it goes with: "+strings.Join(rasterNames(), ", "))
	f.StringVar(&o.Frequency, "frequency", strconv.Itoa(tone.Frequency), "Hz, a number such as 1000 or 937.5")
	f.Float64Var(&o.Level, "level", 0, "dBFS, -100 to 0 (-20 beside 525 lines, -18 beside 625)")
	f.IntVar(&o.Channels, "channels", 2, "1 or 2")
	f.StringVar(&o.Ident, "ident", "none", "none, or left: interrupt the left channel every 3 s")
	f.IntVar(&o.Rate, "rate", 48000, "samples a second: 48000 or 44100")
	f.IntVar(&o.Depth, "depth", 16, "bits a sample: 16 or 24")
	f.IntVar(&o.Frames, "frames", 0, "length in frames of the raster (the fewest from 10 s on that loop)")
	f.StringVar(&o.Seconds, "seconds", "", "length in seconds, instead of --frames; rounded to whole frames")
	f.StringVarP(&o.Output, "output", "o", "", "file to write; - is standard output (tone-RASTER.wav)")
	f.BoolVar(&o.Force, "force", false, "overwrite an existing file")
	for name, values := range map[string][]string{
		"raster": rasterNames(), "channels": {"1", "2"}, "ident": {"none", "left"}, "rate": {"48000", "44100"}, "depth": {"16", "24"},
	} {
		complete(cmd, name, values)
	}
	return cmd
}

// raster finds the raster.
func (o *toneOptions) raster() (*timing.Raster, error) {
	r := timing.Lookup(o.Raster)
	if r == nil {
		return nil, usagef("--raster: unknown raster %q%s; use one of %s", o.Raster, typo.Suggest(o.Raster, rasterNames()), strings.Join(rasterNames(), ", "))
	}
	return r, nil
}
