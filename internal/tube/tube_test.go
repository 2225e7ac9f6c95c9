package tube

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"backporch/colorimetry"
	"backporch/internal/testtable"
	"backporch/pattern/frame"
	"backporch/timing"
)

func newSet(t testing.TB, white, black, gamma float64, primaries, at string) *Set {
	t.Helper()
	c, err := colorimetry.NewTube(white, black, gamma)
	require.NoError(t, err)
	p, err := colorimetry.ParsePrimaries(primaries)
	require.NoError(t, err)
	w, err := colorimetry.ParseWhite(at)
	require.NoError(t, err)
	return &Set{Curve: c, Primaries: p, White: w}
}

// flat is a frame of one color.
func flat(c colorimetry.Signal) *frame.Frame {
	r := timing.Lookup("240p")
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	for k, v := range []float64{c.Y, c.CB, c.CR} {
		row := make([]float64, r.Width)
		for i := range row {
			row[i] = v
		}
		f.Planes[k] = frame.Plane{Rows: [][]float64{row}, Lines: make([]int32, len(r.Lines))}
	}
	return f
}

// TestLight holds gray, by the curve and by the table of pictures, to ITU-R
// BT.1886 (03/2011) Annex 1 (calc).
func TestLight(t *testing.T) {
	for _, r := range testtable.Table(t, "bt1886_check.csv") {
		white, v, want := r.Float(t, "LW"), r.Float(t, "V"), r.Float(t, "L")
		s := newSet(t, white, r.Float(t, "LB"), 2.4, "smpte-c", "D65")
		light := s.Guns(colorimetry.Gray(v))
		for _, l := range light {
			assert.InDelta(t, want, l, 1e-9*white)
		}
		assert.InDelta(t, want, s.Luminance(light), 1e-9*white)
		rows := s.Light(flat(colorimetry.Gray(v)))
		require.Len(t, rows, 1)
		assert.InDelta(t, want, rows[0][100][1], 1e-6*white, "table, %v", v)
	}
}

// TestCurveTable: the table errs by no more than it says, from before the ends
// of its range to beyond them, and also where the curve leaves the ground.
func TestCurveTable(t *testing.T) {
	for _, gamma := range []float64{2.2, 2.4, 2.8} {
		c, err := colorimetry.NewTube(100, 0.1, gamma)
		require.NoError(t, err)
		table := newCurveTable(c)
		for i := -700; i <= 1300; i++ {
			v := float64(i)/1000 + 1.0/7000
			assert.InDelta(t, c.Light(max(v, curveFrom)), table.light(v), 1e-6*100, "%v", v)
		}
		assert.Equal(t, 0.0, table.light(-3))
		assert.Equal(t, table.light(curveTo), table.light(50))
	}
}

// TestLuminance: the shares of the guns in the luminance of white, from the
// method of SMPTE RP 177 (calc).
func TestLuminance(t *testing.T) {
	tests := []struct {
		primaries, white string
		want             [3]float64
	}{
		{"smpte-c", "D65", [3]float64{.2124, .7011, .0866}},
		{"ebu", "D65", [3]float64{.2220, .7067, .0713}},
		{"smpte-c", "D93", [3]float64{.1768, .7072, .1160}},
		{"ebu", "D93", [3]float64{.1894, .7145, .0961}},
	}
	for _, tt := range tests {
		s := newSet(t, 100, 0, 2.4, tt.primaries, tt.white)
		for g, want := range tt.want {
			var light [3]float64
			light[g] = 100
			assert.InDelta(t, 100*want, s.Luminance(light), 0.0051, "%s %s gun %d", tt.primaries, tt.white, g)
		}
		assert.InDelta(t, 100, s.Luminance([3]float64{100, 100, 100}), 1e-9)
	}
}

func TestAgainst(t *testing.T) {
	s := newSet(t, 100, 0, 2.4, "smpte-c", "D65")
	for _, p := range s.Against(colorimetry.D65) {
		assert.InDelta(t, 1, p, 1e-12)
	}
}

// TestScreen: the screen is sRGB (IEC 61966-2-1, memory): white of a D65 set is
// code 255 of all channels, 21.6 % of its light is 128, and black is 0.
func TestScreen(t *testing.T) {
	s := newSet(t, 100, 0, 2.4, "bt709", "D65")
	all := [3]bool{true, true, true}
	screen := Screen{White: s.Brightest(flat(colorimetry.Gray(0.5)), all)}
	assert.InDelta(t, 100, screen.White, 1e-4)
	code := func(c colorimetry.Signal, guns [3]bool) [3]uint8 {
		img := screen.Picture(s, flat(c), guns)
		require.Equal(t, 240, img.Rect.Dy())
		p := img.RGBAAt(100, 100)
		assert.EqualValues(t, 255, p.A)
		return [3]uint8{p.R, p.G, p.B}
	}
	assert.Equal(t, [3]uint8{255, 255, 255}, code(colorimetry.Gray(1), all))
	assert.Equal(t, [3]uint8{0, 0, 0}, code(colorimetry.Gray(0), all))
	mid := math.Pow(0.2159, 1/2.4) // code 128 is linear 0.2159
	assert.Equal(t, [3]uint8{128, 128, 128}, code(colorimetry.Gray(mid), all))
	assert.Equal(t, [3]uint8{0, 0, 255}, code(colorimetry.FromRGB(0, 0, 1), all))
	assert.Equal(t, [3]uint8{0, 0, 255}, code(colorimetry.Gray(1), [3]bool{false, false, true}))
	assert.Equal(t, [3]uint8{255, 0, 0}, code(colorimetry.FromRGB(1, -0.2, -0.2), all), "a gun gives no light below nothing")
}

// TestBrightest: nothing that lasts is clipped, on tubes of other whites too;
// what is short, as overshoots are, does not count.
func TestBrightest(t *testing.T) {
	all := [3]bool{true, true, true}
	for _, white := range []string{"D65", "D93", "5000"} {
		s := newSet(t, 100, 0, 2.4, "smpte-c", white)
		m := s.toScreen().Mul([3]float64{100, 100, 100})
		want := max(m[0], m[1], m[2])
		assert.InDelta(t, want, s.Brightest(flat(colorimetry.Gray(0.2)), all), 1e-3, white)
		assert.InDelta(t, want*math.Pow(1.1, 2.4), s.Brightest(flat(colorimetry.Gray(1.1)), all), 1e-3, white)
		spike := flat(colorimetry.Gray(0.2))
		spike.Planes[0].Rows[0][300] = 1.4
		assert.InDelta(t, want, s.Brightest(spike, all), 1e-3, white)
	}
}

func TestString(t *testing.T) {
	assert.Equal(t, "Tube: white 100 cd/m², black 0.05 cd/m², gamma 2.4, SMPTE C phosphors, white D65",
		newSet(t, 100, 0.05, 2.4, "smpte-c", "D65").String())
}

func BenchmarkPicture(b *testing.B) {
	s := newSet(b, 100, 0, 2.4, "smpte-c", "D65")
	r := timing.Lookup("576i")
	f := &frame.Frame{Raster: r, Sampling: frame.S444}
	for c := range f.Planes {
		for j := range r.Lines {
			row := make([]float64, r.Width)
			for i := range row {
				row[i] = float64(i+j+c) / 2000
			}
			f.Planes[c].Rows, f.Planes[c].Lines = append(f.Planes[c].Rows, row), append(f.Planes[c].Lines, int32(j))
		}
	}
	b.ReportAllocs()
	for b.Loop() {
		Screen{White: 100}.Picture(s, f, [3]bool{true, true, true})
	}
}
