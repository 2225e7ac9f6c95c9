package cli

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/composite"
	"backporch/internal/typo"
	"backporch/pattern"
	"backporch/timing"
)

// plan reads the four flags that speak of levels. --setup and --player-setup
// are shorthands for two of the families; disagreement is an error.
//
// For a file the player must be known once a wire is wanted. On the wire itself
// nothing need stand between: without a player the signal is the wanted one.
func (p *pictureFlags) plan(r *timing.Raster, pt pattern.Pattern, file bool) (plan colorimetry.Plan, err error) {
	lines := r.Scan.System.Lines()
	setup := p.Setup
	wants, ok := pt.(pattern.SetupPattern)
	wantsSetup := ok && wants.WantsSetup()
	if wantsSetup && lines == 625 {
		return plan, fmt.Errorf("a set written with 7.5 asks for 7.5 IRE setup, which belongs to 525 lines; write the set with 0 for 7.5, or choose a 525-line raster")
	}
	if wantsSetup && setup == "as-player" && p.Wire == "" {
		setup = "7.5"
	}
	fromSetup, err := setupFamily("--setup", setup, lines)
	if err != nil {
		return plan, err
	}
	fromPlayerSetup, err := setupFamily("--player-setup", p.PlayerSetup, lines)
	if err != nil {
		return plan, err
	}
	if plan.Wire, err = agree("--wire", p.Wire, "--setup", fromSetup); err != nil {
		return plan, err
	}
	if wantsSetup && plan.Wire != nil && plan.Wire.Black == 0 {
		asked := "--setup " + setup
		if p.Wire != "" {
			asked = "--wire " + p.Wire
		}
		return plan, fmt.Errorf("a set written with 7.5 asks for 7.5 IRE setup on the wire, and %s for none; write the set with 0 for 7.5, or use --setup 7.5", asked)
	}
	if plan.Player, err = agree("--player", p.Player, "--player-setup", fromPlayerSetup); err != nil {
		return plan, err
	}
	for _, name := range []string{p.Wire, p.Player} {
		if w := composite.Lookup(name); w != nil { // "" names none
			if err := w.Check(r.Scan); err != nil {
				return plan, err
			}
		}
	}
	switch {
	case plan.Wire == nil:
		plan.Wire = plan.Player // as the player makes it
	case !file:
	case plan.Player == nil && plan.Wire.Interface == colorimetry.Composite:
		plan.Player = colorimetry.CompositeJ
		if lines == 625 {
			plan.Player = colorimetry.PAL
		}
	case plan.Player == nil:
		return plan, fmt.Errorf("--wire %s needs the levels that the player itself makes: name them with --player", plan.Wire.Name)
	}
	return plan, plan.Check(lines)
}

// setupFamily returns the composite family of a setup, or nil for "as-player"
// and "".
func setupFamily(flag, setup string, lines int) (*colorimetry.Family, error) {
	switch setup {
	case "", "as-player":
		return nil, nil
	case "0":
		if lines == 625 {
			return colorimetry.PAL, nil
		}
		return colorimetry.CompositeJ, nil
	case "7.5":
		if lines == 625 {
			return nil, fmt.Errorf("%s 7.5 belongs to 525 lines: black is at blanking on every 625-line wire; leave the flag out, or choose a 525-line raster", flag)
		}
		return colorimetry.CompositeM, nil
	}
	choices := "0 or 7.5"
	if flag == "--setup" {
		choices = "as-player, 0 or 7.5"
	}
	return nil, fmt.Errorf("%s %q is none of %s", flag, setup, choices)
}

// agree returns the family that a flag names, or the one that its shorthand
// stands for.
func agree(flag, name, shortFlag string, short *colorimetry.Family) (*colorimetry.Family, error) {
	if name == "" {
		return short, nil
	}
	w := composite.Lookup(name) // Y/C has the levels of composite
	if w == nil {
		return nil, fmt.Errorf("%s: unknown levels %q%s; use %s", flag, name, typo.Suggest(name, composite.Names(0)), strings.Join(composite.Names(0), ", "))
	}
	f := w.Family
	if short != nil && short != f {
		return nil, fmt.Errorf("%s %s and %s disagree: the latter stands for %s; give one of them", flag, w.Name, shortFlag, short.Name)
	}
	return f, nil
}
