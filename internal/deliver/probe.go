package deliver

import (
	"math"

	"backporch/colorimetry"
	"backporch/pattern"
	"backporch/timing"
)

// A mover is the picture that proves motion: upright bars that move by eight
// samples in every field, above white on a ground below black, and below them
// bars of one color on a ground of another. Own design.
type mover struct{}

// The bars: samples that they move in a field, and fields until they stand
// where they began.
const (
	moverStep   = 8
	moverFields = 8
)

// Levels: codes 5 and 248 of 8 bits, and colors that lie within R'G'B'.
func moverLevels() (lumaGround, lumaBar, colorGround, colorBar colorimetry.Signal) {
	gray := func(code float64) colorimetry.Signal { return colorimetry.Gray((code - 16) / 219) }
	return gray(5), gray(248), colorimetry.FromRGB(0.2, 0.5, 0.7), colorimetry.FromRGB(0.8, 0.5, 0.3)
}

// Scene implements pattern.Pattern.
func (mover) Scene(v pattern.View) (*pattern.Scene, error) {
	darkGround, whiteBar, colorGround, colorBar := moverLevels()
	dx := v.Shown.Comb(0).DX
	half := v.Shown.Span(v.Shown.Height() / 64 * 32) // a whole number of blocks
	bars := func(bottom float64, ground, bar colorimetry.Signal) pattern.Band {
		return pattern.Band{Bottom: bottom, Uniform: true, Paint: func(dst []float64, c colorimetry.Component, x timing.Comb, _ timing.Span, t int) {
			pitch, moved := moverStep*moverFields*dx, float64(t%moverFields)*moverStep*dx
			for i := range dst {
				u := math.Mod(x.At(i)-moved, pitch)
				if u < 0 {
					u += pitch
				}
				k := rise(u, v.Edge[c]) - rise(u-pitch/2, v.Edge[c]) + rise(u-pitch, v.Edge[c])
				g := ground.Of(c)
				dst[i] = g + float64(k*(bar.Of(c)-g))
			}
		}}
	}
	return &pattern.Scene{
		Bands:  []pattern.Band{bars(half.Y-half.DY/2, darkGround, whiteBar), bars(math.Inf(1), colorGround, colorBar)},
		Period: moverFields / v.Shown.Scan.Fields,
	}, nil
}

// rise is a raised cosine of full width w from 0 to 1, with its middle at 0.
func rise(u, w float64) float64 {
	switch {
	case u <= -w/2:
		return 0
	case u >= w/2:
		return 1
	}
	return 0.5 + 0.5*math.Sin(math.Pi*u/w)
}
