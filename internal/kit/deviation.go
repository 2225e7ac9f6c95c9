package kit

import (
	"fmt"
	"math"

	"backporch/colorimetry"
)

// A deviation is how far what a device shows is from what the pattern wants.
type deviation struct {
	Luma    float64 // IRE: per cent of white above blanking, 7.14 or 7 mV
	Chroma  float64 // per cent of the wanted amplitude; of 100 IRE where gray is wanted
	Degrees float64 // turned from the wanted angle, -180 to 180; 0 where there is no color
	Gray    bool    // gray is wanted: Chroma is color where there should be none
}

// Tolerances of a deviation: those within which levels, chroma and phase can
// be set by eye (common practice).
const (
	lumaTolerance   = 1.0 // IRE
	chromaTolerance = 2.0 // per cent
	hueTolerance    = 1.0 // degrees
)

// beyond reports whether any part is out of tolerance.
func (d *deviation) beyond() bool {
	const hair = 1e-9 // a difference of floats, not of colors
	return math.Abs(d.Luma) > lumaTolerance+hair || math.Abs(d.Chroma) > chromaTolerance+hair || math.Abs(d.Degrees) > hueTolerance+hair
}

// size is how many tolerances the greatest part is.
func (d *deviation) size() float64 {
	return max(math.Abs(d.Luma)/lumaTolerance, math.Abs(d.Chroma)/chromaTolerance, math.Abs(d.Degrees)/hueTolerance)
}

// words says it in a few: "luma -2.3 IRE, chroma +5.1 %, hue +2.4 deg".
func (d *deviation) words() string {
	luma := fmt.Sprintf("luma %+.1f IRE", round(d.Luma, 10))
	switch {
	case d.Gray && d.Chroma < 0.05:
		return luma
	case d.Gray:
		return luma + fmt.Sprintf(", %.1f IRE of color in gray", d.Chroma)
	}
	return luma + fmt.Sprintf(", chroma %+.1f %%, hue %+.1f deg", round(d.Chroma, 10), round(d.Degrees, 10))
}

// deviationOf compares two signals on a wire: luma by its levels, color as the
// vector of the color difference signals (B'-Y', R'-Y'), whose amplitude and
// angle are what a subcarrier would have.
func deviationOf(f *colorimetry.Family, want, got colorimetry.Signal) (d deviation) {
	d.Luma = float64((got.Y - want.Y) * (1 - float64(f.Black)/float64(f.White)) * 100)
	const none = 1e-6 // of chroma: what is left of gray by arithmetic
	x, y := vector(want)
	u, v := vector(got)
	ideal, held := math.Hypot(x, y), math.Hypot(u, v)
	if ideal < none {
		d.Gray = true
		d.Chroma = 100 * 2 * held // peak to peak
		if held < none {
			d.Chroma = 0
		}
		return d
	}
	d.Chroma = 100 * (held/ideal - 1)
	if held >= none {
		// The angle between the two by their cross and dot product.
		d.Degrees = math.Atan2(float64(x*v)-float64(y*u), float64(x*u)+float64(y*v)) * 180 / math.Pi
	}
	return d
}

// vector returns U and V, 1 being white luma: SMPTE 170M-2004 annex A.3.
func vector(s colorimetry.Signal) (u, v float64) {
	const kU, kV = 0.492111, 0.877283
	r, g, b := s.RGB()
	luma := g + float64(0.299*(r-g)) + float64(0.114*(b-g))
	return kU * (b - luma), kV * (r - luma)
}
