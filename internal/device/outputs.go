package device

import (
	"fmt"
	"slices"
	"strings"

	"backporch/colorimetry"
	"backporch/internal/typo"
	"backporch/timing"
)

// outputNames are the outputs that a profile can have: wires by name, or kinds
// whose levels follow from the system and the setup.
var outputNames = []string{
	"composite", "yc", "component", "rgb",
	"composite-m", "composite-j", "pal", "yc-m", "yc-j", "yc-pal",
	"component-n10", "component-betacam", "component-betacam-zero", "component-betacam-700", "component-mii",
	"rgb-700", "rgb-714",
}

// OutputNames lists the outputs that a profile can have.
func OutputNames() []string { return slices.Clone(outputNames) }

// outputFamily returns the levels of an output. setup is in IRE, or below 0 if
// nothing is said of it.
func outputFamily(name string, s *timing.System, setup float64) (*colorimetry.Family, error) {
	plain := strings.ToLower(name)
	if !slices.Contains(outputNames, plain) {
		return nil, fmt.Errorf("unknown output %q%s; use %s", name, typo.Suggest(name, outputNames), strings.Join(outputNames, ", "))
	}
	family := plain
	switch plain {
	case "composite", "yc":
		switch {
		case s == timing.System625:
			family = "pal"
		case setup < 0:
			return nil, fmt.Errorf("output %q on 525 lines: its setup is missing; say setup = 7.5 or 0, or write %s-m or %s-j", plain, plain, plain)
		case setup > 0:
			family = "composite-m"
		default:
			family = "composite-j"
		}
	case "component":
		family = "component-n10"
	case "rgb":
		family = "rgb-700"
	case "yc-pal":
		family = "pal"
	default:
		family = strings.Replace(family, "yc-", "composite-", 1)
	}
	f := colorimetry.LookupFamily(family)
	if f.Lines != 0 && f.Lines != s.Lines() {
		return nil, fmt.Errorf("output %s (%s) belongs to %d lines, the device has %d", plain, f.Title, f.Lines, s.Lines())
	}
	if f.Interface == colorimetry.Composite && s == timing.System525 && setup >= 0 && (f.Black > 0) != (setup > 0) {
		return nil, fmt.Errorf("output %s has %g IRE of setup, and setup says %g", plain, tidyIRE(f), setup)
	}
	return f, nil
}

func tidyIRE(f *colorimetry.Family) float64 {
	if f.Black > 0 {
		return 7.5
	}
	return 0
}

// checkSetup refuses a setup that a system does not have.
func checkSetup(s *timing.System, setup float64) error {
	switch {
	case setup != 0 && setup != 7.5:
		return fmt.Errorf("a setup of %g IRE; it is 0 or 7.5", setup)
	case setup != 0 && s == timing.System625:
		return fmt.Errorf("a setup of 7.5 IRE on 625 lines, which have none; use 0")
	}
	return nil
}
