package tube

import (
	"math"

	"backporch/colorimetry"
)

// A curveTable is the transfer of a gun in equal steps of drive, with straight
// lines between them: for pictures, where a power for every sample would take
// most of the time. It errs by less than 1e-6 of white; numbers are reckoned
// with the curve itself.
type curveTable [curveSteps + 2]float64

// The table reaches far enough for the overshoots of any decoder; what lies
// beyond is held at its ends.
const (
	curveFrom  = -0.5
	curveTo    = 2.0
	curveSteps = 8192
)

func newCurveTable(c colorimetry.Tube) *curveTable {
	t := new(curveTable)
	for i := range t {
		t[i] = c.Light(curveFrom + float64((curveTo-curveFrom)/curveSteps*float64(i)))
	}
	return t
}

func (t *curveTable) light(v float64) float64 {
	x := (v - curveFrom) * (curveSteps / (curveTo - curveFrom))
	x = min(max(x, 0), curveSteps)
	i := int(x)
	return t[i] + float64((x-float64(i))*(t[i+1]-t[i]))
}

// A codeTable is the 8-bit code of a screen for linear light, 0 to 1, in equal
// steps.
type codeTable [codeSteps + 1]uint8

const codeSteps = 1 << 14

// newCodeTable has the transfer of sRGB (IEC 61966-2-1, memory).
func newCodeTable() *codeTable {
	t := new(codeTable)
	for i := range t {
		l := float64(i) / codeSteps
		v := 12.92 * l
		if l > 0.0031308 {
			v = float64(1.055*math.Pow(l, 1/2.4)) - 0.055
		}
		t[i] = uint8(float64(255*v) + 0.5)
	}
	return t
}

func (t *codeTable) code(l float64) uint8 {
	return t[int(float64(min(max(l, 0), 1)*codeSteps)+0.5)]
}
