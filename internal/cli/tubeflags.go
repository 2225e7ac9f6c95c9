package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"backporch/colorimetry"
	"backporch/internal/readings"
	"backporch/timing"
)

// tubeFlags say what an aligned tube does.
type tubeFlags struct {
	White      string
	Primaries  string
	Luminance  float64
	BlackLight float64
	Gamma      float64
}

func (t *tubeFlags) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&t.White, "white", "D65", "white of the tube: "+colorimetry.WhiteRange())
	f.StringVar(&t.Primaries, "primaries", "", "phosphors of the tube: "+strings.Join(colorimetry.PrimariesNames(), ", ")+", or six numbers, x,y of red, green and blue (smpte-c at 525 lines, ebu at 625)")
	f.Float64Var(&t.Luminance, "luminance", 100, "luminance of white, cd/m2")
	f.Float64Var(&t.BlackLight, "black", 0, "luminance of black, cd/m2")
	f.Float64Var(&t.Gamma, "gamma", 2.4, "exponent of the tube, 1.5 to 3.5")
	complete(cmd, "white", colorimetry.WhiteNames())
	complete(cmd, "primaries", colorimetry.PrimariesNames())
}

// glow returns the tube that the flags describe.
func (t *tubeFlags) glow(s *timing.System) (g readings.Glow, err error) {
	if g.White, err = colorimetry.ParseWhite(t.White); err != nil {
		return g, fmt.Errorf("--white: %w", err)
	}
	name := t.Primaries
	if name == "" {
		name = "smpte-c"
		if s == timing.System625 {
			name = "ebu"
		}
	}
	if g.Primaries, err = colorimetry.ParsePrimaries(name); err != nil {
		return g, fmt.Errorf("--primaries: %w", err)
	}
	if err := g.Primaries.CanMake(g.White); err != nil {
		return g, err
	}
	if !(t.Gamma >= 1.5 && t.Gamma <= 3.5) { // not a number is neither
		return g, fmt.Errorf("--gamma: %g is not within 1.5 to 3.5", t.Gamma)
	}
	if g.Tube, err = colorimetry.NewTube(t.Luminance, t.BlackLight, t.Gamma); err != nil {
		return g, fmt.Errorf("--luminance and --black: %w", err)
	}
	return g, nil
}
