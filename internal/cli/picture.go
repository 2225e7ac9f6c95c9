package cli

import (
	"math/big"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/device"
	"backporch/internal/format"
	"backporch/internal/render"
	"backporch/pattern"
	"backporch/timing"
)

// pictureFlags are the flags that say how a pattern is laid out. They mean the
// same with every command.
type pictureFlags struct {
	Device      string
	Dither      bool
	Raster      string
	Setup       string
	PlayerSetup string
	Wire        string
	Player      string
	Aspect      string
	Edges       string
	Single      bool

	profile *device.Profile // what --device names, once it has been read
}

func (p *pictureFlags) add(cmd *cobra.Command, f *pflag.FlagSet) {
	f.StringVar(&p.Device, "device", "", "what plays it: a NAME that list devices has, or a profile of your own, FILE.toml")
	f.BoolVar(&p.Dither, "dither", false, "with --device: spread the errors of its colors over pixels, so that levels hold over areas only")
	f.StringVar(&p.Raster, "raster", "", "lines and samples: "+strings.Join(rasterNames(), ", ")+" (480i; with --device its own)")
	f.StringVar(&p.Setup, "setup", "as-player", "black on the wire, 525 lines: as-player, 0 or 7.5 IRE above blanking")
	f.StringVar(&p.PlayerSetup, "player-setup", "", "what the player's own encoder adds: 0 or 7.5 IRE (0 once a setup is asked for)")
	f.StringVar(&p.Wire, "wire", "", "levels wanted on the wire: "+strings.Join(composite.Names(0), ", "))
	f.StringVar(&p.Player, "player", "", "levels that the player makes of plain codes: the same names")
	f.StringVar(&p.Aspect, "aspect", "4:3", "shape of the screen: 4:3 or 16:9")
	f.StringVar(&p.Edges, "edges", "", "transitions: "+strings.Join(pattern.EdgeNames(), ", ")+" (shaped; hard on devices with visible pixels)")
	f.BoolVar(&p.Single, "single-line", false, "draw horizontal lines in one row, not in one of each field")
	for name, values := range map[string][]string{
		"raster": rasterNames(), "setup": {"as-player", "0", "7.5"}, "player-setup": {"0", "7.5"},
		"wire": composite.Names(0), "player": composite.Names(0), "aspect": {"4:3", "16:9"}, "edges": pattern.EdgeNames(),
	} {
		complete(cmd, name, values)
	}
	completeDevice(cmd)
}

// complete offers the values of a flag to the shell.
func complete(cmd *cobra.Command, flag string, values []string) {
	completeBy(cmd, flag, cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp))
}

// completeDevice offers the devices for --device, and files where none fits.
// They are looked up only then: that takes longer than all the other flags.
func completeDevice(cmd *cobra.Command) {
	completeBy(cmd, "device", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return device.Names(), cobra.ShellCompDirectiveDefault
	})
}

func completeBy(cmd *cobra.Command, flag string, f cobra.CompletionFunc) {
	if err := cmd.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic(err) // the flag was defined a moment ago
	}
}

func rasterNames() []string { return namesOf(timing.Rasters()) }

func namesOf(list []*timing.Raster) (names []string) {
	for _, r := range list {
		names = append(names, r.Name)
	}
	return names
}

var aspect4x3 = timing.R(4, 3)

// parseAspect reads --aspect.
func parseAspect(s string) (timing.Ratio, error) {
	switch s {
	case "4:3":
		return aspect4x3, nil
	case "16:9":
		return timing.R(16, 9), nil
	}
	return timing.Ratio{}, usagef("unknown aspect %q; use 4:3 or 16:9", s)
}

// picture is what pictureFlags mean.
type picture struct {
	Device *device.Profile // nil: none in particular
	Dither bool
	Raster *timing.Raster
	Plan   colorimetry.Plan
	Aspect timing.Ratio
	Edges  pattern.Edges
	Single bool
}

// request is that for a file of a pattern in a format.
func (v *picture) request(pt pattern.Pattern, spec string, f *format.Format) render.Request {
	return render.Request{
		Pattern: pt, Spec: spec, Format: f, Frames: 1,
		Raster: v.Raster, Edges: v.Edges, Aspect: v.Aspect, Single: v.Single, Plan: v.Plan, Device: v.Device, Dither: v.Dither,
	}
}

// resolve reads the flags for a file of a pattern (nil: for none in
// particular).
func (p *pictureFlags) resolve(pt pattern.Pattern) (picture, error) { return p.read(pt, true) }

func (p *pictureFlags) read(pt pattern.Pattern, file bool) (v picture, err error) {
	if v.Device, v.Raster, err = p.lattice(); err != nil {
		return v, &usageError{err: err}
	}
	if v.Aspect, err = parseAspect(p.Aspect); err != nil {
		return v, err
	}
	if p.Edges != "" {
		if v.Edges, err = pattern.ParseEdges(p.Edges); err != nil {
			return v, &usageError{err: err}
		}
	} else if v.Device != nil {
		v.Edges = v.Device.Edges()
	}
	v.Single = p.Single
	if v.Dither = p.Dither; v.Dither && (v.Device == nil || !v.Device.Pixels()) {
		return v, usagef("--dither spreads the errors of a device's own colors; name one that shows pixels with --device, or leave it out")
	}
	if v.Device != nil {
		v.Plan, err = p.devicePlan(v.Device, v.Raster, pt)
	} else {
		v.Plan, err = p.plan(v.Raster, pt, file)
	}
	if err != nil {
		return v, &usageError{err: err}
	}
	return v, nil
}

// seconds is the exact number of frames that last so long on a raster, rounded
// to the nearest and at least 1.
func seconds(text string, r *timing.Raster) (int, error) {
	s, ok := new(big.Rat).SetString(text)
	if !ok || s.Sign() <= 0 || s.Cmp(big.NewRat(86400, 1)) > 0 {
		return 0, usagef("--seconds: %q is not a duration of more than 0 and at most 86400 seconds", text)
	}
	rate := r.FrameRate()
	s.Mul(s, big.NewRat(rate.Num, rate.Den))
	s.Add(s, big.NewRat(1, 2))
	n := new(big.Int).Quo(s.Num(), s.Denom()).Int64()
	return int(max(n, 1)), nil
}
