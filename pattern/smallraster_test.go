package pattern

import (
	"testing"

	"backporch/colorimetry"
	"backporch/pattern/frame"
	"backporch/timing"
)

// smallRasters are rasters as playing devices have them, with few samples a
// line and these not from edge to edge (their clocks: common practice).
func smallRasters() []*timing.Raster {
	small := func(like string, name string, clock, start timing.Ratio, width int) *timing.Raster {
		r := *timing.Lookup(like)
		r.Name, r.Clock, r.Start, r.Width = name, clock, start, width
		return &r
	}
	fsc := timing.System525.Subcarrier
	fsc625 := timing.System625.Subcarrier
	return []*timing.Raster{
		small("240p", "256 at 3/2 fsc", fsc.Mul(timing.R(3, 2)), timing.Int(65), 256),
		small("240p", "256 late", fsc.Mul(timing.R(3, 2)), timing.Int(78), 240),
		small("240p", "320 at 15/8 fsc", fsc.Mul(timing.R(15, 8)), timing.R(165, 2), 320),
		small("480i", "640 square", timing.System525.Square, timing.Int(118), 640),
		small("288p", "256 at 6/5 fsc of 625", fsc625.Mul(timing.R(6, 5)), timing.Int(62), 256),
		small("288p", "320 at 3/2 fsc of 625", fsc625.Mul(timing.R(3, 2)), timing.Int(76), 320),
	}
}

// TestSmallRasters lays the level, color and pulse patterns out on rasters of
// visible pixels, in the codings that such devices have.
func TestSmallRasters(t *testing.T) {
	names := []string{"focus-field", "staircase modulated", "ramp modulated", "streaking", "vectors",
		"chroma-steps", "chroma-steps set=j63", "chroma-delay", "chroma-delay delay=-500", "chroma-delay delay=200", "pulse-bar", "pulse-bar pulse=T"}
	for _, spec := range names {
		t.Run(spec, func(t *testing.T) {
			for i, r := range smallRasters() {
				for _, h := range []struct {
					coding *colorimetry.Coding
					edges  Edges
				}{{colorimetry.RGB8, Hard}, {colorimetry.RGB555, Hard}, {colorimetry.YCbCr8, Shaped}} {
					v := NewView(r, h.coding, frame.S444, h.edges)
					if i%2 == 1 {
						v.Aspect = Aspect16x9
					}
					checkScene(t, spec, v, frame.S444, r.Name+" "+h.coding.Name+" "+h.edges.String())
				}
			}
		})
	}
}
