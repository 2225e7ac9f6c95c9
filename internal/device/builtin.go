package device

import (
	"fmt"
	"strings"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/timing"
)

// Builtin returns the profiles that the program brings, in listing order.
func Builtin() []*Profile {
	player := &Profile{
		Name: "player-525", Title: "media or disc player, 525 lines, 7.5 IRE setup", Source: "ITU-R BT.601-5; setup of the region: common practice",
		System:  timing.System525,
		Rasters: []*timing.Raster{timing.Lookup("480i"), timing.Lookup("240p")},
		Coding:  colorimetry.YCbCr8, Outputs: []*colorimetry.Family{colorimetry.CompositeM, colorimetry.LookupFamily("component-n10")},
		SubBlack: true, Formats: []string{"y4m", "png"},
	}
	fsc := timing.System525.Subcarrier
	clocks := &Clocks{Master: fsc.Mul(timing.Int(6)), Divider: 4, Lines: []int64{1364}}
	r, err := clocks.Raster("pixel-256", timing.System525, Picture{Width: 256, Rows: 240, First: 22, Begins: timing.Int(53), Fields: 1, Lines: 262})
	if err != nil {
		panic(err)
	}
	pixels := &Profile{
		Name: "pixel-256", Title: "256 pixels at 3/2 of the subcarrier, 15-bit color", Source: "arithmetic; common practice",
		System: timing.System525, Rasters: []*timing.Raster{r}, Clocks: clocks,
		Color:  Color{Bits: [3]int{5, 5, 5}, AtOnce: 256},
		Coding: colorimetry.RGB8, Outputs: []*colorimetry.Family{colorimetry.CompositeJ},
		Formats: []string{"png", "bmp"},
	}
	return []*Profile{player, pixels}
}

// Find returns the built-in profile of that name. The error suggests a near one.
func Find(name string) (*Profile, error) {
	var names []string
	for _, p := range Builtin() {
		if strings.EqualFold(p.Name, name) {
			return p, nil
		}
		names = append(names, p.Name)
	}
	return nil, fmt.Errorf("unknown device %q%s; `backporch list devices` names them all, and --device FILE.toml reads a profile of your own", name, pattern.Suggest(name, names))
}
