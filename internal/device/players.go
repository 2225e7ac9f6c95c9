package device

import (
	"fmt"

	"backporch/colorimetry"
	"backporch/timing"
)

// families looks levels up by name.
func families(names ...string) (list []*colorimetry.Family) {
	for _, n := range names {
		list = append(list, colorimetry.LookupFamily(n))
	}
	return list
}

func rasters(names ...string) (list []*timing.Raster) {
	for _, n := range names {
		list = append(list, timing.Lookup(n))
	}
	return list
}

// playerMakers are players of discs and media files: 720 samples at 13.5 MHz and
// limited range by ITU-R BT.601-5; the setup that goes with a region, and the
// kinds of output, are common practice.
func playerMakers() []maker {
	formats := []string{"y4m", "i420", "png", "bmp", "bmp24"}
	player := func(name, title, source string, s *timing.System, r []*timing.Raster, out []*colorimetry.Family, notes ...string) maker {
		return maker{name, func() *Profile {
			return &Profile{
				Name: name, Title: title, Source: source, Notes: notes,
				System: s, Rasters: r, Coding: colorimetry.YCbCr8, Outputs: out, SubBlack: true, Formats: formats,
			}
		}}
	}
	const setup = "ITU-R BT.601-5 table 2 and clause 3.5; setup of the region and outputs: common practice"
	still := "Video is safer than pictures: some players turn R'G'B' pictures into Y'CbCr by the matrix of BT.709, and some drop codes below black. The one-to-one picture and a PLUGE show it; matrix=709 and sub-black=false describe such a player."
	return []maker{
		player("player-525", "media or disc player, 525 lines, 7.5 IRE setup", setup, timing.System525,
			rasters("480i", "480i-dv", "240p"), families("composite-m", "component-betacam", "component-n10"), still,
			"Composite and Y/C carry the setup of most countries of 525 lines; which of the two component levels leaves the player is often a choice of its menu."),
		player("player-525-0", "media or disc player, 525 lines, no setup", setup, timing.System525,
			rasters("480i", "480i-dv", "240p"), families("composite-j", "component-n10"), still,
			"Composite and Y/C without setup, as in Japan."),
		player("player-625", "media or disc player, 625 lines", "ITU-R BT.601-5 table 2 and clause 3.5; outputs: common practice", timing.System625,
			rasters("576i", "576i-dv", "288p"), families("pal", "component-n10", "rgb-700"), still),
	}
}

// computerMakers are computers whose picture leaves by an analog adapter: modes
// on the clock of ITU-R BT.601-5 and its doubles, full-range R'G'B' of 8 bits.
func computerMakers() (list []maker) {
	for _, s := range []struct {
		lines   string
		system  *timing.System
		modes   []string
		outputs []string
		notes   []string
	}{
		{"525", timing.System525, []string{"480i", "240p", "240p-263"}, []string{"rgb-700", "rgb-714", "composite-j", "composite-m"}, []string{
			"Set the mode so that 0H comes 16 samples of 13.5 MHz after the last one (ITU-R BT.601-5): the usual display mode has it 3 samples later, and a picture 0.22 us too far left.",
			"The composite output is that of the adapter; with setup=7.5 it adds 7.5 IRE."}},
		{"625", timing.System625, []string{"576i", "288p", "288p-313"}, []string{"rgb-700", "pal"}, nil},
	} {
		for _, times := range []int64{1, 2, 4} {
			width := 720 * times
			name := fmt.Sprintf("computer-%d-%s", width, s.lines)
			list = append(list, maker{name, func() *Profile {
				p := &Profile{
					Name: name, Title: fmt.Sprintf("computer with an analog adapter, %s lines, %d samples at %g MHz", s.lines, width, 13.5*float64(times)),
					Source: "13.5 MHz: ITU-R BT.601-5 table 2, times " + fmt.Sprint(times) + "; full range, levels and setup of the adapter: common practice",
					Notes:  s.notes, System: s.system, Outputs: families(s.outputs...), Coding: colorimetry.RGB8,
					Color: Color{Bits: [3]int{8, 8, 8}}, Formats: []string{"png", "bmp", "bmp24"},
				}
				for _, m := range s.modes {
					p.Rasters = append(p.Rasters, multiple(timing.Lookup(m), times))
				}
				return p
			}})
		}
	}
	return list
}

// multiple returns r with times as many samples on the same stretch of the
// line: the left edge of the first stays where it is.
func multiple(r *timing.Raster, times int64) *timing.Raster {
	if times == 1 {
		return r
	}
	m := *r
	half, n := timing.R(1, 2), timing.Int(times)
	m.Name = fmt.Sprintf("%s-%d", r.Name, int64(r.Width)*times)
	m.Note = fmt.Sprintf("%s with %d samples where it has one", r.Name, times)
	m.Clock, m.Start, m.Width = r.Clock.Mul(n), r.Start.Sub(half).Mul(n).Add(half), r.Width*int(times)
	return &m
}
