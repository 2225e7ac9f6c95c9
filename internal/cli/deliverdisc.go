package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/deliver"
	"backporch/internal/ffmpeg"
	"backporch/internal/kit"
	"backporch/internal/table"
)

type discOptions struct {
	*Streams
	pictureFlags

	Patterns []string
	Kit      bool
	Seconds  string
	Still    bool
	Audio    string
	Title    string
	Ident    string
	Output   string
	Clip     bool
	Force    bool
	JSON     bool
}

const (
	discName  = "dvd"
	discShort = "a whole DVD-Video disc, folder and image, with a program a pattern"
)

// newDeliverDisc returns deliver dvd. Tests pass runF to see the parsed options
// without doing the work.
func newDeliverDisc(s *Streams, runF func(context.Context, *discOptions) error) *cobra.Command {
	o := &discOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   discName,
		Short: "A whole DVD-Video disc: folder, image to burn, and a list to print",
		Long: fmt.Sprintf(`Make a DVD-Video disc of the patterns of a kit, in the order of work.

Each pattern is a program that repeats until next or previous is pressed; a
number goes straight to that pattern, and the menu button to the first. With
--still each is one picture that the player holds; players may show one field of
it only, so that interlace and fine detail cannot be judged then.

The folder holds VIDEO_TS and AUDIO_TS, the image to burn (ISO 9660 and UDF),
contents.html and CONTENTS.TXT to lie beside the set, and disc.json with what was
proved: every stream is decoded again and every patch measured, within 2 codes;
the navigation of the finished disc is read back, its videos compared byte for
byte with the proved streams, and the image with the folder. A disc that fails is
not kept.

A disc has %d patterns at most, and 480 rows (525 lines) or 576 (625 lines).
ffmpeg and dvdauthor must be installed.

`, deliver.DiscPrograms) + caution,
		Example: `  backporch deliver dvd
  backporch deliver dvd --raster 576i --title "Bench A" -o disc
  backporch deliver dvd --patterns levels,color --seconds 20 --audio tone
  backporch deliver dvd --patterns crosshatch,dots --still`,
		Args: exactly(0, ""),
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			switch {
			case o.Kit && len(o.Patterns) > 0:
				return &usageError{errors.New("--kit is every pattern and --patterns some; give one of them"), cmd.CommandPath()}
			case o.Still && o.Seconds != "":
				return &usageError{errors.New("--still is held without end and --seconds is the length of a loop; give one of them"), cmd.CommandPath()}
			case o.Output == "-":
				return &usageError{errors.New("a disc is a folder and cannot go to standard output; name one with -o"), cmd.CommandPath()}
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.StringArrayVar(&o.Patterns, "patterns", nil, "patterns, or groups: "+strings.Join(kit.GroupWords(), ", ")+" (all)")
	f.BoolVar(&o.Kit, "kit", false, "every pattern of a kit, which is usual")
	f.StringVar(&o.Seconds, "seconds", "", fmt.Sprintf("length of each loop in seconds, %d or more, and up to whole periods of what moves (%[1]d)", deliver.DiscSeconds))
	f.BoolVar(&o.Still, "still", false, "stills that the player holds, without sound; players may show one field only")
	f.StringVar(&o.Audio, "audio", "", "sound: none, silent, or tone, which is 1 kHz at line-up level (silent; none with --still)")
	f.StringVar(&o.Title, "title", "", "name of the disc: letters, digits, spaces and hyphens, 32 at most (backporch RASTER)")
	o.pictureFlags.add(cmd, f)
	f.StringVar(&o.Ident, "ident", "", "caption in every picture that has room: text with {pattern}, {raster}, {setup}; auto is all three")
	f.StringVarP(&o.Output, "output", "o", "", "folder to write (backporch-dvd-RASTER)")
	f.BoolVar(&o.Clip, "clip", false, "accept the nearest level where setup or levels are out of reach")
	f.BoolVar(&o.Force, "force", false, "replace an earlier disc")
	f.BoolVar(&o.JSON, "json", false, "print the proof as JSON")
	complete(cmd, "patterns", append(kit.GroupWords(), patternNames()...))
	complete(cmd, "audio", deliver.Audios())
	complete(cmd, "ident", []string{"auto"})
	return cmd
}

func (o *discOptions) run(ctx context.Context) error {
	d, err := o.layout()
	if err != nil {
		return err
	}
	tool, err := ffmpeg.Find(ctx)
	if err != nil {
		return err
	}
	author, err := deliver.FindAuthor()
	if err != nil {
		return err
	}
	bar := newProgress(o.Streams, "frames")
	d.Progress = bar.set
	proof, err := d.Make(ctx, tool, author)
	bar.done()
	if proof != nil {
		var doc table.Document = proof.Summary()
		if o.JSON {
			doc = proof.Document()
		}
		flags := tableFlags{JSON: o.JSON}
		if err := flags.print(o.Streams, doc); err != nil {
			return err
		}
	}
	if err != nil {
		return err
	}
	o.report(d, proof)
	return nil
}

// layout turns the flags into a disc.
func (o *discOptions) layout() (*deliver.Disc, error) {
	choices, err := kit.Choices((&kitOptions{Patterns: o.Patterns}).patterns()) // as kit reads them
	if err != nil {
		return nil, &usageError{err: err}
	}
	v, err := o.resolve(nil)
	if err != nil {
		return nil, err
	}
	q := &deliver.DiscRequest{
		Dir: o.Output, Force: o.Force, Title: o.Title, Still: o.Still, Audio: deliver.Audio(o.Audio),
		Picture: v.request(nil, "", nil), Program: "backporch " + Version,
	}
	q.Picture.Clip, q.Picture.Ident = o.Clip, o.Ident
	for _, c := range choices {
		q.Choices = append(q.Choices, deliver.DiscChoice{Spec: c.Spec, Step: c.Step, Do: c.Do})
	}
	length := o.Seconds
	if length == "" {
		length = fmt.Sprint(deliver.DiscSeconds)
	}
	if q.Frames, err = seconds(length, v.Raster); err != nil {
		return nil, err
	}
	d, err := q.Layout()
	if err != nil {
		return nil, &usageError{err: deliverText(err)}
	}
	if d.Dir == "" {
		d.Dir = "backporch-dvd-" + d.Raster.Name
	}
	return d, nil
}

// report tells what was made and what the user should know of it.
func (o *discOptions) report(d *deliver.Disc, proof *deliver.DiscProof) {
	var bytes int64
	for _, f := range proof.Files {
		bytes += f.Bytes
	}
	if !o.JSON {
		fmt.Fprintf(o.Out, "\n%s: %s, each proved, %.1f MB; burn %s as an image, or play VIDEO_TS; contents.html is the list to print\n",
			d.Dir, count(len(d.Jobs), "pattern"), float64(bytes)/1e6, proof.Image)
	}
	absent, clipped := 0, 0
	flashing := false
	for i, j := range d.Jobs {
		absent += len(j.Lost.Clipped(false))
		clipped += len(j.Lost.Clipped(true))
		flashing = flashing || d.Entry[i].Flashes
	}
	say := func(format string, args ...any) { fmt.Fprintf(o.Err, format+"\n", args...) }
	if absent > 0 {
		say("%s absent, which the list names", are(absent, "patch", "patches"))
	}
	if clipped > 0 {
		say("%s clipped, which the list names", are(clipped, "patch", "patches"))
	}
	if d.Still {
		say("caution: players may hold one field of a still only; do not judge interlace or fine detail with it")
	}
	say("caution: bright still pictures burn the phosphor; do not leave them on longer than the work needs")
	if flashing {
		say("caution: one of the patterns flashes over the whole picture, and others move or flicker; warn all who can see the screen")
	}
	if d.Audio == deliver.Tone {
		say("caution: turn the amplifier down before you play it")
	}
}
