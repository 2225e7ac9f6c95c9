package colorimetry

import (
	"fmt"
	"math"
)

// An isotherm is a line of equal correlated color temperature: where it crosses
// the locus of black bodies, and its slope, CIE 1960 u, v.
type isotherm struct{ mired, u, v, slope float64 }

// isotherms are those of A. R. Robertson, "Computation of correlated color
// temperature and distribution temperature" (1968), as printed in Wyszecki and
// Stiles, table 1(3.11), with u at 325 mired corrected from .24702.
func isotherms() []isotherm {
	return []isotherm{
		{0, 0.18006, 0.26352, -0.24341},
		{10, 0.18066, 0.26589, -0.25479},
		{20, 0.18133, 0.26846, -0.26876},
		{30, 0.18208, 0.27119, -0.28539},
		{40, 0.18293, 0.27407, -0.30470},
		{50, 0.18388, 0.27709, -0.32675},
		{60, 0.18494, 0.28021, -0.35156},
		{70, 0.18611, 0.28342, -0.37915},
		{80, 0.18740, 0.28668, -0.40955},
		{90, 0.18880, 0.28997, -0.44278},
		{100, 0.19032, 0.29326, -0.47888},
		{125, 0.19462, 0.30141, -0.58204},
		{150, 0.19962, 0.30921, -0.70471},
		{175, 0.20525, 0.31647, -0.84901},
		{200, 0.21142, 0.32312, -1.0182},
		{225, 0.21807, 0.32909, -1.2168},
		{250, 0.22511, 0.33439, -1.4512},
		{275, 0.23247, 0.33904, -1.7298},
		{300, 0.24010, 0.34308, -2.0637},
		{325, 0.24792, 0.34655, -2.4681},
		{350, 0.25591, 0.34951, -2.9641},
		{375, 0.26400, 0.35200, -3.5814},
		{400, 0.27218, 0.35407, -4.3633},
		{425, 0.28039, 0.35577, -5.3762},
		{450, 0.28863, 0.35714, -6.7262},
		{475, 0.29685, 0.35823, -8.5955},
		{500, 0.30505, 0.35907, -11.324},
		{525, 0.31320, 0.35968, -15.628},
		{550, 0.32129, 0.36011, -23.325},
		{575, 0.32931, 0.36038, -40.770},
		{600, 0.33724, 0.36051, -116.45},
	}
}

// Robertson returns the correlated color temperature by the method of Robertson
// 1968: between two lines of his table mired goes as the distances from them.
// It is a check on [XY.Temperature] that shares nothing with it, and reaches
// from 1667 K up; at the whites of television the two differ by less than 5 K
// (calc).
func (c XY) Robertson() (Temperature, error) {
	if err := c.colored(); err != nil {
		return Temperature{}, err
	}
	p := c.UV1960()
	lines := isotherms()
	var before float64 // distance from the line before
	for i, line := range lines {
		length := math.Hypot(1, line.slope)
		du, dv := 1/length, line.slope/length
		off := float64((p.V-line.v)*du) - float64((p.U-line.u)*dv)
		if off > 0 {
			before = off
			continue
		}
		if i == 0 { // at infinity or beyond it
			return Temperature{}, c.beyond(0)
		}
		last := lines[i-1]
		f := off / (off - before) // share of the line before
		mix := func(a, b float64) float64 { return float64(a*f) + float64(b*(1-f)) }
		back := math.Hypot(1, last.slope)
		du, dv = mix(1/back, du), mix(last.slope/back, dv)
		t := Temperature{
			Kelvin: 1e6 / mix(last.mired, line.mired),
			Duv:    -(float64((p.U-mix(last.u, line.u))*du) + float64((p.V-mix(last.v, line.v))*dv)) / math.Hypot(du, dv),
		}
		return c.within(t)
	}
	return Temperature{}, fmt.Errorf("x %.4f, y %.4f lies below 1667 K, where the table of Robertson ends; direct search on the locus reaches 1000 K", c.X, c.Y)
}
