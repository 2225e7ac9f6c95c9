package cli

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"backporch/internal/modeline"
	"backporch/internal/typo"
	"backporch/timing"
)

type modelineOptions struct {
	*Streams
	tableFlags

	Raster    string
	Width     int
	Timing    string
	Input     string
	Connector string
	EDID      string
	Also      string
	Setup     string
	Size      string
	Name      string
	Force     bool

	sized bool // --width was given
}

// edidOnly are the flags that say what stands in the EDID alone.
var edidOnly = []string{"also", "setup", "size", "name", "force"}

// newModeline returns the modeline command. Tests pass runF to see the parsed
// options without doing the work.
func newModeline(s *Streams, runF func(context.Context, *modelineOptions) error) *cobra.Command {
	o := &modelineOptions{Streams: s}
	cmd := &cobra.Command{
		Use:   "modeline RASTER",
		Short: "Make a PC or single-board computer put out a raster: modeline, EDID, kernel options",
		Long: `Print what a computer needs to be told so that its display output runs a raster:
the modeline of X.Org, the xrandr commands, the rates that result, and how the
kernel's composite outputs are told where black lies. --edid writes the 128 bytes
by which a set that has no data channel can be announced to the kernel.

At 720, 1440 and 2880 pixels the timing is that of CEA-861 where it lists the
raster. At other widths the picture keeps its share of the line, and clock (in
steps of 10 kHz, as an EDID has it) and blanking are chosen so that the line rate
comes nearest. --timing bt601 puts the picture where a studio signal has it: on
525 lines CEA-861 has sync 3 samples of 13.5 MHz late, so that the picture stands
left, and the rows of 480i one line of the field high.

A wrong mode can damage a set, above all one with a fixed line rate. Boot screens
run at 31 kHz or more: connect the set when the mode is up and its line rate has
been measured.

` + caution,
		Example: "  backporch modeline 480i-cea\n  backporch modeline 240p --width 1280\n  backporch modeline 480i --timing bt601 --setup 7.5 --edid bench-a.bin\n" +
			"  backporch modeline 576i --input digital --edid - | edid-decode --check",
		GroupID: "make",
		Args:    exactly(1, "RASTER"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			return rasterNames(), cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := noEmpty(cmd); err != nil {
				return err
			}
			o.Raster, o.sized = args[0], cmd.Flags().Changed("width")
			for _, name := range edidOnly {
				if o.EDID == "" && cmd.Flags().Changed(name) {
					return usagef("--%s speaks of the EDID; add --edid FILE, or leave it out", name)
				}
			}
			if runF != nil {
				return runF(cmd.Context(), o)
			}
			return o.run(cmd.Context())
		},
	}
	f := cmd.Flags()
	f.SortFlags = false
	f.IntVar(&o.Width, "width", 0, "pixels in a line, 256 to 4095 (720; 1440 with --input digital)")
	f.StringVar(&o.Timing, "timing", "cea", "where the picture stands between the syncs: cea, or bt601 as in a studio")
	f.StringVar(&o.Input, "input", "analog", "the link: analog or digital")
	f.StringVar(&o.Connector, "connector", "", "the kernel's name of the output (VGA-1; HDMI-A-1 with --input digital)")
	f.StringVar(&o.EDID, "edid", "", "also write the EDID to a file; - is standard output, and nothing else goes there")
	f.StringVar(&o.Also, "also", "", "second mode of the EDID: a raster, or none (the system's other way of sweeping)")
	f.StringVar(&o.Setup, "setup", "0", "black that the EDID asks of an analog output: 0 or 7.5 IRE above blanking")
	f.StringVar(&o.Size, "size", "400x300", "picture: width and height in mm, or a 4:3 diagonal with its unit such as 20in or 51cm")
	f.StringVar(&o.Name, "name", "", "name of the set, up to 13 characters (CRT RASTER)")
	f.BoolVar(&o.Force, "force", false, "overwrite an existing file")
	o.tableFlags.add(cmd)
	for name, values := range map[string][]string{
		"width": {"720", "1440", "2880"}, "timing": modeline.PlacingNames(), "input": modeline.InputNames(),
		"connector": {"VGA-1", "DVI-I-1", "HDMI-A-1"}, "also": append(rasterNames(), "none"), "setup": {"0", "7.5"},
	} {
		complete(cmd, name, values)
	}
	return cmd
}

// raster finds a raster by the word that named it.
func (o *modelineOptions) raster(flag, name string) (*timing.Raster, error) {
	r := timing.Lookup(name)
	if r == nil {
		return nil, usagef("%sunknown raster %q%s; use one of %s", flag, name, typo.Suggest(name, rasterNames()), strings.Join(rasterNames(), ", "))
	}
	return r, nil
}

// modelineJob is what the flags mean.
type modelineJob struct {
	Mode      *modeline.Mode
	Display   *modeline.Display
	Connector string
}

// plan turns the flags into a mode and a display.
func (o *modelineOptions) plan() (j modelineJob, err error) {
	r, err := o.raster("", o.Raster)
	if err != nil {
		return j, err
	}
	p, err := modeline.ParsePlacing(o.Timing)
	if err != nil {
		return j, usagef("--timing: %w", err)
	}
	d := &modeline.Display{Name: o.Name}
	if d.Input, err = modeline.ParseInput(o.Input); err != nil {
		return j, usagef("--input: %w", err)
	}
	width := o.Width
	if !o.sized {
		width = 720
		if d.Input == modeline.Digital {
			width = 1440 // a digital link does not run at 13.5 MHz
		}
	}
	if j.Mode, err = modeline.New(r, width, p); err != nil {
		return j, usagef("--width: %w", err)
	}
	if j.Connector, err = o.connector(d.Input); err != nil {
		return j, err
	}
	d.Modes = []*modeline.Mode{j.Mode}
	if o.Also != "none" {
		second := modeline.Sister(r)
		if o.Also != "" {
			if second, err = o.raster("--also: ", o.Also); err != nil {
				return j, err
			}
		}
		m, err := modeline.New(second, width, p)
		if err != nil {
			return j, usagef("--width: %w", err)
		}
		d.Modes = append(d.Modes, m)
	}
	if err := o.describe(d, r); err != nil {
		return j, err
	}
	j.Display = d
	return j, nil
}

// describe fills in what the EDID alone says.
func (o *modelineOptions) describe(d *modeline.Display, r *timing.Raster) (err error) {
	switch {
	case o.Setup != "0" && o.Setup != "7.5":
		return usagef("--setup %q is neither 0 nor 7.5", o.Setup)
	case o.Setup == "7.5" && d.Input == modeline.Digital:
		return usagef("--setup 7.5 is asked of analog outputs; behind a digital link the adapter decides: leave it out, or use --input analog")
	case o.Setup == "7.5":
		for _, m := range d.Modes {
			if _, err := setupFamily("--setup", o.Setup, m.Raster.Scan.System.Lines()); err != nil {
				return &usageError{err: err}
			}
		}
	}
	d.Setup = o.Setup == "7.5"
	if d.Width, d.Height, err = modeline.ParseSize(o.Size); err != nil {
		return usagef("--size: %w", err)
	}
	if d.Name == "" {
		if d.Name = "CRT " + r.Name; len(d.Name) > modeline.MaxName {
			d.Name = r.Name
		}
	}
	if err := d.Check(); err != nil {
		return usagef("--%w", err)
	}
	return nil
}

// connector is the kernel's name of the output.
func (o *modelineOptions) connector(i modeline.Input) (string, error) {
	if o.Connector == "" {
		if i == modeline.Digital {
			return "HDMI-A-1", nil
		}
		return "VGA-1", nil
	}
	for _, c := range o.Connector {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-') {
			return "", usagef("--connector: %q is no name of an output; the folders below /sys/class/drm have them, such as card0-VGA-1 for VGA-1", o.Connector)
		}
	}
	return o.Connector, nil
}
