package colorimetry

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/internal/testtable"
)

// TestLabLuv: published values of an open library under three whites, printed to
// 8 digits.
func TestLabLuv(t *testing.T) {
	rows := testtable.Table(t, "lab_luv_check.csv")
	require.Len(t, rows, 5)
	for _, row := range rows {
		white := XY{number(t, row, "xw"), number(t, row, "yw")}.At(1)
		c := XYZ{number(t, row, "X"), number(t, row, "Y"), number(t, row, "Z")}
		lab, luv := c.Lab(white), c.Luv(white)
		for name, got := range map[string]float64{"L": lab.L, "a": lab.A, "b": lab.B, "u_star": luv.U, "v_star": luv.V} {
			assert.InDelta(t, number(t, row, name), got, 1e-7, "%s of %v", name, c)
		}
		assert.InDelta(t, number(t, row, "L"), luv.L, 1e-7)
		// The unit of light does not matter.
		assert.InDelta(t, luv.U, XYZ{80 * c.X, 80 * c.Y, 80 * c.Z}.Luv(XYZ{80 * white.X, 80 * white.Y, 80 * white.Z}).U, 1e-9)
	}
}

// TestDifferences from D65 at 100 % of light: dE*uv and du*v* as computed by
// other means from EBU Tech 3320 v3 Annex B (calc), and its 1.3 du*v* for a
// circle of .0010 in u', v' (clause 5.7).
func TestDifferences(t *testing.T) {
	white := D65.At(100)
	tests := []struct {
		name   string
		c      XY
		want   float64
		within float64
	}{
		{"white C", XY{.31006, .31616}, 10.4, .05},
		{"D93", XY{.2831, .2971}, 31.6, .06}, // from D65 rounded to u' .1978, v' .4683 as printed
		{"9300 K + 27 MPCD", XY{.281, .311}, 27.9, .05},
		{"dx of .001", XY{.3137, .3290}, .92, .005},
		{"dy of .001", XY{.3127, .3300}, .85, .005},
	}
	for _, tt := range tests {
		p, q := tt.c.At(100).Luv(white), white.Luv(white)
		assert.InDelta(t, tt.want, p.Chroma(q), tt.within, tt.name)
		assert.InDelta(t, tt.want, p.Distance(q), tt.within, tt.name)
	}
	off := D65.UV1976()
	for turn := 0.0; turn < 6.3; turn += .3 {
		c := UV{off.U + .001*math.Cos(turn), off.V + .001*math.Sin(turn)}.XY1976()
		assert.InDelta(t, 1.3, c.At(100).Luv(white).Chroma(white.Luv(white)), 1e-9)
	}
	// At another lightness the color counts by it, and dE*uv has the rest.
	p, q := D65.At(50).Luv(white), white.Luv(white)
	assert.InDelta(t, 0, p.Chroma(q), 1e-9)
	assert.InDelta(t, 100-p.L, p.Distance(q), 1e-9)
	assert.Zero(t, XYZ{}.Luv(white))
}

// TestPublishedMatrices: matrices that are printed in documents. BT.709 from
// colour-science test_derivation.py, EBU with the white .313 .329 from its
// documentation; SMPTE C step by step (calc); the luminance row of NTSC 1953
// with white C is the origin of .299, .587, .114.
func TestPublishedMatrices(t *testing.T) {
	tests := []struct {
		set    string
		white  XY
		want   Matrix
		within float64
	}{
		{"bt709", XY{.3127, .3290}, Matrix{{.41239080, .35758434, .18048079}, {.21263901, .71516868, .07219232}, {.01933082, .11919478, .95053215}}, 6e-9},
		{"ebu", XY{.313, .329}, Matrix{{.43194331, .341235, .17818948}, {.22272077, .70600344, .07127579}, {.02024734, .12943396, .93846459}}, 6e-9},
		{"smpte-c", XY{.3127, .3290}, Matrix{{.39352090, .36525808, .19167695}, {.21237636, .70105986, .08656378}, {.01873909, .11193393, .95838473}}, 6e-9},
	}
	for _, tt := range tests {
		p, err := ParsePrimaries(tt.set)
		require.NoError(t, err)
		got := p.Matrix(tt.white)
		for i := range 3 {
			assert.InDeltaSlice(t, tt.want[i][:], got[i][:], tt.within, tt.set)
		}
	}
	ebu, err := ParsePrimaries("ebu")
	require.NoError(t, err)
	inverse := ebu.Matrix(XY{.313, .329}).Inverse()
	for i, row := range [3][3]float64{{3.05350675, -1.38890786, -.47429309}, {-.97013781, 1.87769818, .04159339}, {.06792306, -.22900835, 1.07006656}} {
		assert.InDeltaSlice(t, row[:], inverse[i][:], 6e-9)
	}
	ntsc, err := ParsePrimaries("ntsc-1953")
	require.NoError(t, err)
	shares := ntsc.Matrix(XY{.310, .316})[1]
	assert.InDeltaSlice(t, []float64{.29896662, .58642121, .11461217}, shares[:], 6e-9)

	// SMPTE C into BT.709, on which a media converter agrees to 6e-8 (calc).
	c, err := ParsePrimaries("smpte-c")
	require.NoError(t, err)
	hd, err := ParsePrimaries("bt709")
	require.NoError(t, err)
	into := hd.Matrix(D65.XY).Inverse()
	for gun, want := range [3][3]float64{{.93954206, .01777222, -.00162160}, {.05018136, .96579286, -.00436975}, {.01027658, .01643491, 1.00599135}} {
		one := [3]float64{}
		one[gun] = 1
		got := into.Mul(c.Matrix(D65.XY).Mul(one))
		assert.InDeltaSlice(t, want[:], got[:], 1e-8)
	}
}

// TestTubeOfAppendix1: the older curve of BT.1886 Appendix 1, a twin written
// here, with the constants that are published for black at .002 and white at
// 1.71: below .35 L = k (.35 + b)^-.4 (V + b)^3, above it k (V + b)^2.6. Its
// ends are those of the tube of Annex 1.
func TestTubeOfAppendix1(t *testing.T) {
	const white, black = 1.71, .002
	low, high := 0.0, 1.0
	for range 100 { // b such that L(0) is black: it grows with b
		b := (low + high) / 2
		k := white / math.Pow(1+b, 2.6)
		if k*math.Pow(.35+b, -.4)*b*b*b < black {
			low = b
		} else {
			high = b
		}
	}
	assert.InDelta(t, .1032367172184046, low, 1e-14)
	assert.InDelta(t, 1.324516800483618, white/math.Pow(1+low, 2.6), 1e-13)
	older := func(v float64) float64 {
		k := white / math.Pow(1+low, 2.6)
		if v < .35 {
			return k * math.Pow(.35+low, -.4) * math.Pow(v+low, 3)
		}
		return k * math.Pow(v+low, 2.6)
	}
	tube, err := NewTube(white, black, 2.4)
	require.NoError(t, err)
	assert.InDelta(t, older(0), tube.Light(0), 1e-12)
	assert.InDelta(t, older(1), tube.Light(1), 1e-12)
}
