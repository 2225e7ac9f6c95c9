package meter

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/testtable"
)

// fields are plain fields of a tube with known light of each gun, black behind
// each of them.
func fields(p colorimetry.Primaries, light [3]float64, black colorimetry.XYZ) (s []Sample) {
	white := black
	for i, c := range []colorimetry.XY{p.R, p.G, p.B} {
		v := c.At(light[i])
		s = append(s, Sample{Level: 1, Name: gunNames()[i], XYZ: colorimetry.XYZ{X: v.X + black.X, Y: v.Y + black.Y, Z: v.Z + black.Z}})
		white = colorimetry.XYZ{X: white.X + v.X, Y: white.Y + v.Y, Z: white.Z + v.Z}
	}
	return append(s, Sample{Level: 1, Name: "white", XYZ: white}, Sample{Name: "black", XYZ: black})
}

// TestGuns: shares of luminance that make a white, as computed by other means
// from SMPTE RP 177 (calc), in per cent to two digits.
func TestGuns(t *testing.T) {
	for _, tt := range []struct {
		set, white string
		shares     [3]float64
	}{
		{"smpte-c", "D65", [3]float64{21.24, 70.11, 8.66}}, {"ebu", "D65", [3]float64{22.20, 70.67, 7.13}},
		{"smpte-c", "D93", [3]float64{17.68, 70.72, 11.60}}, {"ebu", "D93", [3]float64{18.94, 71.45, 9.61}},
	} {
		p, white := primariesOf(t, tt.set), whiteOf(t, tt.white)
		black := colorimetry.XY{X: .33, Y: .34}.At(.3)
		light := tt.shares
		for i := range light {
			light[i] *= .8 // of 80 cd/m2
		}
		f, err := Guns(fields(p, light, black))
		require.NoError(t, err)
		for i, c := range []colorimetry.XY{p.R, p.G, p.B} {
			assert.InDelta(t, c.X, f.Guns[i].XY.X, 1e-9)
			assert.InDelta(t, c.Y, f.Guns[i].XY.Y, 1e-9)
			assert.InDelta(t, light[i], f.Guns[i].XYZ.Y, 1e-9)
			assert.InDelta(t, tt.shares[i], f.Guns[i].Share, .011)
		}
		assert.InDelta(t, white.X, f.Together.X, 8e-5, "%s %s", tt.set, tt.white)
		assert.InDelta(t, white.Y, f.Together.Y, 8e-5, "%s %s", tt.set, tt.white)
		assert.InDelta(t, p.R.X, f.Primaries.R.X, 1e-9)
		assert.InDelta(t, 0, f.Additivity, 1e-9)
		assert.InDelta(t, 0, f.AdditivityDUV, 1e-12)
		assert.True(t, f.BlackKnown && f.WhiteKnown)
	}
}

// A white that lacks 5 % of what the guns give one by one, as under a beam
// limiter; and one that lacks blue alone is of another color.
func TestAdditivity(t *testing.T) {
	p := primariesOf(t, "ebu")
	s := fields(p, [3]float64{20, 70, 10}, colorimetry.XYZ{})
	s[3].XYZ = colorimetry.XYZ{X: s[3].XYZ.X * .95, Y: s[3].XYZ.Y * .95, Z: s[3].XYZ.Z * .95}
	f, err := Guns(s)
	require.NoError(t, err)
	assert.InDelta(t, 100*(1/.95-1), f.Additivity, 1e-9)
	assert.InDelta(t, 0, f.AdditivityDUV, 1e-12)
	s[3] = fields(p, [3]float64{20, 70, 9}, colorimetry.XYZ{})[3]
	f, err = Guns(s)
	require.NoError(t, err)
	assert.InDelta(t, 100./99, f.Additivity, 1e-9)
	assert.Greater(t, f.AdditivityDUV, .004)

	// White and black are not needed; a field that was read twice is averaged.
	s = fields(p, [3]float64{20, 70, 10}, colorimetry.XYZ{})[:3]
	more := fields(p, [3]float64{20, 72, 10}, colorimetry.XYZ{})[1]
	f, err = Guns(append(s, more))
	require.NoError(t, err)
	assert.InDelta(t, 71, f.Guns[1].XYZ.Y, 1e-9)
	assert.InDelta(t, math.Sqrt2, f.Guns[1].Sigma.Y, 1e-9)
	assert.Equal(t, 2, f.Guns[1].N)
	assert.False(t, f.BlackKnown || f.WhiteKnown)
}

func TestGunsErrors(t *testing.T) {
	p := primariesOf(t, "ebu")
	all := fields(p, [3]float64{20, 70, 10}, colorimetry.XYZ{})
	swapped := append([]Sample(nil), all...)
	swapped[0].Name, swapped[1].Name = "green", "red"
	dark := append([]Sample(nil), all...)
	dark[3].XYZ = colorimetry.XYZ{}
	lit := append([]Sample(nil), all...)
	lit[4].XYZ = colorimetry.D65.At(15)
	for _, tt := range []struct {
		name    string
		samples []Sample
		want    string
	}{
		{"two are missing", all[2:], "no reading of a field called red, green; all three guns are needed, and white and black tell more"},
		{"exchanged", swapped, "are not red, green and blue in this order"},
		{"dark white", dark, "the reading of the field white is of no light"},
		{"black is lit", lit, "the field red gives less light than black"},
		{"two levels", append(all[:3:3], Sample{Level: .5, Name: "red", XYZ: all[0].XYZ}), "the field red was read at two levels of the signal; read each at one"},
	} {
		f, err := Guns(tt.samples)
		assert.ErrorContains(t, err, tt.want, tt.name)
		assert.Nil(t, f, tt.name)
	}
}

// TestQuads holds the corners to EBU Tech 3213-E, in u, v; they are in order
// around an area without dents, and the document's own primaries lie within.
func TestQuads(t *testing.T) {
	of := map[string]int{"R": 0, "G": 1, "B": 2}
	rows := testtable.Table(t, "ebu3213_tolerance_quads.csv")
	require.Len(t, rows, 12)
	var xy [3]quad // the corners in x, y, converted
	for _, row := range rows {
		i, corner := of[row["primary"]], int(number(t, row, "corner"))-1
		assert.Equal(t, number(t, row, "u1960"), quads()[i][corner].U)
		assert.Equal(t, number(t, row, "v1960"), quads()[i][corner].V)
		xy[i][corner] = colorimetry.XY{X: number(t, row, "x"), Y: number(t, row, "y")}.UV1960()
	}
	for i, q := range quads() {
		sides := 0
		for j := range q {
			a, b, c := q[j], q[(j+1)%4], q[(j+2)%4]
			if (b.U-a.U)*(c.V-b.V)-(b.V-a.V)*(c.U-b.U) > 0 {
				sides++
			}
		}
		assert.Contains(t, []int{0, 4}, sides, "corners of %s", gunNames()[i])
		for j := range q { // but for two of green the two ways of printing are one
			if i != 1 || j > 1 {
				assert.InDelta(t, 0, math.Hypot(q[j].U-xy[i][j].U, q[j].V-xy[i][j].V), .0012, "%s %d", gunNames()[i], j+1)
			}
		}
	}
	p, err := Phosphors(colorimetry.XY{X: .64, Y: .33}, colorimetry.XY{X: .29, Y: .60}, colorimetry.XY{X: .15, Y: .06})
	require.NoError(t, err)
	assert.True(t, p.Inside && p.SkinOK)
	assert.InDelta(t, 0, p.Skin, 1e-9)
	for _, g := range p.Guns {
		assert.Positive(t, g.Edge)
	}
	// Corners lie on the edge, and points along the way out are outside.
	for i, q := range quads() {
		var mid colorimetry.UV
		for _, c := range q {
			mid.U, mid.V = mid.U+c.U/4, mid.V+c.V/4
		}
		for _, c := range q {
			assert.InDelta(t, 0, q.hold(c.XY1960()).Edge, 1e-9)
			for _, k := range []float64{.5, .9, .99} {
				in, out := along(mid, c, k), along(mid, c, 2-k)
				assert.True(t, q.hold(in.XY1960()).Inside, gunNames()[i])
				assert.Positive(t, q.hold(in.XY1960()).Edge)
				h := q.hold(out.XY1960())
				assert.False(t, h.Inside, gunNames()[i])
				// The corner is the nearest, or an edge at it is.
				far := math.Hypot(out.U-c.U, 1.5*(out.V-c.V))
				assert.LessOrEqual(t, -h.Edge, far+1e-12)
				assert.Greater(t, -h.Edge, far/3)
			}
		}
	}
}

func along(a, b colorimetry.UV, k float64) colorimetry.UV {
	return colorimetry.UV{U: a.U + k*(b.U-a.U), V: a.V + k*(b.V-a.V)}
}

// TestPhosphorSets: a distance by hand, and sets of phosphors that are others.
func TestPhosphorSets(t *testing.T) {
	// Straight right of the red edge at u .461 by .002.
	h := quads()[0].hold(colorimetry.UV{U: .463, V: .348}.XY1960())
	assert.False(t, h.Inside)
	assert.InDelta(t, -.002, h.Edge, 1e-9)
	h = quads()[0].hold(colorimetry.UV{U: .459, V: .348}.XY1960())
	assert.True(t, h.Inside)
	assert.InDelta(t, .002, h.Edge, 1e-9)

	c := primariesOf(t, "smpte-c")
	p, err := Phosphors(c.R, c.G, c.B)
	require.NoError(t, err)
	assert.False(t, p.Inside)
	assert.Equal(t, []bool{true, true, false}, []bool{p.Guns[0].Inside, p.Guns[1].Inside, p.Guns[2].Inside}) // blue: x .155, the area ends at .154 to .158
	assert.InDelta(t, -.0002, p.Guns[2].Edge, .0002)
	n := primariesOf(t, "ntsc-1953")
	p, err = Phosphors(n.R, n.G, n.B)
	require.NoError(t, err)
	assert.False(t, p.Inside || p.SkinOK)
	for _, g := range p.Guns {
		assert.Negative(t, g.Edge)
	}
	_, err = Phosphors(colorimetry.XY{X: .7, Y: .4}, c.G, c.B)
	assert.ErrorContains(t, err, "red x 0.7, y 0.4 is no color")
	_, err = Phosphors(c.G, c.R, c.B)
	assert.ErrorContains(t, err, "are they in their order?")
}

// TestSkin: a twin of the joint test: how much light each gun gives of the tone
// on the studio's phosphors follows from three equations (Cramer's rule), and so
// does the white of the tube at hand.
func TestSkin(t *testing.T) {
	det := func(a, b, c colorimetry.XYZ) float64 {
		return a.X*(b.Y*c.Z-b.Z*c.Y) - b.X*(a.Y*c.Z-a.Z*c.Y) + c.X*(a.Y*b.Z-a.Z*b.Y)
	}
	parts := func(p [3]colorimetry.XYZ, c colorimetry.XYZ) (k [3]float64) {
		d := det(p[0], p[1], p[2])
		return [3]float64{det(c, p[1], p[2]) / d, det(p[0], c, p[2]) / d, det(p[0], p[1], c) / d}
	}
	at := func(x, y float64) colorimetry.XYZ { return colorimetry.XYZ{X: x, Y: y, Z: 1 - x - y} }
	tone, white := colorimetry.UV{U: .2221, V: .3256}.XY1960().At(.4404), colorimetry.UV{U: .1978, V: .3122}.XY1960().At(1)
	studio := [3]colorimetry.XYZ{at(.64, .33), at(.29, .60), at(.15, .06)}
	wants, whole := parts(studio, tone), parts(studio, white)
	for _, name := range []string{"ebu", "smpte-c", "p22", "bt709", "ntsc-1953"} {
		s := primariesOf(t, name)
		tube := [3]colorimetry.XYZ{at(s.R.X, s.R.Y), at(s.G.X, s.G.Y), at(s.B.X, s.B.Y)}
		has := parts(tube, white)
		var shown colorimetry.XYZ
		for i := range tube {
			k := wants[i] / whole[i] * has[i]
			shown.X, shown.Y, shown.Z = shown.X+k*tube[i].X, shown.Y+k*tube[i].Y, shown.Z+k*tube[i].Z
		}
		xy, _ := shown.XY()
		a := xy.UV1960()
		p, err := Phosphors(s.R, s.G, s.B)
		require.NoError(t, err)
		assert.InDelta(t, math.Hypot(a.U-.2221, a.V-.3256), p.Skin, 1e-9, name)
	}
}

// TestUniformity: an even screen, one that falls off, one with a stain of .002
// in u', v', which is 2.6 du*v* (EBU Tech 3320 v3 clause 5.14).
func TestUniformity(t *testing.T) {
	c := colorimetry.D65.XY
	var samples []Sample
	for i, name := range Zones() {
		y := 80.
		if i%2 == 0 {
			y = 72
		}
		if name == Center {
			y = 90
		}
		samples = append(samples, Sample{Level: 1, Name: name, XYZ: c.At(y)})
	}
	u, err := Uniformity(samples)
	require.NoError(t, err)
	require.Len(t, u.Zones, 9)
	assert.Equal(t, "top-left", u.Least.Name)
	assert.InDelta(t, 80, u.Least.Percent, 1e-9)
	assert.InDelta(t, 0, u.Farthest.DUV, 1e-12)
	for _, z := range u.Zones {
		assert.LessOrEqual(t, z.Percent, 100.)
		assert.InDelta(t, 0, z.DUV, 1e-12)
	}
	at := c.UV1976()
	samples[8].XYZ = colorimetry.UV{U: at.U, V: at.V - .002}.XY1976().At(70)
	u, err = Uniformity(samples)
	require.NoError(t, err)
	assert.Equal(t, "bottom-right", u.Farthest.Name)
	assert.InDelta(t, .002, u.Farthest.DUV, 1e-12)
	assert.InDelta(t, 2.6, u.Farthest.Chroma, 1e-9)
	assert.Equal(t, "bottom-right", u.Least.Name)

	// Fewer will do; what is no zone is left out, what was read twice is averaged.
	u, err = Uniformity(append(samples[3:5:5], Sample{Level: 1, Name: "left", XYZ: c.At(90)}, Sample{Level: .5, XYZ: c.At(20)}))
	require.NoError(t, err)
	require.Len(t, u.Zones, 2)
	assert.InDelta(t, 100*85./90, u.Least.Percent, 1e-9)
	assert.Equal(t, 2, u.Least.N)

	for _, tt := range []struct {
		name    string
		samples []Sample
		want    string
	}{
		{"no center", samples[:3], "there is no reading of the center, which the other zones are compared with; read it, and as many as you can of top-left, top,"},
		{"center alone", samples[4:5], "the center alone says nothing of uniformity; read at least one more of top-left, top,"},
		{"two levels", append(samples[:5:5], Sample{Level: .5, Name: "top", XYZ: c.At(20)}), "the top was read at two levels of the signal; read all zones at the same"},
		{"no light", append(samples[3:5:5], Sample{Level: 1, Name: "top"}), "the reading of the top is of no light"},
	} {
		u, err := Uniformity(tt.samples)
		assert.ErrorContains(t, err, tt.want, tt.name)
		assert.Nil(t, u, tt.name)
	}
}
