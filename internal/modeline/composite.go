package modeline

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/timing"
)

// A TVMode is what kernels call the signal of a composite output. Names and
// black levels as in the documentation of Linux's connector property "TV mode"
// and its command line (memory): NTSC has the setup, NTSC-J has black at
// blanking, PAL too. The mode of the output is the kernel's own, interlaced.
type TVMode struct {
	Name   string
	Option string // of the kernel's command line
	Family *colorimetry.Family
}

// TVModes lists those that fit a system, the one with setup first.
func TVModes(s *timing.System) []TVMode {
	option := func(size, name string) string { return fmt.Sprintf("video=Composite-1:%s,tv_mode=%s", size, name) }
	if s == timing.System625 {
		return []TVMode{{"PAL", option("720x576i", "PAL"), colorimetry.PAL}}
	}
	return []TVMode{
		{"NTSC", option("720x480i", "NTSC"), colorimetry.CompositeM},
		{"NTSC-J", option("720x480i", "NTSC-J"), colorimetry.CompositeJ},
	}
}

// Sister returns the raster that a set can be switched to without a new EDID:
// the one of the other way of sweeping the same system.
func Sister(r *timing.Raster) *timing.Raster {
	name := map[bool]string{true: "240p", false: "480i-cea"}[r.Scan.Interlaced()]
	if r.Scan.System == timing.System625 {
		name = map[bool]string{true: "288p", false: "576i"}[r.Scan.Interlaced()]
	}
	return timing.Lookup(name)
}
