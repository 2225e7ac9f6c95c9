package compare

import (
	"math"

	"backporch/colorimetry"
)

// A Bar is a colored patch.
type Bar struct {
	Name   string
	Want   colorimetry.Signal
	Got    Reading
	Chroma float64 // per cent that the amplitude of the color is too high
	Hue    float64 // degrees that its vector is turned, > 0 from +U to +V
}

// turned brings degrees within 180 to either side; what is half a turn away, but
// for rounding, counts as +180.
func turned(degrees float64) float64 {
	const little = 0.005
	d := math.Remainder(degrees, 360)
	if d < -180+little {
		d += 360
	}
	return d
}

// bars measures the colored patches in their order.
func (m *measurer) bars() []Bar {
	var list []Bar
	for _, p := range m.patches {
		if math.Hypot(p.patch.Want.CB, p.patch.Want.CR) <= neutral {
			continue
		}
		b := Bar{Name: p.patch.Name, Want: p.patch.Want, Got: m.read(p)}
		wantA, wantH := vector(m.frame.Raster, b.Want)
		gotA, gotH := vector(m.frame.Raster, b.Got.Signal)
		b.Chroma = 100 * (gotA/wantA - 1)
		b.Hue = turned(gotH - wantH)
		if gotA < neutral/4 {
			b.Hue = math.NaN() // no color is left to have a hue
		}
		list = append(list, b)
	}
	return list
}

// Chroma returns the mean error of the bars' color in per cent, NaN without
// bars.
func (o *Outcome) Chroma() float64 { return meanBars(o.Bars, func(b Bar) float64 { return b.Chroma }) }

// Hue returns the mean turn of the bars' color in degrees, NaN without bars or
// color. The mean is taken around the first bar, so that half a turn, to which
// there are two ways, stays one.
func (o *Outcome) Hue() float64 {
	if len(o.Bars) == 0 {
		return math.NaN()
	}
	first := o.Bars[0].Hue
	return turned(first + meanBars(o.Bars, func(b Bar) float64 { return turned(b.Hue - first) }))
}

// Alternation returns by how many degrees the hue of the bars swings to either
// side from line to line, NaN without bars.
func (o *Outcome) Alternation() float64 {
	return meanBars(o.Bars, func(b Bar) float64 { return b.Got.Spread })
}

func meanBars(list []Bar, of func(Bar) float64) float64 {
	sum := 0.0
	for _, b := range list {
		sum += of(b)
	}
	return sum / float64(len(list)) // 0/0 is NaN
}
