package cli

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"backporch/colorimetry"
	"backporch/internal/job"
	"backporch/internal/modeline"
	"backporch/internal/typo"
	"backporch/timing"
)

// setFlags describe a set. Only those that are given change a description.
type setFlags struct {
	Label       string
	Tube        string
	Guns        string
	Size        string
	Aspect      string
	Inputs      []string
	Raster      string
	Device      string
	Setup       string
	PlayerSetup string
	White       string
	Primaries   string
	Luminance   float64
	Class       string
	Hot         bool
	Remarks     string
}

// maxLuminance is far beyond what a picture tube gives, cd/m2.
const maxLuminance = 1000

// noDevice stands for no device in particular.
const noDevice = "none"

func (t *setFlags) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&t.Label, "label", "", "what the set is called in the workshop, such as \"Bench A\"")
	f.StringVar(&t.Tube, "tube", "", "mask of the tube: "+strings.Join(job.Tubes(), ", "))
	f.StringVar(&t.Guns, "guns", "", "how the guns stand: "+strings.Join(job.GunsNames(), ", ")+" ("+string(job.InLine)+")")
	f.StringVar(&t.Size, "size", "", "visible screen: its diagonal as 20in, 51cm or 508mm, or width and height in mm as 406x305")
	f.StringVar(&t.Aspect, "aspect", "", "shape of the screen: 4:3 or 16:9 (4:3)")
	f.StringSliceVar(&t.Inputs, "inputs", nil, "inputs in order, each KIND or NAME=KIND; kinds are "+strings.Join(job.Wires(), ", ")+" (composite)")
	f.StringVar(&t.Raster, "raster", "", "raster of the work: "+strings.Join(rasterNames(), ", ")+" (480i; that of the device)")
	f.StringVar(&t.Device, "device", "", "what plays the patterns: a NAME that list devices has, a profile FILE.toml, or none (none)")
	f.StringVar(&t.Setup, "setup", "", "black that the set is switched to, 525 lines: as-player, 0 or 7.5 IRE (as-player)")
	f.StringVar(&t.PlayerSetup, "player-setup", "", "what the player's own encoder adds: 0 or 7.5 IRE; with --device its profile says it")
	f.StringVar(&t.White, "white", "", "white to align to: "+colorimetry.WhiteRange()+" (D65)")
	f.StringVar(&t.Primaries, "primaries", "", "phosphors: "+strings.Join(colorimetry.PrimariesNames(), ", ")+", or six numbers, x,y of red, green and blue (smpte-c at 525 lines, ebu at 625)")
	f.Float64Var(&t.Luminance, "luminance", 0, "luminance of white to align to, cd/m2; 0: any that the class allows (0)")
	f.StringVar(&t.Class, "class", "", "class of tolerance: "+strings.Join(job.Classes(), ", ")+"; 1 for judging pictures, 3 for looking at them (grade-2)")
	f.BoolVar(&t.Hot, "live-chassis", true, "the chassis is, or may be, connected to the mains; =false once its service data say otherwise")
	f.StringVar(&t.Remarks, "remarks", "", "whatever else is to be known of the set")
	for name, values := range map[string][]string{
		"tube": job.Tubes(), "guns": job.GunsNames(), "aspect": {"4:3", "16:9"}, "inputs": job.Wires(), "raster": rasterNames(),
		"setup": {"as-player", "0", "7.5"}, "player-setup": {"0", "7.5"}, "white": colorimetry.WhiteNames(),
		"primaries": colorimetry.PrimariesNames(), "class": job.Classes(),
	} {
		complete(cmd, name, values)
	}
	completeDevice(cmd)
}

// usualSet is what is taken of a set where nothing is said.
func usualSet() job.Set {
	return job.Set{
		Guns: job.InLine, Aspect: "4:3", Inputs: []job.Input{{Name: "composite", Wire: "composite"}},
		Setup: "as-player", White: "D65", Class: job.Grade2, Hot: true,
	}
}

// apply changes a description as the flags that were given say, and checks the
// whole. What depends on the raster and is not said is filled in.
func (t *setFlags) apply(cmd *cobra.Command, set job.Set) (job.Set, error) {
	given := cmd.Flags().Changed
	for _, w := range []struct {
		flag, value string
		list        []string
		to          func(string)
	}{
		{"label", strings.Join(strings.Fields(t.Label), " "), nil, func(s string) { set.Label = s }},
		{"tube", t.Tube, job.Tubes(), func(s string) { set.Tube = job.Tube(s) }},
		{"guns", t.Guns, job.GunsNames(), func(s string) { set.Guns = job.Guns(s) }},
		{"aspect", t.Aspect, []string{"4:3", "16:9"}, func(s string) { set.Aspect = s }},
		{"raster", t.Raster, nil, func(s string) { set.Raster = s }},
		{"setup", t.Setup, []string{"as-player", "0", "7.5"}, func(s string) { set.Setup = s }},
		{"player-setup", t.PlayerSetup, []string{"0", "7.5"}, func(s string) { set.Player = s }},
		{"white", t.White, nil, func(s string) { set.White = s }},
		{"primaries", t.Primaries, nil, func(s string) { set.Primaries = s }},
		{"class", t.Class, job.Classes(), func(s string) { set.Class = job.Class(s) }},
		{"remarks", t.Remarks, nil, func(s string) { set.Remarks = s }},
	} {
		if !given(w.flag) {
			continue
		}
		if w.list != nil && !slices.Contains(w.list, w.value) {
			return set, noSuch("--"+w.flag, w.value, w.list)
		}
		w.to(w.value)
	}
	if given("luminance") {
		set.Luminance = t.Luminance
	}
	if given("live-chassis") {
		set.Hot = t.Hot
	}
	var err error
	if given("size") {
		if set.DiagonalMM, err = diagonal(t.Size); err != nil {
			return set, err
		}
	}
	if given("inputs") {
		if set.Inputs, err = parseInputs(t.Inputs); err != nil {
			return set, err
		}
	}
	if given("device") {
		if set.Device, err = deviceName(t.Device); err != nil {
			return set, err
		}
		if !given("player-setup") {
			set.Player = "" // it was that of another player
		}
		if !given("raster") {
			set.Raster = rasterWith(&set)
		}
	}
	return checkSet(set)
}

// rasterWith is the raster of a set that gets another device: its own where the
// device can show it, else the device's usual one; and where the raster was that
// of a device which is no longer there, the one of files with its lines.
func rasterWith(set *job.Set) string {
	if set.Device == "" {
		if timing.Lookup(set.Raster) == nil && set.Scan != "" {
			return set.Scan
		}
		return set.Raster
	}
	p, err := readDevice(set.Device)
	if err != nil {
		return set.Raster // the whole is checked later, and says why
	}
	if _, err := p.Raster(set.Raster); err != nil {
		return ""
	}
	return set.Raster
}

// brightNote warns of a white that is aimed at above what the class of the set
// allows, or is "".
func brightNote(set *job.Set, w *job.Workshop) string {
	usual := *set
	usual.Luminance = 0
	p, err := job.NewPlan(&usual, w, nil)
	if err != nil {
		return ""
	}
	l := p.Limit(job.LimitWhiteLuminance)
	if l == nil || l.Max == nil || set.Luminance <= *l.Max {
		return ""
	}
	return fmt.Sprintf("CAUTION: white of %g cd/m2 is more than the %g of %s. It takes more beam current, which wears the tube and may ask for a limit or a high voltage that must not be touched: the maker's service data say how bright the tube may be.", set.Luminance, *l.Max, set.Class)
}

// noSuch says that a value is not one of a list.
func noSuch(what, value string, list []string) error {
	return usagef("%s: %q is none of %s%s", what, value, strings.Join(list, ", "), typo.Suggest(value, list))
}

// checkSet refuses what cannot be together, and names raster and primaries
// where the set does not.
func checkSet(set job.Set) (job.Set, error) {
	if set.Tube == "" {
		return set, usagef("--tube is missing: purity, convergence and their cautions depend on it; use one of %s", strings.Join(job.Tubes(), ", "))
	}
	if set.Guns == job.Delta && set.Tube != job.ShadowMask {
		// An aperture grille and a slot mask have vertical openings, which need
		// beams side by side (memory).
		return set, usagef("guns in delta stand behind a shadow mask of round holes; a tube with %s has its guns in line: use --guns %s, or --tube %s", article(string(set.Tube)), job.InLine, job.ShadowMask)
	}
	if set.Setup == "7.5" && !slices.ContainsFunc(set.Inputs, func(in job.Input) bool { return hasSetup(in.Wire) }) {
		return set, usagef("--setup 7.5 belongs to composite and Y/C, and the set has no such input; leave it out, or name one with --inputs")
	}
	p := setPicture(&set)
	v, err := p.resolve(nil)
	if err != nil {
		return set, err
	}
	set.Raster, set.Scan = v.Raster.Name, ""
	if timing.Lookup(set.Raster) == nil {
		set.Scan = scanName(v.Raster.Scan)
	}
	if set.Primaries == "" {
		set.Primaries = usualPrimaries(v.Raster.Scan.System)
	}
	g := tubeFlags{White: set.White, Primaries: set.Primaries, Luminance: set.Luminance, Gamma: 2.4}
	switch {
	case set.Luminance == 0:
		g.Luminance = 100
	case !(set.Luminance > 0 && set.Luminance <= maxLuminance):
		return set, usagef("--luminance: %g cd/m2 is no white of a picture tube; use more than 0 and at most %d, or 0 for any that the class allows", set.Luminance, maxLuminance)
	}
	if _, err := g.glow(v.Raster.Scan.System); err != nil {
		return set, &usageError{err: err}
	}
	return set, nil
}

// hasSetup reports whether a kind of input can carry setup.
func hasSetup(wire string) bool { return wire == "composite" || wire == "yc" }

// article sets "a" or "an" before a kind of mask.
func article(name string) string {
	name = strings.ReplaceAll(name, "-", " ")
	if strings.ContainsRune("aeiou", rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}

// setPicture is how pictures for a set are laid out.
func setPicture(set *job.Set) *pictureFlags {
	return &pictureFlags{Device: set.Device, Raster: set.Raster, Setup: set.Setup, PlayerSetup: set.Player, Aspect: set.Aspect}
}

// scanName is the raster of files that has a scan's lines and fields.
func scanName(s *timing.Scan) string {
	for _, r := range timing.Rasters() {
		if r.Scan.System == s.System && r.Scan.Interlaced() == s.Interlaced() {
			return r.Name
		}
	}
	return ""
}

// usualPrimaries are those of a system's studio monitors.
func usualPrimaries(s *timing.System) string {
	if s == timing.System625 {
		return "ebu"
	}
	return "smpte-c"
}

// deviceName is --device as a job keeps it: a profile's path holds wherever the
// program is called from.
func deviceName(name string) (string, error) {
	if name == noDevice {
		return "", nil
	}
	if !isFile(name) {
		return name, nil
	}
	return filepath.Abs(name)
}

// diagonal reads the size of a screen, mm.
func diagonal(text string) (float64, error) {
	w, h, err := modeline.ParseSize(text)
	if err != nil {
		return 0, usagef("--size: %q is no size of a screen; write the visible diagonal as 20in, 51cm or 508mm, or width and height in mm as 406x305", text)
	}
	s := strings.ToLower(strings.TrimSpace(text))
	for unit, mm := range map[string]float64{"in": 25.4, "cm": 10, "mm": 1} {
		if number, ok := strings.CutSuffix(s, unit); ok {
			d, err := strconv.ParseFloat(number, 64)
			return math.Round(d*mm*10) / 10, err
		}
	}
	return math.Round(math.Hypot(float64(w), float64(h))*10) / 10, nil
}

// parseInputs reads KIND or NAME=KIND; the second input of a kind without a
// name is called KIND-2.
func parseInputs(list []string) (inputs []job.Input, err error) {
	used := map[string]bool{}
	for _, text := range list {
		name, wire, named := strings.Cut(strings.TrimSpace(text), "=")
		if !named {
			wire = name
		}
		if !slices.Contains(job.Wires(), wire) {
			return nil, noSuch("--inputs", wire, job.Wires())
		}
		if !named {
			for n := 2; used[name]; n++ {
				name = fmt.Sprintf("%s-%d", wire, n)
			}
		}
		bad := func(r rune) bool {
			return r != '-' && r != '_' && (r < '0' || r > '9') && (r < 'a' || r > 'z') && (r < 'A' || r > 'Z')
		}
		switch {
		case name == "" || strings.ContainsFunc(name, bad):
			return nil, usagef("--inputs: %q is no name of an input; use letters, digits and hyphens, as in video-1=composite", name)
		case used[name]:
			return nil, usagef("--inputs: two inputs are named %q; give each its own name, as in video-1=composite,video-2=composite", name)
		}
		used[name] = true
		inputs = append(inputs, job.Input{Name: name, Wire: wire})
	}
	if len(inputs) == 0 {
		return nil, usagef("--inputs names no input; use some of %s", strings.Join(job.Wires(), ", "))
	}
	return inputs, nil
}
